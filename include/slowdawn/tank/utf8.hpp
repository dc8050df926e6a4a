// Characters in the bytes of names and files.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>

namespace slowdawn {

/// A character of UTF-8, or one byte that belongs to none: then without a code point.
struct Utf8Character {
  std::optional<char32_t> point;
  std::size_t length = 1;
};

/// What a text begins with, which has at least one byte.
/// source: RFC 3629, section 4 (from memory): no overlong forms, no surrogates,
///   nothing over U+10FFFF.
Utf8Character first_character(std::string_view text);

bool is_utf8(std::string_view text);

/// Whether a byte is a later one of its character.
inline bool is_continuation(char byte) {
  return (static_cast<unsigned char>(byte) & 0xC0U) == 0x80U;
}

/// Characters in valid UTF-8.
std::size_t count_characters(std::string_view text);

/// What must be spelled out wherever a name is shown: what would steer a terminal or an
/// editor (controls, bidirectional marks, separators of lines and paragraphs), and what
/// nobody sees, by which two names could look alike.
/// validity: the format characters (Cf) of Unicode 15 and its blank letters; variation
///   selectors, which belong to emoji, are left as they are.
bool must_be_spelled_out(char32_t point);

/// A character as JSON spells it out: \uXXXX, over U+FFFF two of them.
std::string to_json_escape(char32_t point);

}  // namespace slowdawn
