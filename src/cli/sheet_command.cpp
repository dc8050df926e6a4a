#include <slowdawn/present/pages.hpp>

#include "cli/commands.hpp"
#include "cli/page_session.hpp"

namespace slowdawn {

RunCommand add_sheet_command(CLI::App& command) {
  command.footer(
      "Example: slowdawn sheet reef.tank.json -o sheet.html\n"
      "  Written: sheet.html. Open it in a browser and print it: one page.");
  return add_page(command, sheet_page, "Open it in a browser and print it: one page.");
}

}  // namespace slowdawn
