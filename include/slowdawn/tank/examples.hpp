// The example tanks, built into the program.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace slowdawn {

struct ExampleFile {
  /// Without its folder.
  std::string_view name;
  std::string_view text;
};

/// The names of the examples, in alphabetical order.
std::vector<std::string> example_names();

/// The files of an example: its tank file first, then those that it names. Empty
/// for a name that there is not.
std::vector<ExampleFile> find_example(std::string_view name);

}  // namespace slowdawn
