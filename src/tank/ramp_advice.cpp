#include <algorithm>
#include <slowdawn/tank/ramp_advice.hpp>

namespace slowdawn {

std::optional<RampAdvice> advise(const Tank& tank, const Plan& plan) {
  std::vector<Seat> seats;
  for (std::size_t spot = 0; spot < tank.spots.size(); ++spot) {
    const bool is_known = std::all_of(
        tank.ramp.to.begin(), tank.ramp.to.end(),
        [&](const auto& entry) { return tank.full_output[spot][entry.first].has_value(); });
    if (is_known) seats.push_back({spot});
  }
  std::vector<bool> may_move;
  for (const Group& group : tank.groups) may_move.push_back(!group.is_fixed);
  std::vector<int> capacity;
  for (const Spot& spot : tank.spots) capacity.push_back(spot.capacity);
  RampSetup setup = make_ramp_setup(tank, seats);
  const auto advice = find_advice(setup.problem, plan, may_move, capacity);
  if (!advice) return std::nullopt;
  return RampAdvice{*advice, std::move(setup)};
}

}  // namespace slowdawn
