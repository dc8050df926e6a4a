#include <SQLiteCpp/Database.h>
#include <SQLiteCpp/Transaction.h>
#include <sqlite3.h>

#include <chrono>
#include <filesystem>
#include <slowdawn/logbook/logbook_file.hpp>
#include <thread>
#include <utility>

#include "logbook/log_failure.hpp"
#include "logbook/log_folder.hpp"
#include "logbook/log_format.hpp"

namespace slowdawn {
namespace {

constexpr std::chrono::milliseconds lock_patience{10'000};
/// SQLite's own busy timeout looks ever more rarely, up to ten times a second;
/// among several busy writers somebody may then miss every gap for 10 s.
constexpr std::chrono::milliseconds lock_interval{2};
/// How often a file is looked at again that others are writing to.
constexpr int most_looks = 20;

int wait_for_lock(void*, int tries) {
  if (tries * lock_interval >= lock_patience) return 0;
  std::this_thread::sleep_for(lock_interval);
  return 1;
}

SQLite::Database open_log(const std::string& path, int flags) {
  // With a folder before it, so that SQLite takes no name for a URI or memory; without its
  // locks between threads, for a connection never leaves the one that opened it.
  SQLite::Database db{(std::filesystem::path{"."} / path).string(), flags | SQLite::OPEN_NOMUTEX};
  sqlite3_busy_handler(db.getHandle(), wait_for_lock, nullptr);
  // The last one: 16 MB, so that pages are read once for all checks.
  db.exec(
      "PRAGMA trusted_schema = OFF; PRAGMA cell_size_check = ON; PRAGMA recursive_triggers = ON; "
      "PRAGMA cache_size = -16000");
  return db;
}

/// path: for messages.
ReadResult<std::vector<LogEntry>> read_from(SQLite::Database& db, const std::string& path,
                                            const std::optional<std::string>& tank_name) {
  const SQLite::Transaction one_moment{db};
  const auto version = read_log_version(db, path);
  if (!version) return tl::make_unexpected(version.error());
  const auto read = [&](SQLite::Database& present) {
    return read_log(present, path, tank_name).map([](LogContent&& content) {
      return std::move(content.entries);
    });
  };
  if (*version == version_after(log_migrations())) return read(db);
  SQLite::Database copy = migrated_copy(db, *version, log_migrations());
  return read(copy);
}

/// Nothing if a write that was broken off must first be undone.
std::optional<ReadResult<std::vector<LogEntry>>> read_in_place(
    const std::string& path, const std::optional<std::string>& tank_name) {
  try {
    SQLite::Database db = open_log(path, SQLite::OPEN_READONLY);
    return read_from(db, path, tank_name);
  } catch (const SQLite::Exception& problem) {
    if (problem.getExtendedErrorCode() == SQLITE_READONLY_ROLLBACK) return std::nullopt;
    return sqlite_failure(path, problem);
  }
}

ReadResult<std::vector<LogEntry>> read_copy(const LogCopy& copy, const std::string& path,
                                            const std::optional<std::string>& tank_name) {
  try {
    SQLite::Database db = open_log(copy.path(), SQLite::OPEN_READWRITE);
    return read_from(db, path, tank_name);
  } catch (const SQLite::Exception& problem) {
    return sqlite_failure(path, problem);
  }
}

ReadResult<std::vector<LogEntry>> append_to(const std::string& path, const std::string& tank_name,
                                            const LogbookFile::Make& make) {
  SQLite::Database db = open_log(path, SQLite::OPEN_READWRITE);
  // Beyond FULL, the folder is synced when the journal is gone; else a power
  // cut could bring the journal back, and with it undo an acknowledged entry.
  db.exec("PRAGMA synchronous = EXTRA");
  SQLite::Transaction transaction{db, SQLite::TransactionBehavior::IMMEDIATE};
  const auto version = read_log_version(db, path);
  if (!version) return tl::make_unexpected(version.error());
  migrate_log(db, *version, log_migrations());
  auto content = read_log(db, path, tank_name);
  if (!content) return tl::make_unexpected(std::move(content.error()));
  auto added = make(content->entries);
  if (!added) return tl::make_unexpected(std::move(added.error()));
  if (!added->empty()) {
    add_to_log(db, *added, *content);
    transaction.commit();
  }
  return std::move(content->entries);
}

std::vector<LogEntry> write_draft(const Draft& draft, const std::string& tank_name,
                                  const std::vector<NewLogEntry>& added) {
  SQLite::Database db = open_log(draft.path(), SQLite::OPEN_READWRITE | SQLite::OPEN_CREATE);
  // Nobody needs a draft that was broken off, but it must be on the disk before
  // it gets its name.
  db.exec("PRAGMA journal_mode = MEMORY; PRAGMA synchronous = FULL");
  SQLite::Transaction transaction{db, SQLite::TransactionBehavior::IMMEDIATE};
  LogContent content = create_log(db, tank_name);
  add_to_log(db, added, content);
  transaction.commit();
  return std::move(content.entries);
}

/// Nothing if another program was faster.
ReadResult<std::optional<std::vector<LogEntry>>> create_with(const std::string& path,
                                                             const std::string& tank_name,
                                                             const LogbookFile::Make& make) {
  namespace fs = std::filesystem;
  std::error_code ignored;
  if (fs::exists(journal_of(path), ignored)) {
    if (fs::exists(path, ignored)) return std::nullopt;
    // SQLite would play it back into the new file.
    return log_failure(journal_of(path), "the journal of a logbook lies here without its logbook",
                       "put the logbook back beside it, or move the journal away");
  }
  auto added = make({});
  if (!added) return tl::make_unexpected(std::move(added.error()));
  if (added->empty()) return std::vector<LogEntry>{};
  const Draft draft{path};
  try {
    auto entries = write_draft(draft, tank_name, *added);
    const auto is_published = draft.publish();
    if (!is_published) return tl::make_unexpected(is_published.error());
    if (!*is_published) return std::nullopt;
    return entries;
  } catch (const SQLite::Exception& problem) {
    if (problem.getErrorCode() != SQLITE_CANTOPEN) return sqlite_failure(path, problem);
    return log_failure(path, "the logbook cannot be created",
                       "check that its folder exists and that you may write there");
  }
}

}  // namespace

std::string LogbookFile::path_beside(const std::string& tank_file) {
  constexpr std::string_view tank_ending = ".tank.json";
  const bool has_ending = tank_file.ends_with(tank_ending);
  return tank_file.substr(0, tank_file.size() - (has_ending ? tank_ending.size() : 0)) + ".logbook";
}

ReadResult<std::optional<std::vector<LogEntry>>> LogbookFile::read(
    const std::string& path, const std::optional<std::string>& tank_name) {
  for (int look = 0; look < most_looks; ++look) {
    const auto found = finds_log(path);
    if (!found) return tl::make_unexpected(found.error());
    if (!*found) return std::nullopt;
    if (auto entries = read_in_place(path, tank_name)) return std::move(*entries);
    LogCopy copy;
    const auto is_taken = copy.take(path);
    if (!is_taken) return tl::make_unexpected(is_taken.error());
    if (*is_taken) return read_copy(copy, path, tank_name);
  }
  return log_failure(path, "other programs are writing to the logbook all the time",
                     "try again when they are done");
}

ReadResult<std::vector<LogEntry>> LogbookFile::append(const std::string& path,
                                                      const std::string& tank_name,
                                                      const Make& make) {
  const auto found = finds_log(path);
  if (!found) return tl::make_unexpected(found.error());
  remove_old_drafts(path);
  if (!*found) {
    auto created = create_with(path, tank_name, make);
    if (!created) return tl::make_unexpected(std::move(created.error()));
    if (*created) return std::move(**created);
  }
  try {
    return append_to(path, tank_name, make);
  } catch (const SQLite::Exception& problem) {
    return sqlite_failure(path, problem);
  }
}

}  // namespace slowdawn
