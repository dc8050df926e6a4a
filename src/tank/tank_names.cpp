#include "tank/tank_names.hpp"

#include "tank/dial_words.hpp"

namespace slowdawn {

std::string join_names(const std::vector<std::string>& names) {
  constexpr std::size_t most_spot_names = 5;
  const std::size_t told = names.size() > most_spot_names ? most_spot_names - 1 : names.size();
  std::string text;
  for (std::size_t i = 0; i < told; ++i) {
    text += (i == 0 ? "" : i + 1 == names.size() ? " and " : ", ") + names[i];
  }
  return told == names.size() ? text
                              : text + " and " + std::to_string(names.size() - told) + " more";
}

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

namespace {

/// No light can be set finer, and what a reading at less says of full output is noise.
constexpr double least_dial_percent = 0.01;

}  // namespace

std::map<std::size_t, Percent> read_dials(JsonReader& reader, const JsonNode& node,
                                          const DialledLights& of) {
  std::map<std::size_t, Percent> dials;
  for (const auto& [light, value] : read_named(reader, node, "light", of.names)) {
    const auto percent = reader.read_number(value, {0, 100, "%"});
    if (!percent) continue;
    if (*percent > 0.0 && *percent < least_dial_percent) {
      reader.error(value, "a dial this close to 0 is as good as off",
                   "give 0, or the percentage that was dialled, from 0.01 on");
      continue;
    }
    const Percent dial = Percent::of_full(*percent);
    if (!of.lights.empty() && !is_no_share(reader, value, of.lights[light], dial)) continue;
    dials[light] = dial;
  }
  return dials;
}

bool is_no_share(JsonReader& reader, const JsonNode& node, const TankLight& light, Percent dial) {
  if (const auto checked = check_share(light, dial); !checked) {
    reader.error(node, checked.error().what, checked.error().hint);
    return false;
  }
  if (const auto question = ask_about_share(light, dial)) {
    reader.warn(node, question->what, question->hint);
  }
  return true;
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
