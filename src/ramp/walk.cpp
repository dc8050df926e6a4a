#include <algorithm>
#include <cmath>
#include <slowdawn/ramp/moves.hpp>

#include "ramp/spread.hpp"

namespace slowdawn {
namespace {

/// A group whose acclimated dose lies this close to its dose has settled.
constexpr double settled_share = 0.05;

}  // namespace

RampWalk::RampWalk(RampProblem problem) : problem_(std::move(problem)) {
  for (const RampGroup& group : problem_.groups) {
    states_.push_back(state_at_start(group));
    rates_.emplace_back(group.tolerance);
    caps_.emplace_back(group, problem_.column(group, group.spot));
  }
  breaches_.resize(problem_.groups.size());
  holds_dial_.assign(problem_.groups.size(), true);
  plan_.even = problem_.even;
}

GroupLight RampWalk::light_of(std::size_t g, std::size_t setting) const {
  return {problem_.exposures.at(setting, caps_[g].spot()),
          problem_.exposures.at(setting, caps_[g].column())};
}

bool RampWalk::is_broken(std::size_t g, std::size_t setting,
                         std::optional<std::size_t> present) const {
  const DailyCaps& caps = caps_[g];
  const Exposure* left = present ? &problem_.exposures.at(*present, caps.column()) : nullptr;
  return caps.are_broken(states_[g], problem_.exposures.at(setting, caps.spot()),
                         problem_.exposures.at(setting, caps.column()), left);
}

bool RampWalk::is_safe(std::size_t setting, std::optional<std::size_t> present) const {
  return !holds_for_any(caps_.size(),
                        [&](std::size_t g) { return counts(g) && is_broken(g, setting, present); });
}

/// The worst is looked for in the groups' order, whatever core has found a breach:
/// ties go to the first group, and with their slack they depend on it.
std::optional<HeldBy::Group> RampWalk::find_worst(std::size_t setting,
                                                  std::optional<std::size_t> present) {
  for_each_item(caps_.size(), [&](std::size_t g) {
    breaches_[g].reset();
    if (!counts(g)) return;
    if (!is_broken(g, setting, present)) return;
    std::optional<GroupLight> left;
    if (present) left = light_of(g, *present);
    breaches_[g] =
        worst_breach(compute_limits(problem_.groups[g], states_[g]), light_of(g, setting), left);
  });
  std::optional<HeldBy::Group> worst;
  for (std::size_t g = 0; g < breaches_.size(); ++g) {
    const auto& breach = breaches_[g];
    if (breach && (!worst || exceeds(breach->ratio, worst->breach.ratio))) worst = {g, *breach};
  }
  return worst;
}

std::size_t RampWalk::toward_goal() const {
  return setting_ < problem_.path.goal ? setting_ + 1 : setting_ - 1;
}

bool RampWalk::open() {
  if (problem_.even) {
    setting_ = problem_.even->start;
    while (setting_ > 0 && !is_safe(setting_)) --setting_;
  } else if (problem_.lights_change || !problem_.path.base) {
    reopen();
  } else {
    setting_ = *problem_.path.base;
    while (setting_ > 0 && !is_safe(setting_)) --setting_;
  }
  if (is_safe(setting_)) return true;
  plan_.status = PlanStatus::no_safe_opening;
  note(PlanNote::Kind::no_safe_opening, find_worst(0, {}));
  return false;
}

void RampWalk::reopen(std::optional<std::size_t> most) {
  setting_ = 0;
  if (!is_safe(0)) return;
  while (!at_goal() && (!most || setting_ < *most) && is_safe(setting_ + 1)) ++setting_;
}

void RampWalk::go_back(std::size_t day) {
  while (!is_safe(setting_)) {
    if (setting_ == 0) {
      note_first_setting(day);
      return;
    }
    --setting_;
  }
}

void RampWalk::choose(std::size_t day, bool is_step_day, std::optional<std::size_t> most) {
  go_back(day);
  if (!is_step_day || !is_safe(setting_)) return;
  if (problem_.even && day == first_day_) return;
  while (!at_goal() && setting_ != most && is_safe(toward_goal(), setting_)) {
    setting_ = toward_goal();
    if (problem_.even) return;
  }
}

void RampWalk::change_group(std::size_t day, std::size_t group, const RampGroup& changed) {
  problem_.groups[group] = changed;
  rates_[group] = DailyRates{changed.tolerance};
  caps_[group] = DailyCaps{changed, problem_.column(changed, changed.spot)};
  plan_.changes.push_back({day, group, changed});
}

void RampWalk::go_on_from(Plan before, std::size_t day) {
  plan_.days = std::move(before.days);
  plan_.changes = std::move(before.changes);
  plan_.moves = std::move(before.moves);
  first_day_ = day;
  for (std::size_t g = 0; g < problem_.groups.size(); ++g) {
    plan_.changes.push_back({day, g, problem_.groups[g]});
  }
}

void RampWalk::use_light(const RampProblem& other) {
  problem_.exposures = other.exposures;
  problem_.brighter = other.brighter;
  problem_.readings = other.readings;
  problem_.weightings = other.weightings;
  for (std::size_t g = 0; g < caps_.size(); ++g) {
    const RampGroup& group = problem_.groups[g];
    caps_[g] = DailyCaps{group, problem_.column(group, group.spot)};
  }
}

void RampWalk::set_gone(std::size_t day, std::size_t group, bool is_gone) {
  RampGroup changed = problem_.groups[group];
  if (changed.is_gone == is_gone) return;
  changed.is_gone = is_gone;
  change_group(day, group, changed);
}

void RampWalk::say_held_by(std::size_t group) {
  if (at_goal()) return;
  std::optional<HeldBy>& held_by = plan_.days.back().held_by;
  if (held_by && held_by->by) return;
  const double ratio =
      light_of(group, toward_goal()).effective.dose / light_of(group, setting_).effective.dose;
  held_by = HeldBy{HeldBy::Group{group, {Cap::check_in, ratio}}};
}

void RampWalk::move_group(const Move& move) {
  RampGroup& group = problem_.groups[move.group];
  // Before the first day's light the start's own doubt is in the level already.
  const double known = plan_.days.empty() ? group.doubt : 0.0;
  GroupState& state = states_[move.group];
  state = after_move(state, move_doubt(problem_, group.spot, move.spot) - known);
  group = moved(group, move.spot, move.day);
  caps_[move.group] = DailyCaps{group, problem_.column(group, group.spot)};
  if (!group.wish) holds_dial_[move.group] = true;
  plan_.changes.push_back({move.day, move.group, group});
  plan_.moves.push_back(move);
}

void RampWalk::expect(const MovePlan& moves) {
  if (!moves.holds_dial.empty()) holds_dial_ = moves.holds_dial;
  last_move_day_ = moves.moves.empty() ? 0 : moves.moves.back().day;
}

void RampWalk::make_moves(const MovePlan& moves, std::size_t day) {
  for (const Move& move : moves.moves) {
    if (move.day == day) move_group(move);
  }
}

/// That of the day before, where nothing has changed since.
std::shared_ptr<const DayLight> RampWalk::light_of_setting() const {
  const bool is_first = plan_.days.empty();
  const bool is_new = is_first || plan_.days.back().setting != setting_ ||
                      plan_.days.back().by_hand ||
                      (!plan_.changes.empty() && plan_.changes.back().day >= plan_.days.size());
  if (!is_new) return plan_.days.back().groups.light();
  auto light = std::make_shared<DayLight>();
  for (std::size_t g = 0; g < caps_.size(); ++g) {
    light->lights.push_back(light_of(g, setting_));
    light->spots.push_back(caps_[g].spot());
  }
  return light;
}

void RampWalk::record(std::size_t day) { record(day, light_of_setting(), {}); }

void RampWalk::record(std::size_t day, std::vector<GroupLight> lights,
                      std::optional<std::size_t> by_hand) {
  DayLight light{std::move(lights), {}};
  for (const DailyCaps& caps : caps_) light.spots.push_back(caps.spot());
  record(day, std::make_shared<const DayLight>(std::move(light)), by_hand);
}

void RampWalk::record(std::size_t day, std::shared_ptr<const DayLight> light,
                      std::optional<std::size_t> by_hand) {
  if (forgets_states_ && !plan_.days.empty()) plan_.days.back().groups.forget_states();
  PlanDay today{
      .setting = setting_, .groups = GroupDays{std::move(light), states_}, .by_hand = by_hand};
  if (!at_goal()) today.held_by = HeldBy{find_worst(toward_goal(), setting_)};
  plan_.days.push_back(std::move(today));
  if (!at_goal()) plan_.goal_day.reset();
  if (at_goal() && !plan_.goal_day) plan_.goal_day = day;
  const bool is_done = at_goal() && day >= last_move_day_ && is_settled();
  if (!is_done) plan_.settled_day.reset();
  if (is_done && !plan_.settled_day) plan_.settled_day = day;
}

bool RampWalk::is_over(std::size_t day) {
  if (plan_.settled_day) return true;
  if (day >= last_move_day_ && is_settled() && is_barred_for_good()) {
    plan_.settled_day = day;
    return true;
  }
  if (day < first_day_ + last_plan_day) return false;
  note(PlanNote::Kind::ran_out_of_days, std::nullopt);
  return true;
}

bool RampWalk::is_settled() const {
  for (std::size_t g = 0; g < caps_.size(); ++g) {
    if (problem_.groups[g].is_gone || (watches_holders_alone_ && !holds_dial_[g])) continue;
    const DailyDose dose = problem_.exposures.at(setting_, caps_[g].column()).dose;
    const double gap = std::abs((states_[g].used_to.dose - dose).mol_m2_d());
    if (exceeds(gap, settled_share * dose.mol_m2_d())) return false;
  }
  return true;
}

void RampWalk::hold_for_good(PlanNote::Kind kind, const HeldBy::Group& by) {
  plan_.held_for_good_by = by;
  note(kind, by);
}

/// Whether even the first setting is over a limit that stays.
bool RampWalk::is_first_setting_over() {
  if (setting_ != 0 || is_safe(0)) return false;
  const auto worst = find_worst(0, {});
  if (!is_limit_that_stays(worst->breach.cap)) return false;
  hold_for_good(PlanNote::Kind::first_setting_is_over, *worst);
  return true;
}

/// Whether no wait will ever allow the next setting toward the goal.
bool RampWalk::is_barred_for_good() {
  if (is_first_setting_over()) return true;
  const std::size_t next = toward_goal();
  for (std::size_t g = 0; g < problem_.groups.size(); ++g) {
    if (!counts(g)) continue;
    const RampGroup& group = problem_.groups[g];
    const GroupLight next_light = light_of(g, next);
    const Exposure& real = next_light.real;
    const Exposure& there = next_light.effective;
    const Exposure here = light_of(g, setting_).effective;
    const Limits limits = compute_limits(group, states_[g]);
    const auto bars = [&](PlanNote::Kind kind, Cap cap, auto value, auto limit) {
      if (!exceeds(value, limit)) return false;
      hold_for_good(kind, {g, {cap, value / limit}});
      return true;
    };
    const double reach = 1.0 + group.tolerance.headroom.fraction();
    using Kind = PlanNote::Kind;
    if (bars(Kind::held_by_limit, Cap::dose_band, real.dose, limits.dose_band) ||
        bars(Kind::held_by_limit, Cap::peak_ceiling, real.peak, limits.peak_ceiling) ||
        (limits.excitation &&
         bars(Kind::held_by_limit, Cap::excitation, real.peak, *limits.excitation)) ||
        bars(Kind::dial_too_coarse, Cap::dose_headroom, there.dose, reach * here.dose) ||
        bars(Kind::dial_too_coarse, Cap::peak_headroom, there.peak, reach * here.peak)) {
      return true;
    }
    const bool is_limited = limits.check_in && exceeds(there.dose, *limits.check_in);
    const bool rises = exceeds(there.dose, here.dose) || exceeds(there.peak, here.peak);
    if (is_limited || (limits.holds && rises)) {
      const DailyDose limit = is_limited ? *limits.check_in : here.dose;
      note(Kind::held_by_check_in, HeldBy::Group{g, {Cap::check_in, there.dose / limit}});
      return true;
    }
  }
  return false;
}

template <class Light, class NextBrighter>
void RampWalk::live_through_with(const Light& light, const NextBrighter& next_brighter) {
  for_each_item(caps_.size(), [&](std::size_t g) {
    const Exposure next = next_brighter(caps_[g].column());
    if (caps_[g].has_wish()) {
      const Exposure stop = brightest_stop(problem_, problem_.groups[g], caps_[g].spot(),
                                           *problem_.groups[g].wish, setting_);
      states_[g] = after_day(states_[g], light(g), next, stop, rates_[g]);
    } else {
      states_[g] = after_day(states_[g], light(g), next, rates_[g]);
    }
  });
}

void RampWalk::live_through() {
  const GroupDays& today = plan_.days.back().groups;
  live_through_with([&](std::size_t g) { return today.light_of(g).effective; },
                    [&](std::size_t column) { return problem_.next_brighter(setting_, column); });
}

void RampWalk::live_through(const std::vector<Exposure>& credited,
                            std::optional<std::size_t> brighter) {
  live_through_with([&](std::size_t g) { return credited[g]; },
                    [&](std::size_t column) {
                      return brighter ? problem_.exposures.at(*brighter, column)
                                      : problem_.next_brighter(setting_, column);
                    });
}

void RampWalk::restart_pace() {
  for (GroupState& state : states_) {
    state.allowance.dose = std::max(state.allowance.dose, state.used_to.dose);
    state.allowance.peak = std::max(state.allowance.peak, state.used_to.peak);
  }
}

Plan RampWalk::finish() {
  if (plan_.status != PlanStatus::no_safe_opening) {
    plan_.status = plan_.goal_day ? PlanStatus::reaches_goal : PlanStatus::held;
  }
  plan_.groups.resize(problem_.groups.size());
  for_each_item(plan_.groups.size(), [&](std::size_t g) { plan_.groups[g] = outcome_of(g); });
  for (std::size_t g = 0; g < problem_.groups.size(); ++g) {
    if (problem_.groups[g].is_gone) continue;
    note_extremes(g, plan_.groups[g]);
    if (problem_.groups[g].wish && !plan_.days.empty()) note_never_ready(g);
  }
  note_dark_days();
  return std::move(plan_);
}

/// The last day on which a group was there.
std::size_t RampWalk::last_day_of(std::size_t g) const {
  std::size_t last = plan_.days.size() - 1;
  if (!problem_.groups[g].is_gone) return last;
  for (const GroupChange& change : plan_.changes) {
    if (change.group == g && change.changed.is_gone) last = std::min(last, change.day);
  }
  return last;
}

/// The days on which the light was out by hand.
void RampWalk::note_dark_days() {
  std::size_t count = 0;
  std::size_t first = 0;
  for (std::size_t day = 0; day < plan_.days.size(); ++day) {
    const PlanDay& each = plan_.days[day];
    const bool is_dark =
        each.by_hand && each.groups.size() > 0 && each.groups.exposure(0).dose <= DailyDose{};
    if (is_dark && count++ == 0) first = day;
  }
  if (count > 0) {
    note(PlanNote::Kind::dark_by_hand,
         HeldBy::Group{0, {Cap::dose_floor, static_cast<double>(count)}}, first);
  }
}

GroupOutcome RampWalk::outcome_of(std::size_t g) const {
  const RampGroup& group = problem_.groups[g];
  GroupOutcome outcome{.goal = problem_.exposure(problem_.path.goal, group)};
  if (plan_.days.empty()) return outcome;
  std::optional<DailyDose> lowest;
  const std::size_t last = last_day_of(g);
  for (std::size_t number = 0; number <= last; ++number) {
    const PlanDay& day = plan_.days[number];
    const DailyDose dose = day.groups.exposure(g).dose;
    // A day that was dark by hand is spoken of as such.
    if (day.by_hand && dose <= DailyDose{}) continue;
    lowest = std::min(lowest.value_or(dose), dose);
    if (compute_fit(dose, group.tolerance.dose_band) == BandFit::below_band) {
      ++outcome.days_below_band;
    }
  }
  outcome.fit = compute_fit(plan_.days[last].groups.exposure(g).dose, group.tolerance.dose_band);
  outcome.lowest_share =
      lowest.value_or(DailyDose{}) / group.first_dose.value_or(group.before.dose);
  return outcome;
}

void RampWalk::note(PlanNote::Kind kind, const std::optional<HeldBy::Group>& by, std::size_t day) {
  PlanNote made{.kind = kind, .day = day};
  if (by) {
    made.group = by->group;
    made.breach = by->breach;
  }
  plan_.notes.push_back(made);
}

void RampWalk::note_never_ready(std::size_t g) {
  RampGroup arrived = problem_.groups[g];
  arrived.spot = arrived.wish->to;
  const GroupState state =
      after_move(states_[g], move_doubt(problem_, problem_.groups[g].spot, arrived.spot));
  const auto breach =
      worst_breach(compute_limits(arrived, state), problem_.light(setting_, arrived),
                   problem_.light(setting_, problem_.groups[g]));
  note(PlanNote::Kind::never_ready, HeldBy::Group{g, breach.value_or(Breach{Cap::dose_pace, 1.0})});
}

void RampWalk::note_first_setting(std::size_t day) {
  const auto is_same = [](const PlanNote& made) {
    return made.kind == PlanNote::Kind::stays_at_first_setting;
  };
  if (std::any_of(plan_.notes.begin(), plan_.notes.end(), is_same)) return;
  note(PlanNote::Kind::stays_at_first_setting, find_worst(0, {}), day);
}

void RampWalk::note_extremes(std::size_t g, const GroupOutcome& outcome) {
  using Kind = PlanNote::Kind;
  if (plan_.days.empty()) return;
  const Exposure& last = plan_.days.back().groups.exposure(g);
  const double lowest_share = *outcome.lowest_share;
  if (exceeds(1.0 - problem_.groups[g].tolerance.floor.fraction(), lowest_share)) {
    note(Kind::starved, HeldBy::Group{g, {Cap::dose_floor, lowest_share}});
  }
  if (problem_.is_relative) return;
  if (exceeds(last.dose, dose_worth_a_note)) {
    note(Kind::very_high_dose, HeldBy::Group{g, {Cap::dose_band, last.dose / dose_worth_a_note}});
  }
  if (exceeds(last.peak, peak_worth_a_note)) {
    note(Kind::very_high_peak,
         HeldBy::Group{g, {Cap::peak_ceiling, last.peak / peak_worth_a_note}});
  }
}

}  // namespace slowdawn
