#include <algorithm>
#include <memory>

#include "cli/commands.hpp"
#include "cli/log_session.hpp"

namespace slowdawn {
namespace {

struct MovedArguments {
  CommonArguments common;
  std::vector<std::string> words;
  std::string date;
  bool mesh_off = false;
  std::optional<double> mesh;
};

/// An error where a light of the ramp was never read at the spot.
OrExit<std::size_t> find_readable_spot(const Console& console, bool json, const LoadedRamp& loaded,
                                       const std::string& name) {
  const Tank& tank = loaded.ramp.tank;
  const auto spot = find_name(console, json, "spot", name, spot_names(tank));
  if (!spot) return spot;
  for (const std::size_t light : loaded.ramp.setup.path_lights) {
    if (tank.full_output[*spot][light]) continue;
    return tl::make_unexpected(report_usage(
        console, json, "\"" + name + "\" has no reading of \"" + tank.lights[light].name + "\"",
        "read PPFD there, write it into the tank file's survey, and follow again"));
  }
  return spot;
}

/// Where a group was on the day before a date.
std::string spot_before(const LoadedRamp& loaded, const Date& date, std::size_t group) {
  const long days = (date - loaded.ramp.start).days();
  if (days <= 0 || loaded.ramp.plan.days.empty()) {
    const Tank& tank = loaded.ramp.tank;
    return tank.spots[tank.groups[group].spot_of_start()].name;
  }
  const std::size_t last = loaded.ramp.plan.days.size() - 1;
  return loaded.view().spot_name(std::min(static_cast<std::size_t>(days - 1), last), group);
}

}  // namespace

RunCommand add_moved_command(CLI::App& command) {
  auto arguments = std::make_shared<MovedArguments>();
  command
      .add_option("WORDS", arguments->words,
                  "The group and where it now is, and a tank file if\nneed be")
      ->type_name("GROUP SPOT [TANK]");
  add_output_arguments(command, arguments->common);
  command.add_option("--date", arguments->date, "The day of the move, if it was not today")
      ->type_name("DATE");
  command.add_flag("--mesh-off", arguments->mesh_off,
                   "Its mesh was taken off; without a SPOT it\nstayed where it is");
  command
      .add_option("--mesh", arguments->mesh,
                  "The mesh that is over it now, one of its\n\"transmission\"s")
      ->excludes("--mesh-off")
      ->type_name("SHARE");
  command.footer(
      "Example: slowdawn moved torch \"west shoulder\" --date 2026-10-12\n"
      "  Written; the plan has changed.\n"
      "  ...");
  return [arguments](const Console& console) {
    const bool json = arguments->common.json;
    const auto words = part_words(console, arguments->common, arguments->words, 2);
    if (!words) return words.error();
    std::optional<double> mesh = arguments->mesh;
    if (arguments->mesh_off) mesh = 1.0;
    const bool only_mesh = mesh && words->size() == 1;
    if (words->size() != 2 && !only_mesh) {
      return report_usage(console, json, "moved takes a group and the spot where it now is",
                          "for example: slowdawn moved chalice sand");
    }
    const auto date = entry_date(console, json, arguments->date);
    if (!date) return date.error();
    const auto make = [&](const LoadedRamp& loaded) -> OrExit<std::vector<EntryBody>> {
      const Tank& tank = loaded.ramp.tank;
      const auto group = find_name(console, json, "group", words->front(), group_names(tank));
      if (!group) return tl::make_unexpected(group.error());
      const std::string spot = only_mesh ? spot_before(loaded, *date, *group) : words->back();
      const auto found = find_readable_spot(console, json, loaded, spot);
      if (!found) return tl::make_unexpected(found.error());
      const std::vector<double>& shades = tank.groups[*group].shades;
      const bool has_mesh = mesh && std::find(shades.begin(), shades.end(), *mesh) != shades.end();
      if (mesh && *mesh != 1.0 && !has_mesh) {
        return tl::make_unexpected(report_usage(
            console, json, "\"" + words->front() + "\" has no such mesh in the tank file",
            "give one of its \"shade\"/\"transmission\", as 0.6; or --mesh-off"));
      }
      return std::vector<EntryBody>{MovedEntry{words->front(), spot, mesh}};
    };
    return write_entries(console, arguments->common, *date, make);
  };
}

}  // namespace slowdawn
