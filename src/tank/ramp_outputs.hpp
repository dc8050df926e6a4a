// What the lights of a tank put out under the settings of its ramp.
#pragma once

#include <map>
#include <slowdawn/tank/tank.hpp>
#include <vector>

namespace slowdawn {

/// phi_j(p_j f_j(t)) of every light of the tank at one moment, each times a common
/// factor so that the largest is 1.
using Outputs = std::vector<double>;

enum class OutputsWhen { before, ahead };

/// Every different one of a day under dials: of each whole minute, and on both sides of
/// the corners of the photoperiods.
std::vector<Outputs> list_outputs(const Tank& tank, const std::map<std::size_t, Percent>& dials,
                                  OutputsWhen when);

/// Those of the settings on the straight lines of ramp/path.hpp, at a few shares of
/// each. Dials are not cut back to their steps: what a reading tells of a mix it tells
/// of the mix a step beside it too, as near as anybody can read.
std::vector<Outputs> list_path_outputs(const Tank& tank);

}  // namespace slowdawn
