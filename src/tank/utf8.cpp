#include <algorithm>
#include <iterator>
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

bool must_be_spelled_out(char32_t point) {
  // From the lowest up.
  struct Range {
    char32_t first;
    char32_t last;
  };
  static constexpr Range ranges[] = {
      {0x0000, 0x001F},   {0x007F, 0x009F},   {0x00AD, 0x00AD},   {0x034F, 0x034F},
      {0x0600, 0x0605},   {0x061C, 0x061C},   {0x06DD, 0x06DD},   {0x070F, 0x070F},
      {0x0890, 0x0891},   {0x08E2, 0x08E2},   {0x115F, 0x1160},   {0x17B4, 0x17B5},
      {0x180E, 0x180E},   {0x200B, 0x200F},   {0x2028, 0x202E},   {0x2060, 0x206F},
      {0x3164, 0x3164},   {0xFEFF, 0xFEFF},   {0xFFA0, 0xFFA0},   {0xFFF9, 0xFFFB},
      {0x110BD, 0x110BD}, {0x110CD, 0x110CD}, {0x13430, 0x1343F}, {0x1BCA0, 0x1BCA3},
      {0x1D173, 0x1D17A}, {0xE0000, 0xE007F}};
  const auto range = std::find_if(std::begin(ranges), std::end(ranges),
                                  [point](const Range& one) { return point <= one.last; });
  return range != std::end(ranges) && point >= range->first;
}

std::string to_json_escape(char32_t point) {
  constexpr std::string_view digits = "0123456789abcdef";
  if (point > 0xFFFF) {
    const char32_t rest = point - 0x10000;
    return to_json_escape(0xD800 + (rest >> 10U)) + to_json_escape(0xDC00 + (rest & 0x3FFU));
  }
  std::string text = "\\u";
  for (unsigned shift = 16; shift > 0;) {
    shift -= 4;
    text += digits[(point >> shift) & 0xFU];
  }
  return text;
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
