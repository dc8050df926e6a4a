#include "tank/json_layout.hpp"

#include <algorithm>

#include "tank/csv_text.hpp"
#include "tank/json_reader.hpp"

namespace slowdawn {
namespace {

std::size_t count_columns(std::string_view text) {
  return static_cast<std::size_t>(std::count_if(text.begin(), text.end(), [](char c) {
    return !is_continuation(static_cast<unsigned char>(c));
  }));
}

/// The code point of a character in valid UTF-8.
unsigned to_code_point(std::string_view character) {
  const unsigned lead = byte_at(character, 0);
  unsigned point = character.size() == 1   ? lead
                   : character.size() == 2 ? lead & 0x1Fu
                   : character.size() == 3 ? lead & 0x0Fu
                                           : lead & 0x07u;
  for (std::size_t i = 1; i < character.size(); ++i) {
    point = (point << 6u) | (byte_at(character, i) & 0x3Fu);
  }
  return point;
}

/// Controls, marks that turn the writing direction, separators of lines.
bool needs_escape(unsigned point) {
  return point < 0x20 || (point >= 0x7F && point < 0xA0) || point == 0x061C || point == 0x200E ||
         point == 0x200F || (point >= 0x2028 && point <= 0x202E) ||
         (point >= 0x2066 && point <= 0x2069);
}

std::string escape_point(unsigned point) {
  constexpr std::string_view digits = "0123456789abcdef";
  std::string text = "\\u";
  for (unsigned shift = 16; shift > 0;) {
    shift -= 4;
    text += digits[(point >> shift) & 0xFu];
  }
  return text;
}

std::string quote_json(std::string_view text) {
  std::string quoted = "\"";
  for (std::size_t at = 0; at < text.size();) {
    std::size_t end = at + 1;
    while (end < text.size() && is_continuation(byte_at(text, end))) ++end;
    const std::string_view character = text.substr(at, end - at);
    const unsigned point = to_code_point(character);
    if (point == '"' || point == '\\') quoted += '\\';
    quoted += needs_escape(point) ? escape_point(point) : std::string{character};
    at = end;
  }
  return quoted + "\"";
}

}  // namespace

JsonText JsonText::flag(bool value) {
  JsonText made;
  made.scalar_ = value ? "true" : "false";
  return made;
}

JsonText JsonText::number(double value) {
  JsonText made;
  made.scalar_ = number_text(value);
  return made;
}

JsonText JsonText::text(std::string_view value) {
  JsonText made;
  made.scalar_ = quote_json(value);
  return made;
}

JsonText JsonText::list(std::vector<JsonText> items) {
  JsonText made;
  made.brackets_ = "[]";
  made.parts_ = std::move(items);
  return made;
}

JsonText JsonText::object(const std::vector<std::pair<std::string, JsonText>>& members) {
  JsonText made;
  made.brackets_ = "{}";
  for (const auto& [key, value] : members) {
    made.keys_.push_back(key);
    made.parts_.push_back(value);
  }
  return made;
}

std::string JsonText::head(std::size_t i) const {
  return keys_.empty() ? "" : quote_json(keys_[i]) + ": ";
}

bool JsonText::is_list_of_objects() const {
  return brackets_ == "[]" && !parts_.empty() && parts_.front().brackets_ == "{}";
}

std::string JsonText::on_one_line() const {
  if (is_scalar()) return scalar_;
  std::string text{brackets_.front()};
  for (std::size_t i = 0; i < parts_.size(); ++i) {
    text += (i > 0 ? ", " : "") + head(i) + parts_[i].on_one_line();
  }
  return text + brackets_.back();
}

std::string JsonText::filled(std::size_t column, std::size_t width, std::size_t tail) const {
  std::string whole = on_one_line();
  if (is_scalar() || column + count_columns(whole) + tail <= width) return whole;
  const std::size_t inside = column + 1;
  std::string text{brackets_.front()};
  std::size_t at = inside;
  for (std::size_t i = 0; i < parts_.size(); ++i) {
    const bool is_last = i + 1 == parts_.size();
    // A comma, or the bracket and what comes after it.
    const std::size_t closing = is_last ? tail + 1 : 1;
    const std::string key = head(i);
    const std::size_t key_columns = count_columns(key);
    std::string part = parts_[i].on_one_line();
    const std::size_t blank = i > 0 ? 1 : 0;
    const bool fits = at + blank + key_columns + count_columns(part) + closing <= width;
    if (i > 0 && !fits) {
      text += "\n" + std::string(inside, ' ');
      at = inside;
    } else if (i > 0) {
      text += " ";
      ++at;
    }
    if (!fits) part = parts_[i].filled(at + key_columns, width, closing);
    text += key + part + (is_last ? "" : ",");
    const auto line_start = part.rfind('\n');
    at = line_start == std::string::npos ? at + key_columns + count_columns(part) + 1
                                         : count_columns(part.substr(line_start + 1)) + 1;
  }
  return text + brackets_.back();
}

std::string JsonText::one_a_line(std::size_t column, std::size_t width) const {
  std::string text{brackets_.front()};
  const std::size_t inside = column + 2;
  for (std::size_t i = 0; i < parts_.size(); ++i) {
    const bool is_last = i + 1 == parts_.size();
    const std::string key = head(i);
    text += "\n" + std::string(inside, ' ') + key;
    text += parts_[i].is_list_of_objects()
                ? parts_[i].one_a_line(inside, width)
                : parts_[i].filled(inside + count_columns(key), width, is_last ? 0 : 1);
    text += is_last ? "" : ",";
  }
  return text + "\n" + std::string(column, ' ') + brackets_.back();
}

}  // namespace slowdawn
