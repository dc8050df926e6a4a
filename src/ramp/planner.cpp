#include <slowdawn/ramp/moves.hpp>

#include "ramp/spread.hpp"

namespace slowdawn {

GroupDays::GroupDays(std::shared_ptr<const DayLight> light, const std::vector<GroupState>& states)
    : light_(std::move(light)), levels_(states.size()) {
  for_each_item(states.size(), [&](std::size_t g) {
    levels_[g] = {states[g].used_to, states[g].allowance};
  });
  for (std::size_t g = 0; g < states.size(); ++g) {
    const Exposure& allowance = states[g].move_allowance;
    if (allowance != Exposure{}) move_allowances_.emplace_back(g, allowance);
  }
}

Exposure GroupDays::move_allowance(std::size_t group) const {
  const auto found =
      std::lower_bound(move_allowances_.begin(), move_allowances_.end(), group,
                       [](const auto& entry, std::size_t g) { return entry.first < g; });
  if (found == move_allowances_.end() || found->first != group) return {};
  return found->second;
}

void GroupDays::forget_states() {
  // An empty list of values would clear them and keep their memory.
  levels_ = decltype(levels_){};
  move_allowances_ = decltype(move_allowances_){};
}

BandFit compute_fit(DailyDose dose, const DoseBand& band) {
  if (exceeds(band.low, dose)) return BandFit::below_band;
  return exceeds(dose, band.high) ? BandFit::above_band : BandFit::within_band;
}

RampGroup group_on_day(const RampProblem& problem, const Plan& plan, std::size_t day,
                       std::size_t group) {
  RampGroup found = problem.groups[group];
  for (const GroupChange& change : plan.changes) {
    if (change.group == group && change.day <= day) found = change.changed;
  }
  return found;
}

namespace {

Plan walk_to_the_end(RampWalk walk) {
  const MovePlan moves = plan_moves(walk, 0);
  walk.expect(moves);
  walk.make_moves(moves, 0);
  if (!walk.open()) return walk.finish();
  for (std::size_t day = 0;; ++day) {
    if (day > 0) walk.make_moves(moves, day);
    if (moves.may_turn_dial(day)) walk.choose(day);
    walk.record(day);
    if (walk.is_over(day)) return walk.finish();
    walk.live_through();
  }
}

}  // namespace

Plan compute_plan(const RampProblem& problem) { return walk_to_the_end(RampWalk{problem}); }

Plan compute_dial(const RampProblem& problem) {
  RampWalk walk{problem};
  walk.forget_states();
  return walk_to_the_end(std::move(walk));
}

}  // namespace slowdawn
