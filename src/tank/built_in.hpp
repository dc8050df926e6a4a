// Files that are built into the program; the definitions are made by CMake.
#pragma once

#include <span>
#include <string_view>

namespace slowdawn {

struct BuiltInFile {
  /// Of a profile without folder and ending, of an example FOLDER/FILE.
  std::string_view name;
  std::string_view text;
};

/// profiles/*.json in alphabetical order.
std::span<const BuiltInFile> built_in_profiles();

/// The files of examples/ that a tank is made of, in alphabetical order.
std::span<const BuiltInFile> built_in_examples();

/// src/tank/tank.schema.json.
std::string_view built_in_schema();

/// src/tank/profile.schema.json.
std::string_view built_in_profile_schema();

}  // namespace slowdawn
