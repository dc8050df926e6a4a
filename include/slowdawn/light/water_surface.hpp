// What a flat water surface throws back.
//
//   sin i = n sin t                                            (Snell)    (1)
//   R(i) = 1/2 [ (sin(i - t) / sin(i + t))^2
//              + (tan(i - t) / tan(i + t))^2 ]                 (Fresnel)  (2)
//   R(0) = ((n - 1) / (n + 1))^2
//   R(sky) = integral over the sky of R(i) 2 sin i cos i di               (3)
//
// for light without polarisation, i and t from the upright in air and in water.
// Waves are left out: they change little while the sun is high and let more in
// when it is low.
#pragma once

#include <slowdawn/light/sun.hpp>

namespace slowdawn {

/// Sea water against air. source: Ocean Optics Web Book, The Level Sea Surface
/// (about 1.34).
inline constexpr double sea_water_index = 1.34;

/// Equation (1): the angle in the water, from the upright.
/// incidence: in the air, from the upright, 0 to 90 degrees; index: over 1.
Angle refracted_angle(Angle incidence, double index = sea_water_index);

/// Equation (2): the share that is thrown back, [0, 1].
/// incidence: in the air, from the upright, 0 to 90 degrees; index: over 1.
double surface_reflectance(Angle incidence, double index = sea_water_index);

/// Equation (3): the share of an evenly bright sky that is thrown back.
/// Accuracy: 1e-6.
double sky_reflectance(double index = sea_water_index);

}  // namespace slowdawn
