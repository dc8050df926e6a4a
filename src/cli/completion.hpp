// What may come next on a command line that is being typed.
#pragma once

#include <CLI/CLI.hpp>
#include <string>
#include <string_view>
#include <vector>

#include "cli/session.hpp"

namespace slowdawn {

struct Candidate {
  /// The whole word; text that no terminal is steered by.
  std::string text;
  /// What it is, in a few words.
  std::string about;
  /// Not the end of a word yet: a folder on the way to a file.
  bool goes_on = false;
};

struct Completion {
  std::vector<Candidate> candidates;
  /// Paths, which a shell completes better by itself.
  enum class Paths { none, files, folders };
  Paths paths = Paths::none;
};

/// Everything that may stand in place of the last word. Files are looked for by
/// its beginning; the rest is left for the shell to choose from.
/// app: the command line as the parser has it.
/// words: those after the program's name; the last one is being typed.
/// Names come from the tank that the command would read; where it cannot be
/// read there are none, and no error. Names that no word of a command line can
/// be (control characters, marks that turn the writing) are left out.
Completion complete_words(const CLI::App& app, const std::vector<std::string>& words);

/// The command that the scripts of `slowdawn completion` call; help has it not.
inline constexpr std::string_view complete_word = "complete";

/// Answers a script, a line for each candidate and tabs between its parts:
///   word TEXT ABOUT | folder TEXT ABOUT | files | folders
/// arguments: "words" WORDS..., those after the program's name, the last one
///   being typed; or "bash" LINE WORD, the raw line up to the cursor and what of
///   it bash is about to replace. TEXT is then what to put in its place, quoted
///   for bash, and only what begins like the word is given.
/// Never an error: a shell that completes has nobody to tell it to.
ExitCode run_complete(const Console& console, const std::vector<std::string>& arguments);

}  // namespace slowdawn
