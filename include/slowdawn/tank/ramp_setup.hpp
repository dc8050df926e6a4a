// From a tank to what the planner plans.
#pragma once

#include <slowdawn/ramp/planner.hpp>
#include <slowdawn/tank/tank.hpp>

namespace slowdawn {

struct RampSetup {
  RampProblem problem;
  /// The tank's lights that the dials of a setting belong to, in order.
  std::vector<std::size_t> path_lights;
};

/// Everything the planner needs, worked out from a tank that was read.
RampSetup make_ramp_setup(const Tank& tank);

}  // namespace slowdawn
