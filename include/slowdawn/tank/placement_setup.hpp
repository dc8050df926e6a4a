// From a tank to the question which spot is for which group.
#pragma once

#include <slowdawn/ramp/placement.hpp>
#include <slowdawn/tank/tank.hpp>

namespace slowdawn {

struct PlacementSetup {
  PlacementProblem problem;
  /// The tank's spots that the problem's are, in order: those whose light is
  /// known under every light of the goal, and those where groups live.
  std::vector<std::size_t> spots;
  /// The tank's lights that the dials of a setting belong to, in order.
  std::vector<std::size_t> lights;
  /// From the lowest setting to the highest, the lights in the proportions of
  /// the goal; the goal is one of them.
  std::vector<Setting> settings;
  std::size_t goal;
};

/// move_price: as PlacementProblem's.
PlacementSetup make_placement_setup(const Tank& tank, double move_price = default_move_price);

}  // namespace slowdawn
