// Calendar days and times of day.
#pragma once

#include <boost/date_time/gregorian/gregorian_types.hpp>
#include <slowdawn/light/clock_time.hpp>
#include <slowdawn/light/result.hpp>
#include <string>
#include <string_view>

namespace slowdawn {

using Date = boost::gregorian::date;

/// Reads YYYY-MM-DD (ISO 8601, the extended calendar date), 1900 to 2999.
/// Errors: another form, a day that does not exist, a year out of that range.
Result<Date> parse_date(std::string_view text);

/// Reads HH:MM, 00:00 to 23:59.
Result<ClockTime> parse_clock_time(std::string_view text);

/// YYYY-MM-DD.
std::string to_iso(const Date& date);

/// The date so many days after another; days >= 0.
Date days_after(const Date& date, std::size_t days);

}  // namespace slowdawn
