#include <algorithm>
#include <memory>
#include <slowdawn/tank/answers.hpp>
#include <slowdawn/tank/known_light.hpp>

#include "cli/commands.hpp"
#include "cli/log_session.hpp"

namespace slowdawn {
namespace {

struct DialedArguments {
  CommonArguments common;
  std::vector<std::string> words;
  WriteOptions write;
  std::string until;
};

OrExit<Percent> parse_dialled(const Console& console, bool json, const std::string& word) {
  const auto percent = parse_percent(word);
  if (percent) return *percent;
  return tl::make_unexpected(report_usage(console, json, "\"" + word + "\" is no percentage",
                                          "give 0 to 100, for example: slowdawn dialed bars 40"));
}

/// An error where a group lives whose spot was read in other mixes alone.
std::optional<ExitCode> refuse_untold(const Console& console, bool json,
                                      const WriteContext& context, const DialedEntry& entry) {
  const Replay& ramp = context.loaded->ramp;
  const std::size_t day = day_within(ramp, context.date);
  std::map<std::size_t, Percent> dials = ramp.dials_of_day(day);
  for (std::size_t light = 0; light < ramp.tank.lights.size(); ++light) {
    const auto dialled = entry.dials.find(ramp.tank.lights[light].name);
    if (dialled != entry.dials.end()) dials[light] = dialled->second;
  }
  for (std::size_t g = 0; g < ramp.tank.groups.size(); ++g) {
    if (!ramp.is_there(g, day)) continue;
    const std::size_t spot = ramp.setup.seats[ramp.plan.days[day].groups.spot(g)].spot;
    if (tells_dials_nearly(ramp.tank, spot, dials)) continue;
    return report_usage(console, json,
                        "the readings at \"" + ramp.tank.spots[spot].name +
                            "\" do not tell what these lights give there: they were read in "
                            "other mixes alone",
                        "read PPFD there under these dials, write it into a survey and follow "
                        "again");
  }
  return std::nullopt;
}

/// Lights and percentages in turn, or one percentage where one light is planned.
OrExit<DialedEntry> parse_dials(const Console& console, bool json, const WriteContext& context,
                                std::vector<std::string> words) {
  const LoadedRamp& loaded = *context.loaded;
  const Tank& tank = loaded.ramp.tank;
  const auto& lights = loaded.ramp.setup.path_lights;
  if (words.size() == 1 && lights.size() == 1)
    words.insert(words.begin(), tank.lights[lights[0]].name);
  if (words.empty() || words.size() % 2 != 0) {
    return tl::make_unexpected(
        report_usage(console, json, "dialed takes lights and their percentages in turn",
                     "for example: slowdawn dialed \"front bar\" 40 \"rear bar\" 35"));
  }
  DialedEntry entry;
  for (std::size_t i = 0; i < words.size(); i += 2) {
    const auto light = find_name(console, json, "light", words[i], light_names(tank));
    if (!light) return tl::make_unexpected(light.error());
    const auto percent = parse_dialled(console, json, words[i + 1]);
    if (!percent) return tl::make_unexpected(percent.error());
    const double step = tank.lights[*light].dial.step.percent();
    if (percent->percent() > 0.0 && percent->percent() < 1.0 && step >= 1.0) {
      return tl::make_unexpected(report_usage(
          console, json, "\"" + words[i + 1] + "\" of \"" + words[i] + "\" is under 1 %",
          "dials are percentages, not shares: 0.4 of full is 40"));
    }
    for (std::size_t g = 0; g < tank.groups.size(); ++g) {
      const std::size_t day = day_within(loaded.ramp, context.date);
      if (!loaded.ramp.is_there(g, day)) continue;
      const std::size_t spot =
          loaded.ramp.setup.seats[loaded.ramp.plan.days[day].groups.spot(g)].spot;
      if (percent->percent() == 0.0 || tank.full_output[spot][*light]) continue;
      return tl::make_unexpected(report_usage(
          console, json, "\"" + words[i] + "\" was not read at \"" + tank.spots[spot].name + "\"",
          "without a reading nobody knows what it gives there; read it and follow again"));
    }
    entry.dials[words[i]] = *percent;
  }
  if (const auto refused = refuse_untold(console, json, context, entry)) {
    return tl::make_unexpected(*refused);
  }
  return entry;
}

}  // namespace

RunCommand add_dialed_command(CLI::App& command) {
  auto arguments = std::make_shared<DialedArguments>();
  command
      .add_option("WORDS", arguments->words,
                  "A light and its dial, and so on; 0 for a power cut\nor a dark day; a tank file "
                  "if need be")
      ->type_name("LIGHT PERCENT ... [TANK]");
  add_output_arguments(command, arguments->common);
  add_date_option(command, arguments->write, "The first day of it, if that was not today");
  command
      .add_option("--until", arguments->until,
                  "The last day of it; else until the next entry or\nstep of the plan")
      ->type_name("DATE");
  command.footer(
      "Example: slowdawn dialed \"front bar\" 0 \"rear bar\" 0 --date 2026-10-10\n"
      "  Written; the plan has changed.\n"
      "  ...");
  return [arguments](const Console& console) {
    const bool json = arguments->common.json;
    const auto words = part_words(console, arguments->common, arguments->words, 64);
    if (!words) return words.error();
    const auto make = [&](const WriteContext& context) -> OrExit<std::vector<EntryBody>> {
      auto entry = parse_dials(console, json, context, *words);
      if (!entry) return tl::make_unexpected(entry.error());
      if (!arguments->until.empty()) {
        const auto until = parse_date_option(console, json, "--until", arguments->until);
        if (!until) return tl::make_unexpected(until.error());
        if (*until < context.date) {
          return tl::make_unexpected(
              report_usage(console, json, "--until lies before the first day", "exchange the two"));
        }
        entry->until = *until;
      }
      const auto is_same = [&](const EntryBody& body) {
        const auto* other = std::get_if<DialedEntry>(&body);
        return other != nullptr &&
               std::any_of(other->dials.begin(), other->dials.end(),
                           [&](const auto& dial) { return entry->dials.contains(dial.first); });
      };
      const auto asked = ask_which_holds(console, json, context, arguments->write.yes, is_same);
      if (asked) return tl::make_unexpected(*asked);
      return std::vector<EntryBody>{*entry};
    };
    return write_entries(console, arguments->common, arguments->write, make);
  };
}

}  // namespace slowdawn
