#include <cmath>
#include <memory>
#include <numeric>
#include <ostream>
#include <slowdawn/present/present.hpp>

#include "cli/commands.hpp"
#include "cli/progress_line.hpp"
#include "cli/value_words.hpp"

namespace slowdawn {
namespace {

struct PlaceArguments {
  CommonArguments common;
  double least_gain_percent = 25.0;
};

/// The goal first, so that of equal settings it is the one; then the nearest to
/// it.
std::vector<std::size_t> settings_from_goal(const PlacementSetup& setup) {
  std::vector<std::size_t> settings(setup.settings.size());
  std::iota(settings.begin(), settings.end(), std::size_t{0});
  const auto from_goal = [&](std::size_t setting) {
    return setting > setup.goal ? setting - setup.goal : setup.goal - setting;
  };
  std::stable_sort(settings.begin(), settings.end(),
                   [&](std::size_t a, std::size_t b) { return from_goal(a) < from_goal(b); });
  return settings;
}

}  // namespace

RunCommand add_place_command(CLI::App& command) {
  auto arguments = std::make_shared<PlaceArguments>();
  add_common_arguments(command, arguments->common);
  command
      .add_option("--least-gain", arguments->least_gain_percent,
                  "A move must bring the dose so much nearer to the\nband, in %; 25 by default")
      ->check(number_within(0.0, 900.0))
      ->type_name("PERCENT");
  command.footer(
      "Example: slowdawn place reef.tank.json\n"
      "  Stairwell reef: at the goal, front bar 70 %, rear bar 75 %, 6 of 6 groups can\n"
      "  sit right, with no move.\n"
      "  ...");
  return [arguments](const Console& console) {
    const CommonArguments& common = arguments->common;
    const auto tank = require_plannable(console, common.json, load_tank(console, common));
    if (!tank) return tank.error();
    if (tank->meter.is_relative) {
      report(console, common.json,
             {{{tank->file, 0, 0, ""},
               "a relative meter cannot say whether a spot suits a coral",
               "bands and ceilings are in mol and umol; read with a quantum sensor"}});
      return no_safe_answer;
    }
    const PlacementSetup setup =
        make_placement_setup(*tank, std::log(1.0 + arguments->least_gain_percent / 100.0));
    const std::vector<std::size_t> settings = settings_from_goal(setup);
    const PlaceView view = with_progress(console, "Placing", [&] {
      return PlaceView{place_groups(setup.problem, setup.goal),
                       place_over_settings(setup.problem, settings),
                       groups_without_a_spot(setup.problem, settings)};
    });
    console.out << (common.json ? place_json(*tank, setup, view)
                                : place_text(*tank, setup, view, style_of(console, common)));
    return done;
  };
}

}  // namespace slowdawn
