#include <algorithm>
#include <boost/date_time/gregorian/gregorian.hpp>
#include <charconv>
#include <slowdawn/tank/date.hpp>

namespace slowdawn {
namespace {

bool is_digit(char c) { return c >= '0' && c <= '9'; }

int to_int(std::string_view digits) {
  int value = 0;
  std::from_chars(digits.data(), digits.data() + digits.size(), value);
  return value;
}

/// True if the text has digits where the pattern has 9 and equals it elsewhere.
bool has_form(std::string_view text, std::string_view pattern) {
  return std::equal(text.begin(), text.end(), pattern.begin(), pattern.end(),
                    [](char c, char p) { return p == '9' ? is_digit(c) : c == p; });
}

}  // namespace

Result<Date> parse_date(std::string_view text) {
  if (!has_form(text, "9999-99-99")) {
    return fault("\"" + std::string{text} + "\" is not a date",
                 "write year-month-day, for example 2026-12-01");
  }
  const int year = to_int(text.substr(0, 4));
  const int month = to_int(text.substr(5, 2));
  const int day = to_int(text.substr(8, 2));
  if (year < 1900 || year > 2999) {
    return fault("the year " + std::to_string(year) + " is out of range",
                 "years go from 1900 to 2999");
  }
  using boost::gregorian::gregorian_calendar;
  using Year = boost::gregorian::greg_year;
  const bool has_month = month >= 1 && month <= 12;
  const int days_in_month = has_month ? gregorian_calendar::end_of_month_day(
                                            static_cast<Year>(static_cast<unsigned short>(year)),
                                            static_cast<unsigned short>(month))
                                      : 0;
  if (!has_month || day < 1 || day > days_in_month) {
    std::string hint = "months go from 01 to 12";
    if (has_month) {
      hint = "that month has " + std::to_string(days_in_month) + " days";
    }
    return fault("the date " + std::string{text} + " does not exist", hint);
  }
  return Date{static_cast<unsigned short>(year), static_cast<unsigned short>(month),
              static_cast<unsigned short>(day)};
}

Result<ClockTime> parse_clock_time(std::string_view text) {
  const bool is_time =
      has_form(text, "99:99") && to_int(text.substr(0, 2)) < 24 && to_int(text.substr(3, 2)) < 60;
  if (!is_time) {
    return fault("\"" + std::string{text} + "\" is not a time of day",
                 "write HH:MM from 00:00 to 23:59, for example 09:30");
  }
  return ClockTime::minute(60.0 * to_int(text.substr(0, 2)) + to_int(text.substr(3, 2)));
}

std::string to_iso(const Date& date) { return boost::gregorian::to_iso_extended_string(date); }

Date days_after(const Date& date, std::size_t days) {
  return date + boost::gregorian::days{static_cast<long>(days)};
}

}  // namespace slowdawn
