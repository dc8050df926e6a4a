#include "cli/help_formatter.hpp"

#include <algorithm>
#include <vector>

#include "cli/value_words.hpp"

namespace slowdawn {

std::string excluded_options(const CLI::Option& option) {
  // The library keeps them in a set of pointers, whose order changes from run to run.
  std::vector<std::string> names;
  for (const CLI::Option* other : option.get_excludes()) names.push_back(other->get_name());
  std::sort(names.begin(), names.end());
  std::string text;
  for (const std::string& name : names) text += (text.empty() ? "" : ", ") + name;
  return text;
}

HelpFormatter::HelpFormatter() { column_width(24); }

std::string HelpFormatter::make_option_name(const CLI::Option* option, bool is_positional) const {
  if (is_positional) return positional_pattern(*option);
  return Formatter::make_option_name(option, is_positional);
}

std::string HelpFormatter::make_option_opts(const CLI::Option* option) const {
  if (option->get_positional()) return {};
  const std::string word = value_word(*option);
  return word.empty() ? word : " " + word;
}

std::string HelpFormatter::make_option_desc(const CLI::Option* option) const {
  const std::string excluded = excluded_options(*option);
  if (excluded.empty()) return option->get_description();
  return option->get_description() + "\nNot together with " + excluded;
}

std::string HelpFormatter::make_option_usage(const CLI::Option* option) const {
  return positional_pattern(*option);
}

}  // namespace slowdawn
