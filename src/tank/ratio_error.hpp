// How well the ratio of two lights of a tank is known: u of the doubt in
// coral/acclimation.hpp, from the readings.
//
//   h_j(p) = 0.0036 w_j H_j(p_j)   light/exposure.hpp; w_j the usable weight of light j
//   D(p)   = sum_j h_j(p) F_j      over the lights that count
//   g(p)   = h(p) / D(p)           relative gradient of D
//   C      light/full_output.hpp; for a light that was estimated, not read,
//          C_jj = (F_j e_j)^2, e_j the error of ln F_j, and C_jk = 0
//
//   u^2 = (g_a - g_b)' C (g_a - g_b)      both lights at one spot             (1)
//   u^2 = g_a' C_a g_a + g_b' C_b g_b     at two spots                        (2)
//   u^2 = e^2 + g_a' C g_a + c^2          the light before was measured elsewhere,
//         e its own error, c the calibration of this tank's meter             (3)
//
// g_j F_j is the share of light j, so that an estimate counts with its own error by its
// share of the dose. In (1) an error that both lights share cancels as far as they
// share it: one reading of one light, dialled differently, gives u = 0; one reading
// each of two lights gives sqrt(2) times the error of a reading.
//
// A light with channels has them rounded to whole steps: half a step each is its relative
// error a_j (TankLight::rounding_error), and (g_j F_j a_j)^2 adds to each g'Cg, in (1) for
// both lights where its dial differs.
//
// source: own derivation; first order in the errors of F, which is linear in the readings.
#pragma once

#include <map>
#include <slowdawn/tank/tank.hpp>
#include <vector>

namespace slowdawn {

/// Light at a spot, or a part of it.
struct LightPart {
  std::size_t spot;
  /// By light of the tank.
  std::map<std::size_t, Percent> dials;
  /// Only these lights count; all that are lit where it is empty.
  std::vector<std::size_t> lights = {};
};

/// Whether the sun is that of the days before the ramp, or of those ahead.
enum class SunDays { before, ahead };

/// g, one number for each light of the tank.
using Gradient = std::vector<double>;

/// That of a part; 0 for all lights where it brings no light.
Gradient gradient_of(const Tank& tank, const LightPart& part, SunDays days);

/// Relative standard error u of the ratio of the dose of `after` to that of `before`, by
/// equations (1) and (2). The sun of `before` is that of the days before the ramp.
/// A part that brings no light has no relative error; it counts as known.
double compute_ratio_error(const Tank& tank, const LightPart& before, const LightPart& after);

/// The same by equation (3).
/// own_error: e, relative.
double compute_history_error(const Tank& tank, double own_error, const LightPart& after);

/// Relative standard error of the dose of a part alone: sqrt(g'Cg).
double compute_part_error(const Tank& tank, const LightPart& part, SunDays days = SunDays::ahead);

}  // namespace slowdawn
