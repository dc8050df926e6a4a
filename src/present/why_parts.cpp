#include "present/why_parts.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <slowdawn/present/hold_phrases.hpp>
#include <slowdawn/present/phrases.hpp>
#include <slowdawn/present/text.hpp>

namespace slowdawn {
namespace {

/// More names than these nobody reads in a sentence.
constexpr std::size_t most_names = 6;

std::string amount(Cap cap, double value) {
  return is_of_peak(cap) ? fmt::format("{:.1f}", value) : fmt::format("{:.2f}", value);
}

std::string healing_words(const PlannedRamp& ramp, const WhyView& view, const BrokenCap& broken) {
  const bool is_floor = broken.cap == Cap::dose_floor;
  switch (broken.heals) {
    case Healing::time: return is_floor ? "which falls with time" : "which rises with time";
    case Healing::good_looks:
      return check_in_cause(ramp, view.day, view.group) == CheckInCause::no_look
                 ? "which a good look lifts"
                 : "which good looks lift";
    case Healing::never:
      if (is_limit_that_stays(broken.cap)) return "which waiting does not change";
      return is_floor ? "which does not fall as far as this step"
                      : "which does not rise as far as this step";
  }
  return "";
}

bool has(const std::vector<BrokenCap>& breaks, std::initializer_list<Cap> caps) {
  return std::any_of(breaks.begin(), breaks.end(), [&](const BrokenCap& broken) {
    return std::find(caps.begin(), caps.end(), broken.cap) != caps.end();
  });
}

/// What would allow the next setting, the easiest first.
class Remedies {
 public:
  Remedies(const PlannedRamp& ramp, const WhyView& view, const std::vector<BrokenCap>& own)
      : ramp_(ramp),
        view_(view),
        own_(own),
        room_(ramp.tank, ramp.setup, ramp.plan),
        is_dose_limited_(has(own, {Cap::dose_band})),
        is_peak_limited_(has(own, {Cap::peak_ceiling, Cap::excitation})) {}

  std::vector<std::string> list(const std::optional<std::size_t>& days_to_next) {
    if (days_to_next) {
      add(fmt::format("time (after {} at today's setting it can take the next step)",
                      days_text(*days_to_next)));
    }
    if (has(own_, {Cap::check_in})) add_looks();
    const bool has_pace = has(own_, {Cap::dose_pace, Cap::peak_pace});
    if (has_pace && !is_limited() && ramp_.tank.ramp.pace != Pace::brisk) {
      add("a brisker pace (less cautious)");
    }
    const bool has_headroom = has(own_, {Cap::dose_headroom, Cap::peak_headroom});
    if (has_pace || has_headroom || is_limited()) add_less_light();
    if (has(own_, {Cap::dose_floor}) && room_.has_brighter_spot(view_.group, view_.day)) {
      add("a brighter spot for it meanwhile");
    }
    if (!is_limited()) add_smaller_steps(has_pace || has_headroom);
    if (is_limited()) add_other_goals();
    return std::move(list_);
  }

  bool is_limited() const { return is_dose_limited_ || is_peak_limited_; }

 private:
  void add(std::string words) { list_.push_back(std::move(words)); }

  void add_looks() {
    switch (check_in_cause(ramp_, view_.day, view_.group)) {
      case CheckInCause::sign:
        if (is_hurt()) {
          add("a restart once it is healthy (slowdawn checkin --restart), after 14 days without a "
              "sign");
          break;
        }
        add("two good looks at it, 3 days apart or more, and after a strain 7 days of rest");
        break;
      case CheckInCause::no_look: add("a good look at it (slowdawn checkin)"); break;
      case CheckInCause::accident:
        add("a good look at it, 3 days or more after the light that was too much");
        break;
    }
  }

  bool is_hurt() const {
    return ramp_.followed != nullptr &&
           ramp_.followed->standings[view_.group].mode == Condition::Mode::hurt;
  }

  void add_less_light() {
    const std::string spot =
        room_.has_dimmer_spot(view_.group, view_.day) ? "a dimmer spot or a shade" : "a shade";
    add(spot + " for it" + (is_limited() ? "" : " meanwhile"));
  }

  void add_smaller_steps(bool is_too_much) {
    const std::size_t here = ramp_.plan.days[view_.day].setting;
    const std::size_t next = here < ramp_.setup.problem.path.goal ? here + 1 : here - 1;
    if (can_step_finer(ramp_, here, next)) add("a smaller \"step\" of the dial");
    const bool is_too_coarse = std::any_of(own_.begin(), own_.end(), [](const BrokenCap& broken) {
      return broken.heals == Healing::never;
    });
    if (is_too_coarse && is_too_much && !ramp_.tank.has_sun()) {
      add("the light mounted higher, where a step is a smaller part of it");
    }
  }

  void add_other_goals() {
    add("a lower goal");
    if (is_peak_limited_) add("a longer and flatter day");
    add("an \"override\", if you know that this coral bears more");
  }

  const PlannedRamp& ramp_;
  const WhyView& view_;
  const std::vector<BrokenCap>& own_;
  SpotRoom room_;
  bool is_dose_limited_;
  bool is_peak_limited_;
  std::vector<std::string> list_;
};

}  // namespace

std::vector<std::string> break_lines(const PlannedRamp& ramp, const WhyView& view,
                                     const std::vector<BrokenCap>& own) {
  std::vector<std::string> lines;
  for (const BrokenCap& broken : own) {
    lines.push_back(fmt::format("{}: {}, limit {}, {}", cap_phrase(broken.cap),
                                amount(broken.cap, broken.value), amount(broken.cap, broken.limit),
                                healing_words(ramp, view, broken)));
  }
  return lines;
}

std::string others_text(const PlannedRamp& ramp, const WhyView& view, bool is_of_others_alone) {
  const std::vector<BrokenCap> all = list_breaks(ramp.setup.problem, ramp.plan, view.day);
  std::vector<std::pair<Cap, std::vector<std::string>>> by_cap;
  std::size_t groups = 0;
  for (auto first = all.begin(); first != all.end();) {
    const auto end = std::find_if(
        first, all.end(), [&](const BrokenCap& broken) { return broken.group != first->group; });
    const std::vector<BrokenCap> own{first, end};
    first = end;
    if (own.front().group == view.group || ++groups > most_names) continue;
    const Cap cap = worst_of(own).cap;
    const auto found = std::find_if(by_cap.begin(), by_cap.end(),
                                    [&](const auto& each) { return each.first == cap; });
    auto& names = found == by_cap.end()
                      ? by_cap.emplace_back(cap, std::vector<std::string>{}).second
                      : found->second;
    names.push_back(to_safe_text(ramp.setup.problem.groups[own.front().group].name));
  }
  if (groups == 0) return "";
  std::vector<std::string> parts;
  for (const auto& [cap, names] : by_cap) {
    parts.push_back(fmt::format("{} ({})", list_words(names), cap_phrase(cap)));
  }
  std::string text = is_of_others_alone ? "The next setting breaks caps of other groups: "
                                        : "It also breaks caps of other groups: ";
  text += list_words(parts, "; ");
  if (groups > most_names) text += fmt::format("; and {} more", groups - most_names);
  return text + ".";
}

std::string remedy_text(const PlannedRamp& ramp, const WhyView& view,
                        const std::vector<BrokenCap>& own,
                        const std::optional<std::size_t>& days_to_next) {
  if (own.empty()) return "";
  Remedies remedies{ramp, view, own};
  const std::vector<std::string> list = remedies.list(days_to_next);
  std::string text = remedies.is_limited() ? "Waiting does not help here. " : "";
  if (list.empty()) return text;
  return text + "What would allow more: " + list_words(list, "; ") + ".";
}

}  // namespace slowdawn
