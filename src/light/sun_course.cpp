#include <algorithm>
#include <cmath>
#include <slowdawn/light/sun_course.hpp>
#include <stdexcept>

namespace slowdawn {
namespace {

constexpr int days_in_a_year = 365;

/// A season that brings no more than this is taken to stand still, or no group could
/// stay for a day under the cloth that it has. Within as much a plan calls a group
/// used to its light.
constexpr double least_season = 0.05;

/// A day's course as shares of `full`, made as high as `noon` and as bright as `dose`.
LightCourse make_sun_course(const SunDay& sun, DailyDose dose, Ppfd noon, Ppfd full) {
  constexpr int half = 32;
  constexpr ClockTime midday = ClockTime{} + whole_day / 2.0;
  std::vector<Photoperiod::Point> points;
  for (int i = -half; i <= half; ++i) {
    const double share = static_cast<double>(i) / half;
    // Sunset is 0 to rounding alone.
    const double sine =
        std::abs(i) == half
            ? 0.0
            : sun.sine_of_height(Angle::radians(sun.sunset_hour_angle().radians() * share));
    points.push_back({midday + Minutes::min(30.0 * sun.day_length().h() * share),
                      noon / full * std::min(1.0, sine / sun.sine_of_noon_height())});
  }
  LightCourse course{Photoperiod::of_the_sun(std::move(points)), {}};
  course.dose_share = dose / (full * full_output_hours(course, Percent::of_full(100.0)));
  return course;
}

}  // namespace

SunAhead compute_sun_ahead(const SunPlace& place, int first_day) {
  if (std::abs(place.latitude.degrees()) > sun_latitude.degrees()) {
    throw std::invalid_argument("the sun's course is known to 65 degrees of latitude");
  }
  const Sunlight first = compute_sunlight(place.latitude, first_day, place.cloud_share);
  DailyDose dose;
  Ppfd noon;
  int brightest_day = first_day;
  for (int i = 0; i < days_of_sun_ahead; ++i) {
    // A leap year's last day goes on to 2 January, which is a day's difference.
    const int day = (first_day + i - 1) % days_in_a_year + 1;
    const Sunlight light = compute_sunlight(place.latitude, day, place.cloud_share);
    noon = std::max(noon, light.clear_noon);
    if (light.dose <= dose) continue;
    dose = light.dose;
    brightest_day = day;
  }
  const LightCourse brightest = make_sun_course({place.latitude, brightest_day}, dose, noon, noon);
  const double still = 1.0 - least_season;
  if (first.dose >= still * dose && first.clear_noon >= still * noon) {
    return {dose, noon, brightest, brightest};
  }
  return {dose, noon, brightest,
          make_sun_course({place.latitude, first_day}, first.dose, first.clear_noon, noon)};
}

}  // namespace slowdawn
