#include <memory>
#include <ostream>
#include <slowdawn/present/present.hpp>

#include "cli/commands.hpp"
#include "cli/progress_line.hpp"

namespace slowdawn {

RunCommand add_check_command(CLI::App& command) {
  auto arguments = std::make_shared<CommonArguments>();
  add_common_arguments(command, *arguments);
  command.footer(
      "Example: slowdawn check reef.tank.json\n"
      "  Stairwell reef: the file is good; the goal is right for 6 of 6 groups.\n"
      "  ...\n"
      "  group              dose  peak  -> dose  peak      band  ceiling  the goal is\n"
      "  staghorn thicket    7.6   212     12.2   359   4 to 28      700  right\n"
      "  ...");
  return [arguments](const Console& console) {
    const auto tank = require_plannable(console, arguments->json, load_tank(console, *arguments));
    if (!tank) return tank.error();
    const RampSetup setup =
        with_progress(console, "Reckoning", [&] { return make_ramp_setup(*tank); });
    if (arguments->json) {
      console.out << check_json(*tank, setup);
      return done;
    }
    console.err << findings_text(tank->warnings, "warning");
    console.out << check_text(*tank, setup, style_of(console, *arguments));
    return done;
  };
}

}  // namespace slowdawn
