#include <algorithm>
#include <cstdlib>
#include <exception>
#include <iostream>
#include <slowdawn/present/present.hpp>
#include <slowdawn/tank/nearest_name.hpp>

#include "cli/commands.hpp"

namespace slowdawn {
namespace {

const std::vector<Command>& command_table() {
  static const std::vector<Command> commands{
      {"check", "Read and judge a tank file", add_check_command},
      {"survey", "What the readings say: evenness, changes, a map", add_survey_command},
      {"place", "Which spot for which group", add_place_command},
      {"plan", "The dial setting of every day, and why it is not higher", add_plan_command},
      {"follow", "Begin to follow the plan, and its logbook", add_follow_command},
      {"today", "The percentage to dial in today", add_today_command},
      {"checkin", "Log how a group looks; the plan answers", add_checkin_command},
      {"dialed", "Log what was really dialled, or a power cut", add_dialed_command},
      {"moved", "Log that a group was moved", add_moved_command},
      {"undo", "Take a logged entry back", add_undo_command},
      {"history", "Everything that was logged", add_history_command},
      {"why", "The caps of a day for a group, and the one that binds", add_why_command},
      {"judge", "Hold a schedule of your own against the caps", add_judge_command},
      {"report", "The whole plan as one page, to read anywhere and to print", add_report_command},
      {"sheet", "One printed page to hang by the tank", add_sheet_command},
      {"calendar", "The steps and check-in days as a calendar file", add_calendar_command},
      {"dose", "Dose, peak and lit hours of a logged PPFD series", add_dose_command},
      {"profiles", "What kinds of coral need, with the source of each figure",
       add_profiles_command},
      {"schema", "The JSON Schema of a tank file", add_schema_command},
  };
  return commands;
}

std::vector<std::string> command_names() {
  std::vector<std::string> names;
  for (const Command& command : command_table()) names.emplace_back(command.name);
  return names;
}

/// The option names of a command, for hints.
std::vector<std::string> option_names(const CLI::App& command) {
  std::vector<std::string> names;
  for (const CLI::Option* option : command.get_options()) {
    for (const std::string& name : option->get_lnames()) names.push_back("--" + name);
  }
  return names;
}

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
  const bool json = std::find(words.begin(), words.end(), "--json") != words.end();
  if (const auto unknown = find_unknown_command(words)) {
    report(console, json, {*unknown});
    return wrong_input;
  }

  CLI::App app{
      "slowdawn plans how corals are taken from the light they are used to,\n"
      "to the light they are going to.",
      "slowdawn"};
  // So that help fits 80 columns; set before the commands, which inherit it.
  app.get_formatter()->column_width(24);
  app.set_version_flag("--version", "slowdawn " SLOWDAWN_VERSION);
  app.require_subcommand(1);
  app.footer(
      "Start with: slowdawn check NAME.tank.json\n"
      "The caps behind a plan are cautious choices, not proven limits.\n");
  std::vector<RunCommand> runs;
  for (const Command& command : command_table()) {
    CLI::App* added = app.add_subcommand(command.name, command.summary);
    added->allow_extras();
    runs.push_back(command.add(*added));
  }

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
    if (chosen->get_name() == commands[i].name) return runs[i](console);
  }
  return own_fault;
}

}  // namespace
}  // namespace slowdawn

int main(int argc, char** argv) {
  using namespace slowdawn;
  std::ios::sync_with_stdio(false);
  try {
    const std::vector<std::string> words{argv + 1, argv + argc};
    TextStyle style;
    style.colour = wants_colour();
    const Console console{std::cout, std::cerr, style, read_clock()};
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
