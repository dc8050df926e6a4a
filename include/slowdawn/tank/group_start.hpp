// What a group is used to when the ramp begins, and what each light weighs for it.
//
//   W_j   weight of light j: 1 for a light that the group has had, m for a new one
//   m   = exp(1.645 u) / carryover, u the doubt of the ratio of what it had to the new
//         part of what it gets                                                       (1)
//
// A light that it has had weighs exp(1.645 u_o) where its spot changes, u_o the doubt of
// the ratio of the old light at the two spots; no new light weighs less than one that it
// has had. Where it has lived under weighted light, m counts from the effective amount.
//
// Kept are not the weights but what is left of a level, share_j = 1 / W_j, and all is
// told in the unit of the heaviest light of the ramp: amounts that a group had count for
// `unit` of themselves, and light j for unit / share_j. Where all light is new, or all
// had, lights count as a meter shows them, and what the group is used to is equation (2)
// of coral/acclimation.hpp.
// source: carryover and doubt as there; weights instead of one discount are a design
//   choice (DEVELOPERS.md, "Histories").
#pragma once

#include <slowdawn/coral/acclimation.hpp>
#include <slowdawn/tank/tank.hpp>
#include <span>

namespace slowdawn {

using Dials = std::map<std::size_t, Percent>;

/// By light of the tank, how much of what a meter shows counts for a group; 0 for a light
/// that no plan of its has named, which counts as a meter shows it.
using LightWeights = std::vector<double>;

/// What A(0) and B(0) of a group rest on.
struct StartBasis {
  enum class Kind {
    /// The readings of a spot of this tank.
    spot_here,
    /// Light that was measured elsewhere, or told.
    elsewhere,
    /// The light of its first day, as it counts: it has lived there all along.
    first_day,
  };
  Kind kind = Kind::spot_here;
  /// Of a spot here.
  std::size_t spot = 0;
  Dials dials = {};
  /// Of light from elsewhere, its own: e of tank/ratio_error.hpp.
  double error = 0.0;
};

struct GroupStart {
  /// D0 and P0, as a meter shows them (usable light).
  Exposure before;
  /// A(0) and B(0), effective.
  Acclimation used_to;
  /// The u that is in them whatever the light.
  double doubt;
  LightWeights weights;
  /// k_j, by light: what of a weight is doubt, exp(1.645 u) or 1, and never under 1. Without
  /// doubt a light weighs weights[j] / doubts[j].
  std::vector<double> doubts;
  /// The light that `used_to` was read with.
  StartBasis basis = {};
  /// What an amount of before counts for: W_j is weights[j] / unit.
  double unit = 1.0;
  /// Of equation (1); empty where no light of the ramp is new to it.
  std::optional<double> new_light_error = {};
  /// u_o; empty where it stays, or has had no light of the ramp.
  std::optional<double> old_light_error = {};
};

/// The light of a history as the caps see it: of a spot of this tank by the weights
/// of its lights, of any other place as it is.
Exposure usable_history(const Tank& tank, const History& history);

/// The start of a group of a tank that was read. A history with days in the dark or days
/// at its spot since lives through equation (1) of coral/acclimation.hpp on each of these
/// days: it comes to its spot, and again to the ramp.
GroupStart compute_group_start(const Tank& tank, const Group& group, const Tolerance& tolerance);

/// Weights without the doubt in them; 0 stays 0.
LightWeights without_doubt(const LightWeights& weights, std::span<const double> doubts);

/// What new light weighs, and what of that is doubt: W and k.
struct NewLightWeight {
  double weight;
  double doubt;
};

/// Of lights of the ramp's goal that are first named in a later plan; empty if there are
/// none.
/// from: how the lights stood; counted: what of their dose counts for the group, E / D.
/// had, doubts: its weights so far, and k of them.
std::optional<NewLightWeight> weight_of_new_lights(const Tank& tank, std::size_t spot,
                                                   const Dials& from, double counted,
                                                   const LightWeights& had,
                                                   std::span<const double> doubts,
                                                   double carryover);

}  // namespace slowdawn
