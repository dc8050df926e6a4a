#include "tank/json_reader.hpp"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <slowdawn/tank/nearest_name.hpp>

namespace slowdawn {
namespace {

std::string range_text(const NumberRange& range) {
  const std::string unit = range.unit.empty() ? "" : " " + range.unit;
  return "from " + number_text(range.low) + " to " + number_text(range.high) + unit;
}

}  // namespace

std::string number_text(double value) {
  char buffer[32];
  // Written out as far as people read it so.
  const double size = std::abs(value);
  const bool is_plain = size == 0.0 || (size >= 1e-4 && size < 1e9);
  const auto end =
      is_plain
          ? std::to_chars(std::begin(buffer), std::end(buffer), value, std::chars_format::fixed).ptr
          : std::to_chars(std::begin(buffer), std::end(buffer), value).ptr;
  return {buffer, end};
}

std::string describe(const JsonValue& value) {
  switch (value.kind) {
    case JsonValue::Kind::null: return "null";
    case JsonValue::Kind::boolean: return value.boolean ? "true" : "false";
    case JsonValue::Kind::number: return "the number " + number_text(value.number);
    case JsonValue::Kind::text: return "the text \"" + value.text + "\"";
    case JsonValue::Kind::array: return "a list";
    case JsonValue::Kind::object: return "an object";
  }
  return "something else";
}

std::optional<JsonNode> JsonNode::find(std::string_view key) const {
  for (const JsonMember& member : value_->members) {
    if (member.key == key) return JsonNode{member.value, pointer_ + "/" + escape_pointer(key)};
  }
  return std::nullopt;
}

std::vector<JsonNode> JsonNode::items() const {
  std::vector<JsonNode> nodes;
  for (std::size_t i = 0; i < value_->items.size(); ++i) {
    nodes.emplace_back(value_->items[i], pointer_ + "/" + std::to_string(i));
  }
  return nodes;
}

std::vector<JsonNode::Member> JsonNode::members() const {
  std::vector<Member> nodes;
  for (const JsonMember& member : value_->members) {
    nodes.push_back(
        {member.key, JsonNode{member.value, pointer_ + "/" + escape_pointer(member.key)}});
  }
  return nodes;
}

void JsonReader::add(std::vector<Found>& list, std::size_t offset, std::string pointer,
                     std::string what, std::string hint) {
  list.push_back(
      {offset, {{document_.file(), 0, 0, std::move(pointer)}, std::move(what), std::move(hint)}});
}

void JsonReader::error(const JsonNode& node, std::string what, std::string hint) {
  add(errors_, node.value().offset, node.pointer(), std::move(what), std::move(hint));
}

void JsonReader::warn(const JsonNode& node, std::string what, std::string hint) {
  add(warnings_, node.value().offset, node.pointer(), std::move(what), std::move(hint));
}

void JsonReader::error_of_plans(const JsonNode& node, std::string what, std::string hint) {
  add(plan_errors_, node.value().offset, node.pointer(), std::move(what), std::move(hint));
}

void JsonReader::error_at_key(const JsonNode& object, std::string_view key, std::string what,
                              std::string hint) {
  for (const JsonMember& member : object.value().members) {
    if (member.key != key) continue;
    add(errors_, member.key_offset, object.pointer() + "/" + escape_pointer(key), std::move(what),
        std::move(hint));
    return;
  }
}

void JsonReader::error_elsewhere(const JsonNode& node, Findings findings) {
  for (Finding& finding : findings)
    errors_.push_back({node.value().offset, std::move(finding), false});
}

void JsonReader::error_of_access(const JsonNode& node, std::string what, std::string hint) {
  kind_ = ReadFailure::Kind::access;
  error(node, std::move(what), std::move(hint));
}

bool JsonReader::expect_object(const JsonNode& node, std::string_view what,
                               std::span<const std::string> keys) {
  if (!node.is(JsonValue::Kind::object)) {
    error(node, "expected " + std::string{what} + ", found " + describe(node.value()),
          "write it as an object: { ... }");
    return false;
  }
  bool is_good = true;
  for (const JsonMember& member : node.value().members) {
    if (std::find(keys.begin(), keys.end(), member.key) != keys.end()) continue;
    error_at_key(node, member.key, "unknown key \"" + member.key + "\" in " + std::string{what},
                 hint_for_name(member.key, keys));
    is_good = false;
  }
  return is_good;
}

std::optional<JsonNode> JsonReader::require(const JsonNode& object, std::string_view key,
                                            std::string_view example) {
  if (auto found = object.find(key)) return found;
  error(object, "\"" + std::string{key} + "\" is missing", "for example " + std::string{example});
  return std::nullopt;
}

std::optional<double> JsonReader::read_number(const JsonNode& node, const NumberRange& range) {
  if (!node.is(JsonValue::Kind::number)) {
    const bool is_text = node.is(JsonValue::Kind::text);
    const std::string unit = range.unit.empty() ? "" : " in " + range.unit;
    error(node, "expected a number" + unit + ", found " + describe(node.value()),
          is_text ? "write the bare number, without quotes and without a unit"
                  : "write a number " + range_text(range));
    return std::nullopt;
  }
  const double number = node.value().number;
  if (number < range.low || number > range.high) {
    error(node, number_text(number) + " is out of range, which goes " + range_text(range),
          range.hint.empty() ? "write a number " + range_text(range) : range.hint);
    return std::nullopt;
  }
  return number;
}

std::optional<int> JsonReader::read_integer(const JsonNode& node, const NumberRange& range) {
  const auto number = read_number(node, range);
  if (!number) return std::nullopt;
  if (*number != std::floor(*number)) {
    error(node, number_text(*number) + " is not a whole number",
          "write a whole number " + range_text(range));
    return std::nullopt;
  }
  return static_cast<int>(*number);
}

std::optional<bool> JsonReader::read_flag(const JsonNode& node) {
  if (node.is(JsonValue::Kind::boolean)) return node.value().boolean;
  error(node, "expected true or false, found " + describe(node.value()),
        "write true or false, without quotes");
  return std::nullopt;
}

std::optional<std::string> JsonReader::read_text(const JsonNode& node, std::string_view what) {
  if (!node.is(JsonValue::Kind::text)) {
    error(node, "expected " + std::string{what} + " as text, found " + describe(node.value()),
          "write it in quotes");
    return std::nullopt;
  }
  if (node.value().text.empty()) {
    error(node, std::string{what} + " is empty", "give it at least one letter");
    return std::nullopt;
  }
  return node.value().text;
}

std::optional<std::vector<std::string>> JsonReader::read_texts(const JsonNode& node,
                                                               std::string_view what) {
  const auto nodes = read_array(node, what);
  if (!nodes) return std::nullopt;
  std::vector<std::string> texts;
  bool is_good = true;
  for (const JsonNode& item : *nodes) {
    const auto text = read_text(item, what);
    is_good = is_good && text.has_value();
    texts.push_back(text.value_or(""));
  }
  if (!is_good) return std::nullopt;
  return texts;
}

std::optional<std::size_t> JsonReader::read_name(const JsonNode& node, std::string_view kind,
                                                 const Names& names) {
  const auto text = read_text(node, "the name of a " + std::string{kind});
  if (!text) return std::nullopt;
  if (const auto number = names.find(*text)) return number;
  error(node, "there is no " + std::string{kind} + " \"" + *text + "\"", hint_for(*text, names));
  return std::nullopt;
}

std::string JsonReader::hint_for(std::string_view wrong, const Names& names) const {
  constexpr std::size_t most_looks = 200;
  return errors_.size() < most_looks ? hint_for_name(wrong, names) : "mend the errors before it";
}

std::optional<std::vector<JsonNode>> JsonReader::read_array(const JsonNode& node,
                                                            std::string_view what) {
  if (!node.is(JsonValue::Kind::array)) {
    error(node, "expected a list of " + std::string{what} + ", found " + describe(node.value()),
          "write it as a list: [ ... ]");
    return std::nullopt;
  }
  return node.items();
}

Findings JsonReader::in_file_order(std::vector<Found> found) const {
  std::stable_sort(found.begin(), found.end(),
                   [](const Found& a, const Found& b) { return a.offset < b.offset; });
  if (found.size() > most_findings) {
    found[most_findings - 1].finding.hint += " (there are more errors; mend these first)";
  }
  Findings findings;
  for (std::size_t i = 0; i < std::min(found.size(), most_findings); ++i) {
    Place& place = found[i].finding.place;
    if (found[i].is_here) place = document_.place(found[i].offset, std::move(place.pointer));
    findings.push_back(std::move(found[i].finding));
  }
  return findings;
}

ReadFailure JsonReader::take_failure() { return {kind_, in_file_order(std::move(errors_))}; }

Findings JsonReader::take_warnings() { return in_file_order(std::move(warnings_)); }

Findings JsonReader::take_plan_errors() { return in_file_order(std::move(plan_errors_)); }

}  // namespace slowdawn
