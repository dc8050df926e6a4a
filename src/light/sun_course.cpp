#include <algorithm>
#include <slowdawn/light/sun_course.hpp>

namespace slowdawn {
namespace {

constexpr int days_of_year = 365;

/// The course of a day, made as high as `noon` and as bright over the day as `dose`.
LightCourse course_of(const SunPlace& place, int day, Ppfd noon, DailyDose dose) {
  constexpr int parts = 64;
  const SunDay sun{place.latitude, day};
  const Ppfd full = brightest_noon(place);
  const double highest = noon / full;
  const Hours half = sun.day_length() / 2.0;
  std::vector<Photoperiod::Point> points;
  for (int i = -parts / 2; i <= parts / 2; ++i) {
    const double share = 2.0 * i / parts;
    const bool is_end = i == -parts / 2 || i == parts / 2;
    const double sine = is_end ? 0.0 : sun.sine_of_height(sun.sunset_hour_angle() * share);
    points.push_back({minutes_per_day / 2.0 + 60.0 * half.h() * share,
                      highest * sine / sun.sine_of_noon_height()});
  }
  LightCourse course{Photoperiod::natural(std::move(points)), {}, 1.0};
  course.dose_share = dose / (full * full_output_hours(course, Percent::of_full(100.0)));
  return course;
}

}  // namespace

Ppfd brightest_noon(const SunPlace& place) {
  Ppfd brightest;
  for (int day = 1; day <= days_of_year; ++day) {
    brightest = std::max(brightest, compute_sunlight(place.latitude, day, 0.0).clear_noon);
  }
  return brightest;
}

LightCourse sun_course(const SunPlace& place, int day_of_year) {
  const Sunlight light = compute_sunlight(place.latitude, day_of_year, place.cloud_share);
  return course_of(place, day_of_year, light.clear_noon, light.dose);
}

LightCourse brightest_sun_course(const SunPlace& place, int first_day_of_year, int days) {
  int brightest_day = first_day_of_year;
  DailyDose dose;
  Ppfd noon;
  for (int i = 0; i < std::min(days, days_of_year); ++i) {
    // A leap year's last day counts as the first of the next; that is a day's difference.
    const int day = (first_day_of_year + i - 1) % days_of_year + 1;
    const Sunlight light = compute_sunlight(place.latitude, day, place.cloud_share);
    noon = std::max(noon, light.clear_noon);
    if (light.dose <= dose) continue;
    dose = light.dose;
    brightest_day = day;
  }
  return course_of(place, brightest_day, noon, dose);
}

}  // namespace slowdawn
