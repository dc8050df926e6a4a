// The number of a named thing in a list.
#pragma once

#include <algorithm>
#include <optional>
#include <string>
#include <vector>

namespace slowdawn {

template <class Named>
std::optional<std::size_t> find_named(const std::vector<Named>& list, const std::string& name) {
  const auto found =
      std::find_if(list.begin(), list.end(), [&](const Named& item) { return item.name == name; });
  if (found == list.end()) return std::nullopt;
  return static_cast<std::size_t>(found - list.begin());
}

}  // namespace slowdawn
