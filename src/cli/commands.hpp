// The commands, one file each. Each function adds its command's options and
// returns what runs it; the exit code is what the run returns. The type names of
// its options are words of value_words.hpp, and its footer is a worked example
// (command_table.hpp).
#pragma once

#include <CLI/CLI.hpp>
#include <functional>

#include "cli/session.hpp"

namespace slowdawn {

using RunCommand = std::function<ExitCode(const Console&)>;

struct Command {
  const char* name;
  const char* summary;
  RunCommand (*add)(CLI::App& command);
  /// Whether it goes by the present day.
  bool needs_today = true;
};

RunCommand add_new_command(CLI::App& command);
RunCommand add_check_command(CLI::App& command);
RunCommand add_survey_command(CLI::App& command);
RunCommand add_place_command(CLI::App& command);
RunCommand add_plan_command(CLI::App& command);
RunCommand add_today_command(CLI::App& command);
RunCommand add_why_command(CLI::App& command);
RunCommand add_follow_command(CLI::App& command);
RunCommand add_checkin_command(CLI::App& command);
RunCommand add_dialed_command(CLI::App& command);
RunCommand add_moved_command(CLI::App& command);
RunCommand add_gone_command(CLI::App& command);
RunCommand add_history_command(CLI::App& command);
RunCommand add_undo_command(CLI::App& command);
RunCommand add_judge_command(CLI::App& command);
RunCommand add_risk_command(CLI::App& command);
RunCommand add_report_command(CLI::App& command);
RunCommand add_sheet_command(CLI::App& command);
RunCommand add_calendar_command(CLI::App& command);
RunCommand add_dose_command(CLI::App& command);
RunCommand add_origin_command(CLI::App& command);
RunCommand add_profiles_command(CLI::App& command);
RunCommand add_schema_command(CLI::App& command);
RunCommand add_completion_command(CLI::App& command);
RunCommand add_manual_command(CLI::App& command);

}  // namespace slowdawn
