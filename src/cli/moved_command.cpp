#include <memory>

#include "cli/commands.hpp"
#include "cli/log_session.hpp"

namespace slowdawn {
namespace {

struct MovedArguments {
  CommonArguments common;
  std::vector<std::string> words;
  std::string date;
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

}  // namespace

RunCommand add_moved_command(CLI::App& command) {
  auto arguments = std::make_shared<MovedArguments>();
  command.add_option("WORDS", arguments->words, "GROUP SPOT, and a tank file if need be")
      ->type_name(" ");
  add_output_arguments(command, arguments->common);
  command.add_option("--date", arguments->date, "The day of the move, if it was not today")
      ->type_name("DATE");
  command.footer("Example: slowdawn moved chalice sand --date 2026-12-14");
  return [arguments](const Console& console) {
    const bool json = arguments->common.json;
    const auto words = part_words(console, arguments->common, arguments->words, 2);
    if (!words) return words.error();
    if (words->size() != 2) {
      return report_usage(console, json, "moved takes a group and the spot where it now is",
                          "for example: slowdawn moved chalice sand");
    }
    const auto date = entry_date(console, json, arguments->date);
    if (!date) return date.error();
    const auto make = [&](const LoadedRamp& loaded) -> OrExit<std::vector<EntryBody>> {
      const Tank& tank = loaded.ramp.tank;
      const auto group = find_name(console, json, "group", words->front(), group_names(tank));
      if (!group) return tl::make_unexpected(group.error());
      const auto spot = find_readable_spot(console, json, loaded, words->back());
      if (!spot) return tl::make_unexpected(spot.error());
      return std::vector<EntryBody>{MovedEntry{words->front(), words->back()}};
    };
    return write_entries(console, arguments->common, *date, make);
  };
}

}  // namespace slowdawn
