#include <slowdawn/present/pages.hpp>

#include "cli/commands.hpp"
#include "cli/page_session.hpp"

namespace slowdawn {

RunCommand add_report_command(CLI::App& command) {
  command.footer(
      "Example: slowdawn report reef.tank.json -o plan.html\n"
      "  Written: plan.html. Open it in a browser, on a phone, or print it; it needs\n"
      "  nothing else.");
  return add_page(command, report_page,
                  "Open it in a browser, on a phone, or print it; it needs nothing else.");
}

}  // namespace slowdawn
