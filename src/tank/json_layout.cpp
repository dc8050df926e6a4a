#include "tank/json_layout.hpp"

#include <algorithm>
#include <slowdawn/tank/utf8.hpp>

#include "tank/json_reader.hpp"

namespace slowdawn {
namespace {

std::string quote_json(std::string_view text) {
  std::string quoted = "\"";
  for (std::size_t at = 0; at < text.size();) {
    const auto [point, length] = first_character(text.substr(at));
    if (text[at] == '"' || text[at] == '\\') quoted += '\\';
    const bool is_escaped = point && must_be_spelled_out(*point);
    quoted += is_escaped ? to_json_escape(*point) : std::string{text.substr(at, length)};
    at += length;
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
  if (is_scalar() || column + count_characters(whole) + tail <= width) return whole;
  const std::size_t inside = column + 1;
  std::string text{brackets_.front()};
  std::size_t at = inside;
  for (std::size_t i = 0; i < parts_.size(); ++i) {
    const bool is_last = i + 1 == parts_.size();
    // A comma, or the bracket and what comes after it.
    const std::size_t closing = is_last ? tail + 1 : 1;
    const std::string key = head(i);
    const std::size_t key_columns = count_characters(key);
    std::string part = parts_[i].on_one_line();
    const std::size_t blank = i > 0 ? 1 : 0;
    const bool fits = at + blank + key_columns + count_characters(part) + closing <= width;
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
    at = line_start == std::string::npos ? at + key_columns + count_characters(part) + 1
                                         : count_characters(part.substr(line_start + 1)) + 1;
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
                : parts_[i].filled(inside + count_characters(key), width, is_last ? 0 : 1);
    text += is_last ? "" : ",";
  }
  return text + "\n" + std::string(column, ' ') + brackets_.back();
}

}  // namespace slowdawn
