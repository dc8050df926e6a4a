#include "logbook/log_folder.hpp"

#include <fcntl.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <optional>
#include <random>
#include <slowdawn/tank/text_file.hpp>
#include <string_view>
#include <system_error>
#include <utility>

#include "logbook/log_failure.hpp"

namespace slowdawn {
namespace {

namespace fs = std::filesystem;

/// The first bytes of a database, "SQLite File Format", section 1.3.
constexpr std::string_view sqlite_magic{"SQLite format 3\0", 16};
/// Then, after the page size, the versions that writing and reading need.
constexpr std::size_t versions_at = 18;
constexpr std::string_view with_rollback_journal{"\1\1"};
constexpr std::string_view with_write_ahead_log{"\2\2"};

/// Between the name of a logbook and eight digits while it is being made.
constexpr std::string_view draft_mark = ".new-";

/// Begins with a letter, so that it is never a date that somebody gave to a copy.
std::string random_name() {
  std::random_device random;
  std::array<char, 9> text{};
  std::snprintf(text.data(), text.size(), "%08x", (random() & 0xFFFFFFFFU) | 0xC0000000U);
  return text.data();
}

/// Eight hexadecimal digits, with a letter among them.
bool is_draft_ending(std::string_view ending) {
  return ending.size() == 8 &&
         ending.find_first_not_of("0123456789abcdef") == std::string_view::npos &&
         ending.find_first_of("abcdef") != std::string_view::npos;
}

/// So that the new name, too, is there after a power cut. Some file systems
/// refuse it; nothing better can be done then.
void sync_folder_of(const std::string& path) {
  const fs::path folder = fs::path{path}.parent_path();
  const int handle = ::open(folder.empty() ? "." : folder.c_str(), O_RDONLY | O_DIRECTORY);
  if (handle < 0) return;
  ::fsync(handle);
  ::close(handle);
}

/// By which it is seen that somebody wrote.
struct Stamp {
  fs::file_time_type file;
  fs::file_time_type journal;
  std::uintmax_t file_bytes;
  std::uintmax_t journal_bytes;
  bool operator==(const Stamp&) const = default;
};

std::optional<Stamp> read_stamp(const fs::path& file, const fs::path& journal) {
  std::array<std::error_code, 4> problems;
  const Stamp stamp{fs::last_write_time(file, problems[0]),
                    fs::last_write_time(journal, problems[1]), fs::file_size(file, problems[2]),
                    fs::file_size(journal, problems[3])};
  for (const std::error_code& problem : problems) {
    if (problem) return std::nullopt;
  }
  return stamp;
}

std::error_code make_writable_copy(const fs::path& from, const fs::path& to) {
  std::error_code problem;
  fs::copy_file(from, to, problem);
  if (!problem) fs::permissions(to, fs::perms::owner_read | fs::perms::owner_write, problem);
  return problem;
}

}  // namespace

void remove_old_drafts(const std::string& path) {
  remove_leftovers(path, draft_mark, is_draft_ending);
}

std::string journal_of(const std::string& path) { return path + "-journal"; }

ReadResult<bool> finds_log(const std::string& path) {
  std::error_code problem;
  const fs::file_status status = fs::status(path, problem);
  if (status.type() == fs::file_type::not_found) return false;
  if (status.type() == fs::file_type::directory) {
    return log_failure(path, "this is a folder, and the logbook is a file of that name",
                       "rename the folder");
  }
  if (status.type() == fs::file_type::none || status.type() == fs::file_type::unknown) {
    return log_failure(path, "the logbook cannot be looked for: " + problem.message(),
                       "check who may read the folder");
  }
  if (status.type() != fs::file_type::regular) return no_logbook(path, "it is no regular file");
  std::ifstream stream{path, std::ios::binary};
  if (!stream) {
    return log_failure(path, std::string{"the logbook cannot be opened: "} + std::strerror(errno),
                       "check who may read it");
  }
  std::string head(versions_at + 2, '\0');
  stream.read(head.data(), static_cast<std::streamsize>(head.size()));
  if (stream.bad()) return log_failure(path, "the logbook cannot be read", "check the disk");
  if (stream.gcount() == 0) return no_logbook(path, "it is empty");
  if (!head.starts_with(sqlite_magic)) return no_logbook(path, "it is another kind of file");
  const std::string_view versions = std::string_view{head}.substr(versions_at);
  if (versions == with_write_ahead_log || fs::exists(path + "-wal", problem)) {
    return log_failure(path, "another program has given the logbook a write-ahead log",
                       "nothing was changed; close that program, then set its journal mode back: "
                       "sqlite3 FILE \"PRAGMA journal_mode = DELETE\"");
  }
  if (versions != with_rollback_journal) {
    return damaged(path, "its header is not as it was written");
  }
  return true;
}

Draft::Draft(std::string path)
    : path_(std::move(path)), draft_(path_ + std::string{draft_mark} + random_name()) {}

Draft::~Draft() {
  std::error_code ignored;
  fs::remove(draft_, ignored);
}

ReadResult<bool> Draft::publish() const {
  int problem = 0;
  if (::renameat2(AT_FDCWD, draft_.c_str(), AT_FDCWD, path_.c_str(), RENAME_NOREPLACE) != 0) {
    problem = errno;
  }
  // Network file systems know links alone; FAT knows no links.
  if (problem == EINVAL || problem == ENOSYS) {
    problem = ::link(draft_.c_str(), path_.c_str()) == 0 ? 0 : errno;
  }
  if (problem == EEXIST) return false;
  if (problem != 0) {
    return log_failure(path_,
                       std::string{"the logbook cannot be created: "} + std::strerror(problem),
                       "check who may write to its folder");
  }
  sync_folder_of(path_);
  return true;
}

LogCopy::~LogCopy() {
  std::error_code ignored;
  if (!folder_.empty()) fs::remove_all(folder_, ignored);
}

ReadResult<bool> LogCopy::take(const std::string& path) {
  std::error_code problem;
  // The journal lies beside the file itself, not beside a link to it.
  const fs::path file = fs::canonical(path, problem);
  const fs::path journal = journal_of(file.string());
  const auto before = read_stamp(file, journal);
  if (!before) return false;
  const fs::path temporary = fs::temp_directory_path(problem);
  std::string folder = (temporary / "slowdawn-XXXXXX").string();
  if (!problem && ::mkdtemp(folder.data()) == nullptr) problem = {errno, std::generic_category()};
  if (!problem) {
    folder_ = folder;
    copy_ = folder_ + "/copy.logbook";
    problem = make_writable_copy(file, copy_);
  }
  if (!problem) problem = make_writable_copy(journal, journal_of(copy_));
  if (read_stamp(file, journal) != before) return false;
  if (problem) {
    return log_failure(path,
                       "a write to the logbook was broken off, and it cannot be undone in a "
                       "temporary copy: " +
                           problem.message(),
                       "no entry that was acknowledged is lost; make room for temporary files, or "
                       "add an entry, which undoes it in the logbook itself");
  }
  return true;
}

}  // namespace slowdawn
