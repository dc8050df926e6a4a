#include <fmt/format.h>

#include <algorithm>
#include <memory>
#include <ostream>
#include <slowdawn/tank/nearest_name.hpp>
#include <slowdawn/tank/origin_days.hpp>

#include "cli/commands.hpp"
#include "cli/value_words.hpp"

namespace slowdawn {
namespace {

/// In the order of `seasons` and of `water_types`.
constexpr const char* season_words = "spring|summer|autumn|winter|year";
constexpr const char* water_words = "I|IA|IB|II|III|1C|3C|5C";

struct OriginArguments {
  CommonArguments common;
  double latitude = 0.0;
  std::string date;
  std::string until;
  std::string season;
  double depth_m = 0.0;
  std::string water;
  std::optional<double> kd;
  std::optional<double> cloud;
};

using Problem = std::optional<Fault>;

Problem out_of_range(const char* option, double value, double low, double high, std::string hint) {
  if (value >= low && value <= high) return std::nullopt;
  return Fault{fmt::format("{}: {} is out of range", option, value),
               fmt::format("give {} to {}; {}", low, high, hint)};
}

/// The place of a word among those of an option.
Result<std::size_t> find_word(const char* option, const char* what, const std::string& word,
                              const char* words) {
  const std::vector<std::string> names = choices_of(words);
  const auto found = std::find(names.begin(), names.end(), word);
  if (found != names.end()) return static_cast<std::size_t>(found - names.begin());
  return fault(fmt::format("{}: there is no {} \"{}\"", option, what, word),
               hint_for_name(word, names));
}

Problem put_place(const OriginArguments& arguments, OriginView& view) {
  if (auto problem = out_of_range("--latitude", arguments.latitude, -90, 90,
                                  "north of the equator is positive, south negative")) {
    return problem;
  }
  if (auto problem = out_of_range("--depth", arguments.depth_m, 0, deepest_origin.m(),
                                  "metres under the surface")) {
    return problem;
  }
  view.origin.latitude = Latitude::degrees(arguments.latitude);
  view.origin.depth = Depth::m(arguments.depth_m);
  return std::nullopt;
}

Problem put_water_and_sky(const OriginArguments& arguments, OriginView& view) {
  if (arguments.kd) {
    if (auto problem =
            out_of_range("--kd", *arguments.kd, clearest_kd.per_m(), murkiest_kd.per_m(),
                         "Kd of PAR in m-1: 0.04 to 0.1 over clear reefs, 0.1 to 0.3 inshore")) {
      return problem;
    }
    view.origin.water = Attenuation::per_m(*arguments.kd);
  } else if (!arguments.water.empty()) {
    const auto type = find_word("--water", "water type", arguments.water, water_words);
    if (!type) return type.error();
    view.origin.water = water_types.at(*type).type;
  }
  view.origin.water_is_guess = !arguments.kd && arguments.water.empty();
  if (!arguments.cloud) return std::nullopt;
  if (auto problem = out_of_range("--cloud", *arguments.cloud, 0, 1,
                                  "the share of the day with a cloud before the sun")) {
    return problem;
  }
  view.origin.cloud_share = *arguments.cloud;
  view.origin.cloud_error = known_cloud_error;
  view.cloud_is_guess = false;
  return std::nullopt;
}

Problem put_days(const OriginArguments& arguments, OriginView& view) {
  if (arguments.date.empty()) {
    if (!arguments.until.empty()) {
      return Fault{"--until needs a first day", "add --date, or give --season alone"};
    }
    view.season_is_guess = arguments.season.empty();
    view.season = view.season_is_guess ? "year" : arguments.season;
    const auto season = find_word("--season", "season", view.season, season_words);
    if (!season) return season.error();
    view.origin.days = season_days(seasons.at(*season).season, view.origin.latitude);
    return std::nullopt;
  }
  const auto first = parse_date(arguments.date);
  if (!first) return Fault{"--date: " + first.error().what, first.error().hint};
  view.first = *first;
  if (!arguments.until.empty()) {
    const auto last = parse_date(arguments.until);
    if (!last) return Fault{"--until: " + last.error().what, last.error().hint};
    view.last = *last;
  }
  auto days = days_between(*view.first, view.last.value_or(*view.first));
  if (!days) return Fault{"--until: " + days.error().what, days.error().hint};
  view.origin.days = *std::move(days);
  return std::nullopt;
}

}  // namespace

RunCommand add_origin_command(CLI::App& command) {
  auto arguments = std::make_shared<OriginArguments>();
  command.add_option("--latitude", arguments->latitude, "Degrees, north positive, south negative")
      ->type_name("DEGREES")
      ->required();
  command.add_option("--depth", arguments->depth_m, "Metres under the surface, 0 to 100")
      ->type_name("METRES")
      ->required();
  command.add_option("--date", arguments->date, "The day, or the first of several")
      ->type_name("DATE");
  command.add_option("--until", arguments->until, "The last of several days")->type_name("DATE");
  command
      .add_option("--season", arguments->season,
                  "The mean of three months as that latitude\nhas them, or of the year (default)")
      ->type_name(season_words)
      ->excludes("--date");
  command
      .add_option("--water", arguments->water,
                  "Jerlov's water type, from clear ocean (I) to\nmurky coast (5C); II by default")
      ->type_name(water_words);
  command.add_option("--kd", arguments->kd, "Kd of PAR in m-1, if it is known")
      ->type_name("NUMBER")
      ->excludes("--water");
  command
      .add_option("--cloud", arguments->cloud,
                  "Share of the day with a cloud before the sun,\n0 to 1; 0.3 by default")
      ->type_name("SHARE");
  command.add_flag("--json", arguments->common.json, "Answer, and report errors, as JSON");
  command.add_flag("--plain", arguments->common.plain, "No colour");
  command.footer(
      "Example: slowdawn origin --latitude -20 --date 2026-09-03 --depth 3 --water II\n"
      "  Dose 20.9 mol m-2 d-1, noon peak 1010 umol m-2 s-1, lit 11.7 h, within 22 %.\n"
      "  ...\n"
      "  As a group's history in a tank file:\n"
      "    \"history\": {\"origin\": {\"latitude\": -20, \"date\": \"2026-09-03\",\n"
      "                           \"depth_m\": 3, \"water\": \"II\"}}\n"
      "  ...");
  return [arguments](const Console& console) {
    const bool json = arguments->common.json;
    OriginView view;
    for (const auto& put : {put_place, put_water_and_sky, put_days}) {
      if (const Problem problem = put(*arguments, view)) {
        return report_usage(console, json, problem->what, problem->hint);
      }
    }
    const auto light = compute_origin(view.origin);
    if (!light) return report_usage(console, json, light.error().what, light.error().hint);
    view.light = *light;
    view.is_far_from_reefs = std::abs(arguments->latitude) > reef_latitude.degrees();
    console.out << (json ? origin_json(view)
                         : origin_text(view, style_of(console, arguments->common)));
    return done;
  };
}

}  // namespace slowdawn
