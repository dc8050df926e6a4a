#include <gtest/gtest.h>

#include <cstdio>
#include <set>

#include "logbook/log_testing.hpp"

// What other programs and failing disks do to a logbook: refused, or noticed.

namespace slowdawn {
namespace {

using namespace testing;

constexpr const char* drop_triggers =
    "DROP TRIGGER entry_in_order; DROP TRIGGER entry_unchanged; DROP TRIGGER entry_kept;";

/// The triggers as they are, so that a test can put them back.
std::string triggers_of(const std::string& path) {
  SQLite::Database db{path};
  return db.execAndGet("SELECT group_concat(sql, ';\n') FROM sqlite_schema WHERE type = 'trigger'")
             .getString() +
         ";";
}

TEST(LogGuard, RefusesWhatAnotherProgramDoesToEntries) {
  const TestFolder folder;
  const std::string path = folder.file("reef.logbook");
  const auto entries = make_logbook(path, 5);
  const std::string added = "entries of a logbook are added at its end";
  const std::string changed = "entries of a logbook are never changed";
  const std::string deleted = "entries of a logbook are never deleted";
  for (const auto& [sql, refusal] : {
           std::pair{"INSERT OR REPLACE INTO entry VALUES (3, '', '', '', '', '', 0, '[]')", added},
           {"REPLACE INTO entry VALUES (5, '', '', '', '', '', 0, '[]')", added},
           {"INSERT INTO entry VALUES (3, '', '', '', '', '', 0, '[]')", added},
           {"INSERT OR IGNORE INTO entry VALUES (3, '', '', '', '', '', 0, '[]')", added},
           {"INSERT INTO entry VALUES (3, '', '', '', '', '', 0, '[]') ON CONFLICT DO UPDATE SET "
            "body = "
            "''",
            added},
           {"INSERT INTO entry VALUES (0, '', '', '', '', '', 0, '[]')", added},
           {"INSERT INTO entry VALUES (-1, '', '', '', '', '', 0, '[]')", added},
           {"INSERT INTO entry VALUES (7, '', '', '', '', '', 0, '[]')", added},
           {"INSERT INTO entry VALUES (NULL, '', '', '', '', '', 0, '[]')", added},
           {"UPDATE entry SET body = '' WHERE seq = 3", changed},
           {"UPDATE OR REPLACE entry SET seq = 4 WHERE seq = 5", changed},
           {"UPDATE OR IGNORE entry SET seq = seq + 10", changed},
           {"DELETE FROM entry", deleted},
           {"DELETE FROM entry WHERE seq = 5", deleted},
       }) {
    EXPECT_EQ(run_outside(path, sql), refusal) << sql;
    EXPECT_EQ(entries_in(path), entries) << sql;
  }
  EXPECT_EQ(append_refusal(path), "");
}

TEST(LogGuard, NoticesWhatItCannotRefuse) {
  const TestFolder folder;
  const std::string path = folder.file("reef.logbook");
  make_logbook(path, 5);
  const std::string good = read_bytes(path);
  const std::string put_back = triggers_of(path);
  const auto without_triggers = [&](const std::string& sql) {
    return drop_triggers + sql + ";" + put_back;
  };
  for (const auto& [sql, words] : {
           std::pair{std::string{"DROP TRIGGER entry_kept"}, "its \"entry_kept\" is missing"},
           {"DROP TRIGGER entry_unchanged", "its \"entry_unchanged\" is missing"},
           {"DROP TRIGGER entry_in_order", "its \"entry_in_order\" is missing"},
           {"DROP TRIGGER entry_kept; CREATE TRIGGER entry_kept BEFORE DELETE ON entry BEGIN "
            "SELECT 1; END",
            "its \"entry_kept\" is not as it was made"},
           {"CREATE TRIGGER another AFTER INSERT ON entry BEGIN SELECT 1; END",
            "it has a \"another\" of someone else's"},
           {"CREATE UNIQUE INDEX made_once ON entry (body)", "\"made_once\" of someone else's"},
           {"ALTER TABLE entry ADD COLUMN photo TEXT", "its \"entry\" is not as it was made"},
           {"ALTER TABLE entry RENAME TO entries", "its \"entry\" is missing"},
           {"DROP TABLE entry", "its \"entry\" is missing"},
           {"DROP TABLE head", "its \"head\" is missing"},
           {"DELETE FROM head", "its head is empty"},
           {"UPDATE head SET tank = 'Rack'", "entry 1 is not as it was written"},
           {"UPDATE head SET entries = 4", "it has 5 entries and should have 4"},
           {"UPDATE head SET digest = digest + 1", "not those that were written last"},
           {"INSERT INTO entry VALUES (6, '2026-12-01', '2026-12-01', 'note', '', '', 0, '[]')",
            "entry 6 is not as it was written"},
           {without_triggers("UPDATE entry SET made = '2026-12-02' WHERE seq = 2"),
            "entry 2 is not as it was written"},
           {without_triggers("UPDATE entry SET date = '2026-12-09' WHERE seq = 2"),
            "entry 2 is not as it was written"},
           {without_triggers("UPDATE entry SET date = 'never' WHERE seq = 2"),
            "entry 2 is not as it was written"},
           {without_triggers("UPDATE entry SET kind = 'moved' WHERE seq = 3"),
            "entry 3 is not as it was written"},
           {without_triggers("UPDATE entry SET body = body || ' ' WHERE seq = 5"),
            "entry 5 is not as it was written"},
           {without_triggers("UPDATE entry SET plan = '' WHERE seq = 4"),
            "entry 4 is not as it was written"},
           {without_triggers("UPDATE entry SET body = body || plan, plan = '' WHERE seq = 4"),
            "entry 4 is not as it was written"},
           {without_triggers("UPDATE entry SET record = '' WHERE seq = 4"),
            "entry 4 is not as it was written"},
           {without_triggers("UPDATE entry SET record = '[ ]' WHERE seq = 5"),
            "entry 5 is not as it was written"},
           {without_triggers("UPDATE entry SET digest = 0 WHERE seq = 4"),
            "entry 4 is not as it was written"},
           {without_triggers("UPDATE entry SET seq = -seq; UPDATE entry SET seq = seq + 6"),
            "entry 1 is not as it was written"},
           {without_triggers("DELETE FROM entry WHERE seq = 1"), "entry 1 is missing"},
           {without_triggers("DELETE FROM entry WHERE seq = 3"), "entry 3 is missing"},
           {without_triggers("DELETE FROM entry WHERE seq = 5"),
            "it has 4 entries and should have 5"},
           {without_triggers("DELETE FROM entry"), "it has 0 entries and should have 5"},
           {without_triggers("DELETE FROM entry WHERE seq = 5; UPDATE head SET entries = 4"),
            "not those that were written last"},
       }) {
    write_bytes(path, good);
    ASSERT_EQ(run_outside(path, sql), "") << sql;
    expect_refused(path, "the logbook is damaged, or another program has changed it: ");
    expect_refused(path, words);
  }
}

TEST(LogGuard, AllowsWhatChangesNothing) {
  const TestFolder folder;
  const std::string path = folder.file("reef.logbook");
  const auto entries = make_logbook(path, 5);
  ASSERT_EQ(run_outside(path, "VACUUM"), "");
  EXPECT_EQ(entries_in(path), entries);
  ASSERT_EQ(run_outside(path, drop_triggers + triggers_of(path)), "");
  EXPECT_EQ(entries_in(path), entries);
}

TEST(LogGuard, NoticesAFileCutShort) {
  const TestFolder folder;
  const std::string path = folder.file("reef.logbook");
  make_logbook(path, 40);
  const std::string good = read_bytes(path);
  for (std::size_t size = 1; size < good.size(); size += 1021) {
    write_bytes(path, std::string_view{good}.substr(0, size));
    expect_refused(path, "");
  }
}

/// A byte of the file goes bad: it is noticed and left alone, or nothing that
/// anybody reads is in it, and then adding goes on as before.
TEST(LogGuard, NoticesFlippedBits) {
  const TestFolder folder;
  const std::string path = folder.file("reef.logbook");
  auto entries = make_logbook(path, 15);
  NewLogEntry long_entry = entry_of(1, 15);
  // Over several pages, which SQLite chains in another way.
  long_entry.plan += std::string(15'000, ' ');
  entries = LogbookFile::append(path, "Reef", adding({long_entry})).value();
  const std::string good = read_bytes(path);
  std::set<std::size_t> places;
  for (std::size_t at = 0; at < 120; ++at) places.insert(at);
  for (std::size_t i = 0; i < 220; ++i) places.insert(i * good.size() / 220);
  int noticed = 0;
  for (const std::size_t at : places) {
    for (const int flip : {1 << (at % 8), 0xFF}) {
      std::string bad = good;
      bad[at] = static_cast<char>(bad[at] ^ flip);
      write_bytes(path, bad);
      const auto read = LogbookFile::read(path, "Reef");
      if (!read) {
        ++noticed;
        expect_refused(path, "");
      } else {
        EXPECT_EQ(*read, entries) << at;
        const auto longer = LogbookFile::append(path, "Reef", adding({note("{}")}));
        ASSERT_TRUE(longer.has_value()) << at << to_text(longer.error());
        EXPECT_EQ(entries_in(path), *longer) << at;
        EXPECT_EQ(std::vector(longer->begin(), longer->end() - 1), entries) << at;
      }
    }
  }
  std::printf("%d of %zu flips noticed, the rest in unused bytes\n", noticed, 2 * places.size());
  EXPECT_GT(noticed, 200);
}

}  // namespace
}  // namespace slowdawn
