#include <gtest/gtest.h>

#include <cmath>
#include <slowdawn/light/sun_course.hpp>
#include <stdexcept>

namespace slowdawn {
namespace {

/// What a day of the sun brings in the open.
Exposure open_day(const LightCourse& course, Ppfd noon, double dial = 100.0) {
  const Percent cloth = Percent::of_full(dial);
  return LitDay{{&course, 1}, {&cloth, 1}}.at({&noon, 1});
}

TEST(SunCourse, FirstDayHasThatDaysDoseAndClearNoon) {
  int still = 0;
  for (const double latitude : {-65.0, -20.0, 0.0, 12.5, 51.0, 65.0}) {
    for (const int day : {1, 80, 172, 246, 355, 366}) {
      for (const double cloud : {0.0, 0.3, 1.0}) {
        const SunPlace place{Latitude::degrees(latitude), cloud};
        const SunAhead ahead = compute_sun_ahead(place, day);
        const Sunlight sun = compute_sunlight(place.latitude, day, cloud);
        const Exposure first = open_day(ahead.first, ahead.noon);
        if (sun.dose > 0.95 * ahead.dose && sun.clear_noon > 0.95 * ahead.noon) {
          // The season stands still.
          EXPECT_EQ(first, open_day(ahead.brightest, ahead.noon)) << latitude << " " << day;
          ++still;
          continue;
        }
        EXPECT_NEAR(first.dose / sun.dose, 1.0, 1e-9) << latitude << " " << day;
        EXPECT_NEAR(first.peak / sun.clear_noon, 1.0, 1e-9) << latitude << " " << day;
        EXPECT_NEAR(ahead.first.photoperiod.lit().h(), sun.day_length.h(), 1e-9);
      }
    }
  }
  EXPECT_GT(still, 18);
  EXPECT_LT(still, 90);
}

TEST(SunCourse, BrightestDayIsNoDimmerThanAnyOfThoseAhead) {
  const SunPlace place{Latitude::degrees(-20), 0.3};
  for (int start = 1; start <= 365; start += 13) {
    const SunAhead ahead = compute_sun_ahead(place, start);
    const Exposure brightest = open_day(ahead.brightest, ahead.noon);
    DailyDose dose;
    Ppfd noon;
    for (int day = start; day < start + 120; ++day) {
      const Sunlight sun = compute_sunlight(place.latitude, (day - 1) % 365 + 1, 0.3);
      dose = std::max(dose, sun.dose);
      noon = std::max(noon, sun.clear_noon);
    }
    EXPECT_NEAR(brightest.dose / dose, 1.0, 1e-9) << start;
    EXPECT_NEAR(brightest.peak / noon, 1.0, 1e-9) << start;
    EXPECT_EQ(ahead.dose, dose);
    EXPECT_EQ(ahead.noon, noon);
  }
}

TEST(SunCourse, GoesWithTheSineOfTheSunsHeight) {
  const SunPlace place{Latitude::degrees(-20), 0.3};
  const SunAhead ahead = compute_sun_ahead(place, 246);
  const SunDay sun{place.latitude, 246};
  const double noon = ahead.first.photoperiod.fraction_after(ClockTime::minute(720.0));
  for (double minute = 370.0; minute < 1070.0; minute += 50.0) {
    const double sine = sun.sine_of_height(Angle::degrees((minute - 720.0) / 4.0));
    EXPECT_NEAR(ahead.first.photoperiod.fraction_after(ClockTime::minute(minute)) / noon,
                sine / sun.sine_of_noon_height(), 1e-3);
  }
  EXPECT_EQ(ahead.first.photoperiod.fraction_after(ClockTime::minute(0.0)), 0.0);
}

TEST(SunCourse, ClothTakesItsShareOfDoseAndPeak) {
  const SunAhead ahead = compute_sun_ahead({Latitude::degrees(-20), 0.3}, 335);
  const Exposure bare = open_day(ahead.brightest, ahead.noon);
  const Exposure under = open_day(ahead.brightest, ahead.noon, 30.0);
  EXPECT_NEAR(under.dose / bare.dose, 0.3, 1e-12);
  EXPECT_NEAR(under.peak / bare.peak, 0.3, 1e-12);
}

TEST(SunCourse, StaysWhereTheSunRisesEveryDay) {
  EXPECT_THROW(compute_sun_ahead({Latitude::degrees(65.5), 0.3}, 1), std::invalid_argument);
  EXPECT_THROW(compute_sun_ahead({Latitude::degrees(-66), 0.3}, 1), std::invalid_argument);
}

}  // namespace
}  // namespace slowdawn
