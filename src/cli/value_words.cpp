#include "cli/value_words.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <sstream>

namespace slowdawn {

std::string value_word(const CLI::Option& option) {
  if (!takes_value(option)) return {};
  // The library appends what a value is checked for, after a colon.
  const std::string type = option.get_type_name();
  const std::string word = type.substr(0, type.find(':'));
  return word == " " ? std::string{} : word;
}

std::vector<std::string> choices_of(std::string_view word) {
  std::vector<std::string> choices;
  if (word.find('|') == std::string_view::npos) return choices;
  for (std::size_t at = 0; at <= word.size();) {
    const std::size_t end = std::min(word.find('|', at), word.size());
    choices.emplace_back(word.substr(at, end - at));
    at = end + 1;
  }
  return choices;
}

bool takes_value(const CLI::Option& option) { return option.get_items_expected_max() > 0; }

CLI::Validator number_within(double low, double high) {
  const auto check = [low, high](const std::string& text) -> std::string {
    double value = 0.0;
    const bool is_within = CLI::detail::lexical_cast(text, value) && value >= low && value <= high;
    return is_within ? "" : fmt::format("{} is not a number from {} to {}", text, low, high);
  };
  return {check, fmt::format("{} to {}", low, high)};
}

std::string positional_pattern(const CLI::Option& option) {
  std::string word = value_word(option);
  if (!word.empty()) return word;
  const std::string name = option.get_name(true);
  return option.get_required() ? name : "[" + name + "]";
}

PositionalWords positional_words(const CLI::App& command) {
  PositionalWords found;
  for (const CLI::Option* option : command.get_options()) {
    if (!option->get_positional()) continue;
    std::istringstream pattern{positional_pattern(*option)};
    for (std::string word; pattern >> word;) {
      if (word.starts_with("[")) word = word.substr(1, word.size() - 2);
      if (word == "...") {
        found.repeats = true;
      } else if (word == "TANK") {
        found.takes_tank = true;
      } else {
        found.words.push_back(word);
      }
    }
  }
  return found;
}

std::string PositionalWords::at(std::size_t place) const {
  if (words.empty() || (place >= words.size() && !repeats)) return {};
  return words[place % words.size()];
}

}  // namespace slowdawn
