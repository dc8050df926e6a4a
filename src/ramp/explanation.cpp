#include <algorithm>
#include <slowdawn/ramp/explanation.hpp>
#include <slowdawn/ramp/moves.hpp>

namespace slowdawn {
namespace {

/// Counts the days at the present setting until the next one is within the
/// group's own caps.
std::optional<std::size_t> count_days_to_next(const RampProblem& problem, const RampGroup& group,
                                              GroupState state, std::size_t setting,
                                              std::size_t next) {
  const GroupLight here = problem.light(setting, group);
  const Exposure& brighter = problem.next_brighter(setting, problem.column(group, group.spot));
  for (std::size_t days = 0; days <= last_plan_day; ++days) {
    if (!worst_breach(compute_limits(group, state), problem.light(next, group), here)) {
      return days > 0 ? std::optional{days} : std::nullopt;
    }
    state = after_day(state, here.effective, brighter, group.tolerance);
  }
  return std::nullopt;
}

MoveOutlookOfDay look_at_move(const RampProblem& problem, const RampGroup& group,
                              const GroupDay& day, std::size_t setting) {
  const std::size_t spot = group.wish->to;
  const GroupState state = after_move(day.state, move_doubt(problem, group.spot, spot));
  const GroupLight there = problem.light(setting, group, spot);
  return {spot, there.real, worst_breach(compute_limits(group, state), there, day.light)};
}

GroupState shown(const GroupState& state, const GroupLight& light) {
  return {light.shown(state.used_to), light.shown(state.allowance),
          light.shown(state.move_allowance)};
}

/// Each cap against the day's light and that of the next setting, in amounts that a meter
/// would show under either.
void list_caps(Explanation& made, const Limits& effective, const GroupLight& light,
               const std::optional<GroupLight>& next) {
  const Exposure& now = light.real;
  const Limits& limits = made.limits;
  const Limits next_limits = next ? shown(effective, *next) : limits;
  const auto line = [](Cap cap, auto limit, auto next_limit, auto value, auto there) {
    return CapLine<decltype(limit)>{
        cap,       limit, value, there, exceeds(value, limit), there && exceeds(*there, next_limit),
        next_limit};
  };
  const auto add_dose = [&](Cap cap, DailyDose limit, DailyDose next_limit) {
    const auto there = next ? std::optional{next->real.dose} : std::nullopt;
    made.dose_caps.push_back(line(cap, limit, next_limit, now.dose, there));
  };
  const auto add_peak = [&](Cap cap, Ppfd limit, Ppfd next_limit) {
    const auto there = next ? std::optional{next->real.peak} : std::nullopt;
    made.peak_caps.push_back(line(cap, limit, next_limit, now.peak, there));
  };
  add_dose(Cap::dose_pace, limits.dose_pace, next_limits.dose_pace);
  add_dose(Cap::dose_headroom, limits.dose_headroom, next_limits.dose_headroom);
  add_dose(Cap::dose_band, limits.dose_band, limits.dose_band);
  if (limits.check_in) add_dose(Cap::check_in, *limits.check_in, *next_limits.check_in);
  add_peak(Cap::peak_pace, limits.peak_pace, next_limits.peak_pace);
  add_peak(Cap::peak_headroom, limits.peak_headroom, next_limits.peak_headroom);
  add_peak(Cap::peak_ceiling, limits.peak_ceiling, limits.peak_ceiling);
  if (limits.excitation) add_peak(Cap::excitation, *limits.excitation, *limits.excitation);
  if (next && exceeds(light.effective.dose, next->effective.dose)) {
    made.dose_caps.push_back({Cap::dose_floor, limits.dose_floor, now.dose, next->real.dose, false,
                              exceeds(next_limits.dose_floor, next->real.dose),
                              next_limits.dose_floor});
  }
}

bool has_moves(const Plan& plan, std::size_t day) {
  return std::any_of(plan.moves.begin(), plan.moves.end(),
                     [&](const Move& move) { return move.day == day; });
}

}  // namespace

Explanation explain(const RampProblem& problem, const Plan& plan, std::size_t day,
                    std::size_t group_number) {
  const RampGroup group = group_on_day(problem, plan, day, group_number);
  const PlanDay& today = plan.days[day];
  const GroupDay group_day = today.groups[group_number];
  const GroupLight& light = group_day.light;
  const Limits effective = compute_limits(group, group_day.state);
  Explanation made{.setting = today.setting,
                   .next_setting = {},
                   .next_exposure = {},
                   .state = shown(group_day.state, light),
                   .exposure = light.real,
                   .limits = shown(effective, light),
                   .dose_caps = {},
                   .peak_caps = {},
                   .binding = {},
                   .days_to_next = {},
                   .move = {}};
  if (group.wish) made.move = look_at_move(problem, group, group_day, today.setting);
  const std::size_t goal = problem.path.goal;
  std::optional<GroupLight> next;
  if (today.setting != goal) {
    made.next_setting = today.setting < goal ? today.setting + 1 : today.setting - 1;
    next = problem.light(*made.next_setting, group);
    made.next_exposure = next->real;
    made.binding = worst_breach(effective, *next, light);
    made.days_to_next =
        count_days_to_next(problem, group, group_day.state, today.setting, *made.next_setting);
  }
  list_caps(made, effective, light, next);
  return made;
}

DailyDose dose_cap(const Limits& limits) {
  const DailyDose cap = std::min({limits.dose_pace, limits.dose_headroom, limits.dose_band});
  return std::min(cap, limits.check_in.value_or(cap));
}

std::optional<HighestExcitation> find_highest_excitation(const RampProblem& problem,
                                                         const Plan& plan, std::size_t group) {
  const auto& excitation = problem.groups[group].tolerance.excitation;
  if (!excitation || plan.days.empty()) return std::nullopt;
  const auto peak_is_lower = [&](const PlanDay& a, const PlanDay& b) {
    return a.groups.exposure(group).peak < b.groups.exposure(group).peak;
  };
  const auto highest = std::max_element(plan.days.begin(), plan.days.end(), peak_is_lower);
  return HighestExcitation{excitation->proxy_at(highest->groups.exposure(group).peak),
                           static_cast<std::size_t>(highest - plan.days.begin())};
}

std::vector<Hold> summarize_holds(const Plan& plan) {
  std::vector<Hold> holds;
  for (const PlanDay& day : plan.days) {
    if (!day.held_by || !day.held_by->by) continue;
    const auto& by = *day.held_by->by;
    const auto same = [&](const Hold& hold) {
      return hold.group == by.group && hold.cap == by.breach.cap;
    };
    const auto found = std::find_if(holds.begin(), holds.end(), same);
    if (found == holds.end()) {
      holds.push_back({by.group, by.breach.cap, 1});
    } else {
      ++found->days;
    }
  }
  std::stable_sort(holds.begin(), holds.end(),
                   [](const Hold& a, const Hold& b) { return a.days > b.days; });
  return holds;
}

namespace {

/// Whether a day goes one setting further along the straight line of an even plan.
bool goes_on_evenly(const Plan& plan, std::size_t day) {
  if (!plan.even || plan.days[day].by_hand || plan.days[day - 1].by_hand) return false;
  const std::size_t from = plan.days[day - 1].setting;
  const std::size_t to = plan.days[day].setting;
  return plan.even->goes_up ? from >= plan.even->start && to == from + 1 && to <= plan.even->end
                            : from <= plan.even->start && to + 1 == from && to >= plan.even->end;
}

}  // namespace

std::vector<Step> list_steps(const Plan& plan) {
  std::vector<Step> steps;
  for (std::size_t day = 0; day < plan.days.size(); ++day) {
    const bool is_alike = day > 0 && plan.days[day].is_lit_like(plan.days[day - 1]);
    const bool goes_on =
        day > 0 && !is_alike && goes_on_evenly(plan, day) && steps.back().reached_day + 1 == day;
    if (day == 0 || has_moves(plan, day) || (!is_alike && !goes_on))
      steps.push_back({day, day, day});
    if (goes_on) steps.back().reached_day = day;
    steps.back().last_day = day;
  }
  return steps;
}

std::optional<std::size_t> find_next_change(const Plan& plan, std::size_t day) {
  for (const Step& step : list_steps(plan)) {
    if (step.first_day > day) return step.first_day;
    if (step.reached_day > day) return step.reached_day;
  }
  return std::nullopt;
}

GoalFit judge_goal(const RampProblem& problem, const RampGroup& group) {
  const std::size_t spot = group.wish ? group.wish->to : group.spot;
  const Exposure& goal = problem.exposures.at(problem.path.goal, spot);
  const Tolerance& tolerance = group.tolerance;
  GoalFit fit{.goal = goal, .verdict = GoalVerdict::right};
  const bool over_band = exceeds(goal.dose, tolerance.dose_band.high);
  const bool over_ceiling = exceeds(goal.peak, tolerance.peak_ceiling);
  if (over_band) fit.dose_ratio = goal.dose / tolerance.dose_band.high;
  if (over_ceiling) fit.peak_ratio = goal.peak / tolerance.peak_ceiling;
  const auto at_cap = tolerance.excitation ? tolerance.excitation->peak_at_cap() : std::nullopt;
  const bool over_excitation = at_cap && exceeds(goal.peak, *at_cap);
  if (over_excitation) fit.excitation_ratio = goal.peak / *at_cap;
  const bool bears_dose = !over_band || !exceeds(goal.dose, group.before.dose);
  const bool bears_peak =
      (!over_ceiling && !over_excitation) || !exceeds(goal.peak, group.before.peak);
  if (!bears_dose || !bears_peak) {
    fit.verdict = GoalVerdict::too_bright;
  } else if (exceeds(tolerance.dose_band.low, goal.dose)) {
    fit.verdict = GoalVerdict::too_dim;
    fit.dose_ratio = goal.dose / tolerance.dose_band.low;
  } else {
    fit.outranked_by_history = over_band || over_ceiling || over_excitation;
  }
  return fit;
}

std::vector<DimStart> list_dim_starts(const RampProblem& problem) {
  std::vector<DimStart> dim;
  if (!problem.lights_change) return dim;
  for (std::size_t g = 0; g < problem.groups.size(); ++g) {
    const RampGroup& group = problem.groups[g];
    const double least_share = 1.0 - group.tolerance.floor.fraction();
    const DailyDose goal = problem.light(problem.path.goal, group).effective.dose;
    if (!exceeds(least_share * group.used_to.dose, goal)) continue;
    dim.push_back({g, goal / group.used_to.dose, least_share});
  }
  return dim;
}

bool is_day_to_look(std::size_t day) { return day % 7 == 0; }

}  // namespace slowdawn
