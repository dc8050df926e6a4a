// Bytes and letters of CSV text.
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

inline unsigned byte_at(std::string_view text, std::size_t i) {
  return i < text.size() ? static_cast<unsigned char>(text[i]) : 0u;
}

inline bool is_continuation(unsigned byte) { return (byte & 0xC0u) == 0x80u; }

}  // namespace slowdawn
