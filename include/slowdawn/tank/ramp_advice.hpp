// What would bring a tank's ramp to its goal sooner.
#pragma once

#include <optional>
#include <slowdawn/ramp/advice.hpp>
#include <slowdawn/tank/ramp_setup.hpp>

namespace slowdawn {

struct RampAdvice {
  Advice advice;
  /// Whose places `advice.spot` counts.
  RampSetup setup;
};

/// Tries every spot of the tank whose light at the goal is known and that has room,
/// for the groups that are not fixed. Empty where nothing helps.
/// plan: of the tank as it is.
std::optional<RampAdvice> advise(const Tank& tank, const Plan& plan);

}  // namespace slowdawn
