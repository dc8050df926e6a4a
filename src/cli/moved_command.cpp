#include <algorithm>
#include <memory>

#include "cli/commands.hpp"
#include "cli/log_session.hpp"

namespace slowdawn {
namespace {

struct MovedArguments {
  CommonArguments common;
  std::vector<std::string> words;
  WriteOptions write;
  bool mesh_off = false;
  std::optional<double> mesh;
};

/// An error where a light of the ramp, or one that is lit, was never read at the spot.
OrExit<std::size_t> find_readable_spot(const Console& console, bool json,
                                       const WriteContext& context, const std::string& name) {
  const LoadedRamp& loaded = *context.loaded;
  const Tank& tank = loaded.ramp.tank;
  const auto spot = find_name(console, json, "spot", name, spot_names(tank));
  if (!spot) return spot;
  std::vector<std::size_t> lights = loaded.ramp.setup.path_lights;
  for (std::size_t day = day_within(loaded.ramp, context.date); day <= loaded.ramp.today; ++day) {
    if (day >= loaded.ramp.plan.days.size()) break;
    for (const auto& [light, dial] : loaded.ramp.dials_of_day(day)) {
      if (dial.percent() > 0.0) lights.push_back(light);
    }
  }
  for (const std::size_t light : lights) {
    if (tank.full_output[*spot][light]) continue;
    return tl::make_unexpected(report_usage(
        console, json, "\"" + name + "\" has no reading of \"" + tank.lights[light].name + "\"",
        "read PPFD there, write it into the tank file's survey, and follow again"));
  }
  return spot;
}

/// Where a group is on a date, as far as it is known.
std::string spot_before(const LoadedRamp& loaded, const Date& date, std::size_t group) {
  if ((date - loaded.ramp.start).days() < 0 || loaded.ramp.plan.days.empty()) {
    const Tank& tank = loaded.ramp.tank;
    return tank.spots[tank.groups[group].spot_of_start()].name;
  }
  std::size_t day = day_within(loaded.ramp, date);
  // Not to where it is only proposed to move.
  const auto is_proposed = [&](const Move& move) {
    const auto& logged = loaded.ramp.logged_moves;
    return move.group == group && move.day == day &&
           std::find(logged.begin(), logged.end(), move) == logged.end();
  };
  const auto& moves = loaded.ramp.plan.moves;
  if (day > 0 && std::any_of(moves.begin(), moves.end(), is_proposed)) --day;
  return loaded.view().spot_name(day, group);
}

}  // namespace

RunCommand add_moved_command(CLI::App& command) {
  auto arguments = std::make_shared<MovedArguments>();
  command
      .add_option("WORDS", arguments->words,
                  "The group and where it now is, and a tank file if\nneed be")
      ->type_name("GROUP SPOT [TANK]");
  add_output_arguments(command, arguments->common);
  add_date_option(command, arguments->write, "The day of the move, if it was not today");
  command.add_flag("--mesh-off", arguments->mesh_off,
                   "Its mesh was taken off; without a SPOT it\nstayed where it is");
  command
      .add_option("--mesh", arguments->mesh,
                  "The share of light that the mesh over it now lets\nthrough, as it was measured: "
                  "0.6 for 60 %")
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
    if (mesh && !(*mesh > 0.0 && *mesh <= 1.0)) {
      return report_usage(console, json, "--mesh goes from over 0 to 1",
                          "give the share of light that it lets through, as 0.6 for 60 %; without "
                          "a mesh: --mesh-off");
    }
    const auto make = [&](const WriteContext& context) -> OrExit<std::vector<EntryBody>> {
      const LoadedRamp& loaded = *context.loaded;
      const auto group = find_group_on(console, json, context, words->front());
      if (!group) return tl::make_unexpected(group.error());
      const std::string spot =
          only_mesh ? spot_before(loaded, context.date, *group) : words->back();
      const auto found = find_readable_spot(console, json, context, spot);
      if (!found) return tl::make_unexpected(found.error());
      const auto is_same = [&](const EntryBody& body) {
        const auto* other = std::get_if<MovedEntry>(&body);
        return other != nullptr && other->group == words->front();
      };
      const auto asked = ask_which_holds(console, json, context, arguments->write.yes, is_same);
      if (asked) return tl::make_unexpected(*asked);
      return std::vector<EntryBody>{MovedEntry{words->front(), spot, mesh}};
    };
    return write_entries(console, arguments->common, arguments->write, make);
  };
}

}  // namespace slowdawn
