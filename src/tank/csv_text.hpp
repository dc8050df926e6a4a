// Bytes and letters of text from files.
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

/// Length of the UTF-8 sequence at the start of the text, 0 if it is none.
/// source: RFC 3629, section 4 (from memory): no overlong forms, no surrogates,
///   nothing over U+10FFFF.
inline std::size_t utf8_length(std::string_view text) {
  const unsigned first = byte_at(text, 0);
  const unsigned second = byte_at(text, 1);
  if (first < 0x80) return 1;
  if (first < 0xC2 || first > 0xF4 || !is_continuation(second)) return 0;
  if (first < 0xE0) return 2;
  const bool is_out_of_range = (first == 0xE0 && second < 0xA0) ||
                               (first == 0xED && second > 0x9F) ||
                               (first == 0xF0 && second < 0x90) || (first == 0xF4 && second > 0x8F);
  if (is_out_of_range || !is_continuation(byte_at(text, 2))) return 0;
  if (first < 0xF0) return 3;
  return is_continuation(byte_at(text, 3)) ? 4 : 0;
}

}  // namespace slowdawn
