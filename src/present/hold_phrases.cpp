#include <fmt/format.h>

#include <algorithm>
#include <slowdawn/present/hold_phrases.hpp>
#include <slowdawn/present/phrases.hpp>
#include <slowdawn/present/text.hpp>

namespace slowdawn {
namespace {

std::string holder_name(const PlannedRamp& ramp, std::size_t group) {
  return to_safe_text(ramp.setup.problem.groups[group].name);
}

/// The day that a standing or an event counts; those before the start are negative.
std::string date_text(const PlannedRamp& ramp, int day) {
  return to_iso(ramp.start + boost::gregorian::days{day});
}

/// The last look at a group up to a day; `is_meant` picks among them.
template <class Pick>
const ReplayEvent* find_last_look(const PlannedRamp& ramp, std::size_t day, std::size_t group,
                                  const Pick& is_meant) {
  const ReplayEvent* last = nullptr;
  for (const ReplayEvent& event : ramp.followed->events) {
    if (event.group == group && event.day <= day && is_meant(event)) last = &event;
  }
  return last;
}

bool is_sign(const ReplayEvent& event) {
  return event.outcome.judgement != Judgement::at_ease &&
         event.outcome.judgement != Judgement::darker;
}

/// Whether a sign asks a group for patience on a day.
bool is_held_by_a_sign(const PlannedRamp& ramp, std::size_t day, std::size_t group) {
  const auto any = [](const ReplayEvent&) { return true; };
  const ReplayEvent* look = find_last_look(ramp, day, group, any);
  if (look == nullptr) return false;
  if (look->outcome.after != Condition::Mode::free) return true;
  // The step of its own day is put off for any sign.
  if (is_sign(*look) && look->day == day) return true;
  // A sign that stands alone holds where all groups have reacted at once.
  const auto& events = ramp.followed->events;
  return is_sign(*look) && std::any_of(events.begin(), events.end(), [&](const auto& event) {
           return event.all_at_once && event.day >= look->day && event.day <= day;
         });
}

/// Whether light by accident before a day still waits for its good look on it.
bool waits_after_accident(const PlannedRamp& ramp, std::size_t day, std::size_t group) {
  std::optional<std::size_t> last;
  for (const Accident& accident : ramp.followed->accidents) {
    if (accident.group == group && accident.day < day) last = accident.day;
  }
  if (!last) return false;
  const std::size_t from = *last + static_cast<std::size_t>(days_from_accident_to_good_look);
  const auto& events = ramp.followed->events;
  return std::none_of(events.begin(), events.end(), [&](const ReplayEvent& event) {
    return event.group == group && event.day >= from && event.day < day && !is_sign(event);
  });
}

/// The day of the last sign up to a day: exact where it is the last of all, since a
/// replay counts looks before the start as of day 0.
std::optional<int> last_sign_day(const PlannedRamp& ramp, std::size_t day, std::size_t group) {
  const auto& last = ramp.followed->standings[group].last_sign_day;
  if (last && *last <= static_cast<int>(day)) return last;
  const ReplayEvent* look = find_last_look(ramp, day, group, is_sign);
  return look == nullptr ? std::nullopt : std::optional{static_cast<int>(look->day)};
}

int last_look_day(const PlannedRamp& ramp, std::size_t day, std::size_t group) {
  const auto& last = ramp.followed->standings[group].last_look_day;
  if (last && *last <= static_cast<int>(day)) return *last;
  const auto any = [](const ReplayEvent&) { return true; };
  const ReplayEvent* look = find_last_look(ramp, day, group, any);
  return look == nullptr ? 0 : static_cast<int>(look->day);
}

/// "its check-ins ask for patience" and "last sign on 2026-10-08".
std::pair<std::string, std::string> check_in_parts(const PlannedRamp& ramp, std::size_t day,
                                                   std::size_t group) {
  switch (check_in_cause(ramp, day, group)) {
    case CheckInCause::sign: {
      const auto sign = last_sign_day(ramp, day, group);
      return {"its check-ins ask for patience",
              sign ? "last sign on " + date_text(ramp, *sign) : std::string{}};
    }
    case CheckInCause::accident: return {"waits for a look after light that was too much", ""};
    case CheckInCause::no_look:
      return {"not looked at since " + date_text(ramp, last_look_day(ramp, day, group)), ""};
  }
  return {};
}

/// What a group and cap hold by, as it stands in brackets after its name.
std::string words_in_brackets(const PlannedRamp& ramp, std::size_t day, const HeldBy::Group& by) {
  if (by.breach.cap != Cap::check_in || ramp.followed == nullptr) return cap_phrase(by.breach.cap);
  const auto [words, date] = check_in_parts(ramp, day, by.group);
  return date.empty() ? words : words + ", " + date;
}

}  // namespace

CheckInCause check_in_cause(const PlannedRamp& ramp, std::size_t day, std::size_t group) {
  if (ramp.followed == nullptr || is_held_by_a_sign(ramp, day, group)) return CheckInCause::sign;
  if (waits_after_accident(ramp, day, group)) return CheckInCause::accident;
  return CheckInCause::no_look;
}

std::string check_in_cause_key(CheckInCause cause) {
  switch (cause) {
    case CheckInCause::sign: return "sign";
    case CheckInCause::no_look: return "no_look";
    case CheckInCause::accident: return "accident";
  }
  return "";
}

std::string check_in_words(const PlannedRamp& ramp, std::size_t day, std::size_t group) {
  if (ramp.followed == nullptr) return "its check-ins ask for patience";
  const auto [words, date] = check_in_parts(ramp, day, group);
  return date.empty() ? words : words + " (" + date + ")";
}

std::string held_by_text(const PlannedRamp& ramp, std::size_t day) {
  const auto& by = ramp.plan.days[day].held_by->by;
  if (!by) return between_steps_text;
  return holder_name(ramp, by->group) + " (" + words_in_brackets(ramp, day, *by) + ")";
}

std::string held_by_cell(const PlannedRamp& ramp, std::size_t day) {
  const auto& by = ramp.plan.days[day].held_by->by;
  if (!by) return between_steps_text;
  std::optional<CheckInCause> cause;
  if (by->breach.cap == Cap::check_in) cause = check_in_cause(ramp, day, by->group);
  return holder_name(ramp, by->group) + " (" + cause_phrase(by->breach.cap, cause) + ")";
}

std::string cause_phrase(Cap cap, const std::optional<CheckInCause>& cause) {
  if (cap != Cap::check_in || !cause) return cap_phrase(cap);
  switch (*cause) {
    case CheckInCause::sign: return cap_phrase(cap);
    case CheckInCause::no_look: return "not looked at";
    case CheckInCause::accident: return "light by accident";
  }
  return "";
}

std::vector<CausedHold> list_caused_holds(const PlannedRamp& ramp) {
  std::vector<CausedHold> holds;
  for (std::size_t day = 0; day < ramp.plan.days.size(); ++day) {
    const auto& held_by = ramp.plan.days[day].held_by;
    if (!held_by || !held_by->by) continue;
    const std::size_t group = held_by->by->group;
    const Cap cap = held_by->by->breach.cap;
    std::optional<CheckInCause> cause;
    if (cap == Cap::check_in) cause = check_in_cause(ramp, day, group);
    const auto found = std::find_if(holds.begin(), holds.end(), [&](const CausedHold& each) {
      return each.hold.group == group && each.hold.cap == cap && each.cause == cause;
    });
    if (found == holds.end()) {
      holds.push_back({{group, cap, 1}, cause, day});
    } else {
      ++found->hold.days;
      found->last_day = day;
    }
  }
  std::stable_sort(holds.begin(), holds.end(), [](const CausedHold& a, const CausedHold& b) {
    return a.hold.days > b.hold.days;
  });
  return holds;
}

std::string held_for_good_text(const PlannedRamp& ramp) {
  const auto& by = ramp.plan.held_for_good_by;
  if (!by) return "";
  const std::string group = holder_name(ramp, by->group);
  const std::string words = words_in_brackets(ramp, ramp.plan.days.size() - 1, *by);
  const auto has_note = [&](PlanNote::Kind kind) {
    return std::any_of(ramp.plan.notes.begin(), ramp.plan.notes.end(),
                       [&](const PlanNote& note) { return note.kind == kind; });
  };
  if (has_note(PlanNote::Kind::first_setting_is_over)) {
    return fmt::format("the lowest setting is over the limit of {} ({})", group, words);
  }
  if (by->breach.cap == Cap::check_in) {
    return fmt::format("by {} ({}), unless good looks lift it", group, words);
  }
  if (has_note(PlanNote::Kind::dial_too_coarse)) {
    return fmt::format("by {} ({}): the dial is too coarse here", group, words);
  }
  return fmt::format("by {} ({})", group, words);
}

std::string held_for_good_sentence(const PlannedRamp& ramp) {
  const std::string words = held_for_good_text(ramp);
  if (words.empty()) return "";
  return "Held for good" + std::string{words.starts_with("by ") ? " " : ": "} + words + ".";
}

}  // namespace slowdawn
