// How a logbook lies in SQLite: tables, triggers, version, and what is checked.
//
// entry: the entries, each with the plan from there on ("=" for that of the entry before it,
//   since version 3) and the record of the days before it (since version 2; empty in entries of
//   version 1). Their number is the only unique key, since INSERT OR REPLACE on a further key
//   would delete a row without asking the triggers of a connection that has not set
//   recursive_triggers.
// head: one row with the tank's name, how many entries there are and the last
//   digest, so that entries cut off at the end are missed.
#pragma once

#include <SQLiteCpp/Database.h>

#include <optional>
#include <slowdawn/logbook/logbook_file.hpp>
#include <span>
#include <string>
#include <vector>

namespace slowdawn {

/// "SlDw"; tells a logbook from other SQLite files.
inline constexpr int log_application_id = 0x536C4477;

/// What leads from one version to the next as SQL: the first from 1 to 2, and
/// so on. Steps are only ever added.
using LogMigrations = std::span<const char* const>;
LogMigrations log_migrations();

/// The version that a file has after the last of these steps.
int version_after(LogMigrations migrations);

/// Everything in a logbook, and the digest over it.
struct LogContent {
  std::vector<LogEntry> entries;
  std::int64_t digest;
};

/// Makes an empty file an empty logbook.
LogContent create_log(SQLite::Database& db, const std::string& tank_name);

/// The version of a logbook that can be read.
/// Errors: not a logbook; a version that is newer than this program.
/// path: for messages, here as below.
ReadResult<int> read_log_version(SQLite::Database& db, const std::string& path);

/// Runs the steps that a file of this version lacks, in the transaction that is
/// open.
void migrate_log(SQLite::Database& db, int version, LogMigrations migrations);

/// As migrate_log, in a copy in memory: for those who may not write.
SQLite::Database migrated_copy(SQLite::Database& db, int version, LogMigrations migrations);

/// Reads a logbook of the present version and checks everything.
/// tank_name: of the tank that it must be about; empty for any.
/// Errors: damaged, changed by another program, of another tank.
ReadResult<LogContent> read_log(SQLite::Database& db, const std::string& path,
                                const std::optional<std::string>& tank_name);

/// Adds entries in the transaction that is open, and to `content` as well.
/// Throws std::logic_error for dates that parse_date would not allow.
void add_to_log(SQLite::Database& db, const std::vector<NewLogEntry>& added, LogContent& content);

}  // namespace slowdawn
