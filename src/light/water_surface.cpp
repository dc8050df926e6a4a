#include <cmath>
#include <numbers>
#include <slowdawn/light/water_surface.hpp>

namespace slowdawn {

Angle refracted_angle(Angle incidence, double index) {
  return Angle::radians(std::asin(std::sin(incidence.radians()) / index));  // (1)
}

double surface_reflectance(Angle incidence, double index) {
  // Equation (2) by cosines, which also holds straight down, where the sines are 0.
  const double in_air = std::cos(incidence.radians());
  const double in_water = std::cos(refracted_angle(incidence, index).radians());
  const double across = (in_air - index * in_water) / (in_air + index * in_water);
  const double along = (index * in_air - in_water) / (index * in_air + in_water);
  return 0.5 * (across * across + along * along);
}

double sky_reflectance(double index) {
  // Simpson's rule over the angle.
  constexpr int parts = 400;
  const double step = std::numbers::pi / 2.0 / parts;
  double sum = 0.0;
  for (int i = 0; i <= parts; ++i) {
    const double angle = i * step;
    const double weight = i == 0 || i == parts ? 1.0 : (i % 2 == 1 ? 4.0 : 2.0);
    sum += weight * surface_reflectance(Angle::radians(angle), index) * std::sin(2.0 * angle);
  }
  return sum * step / 3.0;  // (3)
}

}  // namespace slowdawn
