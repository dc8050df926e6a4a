#include <memory>
#include <ostream>
#include <slowdawn/present/present.hpp>

#include "cli/commands.hpp"
#include "cli/progress_line.hpp"

namespace slowdawn {

RunCommand add_check_command(CLI::App& command) {
  auto arguments = std::make_shared<CommonArguments>();
  add_common_arguments(command, *arguments);
  command.footer("Example: slowdawn check reef.tank.json");
  return [arguments](const Console& console) {
    const auto tank = load_tank(console, *arguments);
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
