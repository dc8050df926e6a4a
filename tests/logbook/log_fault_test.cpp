#include <gtest/gtest.h>
#include <sys/resource.h>

#include <algorithm>
#include <chrono>
#include <cstdio>
#include <map>
#include <memory>
#include <random>
#include <thread>

#include "logbook/log_testing.hpp"

// Kills, several programs at once, full disks, locks and missing permissions.

namespace slowdawn {
namespace {

using namespace testing;
using std::chrono::milliseconds;

constexpr const char* writer_program = SLOWDAWN_LOG_WRITER;

std::vector<std::string> writer(const std::string& path, int number, int count) {
  return {writer_program, path, std::to_string(number), std::to_string(count)};
}

int expect_whole(const std::vector<LogEntry>& entries) {
  for (const LogEntry& entry : entries) EXPECT_TRUE(is_whole(entry)) << entry.seq;
  return static_cast<int>(entries.size());
}

/// Entries so many by each writer, all in a row, and nothing else in the folder.
void run_writers(const std::string& path, int writers, int count) {
  std::vector<std::unique_ptr<Child>> children;
  for (int number = 0; number < writers; ++number) {
    children.push_back(std::make_unique<Child>(writer(path, number, count)));
  }
  for (const auto& child : children) {
    child->finish();
    EXPECT_EQ(child->status(), 0);
  }
  const auto entries = entries_in(path);
  EXPECT_EQ(expect_whole(entries), writers * count);
  std::map<std::string, int> times;
  for (const LogEntry& entry : entries) ++times[entry.body];
  for (int number = 0; number < writers; ++number) {
    for (int i = 0; i < count; ++i) EXPECT_EQ(times[entry_of(number, i).body], 1);
  }
}

TEST(LogFault, EightProcessesWriteAtOnce) {
  const TestFolder folder;
  // More would keep a writer waiting over the 10 s on a busy machine with sanitizers.
  run_writers(folder.file("reef.logbook"), 8, 60);
  EXPECT_EQ(Snapshot{folder.path}.bytes.size(), 1u);
}

TEST(LogFault, EightProcessesCreateAtOnce) {
  const TestFolder folder;
  for (int round = 0; round < 20; ++round) {
    run_writers(folder.file(std::to_string(round) + ".logbook"), 8, 1);
  }
  EXPECT_EQ(Snapshot{folder.path}.bytes.size(), 20u);
}

TEST(LogFault, KillsLoseNothingAcknowledged) {
  constexpr int runs = 500;
  constexpr int runs_per_logbook = 25;
  const unsigned seed = std::random_device{}();
  std::printf("seed %u\n", seed);
  std::mt19937 random{seed};
  // As long as a writer of this machine needs to get to work.
  int longest_wait = 20'000;
  int idle_runs = 0;
  const TestFolder folder;
  std::vector<LogEntry> before;
  int acknowledged_in_all = 0;
  int journals = 0;
  for (int run = 0; run < runs; ++run) {
    const std::string path = folder.file(std::to_string(run / runs_per_logbook) + ".logbook");
    if (run % runs_per_logbook == 0) before.clear();
    Child child{writer(path, run, 1'000'000)};
    ASSERT_EQ(child.read_line(), "ready");
    std::uniform_int_distribution<int> microseconds{0, longest_wait};
    std::this_thread::sleep_for(std::chrono::microseconds{microseconds(random)});
    child.kill();
    const std::string acknowledged = child.finish();
    ASSERT_EQ(child.status(), SIGKILL);
    const auto count = std::count(acknowledged.begin(), acknowledged.end(), '\n');
    journals += fs::exists(path + "-journal") ? 1 : 0;
    const auto after = entries_in(path);
    expect_whole(after);
    // The last one may have been written and not yet acknowledged.
    const auto added = static_cast<std::ptrdiff_t>(after.size() - before.size());
    ASSERT_TRUE(added == count || added == count + 1) << run << ": " << count << ", " << added;
    ASSERT_TRUE(std::equal(before.begin(), before.end(), after.begin()));
    for (int i = 0; i < added; ++i) {
      EXPECT_EQ(after[before.size() + static_cast<std::size_t>(i)].body, entry_of(run, i).body);
    }
    before = after;
    acknowledged_in_all += static_cast<int>(count);
    idle_runs = count > 0 ? 0 : idle_runs + 1;
    if (idle_runs == 20) {
      longest_wait *= 2;
      idle_runs = 0;
    }
  }
  std::printf("%d entries acknowledged, %d journals left behind\n", acknowledged_in_all, journals);
  EXPECT_GT(acknowledged_in_all, 0);
}

/// Adds an entry of 100 kB where no file may grow beyond a size, as on a disk
/// that is full.
std::string append_with_room(const std::string& path, std::size_t room) {
  Child child{[&] {
    std::signal(SIGXFSZ, SIG_IGN);
    const rlimit limit{room, room};
    ::setrlimit(RLIMIT_FSIZE, &limit);
    return append_refusal(path, "Reef", std::string(100'000, 'x'));
  }};
  return child.finish();
}

TEST(LogFault, AFullDiskLeavesTheOldLogbook) {
  const TestFolder folder;
  const std::string path = folder.file("reef.logbook");
  const auto entries = make_logbook(path, 40);
  // The limit rises until the entry has room, so that every write fails once.
  int failures = 0;
  std::string refusal = "none yet";
  for (std::size_t room = 0; !refusal.empty(); room += 2048) {
    refusal = append_with_room(path, room);
    if (refusal.empty()) break;
    ++failures;
    EXPECT_TRUE(refusal.starts_with(path + ": the disk ")) << refusal;
    EXPECT_TRUE(contains(refusal, "no entry that was acknowledged is lost")) << refusal;
    EXPECT_EQ(entries_in(path), entries) << room;
    ASSERT_LT(room, 1'000'000u) << refusal;
  }
  EXPECT_GT(failures, 50);
  EXPECT_EQ(entries_in(path).size(), entries.size() + 1);
}

TEST(LogFault, AFullDiskLeavesNoHalfALogbook) {
  const TestFolder folder;
  const std::string path = folder.file("reef.logbook");
  std::string refusal = "none yet";
  for (std::size_t room = 0; !refusal.empty(); room += 2048) {
    refusal = append_with_room(path, room);
    if (refusal.empty()) break;
    EXPECT_TRUE(refusal.starts_with(path + ": the disk ")) << refusal;
    EXPECT_TRUE(fs::is_empty(folder.path)) << room;
    ASSERT_LT(room, 1'000'000u) << refusal;
  }
  EXPECT_EQ(entries_in(path).size(), 1u);
}

/// A program that is killed when half of its write has reached the file.
void break_off_a_write(const std::string& path) {
  Child child{[&]() -> std::string {
    SQLite::Database db{path, SQLite::OPEN_READWRITE};
    // So that pages go to the file before the end of the transaction.
    db.exec("PRAGMA cache_size = 1; BEGIN IMMEDIATE; UPDATE head SET entries = 0, tank = 'x'");
    for (int i = 0; i < 100; ++i) {
      db.exec(
          "INSERT INTO entry SELECT max(seq) + 1, '', '', '', hex(zeroblob(2000)), '', 0, '[]' "
          "FROM entry");
    }
    ::kill(::getpid(), SIGKILL);
    return "";
  }};
  child.finish();
  ASSERT_EQ(child.status(), SIGKILL);
}

TEST(LogFault, ABrokenWriteIsUndoneByTheNextWriter) {
  const TestFolder folder;
  const std::string path = folder.file("reef.logbook");
  const auto entries = make_logbook(path, 40);
  const std::string before = read_bytes(path);
  break_off_a_write(path);
  ASSERT_NE(read_bytes(path), before);
  const auto after = LogbookFile::append(path, "Reef", adding({note("{}")})).value();
  EXPECT_EQ(std::vector(after.begin(), after.end() - 1), entries);
  EXPECT_EQ(entries_in(path), after);
  EXPECT_EQ(Snapshot{folder.path}.bytes.size(), 1u);
}

TEST(LogFault, ABrokenWriteIsReadPast) {
  const TestFolder folder;
  const std::string path = folder.file("reef.logbook");
  const auto entries = make_logbook(path, 40);
  break_off_a_write(path);
  fs::create_symlink(path, folder.file("link.logbook"));
  fs::permissions(path, fs::perms{0444});
  fs::permissions(path + "-journal", fs::perms{0444});
  fs::permissions(folder.path, fs::perms{0555});
  const Snapshot before{folder.path};
  EXPECT_EQ(entries_in(path), entries);
  EXPECT_EQ(entries_in(folder.file("link.logbook")), entries);
  EXPECT_EQ(as_nobody([&] { return entries_in(path) == entries ? "same" : "other"; }), "same");
  EXPECT_TRUE(contains(as_nobody([&] { return append_refusal(path); }), "may not be written"));
  EXPECT_TRUE(before == Snapshot{folder.path});
}

TEST(LogFault, ABrokenWriteNeedsRoomForACopy) {
  const TestFolder folder;
  const std::string path = folder.file("reef.logbook");
  make_logbook(path, 40);
  break_off_a_write(path);
  const auto refusal_with_temporary_folder = [&](const std::string& temporary) {
    Child child{[&] {
      ::setenv("TMPDIR", temporary.c_str(), 1);
      return read_refusal(path);
    }};
    return child.finish();
  };
  const std::string words =
      path + ": a write to the logbook was broken off, and it cannot be undone";
  EXPECT_TRUE(contains(refusal_with_temporary_folder(folder.file("none")), words));
  EXPECT_EQ(refusal_with_temporary_folder(folder.path), "");
  Child child{[&] {
    std::signal(SIGXFSZ, SIG_IGN);
    const rlimit limit{10'000, 10'000};
    ::setrlimit(RLIMIT_FSIZE, &limit);
    return read_refusal(path);
  }};
  EXPECT_TRUE(contains(child.finish(), words));
  EXPECT_EQ(Snapshot{folder.path}.bytes.size(), 2u);
}

TEST(LogFault, MissingPermissionsAreSaid) {
  const TestFolder folder;
  const std::string path = folder.file("reef.logbook");
  make_logbook(path, 3);
  fs::permissions(path, fs::perms{0444});
  fs::permissions(folder.path, fs::perms{0555});
  const Snapshot before{folder.path};
  const auto refusal_as_nobody = [&](const std::string& file) {
    return as_nobody([&] { return append_refusal(file); });
  };
  EXPECT_TRUE(contains(refusal_as_nobody(path),
                       path + ": the logbook, or the folder it is in, may not be written"));
  EXPECT_TRUE(contains(refusal_as_nobody(folder.file("new.logbook")),
                       folder.file("new.logbook") + ": the logbook cannot be created"));
  fs::permissions(path, fs::perms{0666});
  EXPECT_TRUE(contains(refusal_as_nobody(path), "may not be written"));
  fs::permissions(path, fs::perms{0000});
  for (const std::string& refusal :
       {refusal_as_nobody(path), as_nobody([&] { return read_refusal(path); })}) {
    EXPECT_TRUE(contains(refusal, path + ": the logbook cannot be opened: ")) << refusal;
  }
  fs::permissions(path, fs::perms{0644});
  fs::permissions(folder.path, fs::perms{0000});
  EXPECT_TRUE(contains(as_nobody([&] { return read_refusal(path); }),
                       path + ": the logbook cannot be looked for: "));
  fs::permissions(folder.path, fs::perms{0555});
  EXPECT_TRUE(before == Snapshot{folder.path});
}

/// Keeps the logbook locked for so long.
std::function<std::string()> locking(const std::string& path, milliseconds time) {
  return [path, time]() -> std::string {
    SQLite::Database db{path, SQLite::OPEN_READWRITE};
    db.exec("BEGIN EXCLUSIVE");
    std::puts("locked");
    std::fflush(stdout);
    std::this_thread::sleep_for(time);
    return "";
  };
}

TEST(LogFault, AShortLockIsWaitedFor) {
  const TestFolder folder;
  const std::string path = folder.file("reef.logbook");
  make_logbook(path, 3);
  Child holder{locking(path, milliseconds{300})};
  ASSERT_EQ(holder.read_line(), "locked");
  Child reader{[&] { return read_refusal(path); }};
  EXPECT_EQ(append_refusal(path), "");
  EXPECT_EQ(reader.finish(), "");
}

TEST(LogFault, ALongLockIsSaid) {
  const TestFolder folder;
  const std::string path = folder.file("reef.logbook");
  const auto entries = make_logbook(path, 3);
  Child holder{locking(path, milliseconds{600'000})};
  ASSERT_EQ(holder.read_line(), "locked");
  Child reader{[&] { return read_refusal(path); }};
  const std::string words = path + ": another program has kept the logbook locked for over 10 s";
  EXPECT_TRUE(contains(append_refusal(path), words));
  EXPECT_TRUE(contains(reader.finish(), words));
  holder.kill();
  holder.finish();
  EXPECT_EQ(entries_in(path), entries);
}

}  // namespace
}  // namespace slowdawn
