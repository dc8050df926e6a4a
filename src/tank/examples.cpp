#include <slowdawn/tank/examples.hpp>

#include <algorithm>

#include "tank/built_in.hpp"

namespace slowdawn {

std::vector<std::string> example_names() {
  std::vector<std::string> names;
  for (const BuiltInFile& file : built_in_examples()) {
    const std::string_view folder = file.name.substr(0, file.name.find('/'));
    if (names.empty() || names.back() != folder) names.emplace_back(folder);
  }
  return names;
}

std::vector<ExampleFile> find_example(std::string_view name) {
  std::vector<ExampleFile> files;
  for (const BuiltInFile& file : built_in_examples()) {
    const auto slash = file.name.find('/');
    if (file.name.substr(0, slash) != name) continue;
    files.push_back({file.name.substr(slash + 1), file.text});
  }
  std::stable_partition(files.begin(), files.end(),
                        [](const ExampleFile& file) { return file.name.ends_with(".tank.json"); });
  return files;
}

}  // namespace slowdawn
