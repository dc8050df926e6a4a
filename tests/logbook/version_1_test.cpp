#include <gtest/gtest.h>

#include <slowdawn/logbook/record.hpp>

#include "logbook/dying_disk.hpp"
#include "logbook/log_testing.hpp"

// Logbooks that a program of version 1 wrote; tell.py in version_1 says how.

namespace slowdawn {
namespace {

using namespace testing;

struct OldLogbook {
  const char* name;
  const char* tank;
  /// The last of the days on which it was asked, and how many there were.
  Date last;
  std::size_t days;
};

const OldLogbook old_logbooks[] = {
    {"window-bay", "Window bay", Date{2026, 5, 29}, 90},
    {"night-shelf", "Night shelf", Date{2026, 3, 29}, 29},
};

std::string kept(const std::string& file) {
  return std::string{SLOWDAWN_SOURCE_FOLDER} + "/tests/logbook/version_1/" + file;
}

std::string copy_of(const OldLogbook& old, const TestFolder& folder) {
  const std::string path = folder.file("old.logbook");
  write_bytes(path, read_bytes(kept(std::string{old.name} + ".logbook")));
  return path;
}

int version_in(const std::string& path) {
  return SQLite::Database{path}.execAndGet("PRAGMA user_version").getInt();
}

std::string day_text(const RecordedDay& day) {
  std::string text = to_iso(day.date);
  for (const auto& [light, dial] : day.dials) {
    text += " " + light + " " + std::to_string(dial.percent());
  }
  return text;
}

TEST(VersionOne, IsReadAndLeftAsItIs) {
  for (const OldLogbook& old : old_logbooks) {
    const TestFolder folder;
    const std::string path = copy_of(old, folder);
    fs::permissions(path, fs::perms{0444});
    const Snapshot before{folder.path};
    const auto entries = entries_in(path, old.tank);
    ASSERT_GT(entries.size(), 5u) << old.name;
    for (const LogEntry& entry : entries) EXPECT_EQ(entry.record, "") << old.name;
    EXPECT_EQ(version_in(path), 1);
    EXPECT_TRUE(before == Snapshot{folder.path}) << old.name;
  }
}

/// What `today` said on each day, with the entries that there were by its end.
TEST(VersionOne, HasTheRecordOfWhatItSaid) {
  for (const OldLogbook& old : old_logbooks) {
    const std::string name = old.name;
    const auto entries = entries_in(kept(name + ".logbook"), old.tank);
    const Record said = parse_record(read_bytes(kept(name + ".said.json")));
    const Record record = legacy_record(entries, old.last + boost::gregorian::days(1));
    ASSERT_EQ(said.size(), old.days) << name;
    ASSERT_EQ(record.size(), old.days) << name;
    for (std::size_t i = 0; i < said.size(); ++i) {
      EXPECT_EQ(day_text(record[i]), day_text(said[i])) << name;
    }
  }
}

TEST(VersionOne, IsGivenItsRecordEntryByEntry) {
  for (const OldLogbook& old : old_logbooks) {
    const auto entries = entries_in(kept(std::string{old.name} + ".logbook"), old.tank);
    const auto with_record = with_legacy_record(entries);
    ASSERT_EQ(with_record.size(), entries.size());
    Record all;
    for (std::size_t i = 0; i < entries.size(); ++i) {
      const Record since = parse_record(with_record[i].record);
      for (const RecordedDay& day : since) {
        EXPECT_LT(day.date, entries[i].made);
        EXPECT_TRUE(i == 0 || day.date >= entries[i - 1].made);
        all.push_back(day);
      }
    }
    EXPECT_EQ(all, legacy_record(entries, entries.back().made)) << old.name;
    EXPECT_FALSE(all.empty());
    EXPECT_EQ(with_legacy_record(with_record), with_record) << "once is enough";
  }
}

TEST(VersionOne, BecomesTheNewestWithTheFirstWrite) {
  for (const OldLogbook& old : old_logbooks) {
    const TestFolder folder;
    const std::string path = copy_of(old, folder);
    const auto before = entries_in(path, old.tank);
    NewLogEntry added = note("{}");
    added.record = R"([{"date": "2026-05-29", "dials": {"bars": 40}, "at": 3}])";
    const auto after = LogbookFile::append(path, old.tank, adding({added})).value();
    EXPECT_EQ(version_in(path), 3);
    EXPECT_EQ(std::vector(after.begin(), after.end() - 1), before);
    EXPECT_EQ(after.back().record, added.record);
    EXPECT_EQ(entries_in(path, old.tank), after);
    EXPECT_EQ(append_refusal(path, old.tank), "");
    EXPECT_EQ(entries_in(path, old.tank).back().record, "[]");
    // Nothing tells it from a file that was made today.
    make_logbook(folder.file("new.logbook"), 1);
    const auto schema_of = [](const std::string& file) {
      SQLite::Database db{file};
      return db.execAndGet("SELECT group_concat(sql, ';') FROM sqlite_schema").getString();
    };
    EXPECT_EQ(schema_of(path), schema_of(folder.file("new.logbook")));
  }
}

TEST(VersionOne, StaysAsItIsIfNothingIsAdded) {
  const TestFolder folder;
  const std::string path = copy_of(old_logbooks[0], folder);
  // A journal comes and goes beside it, so the folder's own time may change.
  const Snapshot before{folder.path};
  EXPECT_TRUE(LogbookFile::append(path, old_logbooks[0].tank, adding({})).has_value());
  EXPECT_TRUE(contains(append_refusal(path, "Reef"), "not of \"Reef\""));
  const Snapshot after{folder.path};
  EXPECT_EQ(before.bytes, after.bytes);
  EXPECT_EQ(before.changed.at(path), after.changed.at(path));
}

/// Whatever operation on the disk the program dies before, the file is the old one or
/// the new one, and goes on.
TEST(VersionOne, IsWholeWhereverItsFirstWriteIsBrokenOff) {
  const OldLogbook& old = old_logbooks[1];
  const TestFolder folder;
  const std::string path = copy_of(old, folder);
  const std::string bytes = read_bytes(path);
  const auto before = entries_in(path, old.tank);
  int kills = 0;
  int kept_old = 0;
  for (int last = 1;; ++last) {
    write_bytes(path, bytes);
    Child child{[&] {
      const DyingDisk disk{last};
      return append_refusal(path, old.tank);
    }};
    const std::string said = child.finish();
    const auto after = entries_in(path, old.tank);
    ASSERT_GE(after.size(), before.size()) << last;
    EXPECT_EQ(std::vector(after.begin(), after.begin() + static_cast<long>(before.size())), before);
    if (child.status() == 0) {
      EXPECT_EQ(said, "");
      EXPECT_EQ(after.size(), before.size() + 1);
      break;
    }
    ASSERT_EQ(child.status(), SIGKILL) << last;
    ++kills;
    if (after == before) ++kept_old;
    ASSERT_LE(after.size(), before.size() + 1) << last;
    EXPECT_EQ(append_refusal(path, old.tank), "") << last;
    EXPECT_EQ(entries_in(path, old.tank).size(), after.size() + 1) << last;
    EXPECT_EQ(version_in(path), 3) << last;
    ASSERT_LT(last, 1000);
  }
  std::printf("%d kills, after %d of them the old file\n", kills, kept_old);
  EXPECT_GT(kills, 5);
  EXPECT_GT(kept_old, 3);
}

TEST(VersionOne, StillNoticesFlippedBits) {
  const OldLogbook& old = old_logbooks[1];
  const TestFolder folder;
  const std::string path = copy_of(old, folder);
  const std::string good = read_bytes(path);
  const auto entries = entries_in(path, old.tank);
  int noticed = 0;
  for (std::size_t i = 0; i < 200; ++i) {
    const std::size_t at = i < 60 ? 2 * i : i * good.size() / 200;
    std::string bad = good;
    bad[at] = static_cast<char>(bad[at] ^ (1 << (at % 8)));
    write_bytes(path, bad);
    const auto read = LogbookFile::read(path, old.tank);
    if (read) {
      EXPECT_EQ(*read, entries) << at;
    } else {
      ++noticed;
      EXPECT_NE(append_refusal(path, old.tank), "") << at;
      EXPECT_EQ(read_bytes(path), bad) << at;
    }
  }
  std::printf("%d of 200 flips noticed, the rest in unused bytes\n", noticed);
  EXPECT_GT(noticed, 100);
}

}  // namespace
}  // namespace slowdawn
