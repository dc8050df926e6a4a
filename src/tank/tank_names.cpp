#include "tank/tank_names.hpp"

namespace slowdawn {

std::vector<std::pair<std::size_t, JsonNode>> read_named(JsonReader& reader, const JsonNode& node,
                                                         const std::string& kind,
                                                         const Names& names) {
  std::vector<std::pair<std::size_t, JsonNode>> found;
  if (!node.is(JsonValue::Kind::object)) {
    reader.error(node, "expected values by " + kind + ", found " + describe(node.value()),
                 "write it as an object: {\"NAME\": ...}");
    return found;
  }
  for (const auto& [name, value] : node.members()) {
    if (const auto number = names.find(name)) {
      found.emplace_back(*number, value);
    } else if (!names.empty()) {
      reader.error_at_key(node, name, "there is no " + kind + " \"" + name + "\"",
                          reader.hint_for(name, names));
    }
  }
  return found;
}

std::map<std::size_t, Percent> read_dials(JsonReader& reader, const JsonNode& node,
                                          const Names& lights) {
  std::map<std::size_t, Percent> dials;
  for (const auto& [light, value] : read_named(reader, node, "light", lights)) {
    if (const auto percent = reader.read_number(value, {0, 100, "%"})) {
      dials[light] = Percent::of_full(*percent);
    }
  }
  return dials;
}

std::optional<Date> read_date(JsonReader& reader, const JsonNode& node) {
  const auto text = reader.read_text(node, "a date");
  if (!text) return std::nullopt;
  const auto date = parse_date(*text);
  if (date) return *date;
  reader.error(node, date.error().what, date.error().hint);
  return std::nullopt;
}

}  // namespace slowdawn
