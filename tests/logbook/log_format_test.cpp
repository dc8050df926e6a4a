#include "logbook/log_format.hpp"

#include <SQLiteCpp/Transaction.h>
#include <gtest/gtest.h>

#include "logbook/log_chain.hpp"
#include "logbook/log_testing.hpp"

namespace slowdawn {
namespace {

using namespace testing;

std::int64_t digest_of(std::string_view tank, const std::vector<LogRow>& rows) {
  LogChain chain = LogChain::of_tank(tank);
  for (const LogRow& row : rows) chain.add(row);
  return chain.digest();
}

TEST(LogChain, TellsColumnsAndEntriesApart) {
  const LogRow row{1, "2026-12-01", "2026-12-02", "note", "body", "plan"};
  const std::int64_t digest = digest_of("Reef", {row});
  for (const LogRow& other :
       {LogRow{2, "2026-12-01", "2026-12-02", "note", "body", "plan"},
        {1, "2026-12-02", "2026-12-01", "note", "body", "plan"},
        {1, "2026-12-01", "2026-12-02", "noteb", "ody", "plan"},
        {1, "2026-12-01", "2026-12-02", "note", "bodyplan", ""},
        {1, "2026-12-01", "2026-12-02", "note", "", "bodyplan"},
        {1, "2026-12-01", "2026-12-02", "note", std::string_view{"body\0", 5}, "plan"},
        {1, "2026-12-01", "2026-12-02", "note", "body", "plan", "[]"},
        {1, "2026-12-01", "2026-12-02", "note", "body", "", "plan"}}) {
    EXPECT_NE(digest_of("Reef", {other}), digest);
  }
  EXPECT_NE(digest_of("Rack", {row}), digest);
  EXPECT_NE(digest_of("Reef", {row, row}), digest);
  EXPECT_NE(digest_of("Reef", {}), digest);
}

TEST(LogChain, GoesOnFromADigest) {
  const LogRow row{1, "2026-12-01", "2026-12-02", "note", "body", "plan"};
  LogChain chain = LogChain::from(digest_of("Reef", {row}));
  chain.add(row);
  EXPECT_EQ(chain.digest(), digest_of("Reef", {row, row}));
}

/// Regression values of our own, the second with odd lengths: logbooks that
/// exist must be read for ever, on every machine.
TEST(LogChain, StaysTheSame) {
  EXPECT_EQ(digest_of("Reef", {}), 1000056034779112637);
  EXPECT_EQ(digest_of("Reef", {{1, "2026-12-01", "2026-12-02", "note", "\xff body", ""}}),
            -2697023246287401159);
}

/// Made-up steps, whatever the real ones are: version 2 counts photos, version 3 names
/// them otherwise.
constexpr const char* steps[] = {
    "ALTER TABLE head ADD COLUMN photos INTEGER NOT NULL DEFAULT 0; UPDATE head SET photos = 7",
    "ALTER TABLE head RENAME COLUMN photos TO pictures"};

int version_of(SQLite::Database& db) { return db.execAndGet("PRAGMA user_version").getInt(); }

TEST(LogMigration, RunsTheStepsThatAreLacking) {
  EXPECT_EQ(version_after({}), 1);
  EXPECT_EQ(version_after(steps), 3);
  const TestFolder folder;
  const std::string path = folder.file("reef.logbook");
  make_logbook(path, 5);
  SQLite::Database db{path, SQLite::OPEN_READWRITE};
  migrate_log(db, 1, LogMigrations{steps}.first(1));
  EXPECT_EQ(version_of(db), 2);
  EXPECT_EQ(db.execAndGet("SELECT photos FROM head").getInt(), 7);
  db.exec("UPDATE head SET photos = 8");
  migrate_log(db, 2, steps);
  EXPECT_EQ(version_of(db), 3);
  EXPECT_EQ(db.execAndGet("SELECT pictures FROM head").getInt(), 8);
  migrate_log(db, 3, steps);
  EXPECT_EQ(version_of(db), 3);
}

TEST(LogMigration, LeavesTheFileAsItIsIfItFailsOrOnlyReads) {
  const TestFolder folder;
  const std::string path = folder.file("reef.logbook");
  const auto entries = make_logbook(path, 5);
  const std::string before = read_bytes(path);
  constexpr const char* failing[] = {steps[0], "ALTER TABLE photo ADD COLUMN name TEXT"};
  {
    SQLite::Database db{path, SQLite::OPEN_READWRITE};
    SQLite::Transaction transaction{db};
    EXPECT_THROW(migrate_log(db, 1, failing), SQLite::Exception);
  }
  {
    SQLite::Database db{path};
    SQLite::Database copy = migrated_copy(db, 1, steps);
    EXPECT_EQ(version_of(copy), 3);
    EXPECT_EQ(version_of(db), version_after(log_migrations()));
    EXPECT_EQ(copy.execAndGet("SELECT count(*) FROM entry").getInt(), 5);
  }
  EXPECT_EQ(read_bytes(path), before);
  EXPECT_EQ(entries_in(path), entries);
}

}  // namespace
}  // namespace slowdawn
