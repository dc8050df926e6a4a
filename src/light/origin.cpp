#include <algorithm>
#include <cmath>
#include <slowdawn/light/origin.hpp>
#include <slowdawn/light/water_surface.hpp>

namespace slowdawn {
namespace {

double passes_at(double sine_of_height) {
  const double sine = std::clamp(sine_of_height, 0.0, 1.0);
  return 1.0 - surface_reflectance(Angle::radians(std::acos(sine)));
}

/// Ts of equation (1): from noon to sunset, each moment by the sine of the height.
double sunlight_passes(const SunDay& day) {
  // Simpson's rule; more parts change the sixth digit.
  constexpr int parts = 64;
  double passed = 0.0;
  double all = 0.0;
  for (int i = 0; i <= parts; ++i) {
    const double weight = i == 0 || i == parts ? 1.0 : (i % 2 == 1 ? 4.0 : 2.0);
    const double sine = std::max(day.sine_of_height(day.sunset_hour_angle() * i / parts), 0.0);
    passed += weight * sine * passes_at(sine);
    all += weight * sine;
  }
  return passed / all;
}

OriginError errors_of(const Origin& origin, double left) {
  const SkyModel sky;
  OriginError error;
  // d ln(as + bs (1 - c)) / dc.
  error.cloud = origin.cloud_error * sky.added_by_sun /
                (sky.overcast + sky.added_by_sun * (1.0 - origin.cloud_share));
  const bool is_type = std::holds_alternative<WaterType>(origin.water);
  const double kd_error = origin.water_is_guess ? guessed_water_error
                          : is_type             ? water_type_error
                                                : measured_kd_error;
  error.water = kd_error * -std::log(left);
  return error;
}

}  // namespace

double OriginError::total() const {
  return std::sqrt(sky * sky + photons * photons + cloud * cloud + surface * surface +
                   water * water);
}

Result<OriginLight> compute_origin(const Origin& origin) {
  if (origin.days.empty()) return fault("no day is given", "give a date or a season");
  const double sky_passes = 1.0 - sky_reflectance();
  const double left = share_left(origin.water, origin.depth);
  OriginLight result{};
  DailyDose in_the_open;
  for (const int number : origin.days) {
    const SunDay day{origin.latitude, number};
    const Sunlight sun = compute_sunlight(origin.latitude, number, origin.cloud_share);
    if (sun.dose <= DailyDose{}) {
      return fault("the sun does not rise there on that day",
                   "reefs with corals that live on light lie within some 40 degrees of the "
                   "equator; check latitude and date");
    }
    const double passes = sun.sunlit_share_of_dose * sunlight_passes(day) +
                          (1.0 - sun.sunlit_share_of_dose) * sky_passes;
    const DailyDose dose = sun.dose * passes * left;  // (1)
    const bool is_first = number == origin.days.front();
    result.lowest_dose = is_first ? dose : std::min(result.lowest_dose, dose);
    result.highest_dose = is_first ? dose : std::max(result.highest_dose, dose);
    result.dose += dose;
    result.peak += sun.clear_noon * passes_at(day.sine_of_noon_height()) * left;  // (2)
    result.day_length += sun.day_length;
    result.extraterrestrial += sun.extraterrestrial;
    in_the_open += sun.dose;
  }
  const auto count = static_cast<double>(origin.days.size());
  result.passes_surface = result.dose / in_the_open / left;
  result.left_at_depth = left;
  result.dose = result.dose / count;
  result.peak = result.peak / count;
  result.day_length = result.day_length / count;
  result.extraterrestrial = result.extraterrestrial / count;
  result.lit = result.day_length;
  if (origin.depth > Depth{}) {
    result.attenuation = attenuation_between(origin.water, Depth{}, origin.depth);
  }
  result.error = errors_of(origin, left);
  result.log_error = result.error.total();
  return result;
}

}  // namespace slowdawn
