#include "tank/time_zone.hpp"

#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <slowdawn/tank/nearest_name.hpp>
#include <string_view>
#include <vector>

namespace slowdawn {
namespace {

namespace fs = std::filesystem;

fs::path zone_folder() {
  const char* folder = std::getenv("TZDIR");
  return folder != nullptr && *folder != '\0' ? folder : "/usr/share/zoneinfo";
}

/// Whether it is a zone and no list or note, of which the folder has some.
/// source: RFC 8536, section 3.1 (from memory): a zone begins with "TZif".
bool is_zone(const fs::path& file) {
  std::error_code problem;
  if (!fs::is_regular_file(file, problem)) return false;
  char magic[4] = {};
  std::ifstream stream{file, std::ios::binary};
  return stream.read(magic, sizeof magic) && std::string_view{magic, sizeof magic} == "TZif";
}

/// Letters, digits and "_+-" between single slashes: nothing that leads out of the folder.
bool is_zone_name(std::string_view name) {
  constexpr std::string_view letters =
      "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789_+-/";
  return name.find_first_not_of(letters) == std::string_view::npos && !name.starts_with('/') &&
         !name.ends_with('/') && name.find("//") == std::string_view::npos;
}

std::vector<std::string> list_zones(const fs::path& folder) {
  std::vector<std::string> names;
  std::error_code problem;
  for (fs::recursive_directory_iterator at{folder, problem}, end; !problem && at != end;
       at.increment(problem)) {
    const std::string name = at->path().lexically_relative(folder).generic_string();
    // The same zones once more, with and without leap seconds.
    if (name == "posix" || name == "right") at.disable_recursion_pending();
    std::error_code no_file;
    if (at->is_regular_file(no_file) && is_zone_name(name)) names.push_back(name);
  }
  std::sort(names.begin(), names.end());
  return names;
}

}  // namespace

Result<void> check_time_zone(const std::string& name) {
  const fs::path folder = zone_folder();
  if (is_zone_name(name) && is_zone(folder / name)) return {};
  std::error_code problem;
  if (!fs::is_directory(folder, problem)) {
    return fault("this machine has no time zones, so \"" + name + "\" is not known",
                 "install them (Debian: the package tzdata), or leave \"zone\" out; days are then "
                 "this machine's");
  }
  const auto nearest = find_nearest_name(name, list_zones(folder));
  return fault("there is no time zone \"" + name + "\"",
               nearest ? "did you mean \"" + *nearest + "\"?"
                       : "write region and city, such as \"Europe/Berlin\"; the names stand in " +
                             folder.string());
}

}  // namespace slowdawn
