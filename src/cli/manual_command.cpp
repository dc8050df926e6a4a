#include "cli/manual.hpp"

#include <memory>

#include "cli/commands.hpp"

namespace slowdawn {

RunCommand add_manual_command(CLI::App& command) {
  auto file = std::make_shared<std::string>();
  add_output_option(command, *file);
  command.footer(
      "Example: slowdawn manual -o slowdawn.1\n"
      "  Written: slowdawn.1. Read it with man -l.\n"
      "Once it is installed: man slowdawn");
  return [file, &command](const Console& console) {
    return write_output(console, {}, *file, manual_text(*command.get_parent()),
                        "Read it with man -l.");
  };
}

}  // namespace slowdawn
