#include <memory>
#include <ostream>

#include "cli/commands.hpp"

namespace slowdawn {

RunCommand add_schema_command(CLI::App& command) {
  auto is_of_profile = std::make_shared<bool>(false);
  command.add_flag("--profile", *is_of_profile, "The schema of a profile file instead");
  // The schema is JSON anyhow; the flag is there because every command has it.
  const std::string about = "The schema is JSON with and without it";
  command.add_flag("--json", about);
  command.footer(
      "Example: slowdawn schema --profile\n"
      "  {\n"
      "    \"$schema\": \"https://json-schema.org/draft/2020-12/schema\",\n"
      "    \"$id\": \"slowdawn-profile\",\n"
      "  ...");
  return [is_of_profile](const Console& console) {
    console.out << (*is_of_profile ? profile_schema() : tank_schema());
    return done;
  };
}

}  // namespace slowdawn
