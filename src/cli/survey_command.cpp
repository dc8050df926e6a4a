#include <memory>
#include <ostream>
#include <slowdawn/present/present.hpp>

#include "cli/commands.hpp"
#include "cli/progress_line.hpp"

namespace slowdawn {

RunCommand add_survey_command(CLI::App& command) {
  auto arguments = std::make_shared<CommonArguments>();
  add_common_arguments(command, *arguments);
  command.footer(
      "Example: slowdawn survey reef.tank.json\n"
      "  ...\n"
      "  spot           on map  before  goal  times  more\n"
      "  west shoulder  b          160   281   1.75  +121\n"
      "  ...");
  return [arguments](const Console& console) {
    const auto tank = load_tank(console, *arguments);
    if (!tank) return tank.error();
    const SurveyReport report = with_progress(console, "Judging the readings",
                                              [&] { return report_survey(*tank, console.today); });
    console.out << (arguments->json ? survey_json(*tank, report)
                                    : survey_text(*tank, report, style_of(console, *arguments)));
    return done;
  };
}

}  // namespace slowdawn
