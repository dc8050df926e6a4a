// Calendar files of this program's own (RFC 5545), read back.
//
// A calendar that is written anew has to know what the one before said: what is
// no longer planned is cancelled, what changed gets a higher SEQUENCE. So this is
// no reader of calendars in general; it reads what present/calendar.hpp writes,
// in that order, and refuses everything else.
#pragma once

#include <optional>
#include <slowdawn/tank/date.hpp>
#include <slowdawn/tank/finding.hpp>
#include <string>
#include <string_view>
#include <vector>

namespace slowdawn {

/// An event of one whole day.
struct CalendarEvent {
  /// The same from run to run.
  std::string uid;
  Date date;
  std::string summary;
  std::string description = {};
  /// When its alarm rings, by the user's own time; empty for none.
  std::optional<ClockTime> reminder = {};
  bool is_cancelled = false;
  /// How often it was revised (RFC 5545, 3.8.7.4); 0 or more.
  int sequence = 0;
  /// The day on which it became what it is; DTSTAMP is its beginning in UTC.
  Date stamp = {};

  /// Whether it says the same, whatever its revision.
  bool says_the_same(const CalendarEvent& other) const {
    return summary == other.summary && description == other.description &&
           reminder == other.reminder && is_cancelled == other.is_cancelled;
  }
};

struct Calendar {
  /// Of the tank, as it is shown.
  std::string name;
  /// In the order of their days.
  std::vector<CalendarEvent> events;
};

/// PRODID; the number is that of the form in which events are written.
inline constexpr std::string_view calendar_product = "-//slowdawn//calendar 1//EN";

/// Reads a calendar that slowdawn wrote.
/// file: for messages. text: the content.
/// Errors (content): a file of something else, or of another program; of another
///   version; one that has been changed since it was written.
ReadResult<Calendar> parse_calendar(const std::string& file, std::string_view text);

}  // namespace slowdawn
