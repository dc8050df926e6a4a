// The day that is taken for today.
#include <gtest/gtest.h>
#include <time.h>

#include <algorithm>
#include <cstdlib>
#include <ctime>
#include <string>
#include <vector>

#include "cli/console.hpp"

namespace slowdawn {
namespace {

/// An environment variable that is set for one test.
class Variable {
 public:
  Variable(const char* name, const char* value) : name_(name) {
    if (const char* before = std::getenv(name)) before_ = before;
    ::setenv(name, value, 1);
    ::tzset();
  }
  ~Variable() {
    if (before_) {
      ::setenv(name_, before_->c_str(), 1);
    } else {
      ::unsetenv(name_);
    }
    ::tzset();
  }
  Variable(const Variable&) = delete;
  Variable& operator=(const Variable&) = delete;

 private:
  const char* name_;
  std::optional<std::string> before_;
};

std::string day_at(std::time_t time) {
  std::tm parts{};
  ::gmtime_r(&time, &parts);
  char text[16];
  std::strftime(text, sizeof text, "%Y-%m-%d", &parts);
  return text;
}

TEST(TodayInZone, IsTheDayOfItsClock) {
  // Names of POSIX, which need no database; their signs are turned about. From one end of the
  // world to the other it is never the same day.
  for (const auto& [zone, hours_ahead] :
       {std::pair{"east-14", 14}, {"west12", -12}, {"middle0", 0}}) {
    const std::time_t before = std::time(nullptr) + 3600 * hours_ahead;
    const std::string day = to_iso(today_in_zone(zone));
    const std::time_t after = std::time(nullptr) + 3600 * hours_ahead;
    EXPECT_TRUE(day == day_at(before) || day == day_at(after)) << zone << " " << day;
  }
}

TEST(TodayInZone, LeavesTheMachinesZoneAsItWas) {
  for (const char* own : {"own-5:30", ""}) {
    const Variable zone{"TZ", own};
    const std::time_t now = std::time(nullptr);
    std::tm before{};
    std::tm after{};
    ::localtime_r(&now, &before);
    today_in_zone("east-14");
    EXPECT_STREQ(std::getenv("TZ"), own);
    ::localtime_r(&now, &after);
    EXPECT_EQ(before.tm_gmtoff, after.tm_gmtoff);
  }
}

TEST(TodayInZone, WithoutANameIsTheMachinesDay) {
  for (const char* own : {"east-14", "west12"}) {
    const Variable zone{"TZ", own};
    const std::vector<Date> days{today_in_zone(own), today_in_zone(""), today_in_zone(own)};
    EXPECT_TRUE(std::is_sorted(days.begin(), days.end()));
    EXPECT_LE((days.back() - days.front()).days(), 1);
  }
}

TEST(Clock, IsThatOfTheVariableWhereItIsSet) {
  {
    const Variable today{"SLOWDAWN_TODAY", "2026-10-08"};
    const Clock clock = read_clock();
    EXPECT_EQ(to_iso(clock.today), "2026-10-08");
    EXPECT_TRUE(clock.today_is_set);
    EXPECT_FALSE(clock.problem);
  }
  const Variable today{"SLOWDAWN_TODAY", "soon"};
  const Clock clock = read_clock();
  EXPECT_FALSE(clock.today_is_set);
  ASSERT_TRUE(clock.problem);
  EXPECT_EQ(clock.problem->what, "SLOWDAWN_TODAY: \"soon\" is not a date");
}

}  // namespace
}  // namespace slowdawn
