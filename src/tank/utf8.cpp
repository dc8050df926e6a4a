#include <algorithm>
#include <slowdawn/tank/utf8.hpp>

namespace slowdawn {

Utf8Character first_character(std::string_view text) {
  const auto byte = [&](std::size_t i) { return static_cast<unsigned char>(text[i]); };
  if (byte(0) < 0x80) return {byte(0), 1};
  if (byte(0) < 0xC2 || byte(0) > 0xF4) return {};
  const std::size_t length = byte(0) < 0xE0 ? 2 : byte(0) < 0xF0 ? 3 : 4;
  if (text.size() < length) return {};
  char32_t point = byte(0) & (0x7FU >> length);
  for (std::size_t i = 1; i < length; ++i) {
    if (!is_continuation(text[i])) return {};
    point = (point << 6U) | (byte(i) & 0x3FU);
  }
  const char32_t least = length == 2 ? 0x80 : length == 3 ? 0x800 : 0x10000;
  const bool is_surrogate = point >= 0xD800 && point <= 0xDFFF;
  if (point < least || point > 0x10FFFF || is_surrogate) return {};
  return {point, length};
}

std::size_t count_characters(std::string_view text) {
  return static_cast<std::size_t>(
      std::count_if(text.begin(), text.end(), [](char c) { return !is_continuation(c); }));
}

bool steers_writing(char32_t point) {
  const bool is_control = point < 0x20 || (point >= 0x7F && point < 0xA0);
  const bool turns = point == 0x061C || (point >= 0x200E && point <= 0x200F) ||
                     (point >= 0x2028 && point <= 0x202E) || (point >= 0x2066 && point <= 0x2069);
  return is_control || turns;
}

bool is_utf8(std::string_view text) {
  while (!text.empty()) {
    const Utf8Character character = first_character(text);
    if (!character.point) return false;
    text.remove_prefix(character.length);
  }
  return true;
}

}  // namespace slowdawn
