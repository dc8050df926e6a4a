#include "logbook/log_format.hpp"

#include <SQLiteCpp/Backup.h>
#include <SQLiteCpp/Statement.h>
#include <SQLiteCpp/Transaction.h>

#include <array>
#include <map>
#include <stdexcept>
#include <string_view>
#include <utility>

#include "logbook/log_chain.hpp"
#include "logbook/log_failure.hpp"

namespace slowdawn {
namespace {

/// A table or trigger, in the words in which SQLite keeps it; a file whose
/// words differ was changed by another program.
struct Part {
  std::string_view name;
  const char* sql;
};

constexpr std::array parts{
    Part{"entry",
         "CREATE TABLE entry (\n"
         "  seq INTEGER PRIMARY KEY,\n"
         "  made TEXT NOT NULL,\n"
         "  date TEXT NOT NULL,\n"
         "  kind TEXT NOT NULL,\n"
         "  body TEXT NOT NULL,\n"
         "  plan TEXT NOT NULL,\n"
         "  digest INTEGER NOT NULL\n"
         // As SQLite adds a column to a table that is there, so that new files and
         // migrated ones are the same.
         ", record TEXT NOT NULL DEFAULT '') STRICT"},
    Part{"head",
         "CREATE TABLE head (\n"
         "  id INTEGER PRIMARY KEY CHECK (id = 1),\n"
         "  tank TEXT NOT NULL,\n"
         "  entries INTEGER NOT NULL,\n"
         "  digest INTEGER NOT NULL\n"
         ") STRICT"},
    Part{"entry_in_order",
         "CREATE TRIGGER entry_in_order BEFORE INSERT ON entry\n"
         "WHEN NEW.seq IS NOT (SELECT coalesce(max(seq), 0) + 1 FROM entry)\n"
         "BEGIN SELECT RAISE(ABORT, 'entries of a logbook are added at its end'); END"},
    Part{"entry_unchanged",
         "CREATE TRIGGER entry_unchanged BEFORE UPDATE ON entry\n"
         "BEGIN SELECT RAISE(ABORT, 'entries of a logbook are never changed'); END"},
    Part{"entry_kept",
         "CREATE TRIGGER entry_kept BEFORE DELETE ON entry\n"
         "BEGIN SELECT RAISE(ABORT, 'entries of a logbook are never deleted'); END"},
};

constexpr const char* version_steps[] = {
    // To 2: with the record of which light was shown.
    "ALTER TABLE entry ADD COLUMN record TEXT NOT NULL DEFAULT ''",
    // To 3: a plan may be that of the entry before. A year of rounds is half as long for it.
    ""};

/// What stands for the plan of the entry before; no plan is such a text.
constexpr std::string_view same_plan = "=";

/// Text of a column of the present row; valid until the next row.
std::string_view text_of(const SQLite::Column& column) {
  const char* text = column.getText();
  return {text, static_cast<std::size_t>(column.getBytes())};
}

void set_version(SQLite::Database& db, int version) {
  db.exec("PRAGMA user_version = " + std::to_string(version));
}

/// What SQLite itself finds wrong with the pages; empty if nothing.
std::string find_bad_page(SQLite::Database& db) {
  const std::string found = db.execAndGet("PRAGMA quick_check(1)").getString();
  return found == "ok" ? "" : found;
}

/// What is wrong with the tables and triggers; empty if nothing.
std::string find_bad_part(SQLite::Database& db) {
  std::map<std::string, std::string, std::less<>> found;
  SQLite::Statement rows{db, "SELECT name, coalesce(sql, '') FROM sqlite_schema"};
  while (rows.executeStep()) {
    found.emplace(rows.getColumn(0).getString(), rows.getColumn(1).getString());
  }
  for (const Part& part : parts) {
    const auto at = found.find(part.name);
    if (at == found.end()) return "its \"" + std::string{part.name} + "\" is missing";
    if (at->second != part.sql) return "its \"" + at->first + "\" is not as it was made";
    found.erase(at);
  }
  return found.empty() ? "" : "it has a \"" + found.begin()->first + "\" of someone else's";
}

struct Head {
  std::string tank;
  std::int64_t entries;
  std::int64_t digest;
};

std::optional<Head> read_head(SQLite::Database& db) {
  SQLite::Statement rows{db, "SELECT tank, entries, digest FROM head"};
  if (!rows.executeStep()) return std::nullopt;
  return Head{rows.getColumn(0).getString(), rows.getColumn(1).getInt64(),
              rows.getColumn(2).getInt64()};
}

ReadResult<LogContent> read_entries(SQLite::Database& db, const std::string& path,
                                    const Head& head) {
  LogContent content;
  content.entries.reserve(
      static_cast<std::size_t>(db.execAndGet("SELECT count(*) FROM entry").getInt64()));
  LogChain chain = LogChain::of_tank(head.tank);
  SharedText plan;
  SQLite::Statement rows{
      db, "SELECT seq, made, date, kind, body, plan, record, digest FROM entry ORDER BY seq"};
  while (rows.executeStep()) {
    const LogRow row{rows.getColumn(0).getInt64(), text_of(rows.getColumn(1)),
                     text_of(rows.getColumn(2)),   text_of(rows.getColumn(3)),
                     text_of(rows.getColumn(4)),   text_of(rows.getColumn(5)),
                     text_of(rows.getColumn(6))};
    const auto expected = static_cast<std::int64_t>(content.entries.size()) + 1;
    if (row.seq != expected) {
      return damaged(path, "entry " + std::to_string(expected) + " is missing");
    }
    chain.add(row);
    const auto made = parse_date(row.made);
    const auto date = parse_date(row.date);
    if (chain.digest() != rows.getColumn(7).getInt64() || !made || !date) {
      return damaged(path, "entry " + std::to_string(row.seq) + " is not as it was written");
    }
    if (row.plan != same_plan) plan = std::string{row.plan};
    content.entries.push_back({row.seq, *made, *date, std::string{row.kind}, std::string{row.body},
                               plan, std::string{row.record}});
  }
  const auto count = static_cast<std::int64_t>(content.entries.size());
  if (count != head.entries) {
    return damaged(path, "it has " + std::to_string(count) + " entries and should have " +
                             std::to_string(head.entries));
  }
  content.digest = chain.digest();
  if (content.digest != head.digest) {
    return damaged(path, "its entries are not those that were written last");
  }
  return content;
}

void require_date(const Date& date) {
  if (!parse_date(to_iso(date))) {
    throw std::logic_error("an entry has a date that cannot be kept: " + to_iso(date));
  }
}

}  // namespace

LogMigrations log_migrations() { return version_steps; }

int version_after(LogMigrations migrations) { return static_cast<int>(migrations.size()) + 1; }

LogContent create_log(SQLite::Database& db, const std::string& tank_name) {
  db.exec("PRAGMA application_id = " + std::to_string(log_application_id));
  set_version(db, version_after(log_migrations()));
  for (const Part& part : parts) db.exec(part.sql);
  const std::int64_t digest = LogChain::of_tank(tank_name).digest();
  SQLite::Statement head{db, "INSERT INTO head VALUES (1, ?, 0, ?)"};
  head.bind(1, tank_name);
  head.bind(2, digest);
  head.exec();
  return {{}, digest};
}

ReadResult<int> read_log_version(SQLite::Database& db, const std::string& path) {
  if (db.execAndGet("PRAGMA application_id").getInt() != log_application_id) {
    return no_logbook(path, "another program made it");
  }
  const int version = db.execAndGet("PRAGMA user_version").getInt();
  const int newest = version_after(log_migrations());
  if (version < 1) return damaged(path, "its version is " + std::to_string(version));
  if (version > newest) {
    return log_failure(path,
                       "a newer slowdawn wrote this logbook (version " + std::to_string(version) +
                           "; this one knows those up to " + std::to_string(newest) + ")",
                       "nothing was written to it; use the newer slowdawn");
  }
  return version;
}

void migrate_log(SQLite::Database& db, int version, LogMigrations migrations) {
  for (; version < version_after(migrations); ++version) {
    db.exec(migrations[static_cast<std::size_t>(version) - 1]);
    set_version(db, version + 1);
  }
}

SQLite::Database migrated_copy(SQLite::Database& db, int version, LogMigrations migrations) {
  SQLite::Database copy{":memory:", SQLite::OPEN_READWRITE | SQLite::OPEN_CREATE};
  SQLite::Backup{copy, db}.executeStep();
  migrate_log(copy, version, migrations);
  return copy;
}

ReadResult<LogContent> read_log(SQLite::Database& db, const std::string& path,
                                const std::optional<std::string>& tank_name) {
  for (const auto& find_bad : {find_bad_page, find_bad_part}) {
    const std::string found = find_bad(db);
    if (!found.empty()) return damaged(path, found);
  }
  const auto head = read_head(db);
  if (!head) return damaged(path, "its head is empty");
  auto content = read_entries(db, path, *head);
  // Last, so that a damaged name is not taken for that of another tank.
  if (content && tank_name && head->tank != *tank_name) {
    return log_failure(
        path,
        "this is the logbook of the tank \"" + head->tank + "\", not of \"" + *tank_name + "\"",
        "if the tank was renamed, give it its old name again; else move the "
        "logbook beside its own tank file");
  }
  return content;
}

void add_to_log(SQLite::Database& db, const std::vector<NewLogEntry>& added, LogContent& content) {
  for (const NewLogEntry& entry : added) {
    require_date(entry.made);
    require_date(entry.date);
  }
  LogChain chain = LogChain::from(content.digest);
  SharedText plan = content.entries.empty() ? SharedText{} : content.entries.back().plan;
  SQLite::Statement insert{db, "INSERT INTO entry VALUES (?, ?, ?, ?, ?, ?, ?, ?)"};
  for (const NewLogEntry& entry : added) {
    const auto seq = static_cast<std::int64_t>(content.entries.size()) + 1;
    const std::string made = to_iso(entry.made);
    const std::string date = to_iso(entry.date);
    // Never empty, so that it is not taken for an entry of version 1.
    const std::string record = entry.record.empty() ? "[]" : entry.record;
    const bool is_same = !plan.empty() && plan.str() == entry.plan;
    if (!is_same) plan = entry.plan;
    const std::string kept_plan = is_same ? std::string{same_plan} : entry.plan;
    chain.add({seq, made, date, entry.kind, entry.body, kept_plan, record});
    int column = 0;
    insert.bind(++column, seq);
    for (const std::string* text : {&made, &date, &entry.kind, &entry.body, &kept_plan}) {
      insert.bindNoCopy(++column, *text);
    }
    insert.bind(++column, chain.digest());
    insert.bindNoCopy(++column, record);
    insert.exec();
    insert.reset();
    content.entries.push_back({seq, entry.made, entry.date, entry.kind, entry.body, plan, record});
  }
  content.digest = chain.digest();
  SQLite::Statement head{db, "UPDATE head SET entries = ?, digest = ?"};
  head.bind(1, static_cast<std::int64_t>(content.entries.size()));
  head.bind(2, content.digest);
  head.exec();
}

}  // namespace slowdawn
