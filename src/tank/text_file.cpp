#include <cerrno>
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

}  // namespace

ReadResult<std::string> read_text_file(const std::string& file) {
  namespace fs = std::filesystem;
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

}  // namespace slowdawn
