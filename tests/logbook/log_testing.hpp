// What the tests of the logbook's file share.
#pragma once

#include <SQLiteCpp/Database.h>
#include <gtest/gtest.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <csignal>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <functional>
#include <iterator>
#include <map>
#include <slowdawn/logbook/logbook_file.hpp>
#include <stdexcept>
#include <string>
#include <string_view>
#include <vector>

#include "logbook/written_entry.hpp"

namespace slowdawn::testing {

namespace fs = std::filesystem;

/// A folder for one test; goes with all that is in it.
class TestFolder {
 public:
  TestFolder() : path((fs::temp_directory_path() / "logbook-test-XXXXXX").string()) {
    if (::mkdtemp(path.data()) == nullptr) throw std::runtime_error("no folder for a test");
    fs::permissions(path, fs::perms{0755});
  }
  ~TestFolder() {
    fs::permissions(path, fs::perms{0755});
    fs::remove_all(path);
  }
  TestFolder(const TestFolder&) = delete;
  TestFolder& operator=(const TestFolder&) = delete;
  std::string file(std::string_view name) const { return path + "/" + std::string{name}; }

  std::string path;
};

inline std::string read_bytes(const std::string& file) {
  std::ifstream stream{file, std::ios::binary};
  return {std::istreambuf_iterator<char>{stream}, {}};
}

inline void write_bytes(const std::string& file, std::string_view bytes) {
  std::ofstream stream{file, std::ios::binary};
  stream << bytes << std::flush;
  if (!stream) throw std::runtime_error("a test's file could not be written");
}

/// Everything that those who only read must leave as it is.
struct Snapshot {
  explicit Snapshot(const std::string& folder) {
    changed[folder] = fs::last_write_time(folder);
    for (const auto& entry : fs::directory_iterator{folder}) {
      bytes[entry.path().string()] =
          entry.is_directory() ? "a folder" : read_bytes(entry.path().string());
      changed[entry.path().string()] = entry.last_write_time();
    }
  }
  bool operator==(const Snapshot&) const = default;

  std::map<std::string, std::string> bytes;
  std::map<std::string, fs::file_time_type> changed;
};

inline NewLogEntry note(std::string body) {
  return {Date{2026, 12, 1}, Date{2026, 12, 1}, "note", std::move(body), ""};
}

inline LogbookFile::Make adding(std::vector<NewLogEntry> added) {
  return [added = std::move(added)](const std::vector<LogEntry>&) { return added; };
}

/// "FILE: what / hint", after a look at what all failures have in common.
inline std::string to_text(const ReadFailure& failure) {
  EXPECT_EQ(failure.kind, ReadFailure::Kind::access);
  EXPECT_EQ(failure.findings.size(), 1u);
  const Finding& finding = failure.findings.front();
  EXPECT_EQ(finding.place.line, 0u);
  EXPECT_FALSE(finding.hint.empty());
  return finding.place.file + ": " + finding.what + " / " + finding.hint;
}

/// Why it is not read; empty if it is.
inline std::string read_refusal(const std::string& path, const std::string& tank = "Reef") {
  const auto entries = LogbookFile::read(path, tank);
  return entries ? "" : to_text(entries.error());
}

/// Why nothing is added; empty if something is.
inline std::string append_refusal(const std::string& path, const std::string& tank = "Reef",
                                  const std::string& body = "{}") {
  const auto entries = LogbookFile::append(path, tank, adding({note(body)}));
  return entries ? "" : to_text(entries.error());
}

inline bool contains(std::string_view text, std::string_view part) {
  return text.find(part) != std::string_view::npos;
}

/// Refused by readers and writers alike with these words, and nothing changed.
inline void expect_refused(const std::string& path, const std::string& words) {
  const Snapshot before{fs::path{path}.parent_path().string()};
  for (const std::string& refusal : {read_refusal(path), append_refusal(path)}) {
    EXPECT_TRUE(refusal.starts_with(path + ": ")) << refusal;
    EXPECT_TRUE(contains(refusal, words)) << refusal << "\nhas not: " << words;
  }
  EXPECT_TRUE(before == Snapshot{fs::path{path}.parent_path().string()}) << words;
}

/// Every entry; a test failure if it is not read.
inline std::vector<LogEntry> entries_in(const std::string& path, const std::string& tank = "Reef") {
  const auto entries = LogbookFile::read(path, tank);
  EXPECT_TRUE(entries.has_value()) << to_text(entries.error());
  if (!entries || !*entries) return {};
  return **entries;
}

/// A new logbook of so many entries.
inline std::vector<LogEntry> make_logbook(const std::string& path, int count) {
  std::vector<NewLogEntry> added;
  for (int number = 0; number < count; ++number) added.push_back(entry_of(1, number));
  return LogbookFile::append(path, "Reef", adding(std::move(added))).value();
}

/// Runs SQL as another program would, and says how it was refused, if it was.
inline std::string run_outside(const std::string& path, const std::string& sql) {
  try {
    SQLite::Database db{path, SQLite::OPEN_READWRITE};
    db.exec(sql);
    return "";
  } catch (const SQLite::Exception& problem) {
    return problem.what();
  }
}

/// A process of its own, as two programs are: file locks belong to a process.
class Child {
 public:
  /// Runs `work`, whose result finish gives, and ends without cleaning up.
  explicit Child(const std::function<std::string()>& work) {
    start([&] {
      const std::string result = work();
      ::_exit(::write(STDOUT_FILENO, result.data(), result.size()) < 0 ? 1 : 0);
    });
  }
  explicit Child(std::vector<std::string> program) {
    start([&] {
      std::vector<char*> words;
      for (std::string& word : program) words.push_back(word.data());
      words.push_back(nullptr);
      ::execv(words[0], words.data());
      ::_exit(127);
    });
  }
  ~Child() { finish(); }
  Child(const Child&) = delete;
  Child& operator=(const Child&) = delete;

  /// Waits for the next line of its output.
  std::string read_line() {
    std::string line;
    char next = 0;
    while (::read(output_, &next, 1) == 1 && next != '\n') line += next;
    return line;
  }
  void kill() const { ::kill(process_, SIGKILL); }
  /// Waits for its end; the rest of its output.
  std::string finish() {
    std::string rest;
    if (process_ == 0) return rest;
    std::array<char, 4096> block{};
    ssize_t count = 0;
    while ((count = ::read(output_, block.data(), block.size())) > 0) {
      rest.append(block.data(), static_cast<std::size_t>(count));
    }
    ::waitpid(process_, &status_, 0);
    ::close(output_);
    process_ = 0;
    return rest;
  }
  /// Of waitpid.
  int status() const { return status_; }

 private:
  void start(const std::function<void()>& run) {
    std::array<int, 2> ends{};
    if (::pipe(ends.data()) != 0) throw std::runtime_error("no pipe");
    // Else the child writes out what this process has not written yet.
    std::fflush(nullptr);
    process_ = ::fork();
    if (process_ == 0) {
      ::dup2(ends[1], STDOUT_FILENO);
      ::close(ends[0]);
      ::close(ends[1]);
      run();
    }
    ::close(ends[1]);
    output_ = ends[0];
  }

  pid_t process_ = 0;
  int output_ = -1;
  int status_ = -1;
};

/// Runs it as somebody whom permissions bind, also where tests run as root.
inline std::string as_nobody(const std::function<std::string()>& work) {
  constexpr unsigned nobody = 65534;
  Child child{[&]() -> std::string {
    if (::geteuid() == 0 && (::setgid(nobody) != 0 || ::setuid(nobody) != 0)) return "still root";
    return work();
  }};
  return child.finish();
}

}  // namespace slowdawn::testing
