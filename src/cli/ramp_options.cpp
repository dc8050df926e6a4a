#include "cli/ramp_options.hpp"

#include <algorithm>
#include <slowdawn/tank/even_setup.hpp>
#include <slowdawn/tank/goal_text.hpp>
#include <slowdawn/tank/nearest_name.hpp>

#include "cli/value_words.hpp"

namespace slowdawn {
namespace {

/// In the order of Pace.
constexpr const char* pace_words = "gentle|standard|brisk";

}  // namespace

void add_ramp_options(CLI::App& command, RampOptions& options) {
  command.add_option("--start", options.start, "First day, in place of the file's")
      ->type_name("DATE");
  command.add_option("--pace", options.pace, "How fast, in place of the file's")
      ->type_name(pace_words);
  command.add_option("--every", options.every_days, "Turn the dial every so many days, 1 to 28")
      ->type_name("DAYS");
  command.add_flag("--even", options.even, "One straight ramp that the light runs by itself")
      ->excludes("--every");
  add_goal_option(command, options);
}

void add_goal_option(CLI::App& command, RampOptions& options) {
  command.add_option("--to", options.to, "Another goal: \"LIGHT PERCENT LIGHT PERCENT\"")
      ->type_name("TEXT");
}

OrExit<Tank> with_goal_option(const Console& console, const CommonArguments& arguments,
                              const Tank& tank, const RampOptions& options) {
  if (options.to.empty()) return tank;
  const auto goal = parse_goal(tank, options.to);
  if (!goal) {
    return tl::make_unexpected(
        report_usage(console, arguments.json, "--to: " + goal.error().what, goal.error().hint));
  }
  auto text = with_goal(tank.file, tank.text, tank, *goal);
  const auto shelf = load_profiles(console, arguments);
  if (!shelf) return tl::make_unexpected(shelf.error());
  if (!text) {
    return tl::make_unexpected(report_failure(console, arguments.json, text.error()));
  }
  auto aimed = parse_tank(tank.file, std::move(*text), *shelf);
  if (aimed) return std::move(*aimed);
  return tl::make_unexpected(report_failure(console, arguments.json, aimed.error()));
}

ExitCode refuse_even(const Console& console, bool json) {
  return report_usage(console, json, "--even: a shade cloth cannot run evenly",
                      "leave out --even: cloths are changed by hand, a step at a time");
}

OrExit<Tank> with_options(const Console& console, bool json, Tank tank,
                          const RampOptions& options) {
  if (!options.start.empty()) {
    const auto start = parse_date_option(console, json, "--start", options.start);
    if (!start) return tl::make_unexpected(start.error());
    if (tank.has_sun() && tank.ramp.start != *start) {
      return tl::make_unexpected(
          report_usage(console, json,
                       "under the sun a ramp cannot begin on " + to_iso(*start) +
                           " while its file says " + to_iso(*tank.ramp.start),
                       "write \"start\": \"" + to_iso(*start) +
                           "\" into the \"ramp\" of the file: the sun's days are reckoned "
                           "from it"));
    }
    tank.ramp.start = *start;
    for (const Group& group : tank.groups) {
      if (!group.history || !group.history->since || *group.history->since <= *start) continue;
      return tl::make_unexpected(
          report_usage(console, json,
                       "--start: \"" + group.name + "\" comes after " + to_iso(*start) + ", on " +
                           to_iso(*group.history->since),
                       "start on that day or later, or leave \"since\" out of its history"));
    }
  }
  if (options.even && !can_run_evenly(tank)) {
    return tl::make_unexpected(refuse_even(console, json));
  }
  if (!options.pace.empty()) {
    const std::vector<std::string> names = choices_of(pace_words);
    const auto found = std::find(names.begin(), names.end(), options.pace);
    if (found == names.end()) {
      return tl::make_unexpected(report_usage(console, json,
                                              "--pace: there is no pace \"" + options.pace + "\"",
                                              hint_for_name(options.pace, names)));
    }
    tank.ramp.pace = static_cast<Pace>(found - names.begin());
  }
  if (options.every_days) {
    if (*options.every_days < 1 || *options.every_days > 28) {
      return tl::make_unexpected(report_usage(
          console, json, "--every: " + std::to_string(*options.every_days) + " is out of range",
          "give 1 to 28 days"));
    }
    tank.ramp.every_days = *options.every_days;
  }
  return tank;
}

}  // namespace slowdawn
