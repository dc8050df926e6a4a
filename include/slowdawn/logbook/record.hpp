// Which light was shown: the dials of past days, as they were said on those days.
//
// Each entry keeps the days since the entry before it. What a later entry says, or a
// later version of the program would have said, never changes them.
#pragma once

#include <map>
#include <optional>
#include <slowdawn/light/quantity.hpp>
#include <slowdawn/logbook/logbook_file.hpp>
#include <string>
#include <vector>

namespace slowdawn {

/// A day as it stood at its end.
struct RecordedDay {
  Date date;
  /// By light; at least one.
  std::map<std::string, Percent> dials;
  /// Where on the path of the plan that stood, in settings from its first; a hint.
  std::size_t at = 0;
  /// The dimmest answer of the day, where it was dimmed within the day.
  std::optional<std::map<std::string, Percent>> low = {};
  /// What the day began with, where that is not how it stood at its end.
  std::optional<std::map<std::string, Percent>> first = {};

  bool operator==(const RecordedDay&) const = default;
};

/// By date, rising; no date twice.
using Record = std::vector<RecordedDay>;

/// As it is kept with an entry: a list of {"date", "dials", "at"}, with "low" and
/// "first" where there are.
std::string record_json(const Record& record);

/// Reads it back.
/// Throws std::invalid_argument, saying what is wrong, for anything that record_json
/// would not write: other keys, dates that do not rise, a dial that is no percentage.
Record parse_record(const std::string& json);

/// Which light there was according to a logbook of version 1, which kept no record:
/// every day of the plan that was followed first, and on.
///
/// A day was lit by the plan stored with the newest entry made on or before it; the
/// days before the first entry was made by that entry's plan. Such a plan took it that
/// looks would be made in time. On any day, though, version 1 let no dial rise once a
/// group had not been looked at for days_without_look_that_hold, counted from the last
/// look that was known on that day and the plan's first day. So the dial is held as it
/// stood on the day before, or when the entry was made if it was held by then. An even
/// ramp goes on by itself and is never held. What was dialled by hand counts from the
/// day on which its entry was made. Days that no plan says anything about, between a
/// first plan and a later one, keep the dials of the day before.
/// stored: all entries; only those without a record, of version 1, are asked.
/// until: the first day that is left out.
/// Throws std::invalid_argument for entries that no version 1 wrote.
Record legacy_record(const std::vector<LogEntry>& stored, const Date& until);

/// Gives the entries of version 1 the record that follows from them, as if it had been
/// written with them: each gets the days since the one before it was made.
/// The other entries stay as they are, and no day stands twice.
/// Throws std::invalid_argument as legacy_record does.
std::vector<LogEntry> with_legacy_record(std::vector<LogEntry> stored);

}  // namespace slowdawn
