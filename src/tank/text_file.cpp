#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <atomic>
#include <cctype>
#include <cerrno>
#include <chrono>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <slowdawn/tank/text_file.hpp>
#include <system_error>
#include <vector>

namespace slowdawn {
namespace {

constexpr std::size_t largest_file = 16'000'000;

tl::unexpected<ReadFailure> no_access(const std::string& file, std::string what, std::string hint) {
  return tl::make_unexpected(ReadFailure{ReadFailure::Kind::access,
                                         {{{file, 0, 0, ""}, std::move(what), std::move(hint)}}});
}

namespace fs = std::filesystem;

/// Refuses what is not there or is no plain file. A pipe is not waited for: whoever is to
/// fill it may never do so.
tl::expected<void, ReadFailure> check_plain_file(const std::string& file) {
  std::error_code problem;
  const fs::file_status status = fs::status(file, problem);
  if (status.type() == fs::file_type::none) {
    return no_access(file, "the file cannot be reached: " + problem.message(),
                     "check the path, and who may enter its folders");
  }
  if (!fs::exists(status)) {
    return no_access(file, "there is no such file",
                     file.ends_with(".csv")
                         ? "check the path"
                         : "check the path; a tank file is named NAME.tank.json");
  }
  if (fs::is_directory(status)) {
    return no_access(file, "this is a folder, not a file", "name the file inside it");
  }
  if (!fs::is_regular_file(status)) {
    const std::string kind = fs::is_fifo(status)     ? "a pipe"
                             : fs::is_socket(status) ? "a socket"
                                                     : "a device";
    return no_access(file, "this is " + kind + ", not a file",
                     "save what comes out of it as a file, and name that file");
  }
  return {};
}

}  // namespace

ReadResult<std::string> read_text_file(const std::string& file) {
  if (auto plain = check_plain_file(file); !plain) {
    return tl::make_unexpected(std::move(plain.error()));
  }
  std::ifstream stream{file, std::ios::binary};
  if (!stream) {
    return no_access(file, std::string{"the file cannot be opened: "} + std::strerror(errno),
                     "check who may read it");
  }
  std::string text;
  std::vector<char> block(1 << 16);
  while (stream.read(block.data(), static_cast<std::streamsize>(block.size())) ||
         stream.gcount() > 0) {
    text.append(block.data(), static_cast<std::size_t>(stream.gcount()));
    if (text.size() > largest_file) {
      return no_access(
          file, "the file is larger than 16 MB",
          "is this the right file? A tank file has a few kilobytes; a log may be cut in two");
    }
  }
  if (stream.bad()) {
    return no_access(file, "the file could not be read to its end", "check the disk");
  }
  return text;
}

namespace {

/// Between the name of a file and six letters or digits while it is being written.
constexpr std::string_view draft_mark = ".slowdawn-";

bool is_draft_ending(std::string_view ending) {
  return ending.size() == 6 && std::all_of(ending.begin(), ending.end(),
                                           [](unsigned char c) { return std::isalnum(c) != 0; });
}

/// Where a chain of links ends, whether or not there is a file. A ring of them ends at a link.
fs::path follow_links(fs::path file) {
  constexpr int most_links = 40;  // as in Linux
  std::error_code problem;
  for (int i = 0; i < most_links && fs::is_symlink(fs::symlink_status(file, problem)); ++i) {
    const fs::path target = fs::read_symlink(file, problem);
    if (problem) break;
    file = file.parent_path() / target;
  }
  return file;
}

/// Where a signal handler finds the file that is being written; of several at once
/// the first.
struct UnfinishedFile {
  std::atomic<bool> is_listed = false;
  std::array<char, 4096> name = {};
};
UnfinishedFile unfinished_file;
std::atomic<bool> is_abandoned = false;

/// A new file beside the one that is to be written, removed again unless it was
/// put in its place.
class FileBeside {
 public:
  explicit FileBeside(const std::string& file) : name_(file + std::string{draft_mark} + "XXXXXX") {
    auto& [is_listed, listed] = unfinished_file;
    owns_list_ = name_.size() < listed.size() && !is_listed.exchange(true);
    // Made under the listed name, so that there is no moment at which it is not.
    char* name = owns_list_ ? listed.data() : name_.data();
    if (owns_list_) std::strcpy(name, name_.c_str());
    descriptor_ = ::mkstemp(name);
    name_ = descriptor_ < 0 ? "" : name;
    if (is_abandoned) remove();
  }
  FileBeside(const FileBeside&) = delete;
  FileBeside& operator=(const FileBeside&) = delete;
  ~FileBeside() {
    close();
    remove();
    if (owns_list_) unfinished_file.is_listed = false;
  }

  bool is_open() const { return descriptor_ >= 0; }

  bool write(std::string_view text) const {
    while (!text.empty()) {
      const ssize_t written = ::write(descriptor_, text.data(), text.size());
      if (written < 0 && errno == EINTR) continue;
      if (written < 0) return false;
      text.remove_prefix(static_cast<std::size_t>(written));
    }
    return ::fsync(descriptor_) == 0;
  }

  /// With the rights of the file that it replaces, or those of a new one.
  bool put_in_place_of(const std::string& file) {
    struct stat old {};
    mode_t rights = 0;
    if (::stat(file.c_str(), &old) == 0) {
      rights = old.st_mode & 07777;
    } else {
      const mode_t mask = ::umask(0);
      ::umask(mask);
      rights = 0666 & ~mask;
    }
    if (::fchmod(descriptor_, rights) != 0 || !close()) return false;
    if (::rename(name_.c_str(), file.c_str()) != 0) return false;
    name_.clear();
    return true;
  }

 private:
  void remove() {
    if (!name_.empty()) ::unlink(name_.c_str());
    name_.clear();
  }

  bool close() {
    const bool is_closed = descriptor_ < 0 || ::close(descriptor_) == 0;
    descriptor_ = -1;
    return is_closed;
  }

  std::string name_;
  bool owns_list_ = false;
  int descriptor_ = -1;
};

}  // namespace

void abandon_writing() noexcept {
  is_abandoned = true;
  if (unfinished_file.is_listed) ::unlink(unfinished_file.name.data());
}

void remove_leftovers(const std::string& file, std::string_view mark,
                      bool (*is_ending)(std::string_view)) {
  constexpr std::chrono::hours old_enough{1};
  const fs::path path{file};
  const std::string beginning = path.filename().string() + std::string{mark};
  const fs::path folder = path.has_parent_path() ? path.parent_path() : fs::path{"."};
  std::error_code problem;
  for (fs::directory_iterator entry{folder, problem}, end; !problem && entry != end;
       entry.increment(problem)) {
    const std::string name = entry->path().filename().string();
    if (!name.starts_with(beginning)) continue;
    if (!is_ending(std::string_view{name}.substr(beginning.size()))) continue;
    std::error_code ignored;
    if (!fs::is_regular_file(entry->symlink_status(ignored))) continue;
    const auto written = fs::last_write_time(entry->path(), ignored);
    if (ignored || fs::file_time_type::clock::now() - written < old_enough) continue;
    fs::remove(entry->path(), ignored);
  }
}

tl::expected<void, ReadFailure> write_text_file(const std::string& file, std::string_view text) {
  std::error_code problem;
  if (fs::is_directory(file, problem)) {
    return no_access(file, "this is a folder, not a file", "name a file inside it");
  }
  // What is not a plain file, such as a pipe or a terminal, is written as it is.
  if (fs::exists(file, problem) && !fs::is_regular_file(file, problem)) {
    std::ofstream stream{file, std::ios::binary};
    stream.write(text.data(), static_cast<std::streamsize>(text.size()));
    stream.flush();
    if (stream) return {};
    return no_access(file, "it could not be written to", "check where the output is to go");
  }
  // A link is kept, and the file behind it replaced or made.
  const fs::path target = follow_links(file);
  if (fs::is_symlink(fs::symlink_status(target, problem))) {
    return no_access(file, "this is a link that leads nowhere",
                     "take the link away, or name another file");
  }
  remove_leftovers(target.string(), draft_mark, is_draft_ending);
  FileBeside beside{target.string()};
  if (!beside.is_open()) {
    return no_access(file, std::string{"the file cannot be made: "} + std::strerror(errno),
                     "check the path, and who may write into its folder");
  }
  if (!beside.write(text) || !beside.put_in_place_of(target.string())) {
    return no_access(file, std::string{"the file could not be written: "} + std::strerror(errno),
                     "check the disk; what was there before is untouched");
  }
  return {};
}

}  // namespace slowdawn
