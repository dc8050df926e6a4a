// What the entries of a logbook say.
#pragma once

#include <map>
#include <memory>
#include <optional>
#include <slowdawn/coral/response.hpp>
#include <slowdawn/logbook/logbook_file.hpp>
#include <slowdawn/logbook/record.hpp>
#include <slowdawn/ramp/even_ramp.hpp>
#include <slowdawn/tank/tank.hpp>
#include <string>
#include <variant>
#include <vector>

namespace slowdawn {

/// A straight ramp that a light runs by itself, by the names of the lights.
struct FollowedLine {
  std::map<std::string, Percent> from;
  std::map<std::string, Percent> to;
  std::size_t days;
  bool operator==(const FollowedLine&) const = default;
};

/// The plan as it stood when it was followed: everything it is made from.
struct FollowEntry {
  std::string tank_text;
  /// The named profiles that its groups use, as files, by name.
  std::map<std::string, std::string> profile_texts;
  Date start;
  int every_days;
  Pace pace;
  /// The files that the tank file names, by their name in it.
  std::map<std::string, std::string> attached = {};
  /// Empty for a plan by steps.
  std::optional<FollowedLine> even = {};
  /// It begins from the file alone, whatever was lived before.
  bool afresh = false;
  bool operator==(const FollowEntry&) const = default;
};

/// How a group looks. `seen.day` is left at 0; the entry's date counts.
struct CheckInEntry {
  std::string group;
  CheckIn seen;
  std::string note;
  /// Path of a picture, as the keeper gave it.
  std::string photo;
  /// The keeper restarts a group that was hurt.
  bool restart = false;
  /// Its number among the entries that were written together, from 0; empty for one
  /// that stands alone.
  std::optional<int> round = {};
};

/// What was really dialled, from the entry's date on.
struct DialedEntry {
  std::map<std::string, Percent> dials;
  /// Last day of it; else until the next entry or step of the plan.
  std::optional<Date> until;
};

struct MovedEntry {
  std::string group;
  std::string spot;
  /// The share of light that its mesh lets through from now on, (0, 1], 1 for none;
  /// empty where that did not change.
  std::optional<double> mesh = {};
};

/// A group that died, was sold or given away; from its day on.
struct GoneEntry {
  std::string group;
};

/// Takes back an earlier entry; taking back an undo brings its entry back.
struct UndoEntry {
  std::int64_t seq;
  /// The last one, where a whole round is taken back.
  std::optional<std::int64_t> through = {};
};

using EntryBody =
    std::variant<FollowEntry, CheckInEntry, DialedEntry, MovedEntry, GoneEntry, UndoEntry>;

struct Entry {
  std::int64_t seq;
  Date made;
  Date date;
  /// Never empty; shared by entries that say the same.
  std::shared_ptr<const EntryBody> body;
  /// Whether a later entry has taken it back.
  bool undone = false;
};

/// What a logbook says: its entries, and which light it has said there was.
struct Log {
  std::vector<Entry> entries;
  Record record;
  /// False where the record was told from a logbook of version 1, which keeps none.
  bool record_is_stored = true;
};

/// The line of a follow entry for the tank that it is of; empty for a plan by steps,
/// and where its lights are not those of the tank's goal.
std::optional<EvenLine> followed_line(const Tank& tank, const FollowEntry& followed);

/// "follow", "checkin", "dialed", "moved", "gone" or "undo".
std::string kind_of(const EntryBody& body);

/// An entry to be stored; `plan` is the plan from there on, as JSON; `record` has the
/// days that it brings.
NewLogEntry to_log_entry(const Date& made, const Date& date, const EntryBody& body,
                         std::string plan, const Record& record = {});

/// Reads stored entries, and marks those that later ones take back.
/// file: for messages.
/// Errors (access): a body that is not what its kind says, which only another
///   program can have written.
ReadResult<std::vector<Entry>> parse_entries(const std::string& file,
                                             const std::vector<LogEntry>& stored);

/// Reads the whole of a logbook.
/// today: a logbook of version 1 has no record; it is then told for the days before.
/// Errors: as parse_entries.
ReadResult<Log> parse_log(const std::string& file, const std::vector<LogEntry>& stored,
                          const Date& today);

/// The numbers of the first and last entry that were written with one: all looks of a
/// round, or the entry alone.
std::pair<std::int64_t, std::int64_t> round_of(const std::vector<Entry>& entries, std::int64_t seq);

/// The newest follow entry that is not taken back; empty if there is none.
const Entry* find_followed(const std::vector<Entry>& entries);

/// The tank of a follow entry, with the ramp as it was followed.
/// Errors: content, as parse_tank.
ReadResult<Tank> followed_tank(const std::string& tank_file, const FollowEntry& followed);

}  // namespace slowdawn
