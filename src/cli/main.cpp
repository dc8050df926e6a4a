#include <signal.h>

#include <algorithm>
#include <chrono>
#include <csignal>
#include <exception>
#include <iostream>
#include <slowdawn/present/present.hpp>
#include <slowdawn/tank/nearest_name.hpp>
#include <slowdawn/tank/text_file.hpp>

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

ExitCode run(const std::vector<std::string>& words, const Console& console) {
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
    if (chosen->get_name() == commands[i].name) return line.runs[i](console);
  }
  return own_fault;
}

/// Leaves nothing half-written and ends as the signal would have ended it, so that a
/// shell sees which it was.
extern "C" void end_by_signal(int number) {
  abandon_writing();
  std::raise(number);
}

/// But for signals that whoever started the program wants ignored.
void catch_signals() {
  for (const int number : {SIGINT, SIGTERM, SIGHUP}) {
    struct sigaction now {};
    if (::sigaction(number, nullptr, &now) != 0 || now.sa_handler == SIG_IGN) continue;
    now.sa_handler = end_by_signal;
    // The default comes back, and takes the signal that is raised.
    now.sa_flags = static_cast<int>(SA_RESETHAND);
    ::sigaction(number, &now, nullptr);
  }
}

}  // namespace
}  // namespace slowdawn

int main(int argc, char** argv) {
  using namespace slowdawn;
  const auto began = std::chrono::steady_clock::now();
  std::ios::sync_with_stdio(false);
  catch_signals();
  try {
    const std::vector<std::string> words{argv + 1, argv + argc};
    TextStyle style;
    style.colour = wants_colour();
    const Console console{std::cout, std::cerr, style, read_clock(), began, wants_progress()};
    const ExitCode code = run(words, console);
    std::cout.flush();
    if (!std::cout) {
      std::cerr << "slowdawn: error: the answer could not be written to standard output\n"
                   "hint: check the disk, or where the output goes\n";
      return no_access;
    }
    return code;
  } catch (const std::exception& error) {
    std::cerr << "slowdawn: error: a fault of the program itself: " << error.what()
              << "\nhint: please report it, with the command and the tank file\n";
    return own_fault;
  }
}
