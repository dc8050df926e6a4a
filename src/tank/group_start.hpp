// What a group is used to when the ramp begins.
#pragma once

#include <slowdawn/coral/acclimation.hpp>
#include <slowdawn/tank/tank.hpp>

namespace slowdawn {

struct GroupStart {
  /// D0 and P0.
  Exposure before;
  /// A(0) and B(0).
  Acclimation used_to;
  /// The u that is in them.
  double doubt;
};

/// The light of a history as the caps see it: of a spot of this tank by the weights
/// of its lights, of any other place as it is.
Exposure usable_history(const Tank& tank, const History& history);

/// A(0) and B(0) of a group of a tank that was read: equation (2) of
/// coral/acclimation.hpp, and, for a history with days in the dark or days at its
/// spot since, equation (1) over each of these days. Where it came to its spot
/// before the ramp, carryover and doubt count then, and again where the ramp
/// changes the light.
GroupStart compute_group_start(const Tank& tank, const Group& group, const Tolerance& tolerance);

}  // namespace slowdawn
