// From a tank to what the planner plans.
#pragma once

#include <slowdawn/ramp/planner.hpp>
#include <slowdawn/tank/tank.hpp>

namespace slowdawn {

struct RampSetup {
  RampProblem problem;
  /// The tank's lights that the dials of a setting belong to, in order.
  std::vector<std::size_t> path_lights;
  /// The tank's spots that the exposures are of: number `RampGroup::spot` of
  /// this list is a group's spot.
  std::vector<std::size_t> spots;
};

/// Everything the planner needs, worked out from a tank that was read.
/// more_spots: spots of the tank that groups may come to besides their own.
RampSetup make_ramp_setup(const Tank& tank, std::span<const std::size_t> more_spots = {});

}  // namespace slowdawn
