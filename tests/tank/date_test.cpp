#include <gtest/gtest.h>

#include <cstdio>
#include <slowdawn/tank/date.hpp>
#include <string>

namespace slowdawn {
namespace {

/// The date as text again, or what is wrong with it.
std::string read(std::string_view text) {
  const auto date = parse_date(text);
  if (date) return to_iso(*date);
  EXPECT_FALSE(date.error().hint.empty());
  return date.error().what;
}

bool is_refused(std::string_view text) { return !parse_date(text).has_value(); }

std::string iso(int year, int month, int day) {
  char buffer[40];
  std::snprintf(buffer, sizeof buffer, "%04d-%02d-%02d", year, month, day);
  return buffer;
}

TEST(Date, ReadsTheExtendedCalendarDate) {
  EXPECT_EQ(read("2026-12-01"), "2026-12-01");
  const Date date = parse_date("2027-02-03").value();
  EXPECT_EQ(date.year(), 2027);
  EXPECT_EQ(date.month(), 2);
  EXPECT_EQ(date.day(), 3);
}

TEST(Date, HasLeapDaysOfTheGregorianCalendar) {
  EXPECT_EQ(read("2024-02-29"), "2024-02-29");
  EXPECT_EQ(read("2000-02-29"), "2000-02-29");
  EXPECT_EQ(read("2400-02-29"), "2400-02-29");
  EXPECT_EQ(read("2026-02-29"), "the date 2026-02-29 does not exist");
  EXPECT_TRUE(is_refused("1900-02-29"));
  EXPECT_TRUE(is_refused("2100-02-29"));
  EXPECT_EQ(parse_date("2026-02-29").error().hint, "that month has 28 days");
  EXPECT_EQ(parse_date("2024-02-30").error().hint, "that month has 29 days");
}

TEST(Date, GoesFrom1900To2999) {
  EXPECT_EQ(read("1900-01-01"), "1900-01-01");
  EXPECT_EQ(read("2999-12-31"), "2999-12-31");
  EXPECT_EQ(read("1899-12-31"), "the year 1899 is out of range");
  EXPECT_EQ(read("3000-01-01"), "the year 3000 is out of range");
  EXPECT_TRUE(is_refused("0000-01-01"));
  EXPECT_TRUE(is_refused("9999-12-31"));
}

TEST(Date, RefusesDaysThatDoNotExist) {
  for (const char* text : {"2026-00-10", "2026-13-01", "2026-99-01", "2026-01-00", "2026-01-32",
                           "2026-04-31", "2026-06-31", "2026-09-31", "2026-11-31", "2026-12-99"}) {
    EXPECT_TRUE(is_refused(text)) << text;
  }
}

TEST(Date, RefusesOtherForms) {
  for (const char* text : {"",
                           "2026",
                           "2026-12",
                           "20261201",
                           "2026-12-1",
                           "2026-1-01",
                           "26-12-01",
                           "01-12-2026",
                           "1.12.2026",
                           "12/01/2026",
                           "2026/12/01",
                           "2026-12-01 ",
                           " 2026-12-01",
                           "2026-12-01T00:00",
                           "2026-W49-2",
                           "2026-335",
                           "+026-12-01",
                           "-026-12-01",
                           "2026--2-01",
                           "2026-12-0x",
                           "2026-12-\xD9\xA1\xD9\xA1",
                           "tomorrow"}) {
    EXPECT_TRUE(is_refused(text)) << text;
  }
  EXPECT_TRUE(is_refused(std::string_view{"2026-12-01\0", 11}));
}

TEST(Date, TakesEveryDayAndNoOther) {
  // 1100 years of 365 days, 275 of them divisible by 4, 11 full centuries of
  // which 3 are divisible by 400.
  constexpr std::size_t days = 1100 * 365 + 275 - 11 + 3;
  Date last = days_after(parse_date("1900-01-01").value(), 0) - boost::gregorian::days{1};
  std::size_t taken = 0;
  for (int year = 1900; year <= 2999; ++year) {
    for (int month = 0; month <= 13; ++month) {
      for (int day = 0; day <= 32; ++day) {
        const std::string text = iso(year, month, day);
        const auto date = parse_date(text);
        if (!date) continue;
        ++taken;
        ASSERT_EQ(to_iso(*date), text);
        ASSERT_EQ(*date, days_after(last, 1)) << text;
        last = *date;
      }
    }
  }
  EXPECT_EQ(taken, days);
}

TEST(Date, CountsDaysAcrossMonthsAndYears) {
  const Date start = parse_date("2026-12-01").value();
  EXPECT_EQ(to_iso(days_after(start, 0)), "2026-12-01");
  EXPECT_EQ(to_iso(days_after(start, 44)), "2027-01-14");
  EXPECT_EQ(to_iso(days_after(start, 365)), "2027-12-01");
  EXPECT_EQ(to_iso(days_after(parse_date("2028-02-28").value(), 1)), "2028-02-29");
  EXPECT_EQ(to_iso(days_after(parse_date("2999-12-31").value(), 365)), "3000-12-31");
}

TEST(ClockTime, IsMinutesFromMidnight) {
  EXPECT_EQ(parse_clock_time("00:00").value().minute(), 0.0);
  EXPECT_EQ(parse_clock_time("00:01").value().minute(), 1.0);
  EXPECT_EQ(parse_clock_time("09:30").value().minute(), 570.0);
  EXPECT_EQ(parse_clock_time("19:59").value().minute(), 1199.0);
  EXPECT_EQ(parse_clock_time("23:59").value().minute(), 1439.0);
}

TEST(ClockTime, RefusesOtherForms) {
  for (const char* text :
       {"", "24:00", "23:60", "99:99", "9:30", "09:3", "0930", "09.30", "09:30 ", " 09:30",
        "09:30:00", "9:30 am", "09:30am", "-1:30", "+9:30", "noon", "09-30", "0x:10"}) {
    const auto minute = parse_clock_time(text);
    ASSERT_FALSE(minute.has_value()) << text;
    EXPECT_NE(minute.error().what.find("is not a time of day"), std::string::npos);
    EXPECT_NE(minute.error().hint.find("23:59"), std::string::npos);
  }
}

}  // namespace
}  // namespace slowdawn
