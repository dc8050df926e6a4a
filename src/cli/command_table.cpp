#include "cli/command_table.hpp"

#include <algorithm>
#include <sstream>

#include "cli/build_text.hpp"
#include "cli/help_formatter.hpp"

namespace slowdawn {

const std::vector<Command>& command_table() {
  static const std::vector<Command> commands{
      {"new", "From readings to a tank file, or an example", add_new_command},
      {"check", "Read and judge a tank file", add_check_command, false},
      {"survey", "What the readings say: evenness, changes, a map", add_survey_command},
      {"place", "Which spot for which group", add_place_command, false},
      {"plan", "The dial setting of every day, and why it is not higher", add_plan_command},
      {"follow", "Begin to follow the plan, and its logbook", add_follow_command},
      {"today", "The percentage to dial in today", add_today_command},
      {"checkin", "Log how a group looks; the plan answers", add_checkin_command},
      {"dialed", "Log what was really dialled, or a power cut", add_dialed_command},
      {"moved", "Log that a group was moved", add_moved_command},
      {"gone", "Log that a group is gone: died, sold, given away", add_gone_command},
      {"undo", "Take a logged entry back", add_undo_command},
      {"history", "Everything that was logged", add_history_command},
      {"why", "The caps of a day for a group, and the one that binds", add_why_command},
      {"judge", "Hold a schedule of your own against the caps", add_judge_command},
      {"risk", "How likely a group meets more than it bears", add_risk_command},
      {"report", "The whole plan as one page, to read and to print", add_report_command},
      {"sheet", "One printed page to hang by the tank", add_sheet_command},
      {"calendar", "The steps and check-in days as a calendar file", add_calendar_command},
      {"dose", "Dose, peak and lit hours of a logged PPFD series", add_dose_command, false},
      {"origin", "Dose and peak at a depth on a reef", add_origin_command, false},
      {"profiles", "What kinds of coral need, with the source of each figure", add_profiles_command,
       false},
      {"schema", "The JSON Schema of a tank or profile file", add_schema_command, false},
      {"completion", "What lets a shell complete commands and names", add_completion_command,
       false},
      {"manual", "The manual page, for man", add_manual_command, false},
  };
  return commands;
}

std::vector<std::string> command_names() {
  std::vector<std::string> names;
  for (const Command& command : command_table()) names.emplace_back(command.name);
  return names;
}

std::vector<std::string> option_names(const CLI::App& command) {
  std::vector<std::string> names;
  for (const CLI::Option* option : command.get_options()) {
    for (const std::string& name : option->get_lnames()) names.push_back("--" + name);
  }
  return names;
}

CommandLine make_command_line() {
  CommandLine made{std::make_unique<CLI::App>(
                       "slowdawn plans how corals are taken from the light they are used to,\n"
                       "to the light they are going to.",
                       "slowdawn"),
                   {}};
  CLI::App& app = *made.app;
  // Set before the commands, which inherit it.
  app.formatter(std::make_shared<HelpFormatter>());
  app.set_version_flag("--version", build_text());
  app.require_subcommand(1);
  app.footer(
      "Start with: slowdawn check NAME.tank.json\n"
      "SLOWDAWN_TANK in the environment names the tank file where none is given,\n"
      "SLOWDAWN_TODAY (YYYY-MM-DD) the day that is taken for today.\n"
      "The caps behind a plan are cautious choices, not proven limits.\n");
  for (const Command& command : command_table()) {
    CLI::App* added = app.add_subcommand(command.name, command.summary);
    added->allow_extras();
    made.runs.push_back(command.add(*added));
  }
  return made;
}

WorkedExample parse_example(const std::string& footer) {
  constexpr std::string_view begin = "Example: ";
  WorkedExample found;
  std::istringstream lines{footer};
  for (std::string line; std::getline(lines, line);) {
    const bool is_first = found.line.empty() && line.starts_with(begin);
    if (is_first) {
      found.line = line.substr(begin.size());
    } else if (line.starts_with("  ") && found.remarks.empty()) {
      found.answer.push_back(line.substr(2));
    } else if (!line.empty()) {
      found.remarks.push_back(line);
    }
  }
  return found;
}

}  // namespace slowdawn
