#include <fmt/format.h>

#include <algorithm>
#include <slowdawn/present/life_phrases.hpp>
#include <slowdawn/present/log_phrases.hpp>
#include <slowdawn/present/phrases.hpp>
#include <slowdawn/present/text.hpp>

namespace slowdawn {

std::string name_list(const std::vector<std::string>& names) {
  std::string text;
  for (std::size_t i = 0; i < names.size(); ++i) {
    if (i > 0) text += i + 1 == names.size() ? " and " : ", ";
    text += names[i];
  }
  return text;
}

namespace {

/// Whether the plan comes to what is waited for at the same time without it. A plan takes
/// looks to come for granted, but no release of a limit.
bool goes_on_without(const PlannedRamp& ramp, const Wait& wait) {
  if (wait.what == Wait::For::any_look || !wait.earliest) return false;
  return *wait.earliest < ramp.plan.days.size() && ramp.dials(*wait.earliest) == wait.dials;
}

/// The names of groups by the date that is said of them.
class NamesByDate {
 public:
  void add(const std::string& name, const Date& date) {
    const auto same = std::find_if(names_.begin(), names_.end(),
                                   [&](const auto& each) { return each.first == date; });
    auto& names =
        same == names_.end() ? names_.emplace_back(date, std::vector<std::string>{}) : *same;
    names.second.push_back(name);
  }
  bool is_empty() const { return names_.empty(); }
  /// Each date with its names. words: with {0} for the names and {1} for the date.
  std::string text(std::string_view words, std::string_view between) const {
    std::string text;
    for (const auto& [date, names] : names_) {
      if (!text.empty()) text += between;
      text += fmt::format(fmt::runtime(words), name_list(names), to_iso(date));
    }
    return text;
  }

 private:
  std::vector<std::pair<Date, std::vector<std::string>>> names_;
};

}  // namespace

std::vector<Wait> waits_that_hold(const PlannedRamp& ramp) {
  std::vector<Wait> waits;
  if (ramp.followed == nullptr || ramp.followed->today >= ramp.plan.days.size()) return waits;
  const bool is_at_goal = !ramp.plan.days[ramp.followed->today].held_by;
  for (const Wait& wait : ramp.followed->waits) {
    const bool is_idle = is_at_goal && !wait.earliest;
    if (!is_idle && !goes_on_without(ramp, wait)) waits.push_back(wait);
  }
  return waits;
}

bool is_waiting(const PlannedRamp& ramp) {
  if (ramp.plan.days.empty() || ramp.plan.goal_day) return false;
  if (!waits_that_hold(ramp).empty()) return true;
  const auto& held_by = ramp.plan.days.back().held_by;
  return held_by && held_by->by && held_by->by->breach.cap == Cap::check_in;
}

std::vector<std::string> first_news(const PlannedRamp& ramp) {
  std::vector<std::string> news;
  for (std::string text : {change_text(ramp), accident_text(ramp)}) {
    if (!text.empty()) news.push_back(std::move(text));
  }
  for (std::string& wait : wait_texts(ramp)) news.push_back(std::move(wait));
  return news;
}

std::string leg_mark(const PlannedRamp& ramp, std::size_t day) {
  return ramp.begins_leg(day) ? fmt::format("leg {} begins", ramp.leg(day)) : std::string{};
}

bool is_gone_today(const PlannedRamp& ramp, std::size_t group) {
  return ramp.followed != nullptr && ramp.followed->is_gone(group, ramp.followed->today);
}

std::string gone_text(const PlannedRamp& ramp) {
  NamesByDate gone;
  for (std::size_t g = 0; g < ramp.tank.groups.size(); ++g) {
    if (!is_gone_today(ramp, g)) continue;
    gone.add(to_safe_text(ramp.tank.groups[g].name), ramp.date(*ramp.followed->gone_on[g]));
  }
  if (gone.is_empty()) return "";
  return "Gone " + gone.text("since {1}: {0}", "; ") + ".";
}

std::string dose_before(const PlannedRamp& ramp, std::size_t group) {
  const auto& first = ramp.setup.problem.groups[group].first_dose;
  // A leg's own "before" is the light that it began from. What a meter showed before the
  // first is not kept, so with weights the leg's has to do.
  if (first && !ramp.tank.has_weights()) return to_text(*first);
  return to_text(ramp.tank.measured_before(ramp.tank.groups[group]).dose);
}

std::string unwatched_ramp_text(const PlannedRamp& ramp) {
  if (ramp.followed == nullptr || !ramp.plan.even) return "";
  const std::size_t today = ramp.followed->today;
  const std::vector<Step> steps = list_steps(ramp.plan);
  const bool runs = std::any_of(steps.begin(), steps.end(), [&](const Step& step) {
    return step.is_even() && step.first_day <= today && today < step.reached_day;
  });
  if (!runs) return "";
  NamesByDate unseen;
  for (std::size_t g = 0; g < ramp.tank.groups.size(); ++g) {
    const int since = ramp.followed->standings[g].looked_at_until;
    if (!ramp.is_there(today, g)) continue;
    if (static_cast<int>(today) - since <= days_without_look_that_hold) continue;
    unseen.add(to_safe_text(ramp.tank.groups[g].name), ramp.start + boost::gregorian::days{since});
  }
  if (unseen.is_empty()) return "";
  return "Nobody has looked at " + unseen.text("{} since {}", ", ") +
         ", and the light goes on rising by itself. Look today; if a coral has paled or closed, "
         "stop the light's own ramp. Then log it: slowdawn checkin";
}

namespace {

/// Looks whose sentences differ in the names alone.
bool says_the_same(const ReplayEvent& a, const ReplayEvent& b) {
  const auto is_plain = [](const ReplayEvent& event) {
    const Judgement judgement = event.outcome.judgement;
    return !event.all_at_once &&
           (judgement == Judgement::at_ease || judgement == Judgement::unclear ||
            judgement == Judgement::darker);
  };
  return is_plain(a) && is_plain(b) && a.day == b.day &&
         a.outcome.judgement == b.outcome.judgement && a.outcome.sign == b.outcome.sign &&
         a.outcome.before == b.outcome.before && a.outcome.after == b.outcome.after;
}

std::size_t groups_there(const PlannedRamp& ramp, std::size_t day) {
  std::size_t count = 0;
  for (std::size_t g = 0; g < ramp.tank.groups.size(); ++g) {
    count += ramp.is_there(day, g) ? 1U : 0U;
  }
  return count;
}

}  // namespace

std::vector<std::string> event_texts(const PlannedRamp& ramp,
                                     const std::vector<const ReplayEvent*>& events) {
  std::vector<std::string> texts;
  std::vector<bool> is_told(events.size(), false);
  for (std::size_t i = 0; i < events.size(); ++i) {
    if (is_told[i]) continue;
    std::vector<std::string> names;
    for (std::size_t j = i; j < events.size(); ++j) {
      if (j != i && (is_told[j] || !says_the_same(*events[i], *events[j]))) continue;
      is_told[j] = true;
      names.push_back(to_safe_text(ramp.tank.groups[events[j]->group].name));
    }
    const bool is_well = events[i]->outcome.judgement == Judgement::at_ease &&
                         events[i]->outcome.before == Condition::Mode::free;
    const bool is_round = names.size() > 1 && names.size() == groups_there(ramp, events[i]->day);
    texts.push_back(is_well && is_round ? "All looked well: " + list_words(names) + "."
                                        : event_text(ramp, *events[i], names));
  }
  return texts;
}

std::vector<const ReplayEvent*> news_around(const PlannedRamp& ramp, std::size_t day) {
  std::vector<const ReplayEvent*> events;
  if (ramp.followed == nullptr) return events;
  for (const ReplayEvent& event : ramp.followed->events) {
    if (event.day <= day && event.day + 1 >= day && is_news(event)) events.push_back(&event);
  }
  return events;
}

std::optional<std::size_t> look_day_of(const PlannedRamp& ramp, const Wait& wait) {
  const GroupStanding& standing = ramp.followed->standings[wait.group];
  const std::size_t today = ramp.followed->today;
  if (wait.what == Wait::For::restart && standing.last_sign_day) {
    const int healed = *standing.last_sign_day + steady_days_before_restart;
    return std::max(today, static_cast<std::size_t>(std::max(healed, 0)));
  }
  if (wait.what == Wait::For::look_after_accident && standing.accident_day) {
    return std::max(
        today, *standing.accident_day + static_cast<std::size_t>(days_from_accident_to_good_look));
  }
  return wait.earliest;
}

bool is_turned_up(const PlannedRamp& ramp, std::size_t day) {
  if (day == 0) return false;
  const auto before = ramp.dials(day - 1);
  for (const auto& [light, dial] : ramp.dials(day)) {
    const auto stood = before.find(light);
    if (dial.percent() > (stood == before.end() ? 0.0 : stood->second.percent())) return true;
  }
  return false;
}

}  // namespace slowdawn
