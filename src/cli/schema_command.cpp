#include <ostream>

#include "cli/commands.hpp"

namespace slowdawn {

RunCommand add_schema_command(CLI::App& command) {
  // The schema is JSON anyhow; the flag is there because every command has it.
  const std::string about = "The schema is JSON with and without it";
  command.add_flag("--json", about);
  command.footer(
      "Example: slowdawn schema\n"
      "  {\n"
      "    \"$schema\": \"https://json-schema.org/draft/2020-12/schema\",\n"
      "  ...");
  return [](const Console& console) {
    console.out << tank_schema();
    return done;
  };
}

}  // namespace slowdawn
