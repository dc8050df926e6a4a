#include "cli/program.hpp"

#include <algorithm>
#include <ostream>
#include <slowdawn/present/present.hpp>
#include <slowdawn/tank/nearest_name.hpp>

#include "cli/command_table.hpp"
#include "cli/completion.hpp"

namespace slowdawn {
namespace {

/// What is left over after parsing, as an error; empty if nothing is.
std::optional<Finding> find_left_over(const CLI::App& command) {
  const std::vector<std::string> left = command.remaining();
  if (left.empty()) return std::nullopt;
  const std::string& word = left.front();
  if (word.starts_with("-")) {
    const std::string name = word.substr(0, word.find('='));
    return Finding{{"slowdawn", 0, 0, ""},
                   "\"" + command.get_name() + "\" has no option " + name,
                   hint_for_name(name, option_names(command))};
  }
  return Finding{{"slowdawn", 0, 0, ""},
                 "\"" + word + "\" is one word too many",
                 "see slowdawn " + command.get_name() + " --help"};
}

/// A mistyped command, before the parser hides it behind a general message.
std::optional<Finding> find_unknown_command(const std::vector<std::string>& words) {
  if (words.empty() || words.front().starts_with("-")) return std::nullopt;
  const std::vector<std::string> names = command_names();
  if (std::find(names.begin(), names.end(), words.front()) != names.end()) return std::nullopt;
  return Finding{{"slowdawn", 0, 0, ""},
                 "there is no command \"" + words.front() + "\"",
                 hint_for_name(words.front(), names)};
}

}  // namespace

ExitCode run_program(const std::vector<std::string>& words, const Console& console) {
  if (!words.empty() && words.front() == complete_word) {
    return run_complete(console, {words.begin() + 1, words.end()});
  }
  const bool json = std::find(words.begin(), words.end(), "--json") != words.end();
  if (const auto unknown = find_unknown_command(words)) {
    report(console, json, {*unknown});
    return wrong_input;
  }

  const CommandLine line = make_command_line();
  CLI::App& app = *line.app;
  std::vector<std::string> reversed{words.rbegin(), words.rend()};
  try {
    app.parse(reversed);
  } catch (const CLI::Success& wanted) {
    app.exit(wanted, console.out, console.err);
    return done;
  } catch (const CLI::ParseError& error) {
    if (words.empty()) {
      console.out << app.help();
      return wrong_input;
    }
    const auto chosen = app.get_subcommands();
    const std::string help =
        chosen.empty() ? "slowdawn --help" : "slowdawn " + chosen.front()->get_name() + " --help";
    return report_usage(console, json, error.what(), "see " + help);
  }
  const CLI::App* chosen = app.get_subcommands().front();
  if (const auto left_over = find_left_over(*chosen)) {
    report(console, json, {*left_over});
    return wrong_input;
  }
  const auto& commands = command_table();
  for (std::size_t i = 0; i < commands.size(); ++i) {
    if (chosen->get_name() != commands[i].name) continue;
    if (commands[i].needs_today && console.today_problem) {
      report(console, json, {*console.today_problem});
      return wrong_input;
    }
    return line.runs[i](console);
  }
  return own_fault;
}

}  // namespace slowdawn
