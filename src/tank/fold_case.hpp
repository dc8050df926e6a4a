// Names that differ in the case of their letters alone.
#pragma once

#include <string>
#include <string_view>

namespace slowdawn {

/// ASCII alone, whatever the locale.
inline std::string fold_case(std::string_view text) {
  std::string folded{text};
  for (char& c : folded) {
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
  }
  return folded;
}

}  // namespace slowdawn
