#include <algorithm>
#include <cmath>
#include <slowdawn/ramp/moves.hpp>

namespace slowdawn {
namespace {

/// A group whose acclimated dose lies this close to its dose has settled.
constexpr double settled_share = 0.05;

}  // namespace

RampWalk::RampWalk(RampProblem problem) : problem_(std::move(problem)) {
  for (const RampGroup& group : problem_.groups) {
    states_.push_back(state_at_start(group));
    rates_.emplace_back(group.tolerance);
  }
  holds_dial_.assign(problem_.groups.size(), true);
  plan_.even = problem_.even;
}

bool RampWalk::is_safe(std::size_t setting) const {
  return !find_worst_breach(problem_, states_, setting, {}, holds_dial_);
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
  note(PlanNote::Kind::no_safe_opening, find_worst_breach(problem_, states_, 0, {}, holds_dial_));
  return false;
}

void RampWalk::reopen() {
  setting_ = 0;
  if (!is_safe(0)) return;
  while (!at_goal() && is_safe(setting_ + 1)) ++setting_;
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

void RampWalk::choose(std::size_t day) {
  go_back(day);
  if (day % static_cast<std::size_t>(problem_.every_days) != 0 || !is_safe(setting_)) return;
  if (problem_.even && day == 0) return;
  while (!at_goal() &&
         !find_worst_breach(problem_, states_, toward_goal(), setting_, holds_dial_)) {
    setting_ = toward_goal();
    if (problem_.even) return;
  }
}

void RampWalk::change_group(std::size_t day, std::size_t group, const RampGroup& changed) {
  problem_.groups[group] = changed;
  rates_[group] = DailyRates{changed.tolerance};
  plan_.changes.push_back({day, group, changed});
}

void RampWalk::move_group(const Move& move) {
  RampGroup& group = problem_.groups[move.group];
  // Before the first day's light the start's own doubt is in the level already.
  const double known = plan_.days.empty() ? group.doubt : 0.0;
  GroupState& state = states_[move.group];
  state = after_move(state, move_doubt(problem_, group.spot, move.spot) - known);
  group = moved(group, move.spot, move.day);
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

void RampWalk::record(std::size_t day) {
  std::vector<Exposure> exposures;
  exposures.reserve(problem_.groups.size());
  for (const RampGroup& group : problem_.groups) {
    exposures.push_back(problem_.exposure(setting_, group));
  }
  record(day, exposures, {});
}

void RampWalk::record(std::size_t day, const std::vector<Exposure>& exposures,
                      std::optional<std::size_t> by_hand) {
  PlanDay today{.setting = setting_, .by_hand = by_hand};
  if (!at_goal()) {
    today.held_by =
        HeldBy{find_worst_breach(problem_, states_, toward_goal(), setting_, holds_dial_)};
  }
  today.groups.reserve(exposures.size());
  for (std::size_t g = 0; g < exposures.size(); ++g) {
    today.groups.push_back({exposures[g], states_[g]});
  }
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
  if (day < last_plan_day) return false;
  note(PlanNote::Kind::ran_out_of_days, std::nullopt);
  return true;
}

bool RampWalk::is_settled() const {
  for (std::size_t g = 0; g < problem_.groups.size(); ++g) {
    if (watches_holders_alone_ && !holds_dial_[g]) continue;
    const DailyDose dose = problem_.exposure(setting_, problem_.groups[g]).dose;
    const double gap = std::abs((states_[g].used_to.dose - dose).mol_m2_d());
    if (exceeds(gap, settled_share * dose.mol_m2_d())) return false;
  }
  return true;
}

/// Whether no wait will ever allow the next setting toward the goal.
bool RampWalk::is_barred_for_good() {
  const std::size_t next = toward_goal();
  for (std::size_t g = 0; g < problem_.groups.size(); ++g) {
    if (!holds_dial_[g]) continue;
    const RampGroup& group = problem_.groups[g];
    const Exposure& there = problem_.exposure(next, group);
    const Exposure& here = problem_.exposure(setting_, group);
    const Limits limits = compute_limits(group, states_[g]);
    const auto bars = [&](PlanNote::Kind kind, Cap cap, auto value, auto limit) {
      if (!exceeds(value, limit)) return false;
      note(kind, HeldBy::Group{g, {cap, value / limit}});
      return true;
    };
    const double reach = 1.0 + group.tolerance.headroom.fraction();
    using Kind = PlanNote::Kind;
    if (bars(Kind::held_by_limit, Cap::dose_band, there.dose, limits.dose_band) ||
        bars(Kind::held_by_limit, Cap::peak_ceiling, there.peak, limits.peak_ceiling) ||
        (limits.excitation &&
         bars(Kind::held_by_limit, Cap::excitation, there.peak, *limits.excitation)) ||
        bars(Kind::dial_too_coarse, Cap::dose_headroom, there.dose, reach * here.dose) ||
        bars(Kind::dial_too_coarse, Cap::peak_headroom, there.peak, reach * here.peak)) {
      return true;
    }
    if (limits.check_in && exceeds(there.dose, *limits.check_in)) {
      note(Kind::held_by_check_in,
           HeldBy::Group{g, {Cap::check_in, there.dose / *limits.check_in}});
      return true;
    }
  }
  return false;
}

template <class NextBrighter>
void RampWalk::live_through_with(const NextBrighter& next_brighter) {
  const std::vector<GroupDay>& today = plan_.days.back().groups;
  for (std::size_t g = 0; g < problem_.groups.size(); ++g) {
    const RampGroup& group = problem_.groups[g];
    const Exposure next = next_brighter(group.spot);
    if (group.wish) {
      const Exposure stop = brightest_stop(problem_, group.spot, *group.wish, setting_);
      states_[g] = after_day(states_[g], today[g].exposure, next, stop, rates_[g]);
    } else {
      states_[g] = after_day(states_[g], today[g].exposure, next, rates_[g]);
    }
  }
}

void RampWalk::live_through() {
  live_through_with([&](std::size_t spot) { return problem_.next_brighter(setting_, spot); });
}

void RampWalk::live_through(std::size_t brighter) {
  live_through_with([&](std::size_t spot) { return problem_.exposures.at(brighter, spot); });
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
  for (std::size_t g = 0; g < problem_.groups.size(); ++g) {
    plan_.groups.push_back(outcome_of(g));
    if (problem_.groups[g].wish && !plan_.days.empty()) note_never_ready(g);
  }
  return std::move(plan_);
}

GroupOutcome RampWalk::outcome_of(std::size_t g) {
  const RampGroup& group = problem_.groups[g];
  GroupOutcome outcome{.goal = problem_.exposure(problem_.path.goal, group)};
  if (plan_.days.empty()) return outcome;
  DailyDose lowest = plan_.days.front().groups[g].exposure.dose;
  for (const PlanDay& day : plan_.days) {
    const DailyDose dose = day.groups[g].exposure.dose;
    lowest = std::min(lowest, dose);
    if (compute_fit(dose, group.tolerance.dose_band) == BandFit::below_band) {
      ++outcome.days_below_band;
    }
  }
  const Exposure& last = plan_.days.back().groups[g].exposure;
  outcome.fit = compute_fit(last.dose, group.tolerance.dose_band);
  outcome.lowest_share = lowest / group.before.dose;
  note_extremes(g, last, *outcome.lowest_share);
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
      worst_breach(compute_limits(arrived, state), problem_.exposure(setting_, arrived),
                   problem_.exposure(setting_, problem_.groups[g]));
  note(PlanNote::Kind::never_ready, HeldBy::Group{g, breach.value_or(Breach{Cap::dose_pace, 1.0})});
}

void RampWalk::note_first_setting(std::size_t day) {
  const auto is_same = [](const PlanNote& made) {
    return made.kind == PlanNote::Kind::stays_at_first_setting;
  };
  if (std::any_of(plan_.notes.begin(), plan_.notes.end(), is_same)) return;
  note(PlanNote::Kind::stays_at_first_setting,
       find_worst_breach(problem_, states_, 0, {}, holds_dial_), day);
}

void RampWalk::note_extremes(std::size_t g, const Exposure& last, double lowest_share) {
  using Kind = PlanNote::Kind;
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
