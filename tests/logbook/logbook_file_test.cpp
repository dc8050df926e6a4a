#include <gtest/gtest.h>

#include "logbook/log_testing.hpp"

namespace slowdawn {
namespace {

using namespace testing;

TEST(LogbookFile, LiesBesideTheTankFile) {
  EXPECT_EQ(LogbookFile::path_beside("x/reef.tank.json"), "x/reef.logbook");
  EXPECT_EQ(LogbookFile::path_beside("reef.tank.json"), "reef.logbook");
  EXPECT_EQ(LogbookFile::path_beside("x/reef.json"), "x/reef.json.logbook");
  EXPECT_EQ(LogbookFile::path_beside("x.tank.json/reef"), "x.tank.json/reef.logbook");
}

TEST(LogbookFile, GivesBackWhatWasWritten) {
  const TestFolder folder;
  const std::string path = folder.file("reef.logbook");
  const std::vector<NewLogEntry> written{
      {Date{2026, 12, 1}, Date{2026, 11, 30}, "follow", "{}", "[1, 2]"},
      {Date{1900, 1, 1}, Date{2999, 12, 31}, "", "", ""},
      {Date{2026, 12, 1}, Date{2026, 12, 1}, "note", "{}", "", "[{\"date\": \"2026-11-30\"}]"},
      {Date{2028, 2, 29}, Date{2028, 2, 29}, "it's", "'; DROP TABLE entry; --", "\"\\\n\t\r"},
      {Date{2026, 12, 2}, Date{2026, 12, 2}, "note",
       "Gr\xc3\xbc\xc3\x9f"
       "e \xf0\x9f\xaa\xb8 \x01\x7f",
       "%s ?1 :a"},
      {Date{2026, 12, 3}, Date{2026, 12, 3}, "note", std::string(100'000, 'x'),
       std::string(1'000'000, 'y')},
  };
  std::size_t before = 0;
  for (const NewLogEntry& entry : written) {
    const auto make = [&](const std::vector<LogEntry>& entries) {
      EXPECT_EQ(entries.size(), before);
      return std::vector{entry};
    };
    EXPECT_EQ(LogbookFile::append(path, "Reef", make).value().size(), before + 1);
    ++before;
  }
  const auto all = LogbookFile::append(path, "Reef", adding(written)).value();
  EXPECT_EQ(all, entries_in(path));
  ASSERT_EQ(all.size(), 2 * written.size());
  for (std::size_t i = 0; i < all.size(); ++i) {
    const NewLogEntry& entry = written[i % written.size()];
    EXPECT_EQ(all[i],
              (LogEntry{static_cast<std::int64_t>(i) + 1, entry.made, entry.date, entry.kind,
                        entry.body, entry.plan, entry.record.empty() ? "[]" : entry.record}));
  }
}

TEST(LogbookFile, NeedsNoWord) {
  const TestFolder folder;
  const std::string path = folder.file("file:a b?mode=memory.logbook");
  EXPECT_EQ(append_refusal(path, "it's \"the\" \xc3\xa9 tank"), "");
  EXPECT_EQ(entries_in(path, "it's \"the\" \xc3\xa9 tank").size(), 1u);
  EXPECT_EQ(Snapshot{folder.path}.bytes.size(), 1u);
}

TEST(LogbookFile, IsFoundThroughALink) {
  const TestFolder folder;
  fs::create_directory(folder.file("kept"));
  make_logbook(folder.file("kept/reef.logbook"), 2);
  fs::create_symlink(folder.file("kept/reef.logbook"), folder.file("link.logbook"));
  EXPECT_EQ(append_refusal(folder.file("link.logbook")), "");
  EXPECT_EQ(entries_in(folder.file("link.logbook")).size(), 3u);
  EXPECT_EQ(entries_in(folder.file("kept/reef.logbook")).size(), 3u);
}

TEST(LogbookFile, IsNotCreatedByReaders) {
  const TestFolder folder;
  const Snapshot before{folder.path};
  EXPECT_EQ(LogbookFile::read(folder.file("reef.logbook"), "Reef").value(), std::nullopt);
  EXPECT_EQ(LogbookFile::read(folder.file("no/reef.logbook"), "Reef").value(), std::nullopt);
  EXPECT_TRUE(before == Snapshot{folder.path});
}

TEST(LogbookFile, IsNotCreatedForNothing) {
  const TestFolder folder;
  const Snapshot before{folder.path};
  const std::string path = folder.file("reef.logbook");
  EXPECT_EQ(LogbookFile::append(path, "Reef", adding({})).value().size(), 0u);
  const ReadFailure refused{ReadFailure::Kind::content, {{{}, "no", "do"}}};
  const auto entries =
      LogbookFile::append(path, "Reef", [&](const auto&) { return tl::make_unexpected(refused); });
  EXPECT_EQ(entries.error().kind, ReadFailure::Kind::content);
  EXPECT_TRUE(before == Snapshot{folder.path});
}

TEST(LogbookFile, IsLeftAsItIsByReaders) {
  const TestFolder folder;
  const std::string path = folder.file("reef.logbook");
  const auto entries = make_logbook(path, 50);
  const Snapshot before{folder.path};
  EXPECT_EQ(entries_in(path), entries);
  EXPECT_TRUE(before == Snapshot{folder.path});
}

TEST(LogbookFile, IsReadFromAFolderThatMayNotBeWritten) {
  const TestFolder folder;
  const std::string path = folder.file("reef.logbook");
  const auto entries = make_logbook(path, 50);
  fs::permissions(path, fs::perms{0444});
  fs::permissions(folder.path, fs::perms{0555});
  const Snapshot before{folder.path};
  EXPECT_EQ(as_nobody([&] { return entries_in(path) == entries ? "same" : "other"; }), "same");
  EXPECT_TRUE(before == Snapshot{folder.path});
}

TEST(LogbookFile, IsLeftAsItIsIfThereIsNothingToAdd) {
  const TestFolder folder;
  const std::string path = folder.file("reef.logbook");
  const auto entries = make_logbook(path, 5);
  const Snapshot before{folder.path};
  EXPECT_EQ(LogbookFile::append(path, "Reef", adding({})).value(), entries);
  const ReadFailure refused{ReadFailure::Kind::content, {{{}, "no", "do"}}};
  const auto failed =
      LogbookFile::append(path, "Reef", [&](const auto&) { return tl::make_unexpected(refused); });
  EXPECT_EQ(failed.error().findings.front().what, "no");
  const auto throwing = [](const auto&) -> std::vector<NewLogEntry> {
    throw std::runtime_error("broken");
  };
  EXPECT_THROW((void)LogbookFile::append(path, "Reef", throwing), std::runtime_error);
  NewLogEntry undated = note("{}");
  undated.date = Date{boost::gregorian::not_a_date_time};
  EXPECT_THROW((void)LogbookFile::append(path, "Reef", adding({note("{}"), undated})),
               std::logic_error);
  EXPECT_TRUE(before == Snapshot{folder.path});
  EXPECT_EQ(append_refusal(path), "");
}

TEST(LogbookFile, OfAnotherTankIsRefused) {
  const TestFolder folder;
  const std::string path = folder.file("reef.logbook");
  EXPECT_EQ(append_refusal(path, "Frag rack"), "");
  expect_refused(path, "the logbook of the tank \"Frag rack\", not of \"Reef\"");
}

TEST(LogbookFile, OfAnyTankIsReadWithoutAName) {
  const TestFolder folder;
  const std::string path = folder.file("reef.logbook");
  const auto entries = make_logbook(path, 3);
  EXPECT_EQ(LogbookFile::read(path, std::nullopt).value(), entries);
  write_bytes(path, read_bytes(path).substr(0, 5000));
  EXPECT_FALSE(LogbookFile::read(path, std::nullopt).has_value());
}

TEST(LogbookFile, OfANewerVersionIsRefused) {
  const TestFolder folder;
  const std::string path = folder.file("reef.logbook");
  make_logbook(path, 3);
  ASSERT_EQ(run_outside(path, "PRAGMA user_version = 4"), "");
  expect_refused(path,
                 "a newer slowdawn wrote this logbook (version 4; this one knows those up "
                 "to 3)");
}

TEST(LogbookFile, OfNoVersionIsRefused) {
  const TestFolder folder;
  const std::string path = folder.file("reef.logbook");
  make_logbook(path, 3);
  ASSERT_EQ(run_outside(path, "PRAGMA user_version = 0"), "");
  expect_refused(path, "its version is 0");
}

TEST(LogbookFile, RefusesOtherFiles) {
  const TestFolder folder;
  const std::string path = folder.file("reef.logbook");
  const std::string no_logbook = "this is not a logbook: ";
  for (const auto& [bytes, words] : {std::pair{std::string{}, "it is empty"},
                                     {std::string{"note"}, "it is another kind of file"},
                                     {std::string(8192, 'x'), "it is another kind of file"}}) {
    write_bytes(path, bytes);
    expect_refused(path, no_logbook + words);
  }
  const std::string magic = "SQLite format 3" + std::string(1, '\0');
  for (const std::size_t size : {0U, 84U, 8192U}) {
    write_bytes(path, magic + std::string(size, '\0'));
    expect_refused(path, "its header is not as it was written");
  }
  write_bytes(path, magic + "\x10" + std::string(1, '\0') + "\1\1" + std::string(8192, 'x'));
  expect_refused(path, no_logbook + "it is another kind of file");
  fs::remove(path);
  SQLite::Database{path, SQLite::OPEN_READWRITE | SQLite::OPEN_CREATE}.exec(
      "CREATE TABLE entry (seq INTEGER PRIMARY KEY)");
  expect_refused(path, no_logbook + "another program made it");
}

TEST(LogbookFile, RefusesWhatIsNoFile) {
  const TestFolder folder;
  const std::string path = folder.file("reef.logbook");
  fs::create_directory(path);
  expect_refused(path, "this is a folder");
  EXPECT_TRUE(contains(read_refusal("/dev/null"), "it is no regular file"));
  const std::string within = folder.file("file/reef.logbook");
  write_bytes(folder.file("file"), "x");
  EXPECT_EQ(LogbookFile::read(within, "Reef").value(), std::nullopt);
  EXPECT_TRUE(contains(append_refusal(within), within + ": the logbook cannot be created"));
  const std::string nowhere = folder.file("no/reef.logbook");
  EXPECT_TRUE(contains(append_refusal(nowhere), nowhere + ": the logbook cannot be created"));
}

TEST(LogbookFile, RefusesAWriteAheadLog) {
  const TestFolder folder;
  const std::string path = folder.file("reef.logbook");
  const auto entries = make_logbook(path, 3);
  ASSERT_EQ(run_outside(path, "PRAGMA journal_mode = WAL"), "");
  expect_refused(path, "a write-ahead log");
  ASSERT_EQ(run_outside(path, "PRAGMA journal_mode = DELETE"), "");
  EXPECT_EQ(entries_in(path), entries);
  write_bytes(path + "-wal", "left behind");
  expect_refused(path, "a write-ahead log");
}

TEST(LogbookFile, IsNotCreatedUnderTheJournalOfAnother) {
  const TestFolder folder;
  const std::string path = folder.file("reef.logbook");
  write_bytes(path + "-journal", "left behind");
  const Snapshot before{folder.path};
  EXPECT_EQ(LogbookFile::read(path, "Reef").value(), std::nullopt);
  EXPECT_TRUE(contains(append_refusal(path), path + "-journal: the journal of a logbook lies here "
                                                    "without its logbook"));
  EXPECT_TRUE(before == Snapshot{folder.path});
}

}  // namespace
}  // namespace slowdawn
