// A line of bash that is being typed: which words it has, and how a word is
// written so that bash takes it for nothing but text.
//
// source: Bash Reference Manual, 3.1.2 Quoting, 3.6 Redirections, 8.7 Programmable
// Completion (COMP_LINE). Nothing is expanded, so nothing is ever run.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace slowdawn {

struct BashWords {
  /// Without their quotes; the last one is being typed, maybe empty.
  std::vector<std::string> words;
  /// The quote that is open at the end: ' or ", or 0.
  char open_quote = 0;
  /// The word that is being typed is where a redirection goes.
  bool is_redirected = false;
};

/// Empty where the line has quotes of a kind that completion leaves alone ($'...').
std::optional<BashWords> parse_bash_line(std::string_view line);

/// Text as it is written for bash, within the quote that is open, or by
/// backslashes where none is.
std::string quote_for_bash(std::string_view text, char open_quote);

}  // namespace slowdawn
