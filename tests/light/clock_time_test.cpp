#include <gtest/gtest.h>

#include <limits>
#include <slowdawn/light/clock_time.hpp>
#include <type_traits>

namespace slowdawn {
namespace {

template <class A, class B>
concept adds_to = requires(A a, B b) {
  a + b;
};
template <class A>
concept doubles = requires(A a) {
  2.0 * a;
};

static_assert(!adds_to<ClockTime, ClockTime> && !adds_to<ClockTime, Hours>);
static_assert(!doubles<ClockTime> && doubles<Minutes>);
static_assert(!std::is_constructible_v<ClockTime, Minutes>);
static_assert(!std::is_constructible_v<ClockTime, double>);

TEST(ClockTime, RefusesWhatIsNoTime) {
  for (const double value :
       {std::numeric_limits<double>::infinity(), -std::numeric_limits<double>::infinity(),
        std::numeric_limits<double>::quiet_NaN()}) {
    EXPECT_THROW(ClockTime::minute(value), std::invalid_argument) << value;
    EXPECT_THROW(Minutes::min(value), std::invalid_argument) << value;
  }
}

TEST(ClockTime, CountsOnPastMidnight) {
  const ClockTime late = ClockTime::minute(1380.0);
  const ClockTime later = late + Minutes::min(90.0);
  EXPECT_EQ(later.minute(), 1470.0);
  EXPECT_GT(later, ClockTime{} + whole_day);
  EXPECT_EQ(later - late, Minutes::min(90.0));
  EXPECT_EQ(later - Minutes::min(90.0), late);
}

TEST(ClockTime, HasHoursBetweenItsMoments) {
  EXPECT_EQ((ClockTime::minute(630.0) - ClockTime::minute(600.0)).hours(), Hours::h(0.5));
  EXPECT_EQ(whole_day.hours(), Hours::h(24.0));
}

TEST(Minutes, AreKeptAsTheyWereGiven) {
  for (int minutes = 0; minutes <= 14400; ++minutes) {
    const double given = minutes / 10.0;
    EXPECT_EQ(Minutes::min(given).min(), given);
  }
}

}  // namespace
}  // namespace slowdawn
