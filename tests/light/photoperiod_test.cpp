#include <gtest/gtest.h>

#include <random>
#include <slowdawn/light/photoperiod.hpp>
#include <string>

#include "light/courses.hpp"

namespace slowdawn {
namespace {

using Points = std::vector<Photoperiod::Point>;

constexpr ClockTime at(int hour, double minute = 0) {
  return ClockTime::minute(60.0 * hour + minute);
}

/// Expects a refusal that speaks of `about` and says what to do.
void expect_refused(const Result<Photoperiod>& course, const std::string& about) {
  ASSERT_FALSE(course.has_value());
  EXPECT_NE(course.error().what.find(about), std::string::npos) << course.error().what;
  EXPECT_FALSE(course.error().hint.empty());
}

TEST(Photoperiod, RisesAndFallsInsideOnAndOff) {
  const Photoperiod course =
      Photoperiod::between(at(10), at(20), Minutes::min(60.0), Minutes::min(120.0)).value();
  EXPECT_EQ(course.fraction_after(at(9, 59)), 0.0);
  EXPECT_EQ(course.fraction_after(at(10)), 0.0);
  EXPECT_DOUBLE_EQ(course.fraction_after(at(10, 30)), 0.5);
  EXPECT_EQ(course.fraction_after(at(11)), 1.0);
  EXPECT_EQ(course.fraction_after(at(14)), 1.0);
  EXPECT_EQ(course.fraction_after(at(18)), 1.0);
  EXPECT_DOUBLE_EQ(course.fraction_after(at(19)), 0.5);
  EXPECT_EQ(course.fraction_after(at(20)), 0.0);
  EXPECT_EQ(course.fraction_after(at(23, 59)), 0.0);
  EXPECT_DOUBLE_EQ(course.lit().h(), 10.0);
}

TEST(Photoperiod, StepsWithoutRiseAndFall) {
  const Photoperiod course =
      Photoperiod::between(at(9, 30), at(19, 30), Minutes::min(0.0), Minutes::min(0.0)).value();
  EXPECT_EQ(course.fraction_before(at(9, 30)), 0.0);
  EXPECT_EQ(course.fraction_after(at(9, 30)), 1.0);
  EXPECT_EQ(course.fraction_before(at(19, 30)), 1.0);
  EXPECT_EQ(course.fraction_after(at(19, 30)), 0.0);
  EXPECT_DOUBLE_EQ(course.lit().h(), 10.0);
}

TEST(Photoperiod, RunsPastMidnight) {
  const Photoperiod course =
      Photoperiod::between(at(16), at(2), Minutes::min(60.0), Minutes::min(60.0)).value();
  EXPECT_EQ(course.fraction_after(at(15)), 0.0);
  EXPECT_DOUBLE_EQ(course.fraction_after(at(16, 15)), 0.25);
  EXPECT_EQ(course.fraction_after(at(0)), 1.0);
  EXPECT_EQ(course.fraction_before(at(0)), 1.0);
  EXPECT_DOUBLE_EQ(course.fraction_after(at(1, 45)), 0.25);
  EXPECT_EQ(course.fraction_after(at(2)), 0.0);
  EXPECT_DOUBLE_EQ(course.lit().h(), 10.0);
}

TEST(Photoperiod, GoesOffAtMidnight) {
  const Photoperiod course =
      Photoperiod::between(at(14), at(0), Minutes::min(0.0), Minutes::min(0.0)).value();
  EXPECT_EQ(course.fraction_before(at(0)), 1.0);
  EXPECT_EQ(course.fraction_after(at(0)), 0.0);
  EXPECT_EQ(course.fraction_after(at(13, 59)), 0.0);
  EXPECT_EQ(course.fraction_after(at(14)), 1.0);
  EXPECT_DOUBLE_EQ(course.lit().h(), 10.0);
}

TEST(Photoperiod, GoesOnAtMidnight) {
  const Photoperiod course =
      Photoperiod::between(at(0), at(10), Minutes::min(0.0), Minutes::min(0.0)).value();
  EXPECT_EQ(course.fraction_before(at(0)), 0.0);
  EXPECT_EQ(course.fraction_after(at(0)), 1.0);
  EXPECT_DOUBLE_EQ(course.lit().h(), 10.0);
}

TEST(Photoperiod, RiseAndFallMayMeet) {
  const Photoperiod course =
      Photoperiod::between(at(8), at(18), Minutes::min(360.0), Minutes::min(240.0)).value();
  EXPECT_EQ(course.fraction_after(at(14)), 1.0);
  EXPECT_DOUBLE_EQ(course.fraction_after(at(11)), 0.5);
  EXPECT_DOUBLE_EQ(course.fraction_after(at(16)), 0.5);
  EXPECT_EQ(course.points().size(), 3u);
}

TEST(Photoperiod, RefusesRiseAndFallThatDoNotFit) {
  expect_refused(Photoperiod::between(at(8), at(18), Minutes::min(360.0), Minutes::min(241.0)),
                 "fit");
  expect_refused(Photoperiod::between(at(8), at(18), Minutes::min(601.0), Minutes::min(0.0)),
                 "fit");
  expect_refused(Photoperiod::between(at(8), at(18), Minutes::min(-1.0), Minutes::min(0.0)), "fit");
  expect_refused(Photoperiod::between(at(8), at(18), Minutes::min(0.0), Minutes::min(-1.0)), "fit");
}

TEST(Photoperiod, RefusesOnThatEqualsOff) {
  expect_refused(Photoperiod::between(at(8), at(8), Minutes::min(0.0), Minutes::min(0.0)),
                 "same time");
}

TEST(Photoperiod, AllowsDayOfExactly14Hours) {
  EXPECT_TRUE(
      Photoperiod::between(at(6), at(20), Minutes::min(0.0), Minutes::min(0.0)).has_value());
  EXPECT_TRUE(
      Photoperiod::between(at(6), at(20), Minutes::min(90.0), Minutes::min(90.0)).has_value());
  EXPECT_TRUE(
      Photoperiod::between(at(18), at(8), Minutes::min(0.0), Minutes::min(0.0)).has_value());
  EXPECT_TRUE(Photoperiod::through({{at(6), 0.0}, {at(12), 1.0}, {at(20), 0.0}}).has_value());
}

TEST(Photoperiod, RefusesDayOfOver14Hours) {
  // 14.01 h are 840.6 minutes.
  expect_refused(
      Photoperiod::between(at(6), at(20) + Minutes::min(0.6), Minutes::min(0.0), Minutes::min(0.0)),
      "14 h");
  expect_refused(
      Photoperiod::between(at(18), at(8) + Minutes::min(0.6), Minutes::min(0.0), Minutes::min(0.0)),
      "14 h");
  expect_refused(Photoperiod::between(at(6), at(20) + Minutes::min(0.6), Minutes::min(300.0),
                                      Minutes::min(300.0)),
                 "14 h");
  expect_refused(
      Photoperiod::through({{at(6), 0.0}, {at(12), 1.0}, {at(20) + Minutes::min(0.6), 0.0}}),
      "14 h");
}

TEST(Photoperiod, GoesThroughPoints) {
  const Photoperiod course =
      Photoperiod::through({{at(10), 0.0}, {at(11), 1.0}, {at(15), 0.4}, {at(20), 0.0}}).value();
  EXPECT_DOUBLE_EQ(course.fraction_after(at(10, 30)), 0.5);
  EXPECT_EQ(course.fraction_after(at(11)), 1.0);
  EXPECT_DOUBLE_EQ(course.fraction_after(at(13)), 0.7);
  EXPECT_DOUBLE_EQ(course.fraction_after(at(17, 30)), 0.2);
  EXPECT_EQ(course.fraction_after(at(3)), 0.0);
  EXPECT_DOUBLE_EQ(course.lit().h(), 10.0);
}

TEST(Photoperiod, JoinsTheLastPointToTheFirstAcrossMidnight) {
  // Rises from 22:00 to the half at midnight, holds to 05:00, steps to dark.
  const Photoperiod course =
      Photoperiod::through({{at(0), 0.5}, {at(5), 0.5}, {at(5), 0.0}, {at(22), 0.0}}).value();
  EXPECT_DOUBLE_EQ(course.fraction_after(at(23)), 0.25);
  EXPECT_DOUBLE_EQ(course.fraction_before(at(0)), 0.5);
  EXPECT_DOUBLE_EQ(course.fraction_after(at(4)), 0.5);
  EXPECT_DOUBLE_EQ(course.fraction_before(at(5)), 0.5);
  EXPECT_EQ(course.fraction_after(at(5)), 0.0);
  EXPECT_DOUBLE_EQ(course.lit().h(), 7.0);
}

TEST(Photoperiod, StaysLitAcrossMidnight) {
  const Photoperiod course =
      Photoperiod::through({{at(1), 1.0}, {at(1), 0.0}, {at(14), 0.0}, {at(14), 1.0}}).value();
  EXPECT_EQ(course.fraction_after(at(0)), 1.0);
  EXPECT_EQ(course.fraction_after(at(23, 59)), 1.0);
  EXPECT_EQ(course.fraction_before(at(1)), 1.0);
  EXPECT_EQ(course.fraction_after(at(1)), 0.0);
  EXPECT_EQ(course.fraction_before(at(14)), 0.0);
  EXPECT_EQ(course.fraction_after(at(14)), 1.0);
  EXPECT_DOUBLE_EQ(course.lit().h(), 11.0);
}

TEST(Photoperiod, StepsAtTwoPointsOfOneTime) {
  const Photoperiod course =
      Photoperiod::through(
          {{at(9), 0.0}, {at(9), 0.3}, {at(12), 0.3}, {at(12), 1.0}, {at(19), 0.0}})
          .value();
  EXPECT_EQ(course.fraction_before(at(9)), 0.0);
  EXPECT_DOUBLE_EQ(course.fraction_after(at(9)), 0.3);
  EXPECT_DOUBLE_EQ(course.fraction_before(at(12)), 0.3);
  EXPECT_EQ(course.fraction_after(at(12)), 1.0);
  EXPECT_DOUBLE_EQ(course.lit().h(), 10.0);
}

TEST(Photoperiod, LeavesDarkHoursOfTheDayOutOfTheLitOnes) {
  const Photoperiod course = Photoperiod::through({{at(7), 0.0},
                                                   {at(7), 1.0},
                                                   {at(10), 1.0},
                                                   {at(10), 0.0},
                                                   {at(16), 0.0},
                                                   {at(18), 1.0},
                                                   {at(20), 0.0}})
                                 .value();
  EXPECT_DOUBLE_EQ(course.lit().h(), 7.0);
}

TEST(Photoperiod, IsLitWhereItOnlyTouchesZero) {
  const Photoperiod course =
      Photoperiod::through(
          {{at(8), 0.0}, {at(10), 1.0}, {at(12), 0.0}, {at(14), 1.0}, {at(16), 0.0}})
          .value();
  EXPECT_DOUBLE_EQ(course.lit().h(), 8.0);
}

TEST(Photoperiod, RefusesLightThatNeverGoesDark) {
  expect_refused(Photoperiod::through({{at(8), 0.1}, {at(12), 1.0}, {at(20), 0.1}}), "dark");
}

TEST(Photoperiod, RefusesNightThatIsOnlyATouchOfZero) {
  expect_refused(Photoperiod::through({{at(0), 0.0}, {at(12), 1.0}}), "14 h");
  expect_refused(Photoperiod::through({{at(8), 0.0}, {at(8), 1.0}}), "14 h");
}

TEST(Photoperiod, RefusesLightThatIsNeverLit) {
  expect_refused(Photoperiod::through({{at(8), 0.0}, {at(20), 0.0}}), "never lit");
}

TEST(Photoperiod, RefusesFewerThanTwoPoints) {
  expect_refused(Photoperiod::through({}), "two points");
  expect_refused(Photoperiod::through({{at(8), 0.0}}), "two points");
}

TEST(Photoperiod, RefusesPointsOutOfOrder) {
  expect_refused(Photoperiod::through({{at(10), 0.0}, {at(9), 1.0}, {at(20), 0.0}}), "order");
  expect_refused(Photoperiod::through({{at(16), 0.0}, {at(18), 1.0}, {at(2), 0.0}}), "order");
}

TEST(Photoperiod, RefusesThreePointsAtOneTime) {
  expect_refused(Photoperiod::through(
                     {{at(8), 0.0}, {at(8), 0.5}, {at(8), 1.0}, {at(18), 1.0}, {at(18), 0.0}}),
                 "three points");
  expect_refused(Photoperiod::through(
                     {{at(8), 0.0}, {at(12), 1.0}, {at(18), 1.0}, {at(18), 0.5}, {at(18), 0.0}}),
                 "three points");
}

TEST(Photoperiod, FollowsItsDefinitionAtEveryMinute) {
  for (unsigned seed = 1; seed <= 300; ++seed) {
    SCOPED_TRACE("seed " + std::to_string(seed));
    std::mt19937 random(seed);
    const courses::Day day = courses::random_day(random);
    const Photoperiod course = day.photoperiod();
    EXPECT_NEAR(course.lit().h(), day.length() / 60.0, 1e-12);
    for (double minute = 0.0; minute < courses::minutes_per_day; minute += 1.0) {
      ASSERT_NEAR(course.fraction_after(ClockTime::minute(minute)), day.after(minute), 1e-12)
          << minute;
      ASSERT_NEAR(course.fraction_before(ClockTime::minute(minute)), day.before(minute), 1e-12)
          << minute;
    }
  }
}

TEST(Photoperiod, IsTheSameInBothForms) {
  const Photoperiod form =
      Photoperiod::between(at(10), at(20), Minutes::min(60.0), Minutes::min(90.0)).value();
  const Photoperiod points =
      Photoperiod::through({{at(10), 0.0}, {at(11), 1.0}, {at(18, 30), 1.0}, {at(20), 0.0}})
          .value();
  for (double minute = 0.0; minute < courses::minutes_per_day; minute += 0.5) {
    ASSERT_EQ(form.fraction_after(ClockTime::minute(minute)),
              points.fraction_after(ClockTime::minute(minute)))
        << minute;
    ASSERT_EQ(form.fraction_before(ClockTime::minute(minute)),
              points.fraction_before(ClockTime::minute(minute)))
        << minute;
  }
}

}  // namespace
}  // namespace slowdawn
