// The words that help has for values: what it says to people, completion goes by.
//
// A value's type name is one of
//   a|b|c                       one of these words
//   TANK                        a tank file
//   GROUP, SPOT, LIGHT          a name from the tank file
//   PROFILE                     the name of a profile
//   FILE, PATH, LOG; FOLDER     a path
// or any other word, of which nothing more is known (DATE, PERCENT). Words that
// have no option before them may be several: "GROUP SPOT [TANK]", in brackets
// what may be left out; "..." where those before it may come again.
#pragma once

#include <CLI/CLI.hpp>
#include <string>
#include <string_view>
#include <vector>

namespace slowdawn {

/// The word for an option's value; empty for a flag.
std::string value_word(const CLI::Option& option);

/// "a|b|c" as its parts; empty for a word without a "|".
std::vector<std::string> choices_of(std::string_view word);

/// Whether a word follows the option.
bool takes_value(const CLI::Option& option);

/// A number from `low` to `high`. The library's own check lets "nan" pass, which is neither
/// under nor over.
CLI::Validator number_within(double low, double high);

/// What comes after a command without an option before it, as help shows it:
/// "GROUP SPOT [TANK]".
std::string positional_pattern(const CLI::Option& option);

struct PositionalWords {
  /// In the order of the pattern, without TANK, which may stand anywhere.
  std::vector<std::string> words;
  bool repeats = false;
  bool takes_tank = false;

  /// The word for the value at a place; empty where none is expected.
  std::string at(std::size_t place) const;
};

PositionalWords positional_words(const CLI::App& command);

}  // namespace slowdawn
