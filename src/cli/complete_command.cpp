#include <ostream>

#include "cli/bash_words.hpp"
#include "cli/command_table.hpp"
#include "cli/completion.hpp"

namespace slowdawn {
namespace {

void write_candidate(const Console& console, const Candidate& candidate, const std::string& text) {
  console.out << (candidate.goes_on ? "folder" : "word") << '\t' << text << '\t' << candidate.about
              << '\n';
}

void write_paths(const Console& console, Completion::Paths paths) {
  if (paths == Completion::Paths::files) console.out << "files\n";
  if (paths == Completion::Paths::folders) console.out << "folders\n";
}

void complete_plain(const Console& console, const std::vector<std::string>& words) {
  const CommandLine line = make_command_line();
  const Completion found = complete_words(*line.app, words);
  write_paths(console, found.paths);
  for (const Candidate& candidate : found.candidates) {
    write_candidate(console, candidate, candidate.text);
  }
}

/// line: up to the cursor. replaced: the end of it that bash is to replace, which
///   begins after an open quote, or after a character that parts words for bash
///   but not for us, such as "=".
void complete_bash(const Console& console, const std::string& line, const std::string& replaced) {
  if (!line.ends_with(replaced)) return;
  const auto typed = parse_bash_line(line);
  const auto kept = parse_bash_line(line.substr(0, line.size() - replaced.size()));
  if (!typed || !kept) return;
  if (typed->is_redirected) {
    write_paths(console, Completion::Paths::files);
    return;
  }
  if (typed->words.size() < 2 || kept->words.size() != typed->words.size()) return;
  const std::string& current = typed->words.back();
  const std::size_t kept_size = kept->words.back().size();
  const char quote = kept->open_quote;
  const CommandLine commands = make_command_line();
  const Completion found =
      complete_words(*commands.app, {typed->words.begin() + 1, typed->words.end()});
  write_paths(console, found.paths);
  for (const Candidate& candidate : found.candidates) {
    if (!candidate.text.starts_with(current)) continue;
    std::string text = quote_for_bash(candidate.text.substr(kept_size), quote);
    if (text.empty()) continue;
    // bash takes a quote at the beginning for the one that is open, and one at the
    // end for the one that closes it.
    if (quote != 0 && text.ends_with(quote)) text += quote;
    if (quote != 0 && text.starts_with(quote)) text.insert(text.begin(), quote);
    write_candidate(console, candidate, text);
  }
}

}  // namespace

ExitCode run_complete(const Console& console, const std::vector<std::string>& arguments) {
  if (arguments.empty()) return done;
  if (arguments.front() == "words") {
    complete_plain(console, {arguments.begin() + 1, arguments.end()});
  } else if (arguments.front() == "bash" && arguments.size() == 3) {
    complete_bash(console, arguments[1], arguments[2]);
  }
  return done;
}

}  // namespace slowdawn
