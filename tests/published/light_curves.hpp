// The published forms of how photosynthesis follows light, in plain numbers. They
// are here to be held against what the product makes of one of them, and to say
// what another would have made of it; the product has no photosynthesis of its own.
//
//   E light, alpha slope at the dark end, Pm height, Ek = Pm / alpha
#pragma once

#include <cmath>

namespace slowdawn::published {

/// Gross photosynthesis after Jassby and Platt 1976, Limnol. Oceanogr. 21:
/// P = alpha Ek tanh(E / Ek).
inline double jassby_platt(double pm, double alpha, double light) {
  return pm * std::tanh(alpha * light / pm);
}

/// The form of Smith, as the Moorea data set fits it:
/// P = Pm alpha E / sqrt(Pm^2 + (alpha E)^2).
inline double smith(double pm, double alpha, double light) {
  return pm * alpha * light / std::hypot(pm, alpha * light);
}

/// The light at which the form of Smith makes up for the respiration.
inline double smith_compensation(double pm, double alpha, double respiration) {
  return pm * respiration / (alpha * std::sqrt(pm * pm - respiration * respiration));
}

/// The form with photoinhibition, after Platt, Gallegos and Harrison 1980, J. Mar.
/// Res. 38: P = Ps (1 - exp(-alpha E / Ps)) exp(-beta E / Ps).
inline double platt_gallegos_harrison(double ps, double alpha, double beta, double light) {
  return -ps * std::expm1(-alpha * light / ps) * std::exp(-beta * light / ps);
}

}  // namespace slowdawn::published
