// The commands, and the command line that is made of them. The parser, help,
// completion and the manual all go by it, so that they cannot differ.
#pragma once

#include <CLI/CLI.hpp>
#include <memory>
#include <string>
#include <vector>

#include "cli/commands.hpp"

namespace slowdawn {

/// Every command, in the order in which help lists them.
const std::vector<Command>& command_table();

std::vector<std::string> command_names();

/// The names of a command's long options, with their dashes.
std::vector<std::string> option_names(const CLI::App& command);

/// The parser, and what runs each command of the table, in its order.
struct CommandLine {
  std::unique_ptr<CLI::App> app;
  std::vector<RunCommand> runs;
};

CommandLine make_command_line();

/// What a command does when it is well used: the footer of its help says
///   Example: slowdawn COMMAND ...
///     lines that come back, indented by two; "..." for lines left out
/// and then, not indented, whatever else is to be said.
struct WorkedExample {
  /// Without "Example: "; empty where there is none.
  std::string line;
  /// Without the indent.
  std::vector<std::string> answer;
  std::vector<std::string> remarks;
};

WorkedExample parse_example(const std::string& footer);

}  // namespace slowdawn
