#include <fmt/format.h>

#include <algorithm>
#include <memory>
#include <ostream>
#include <slowdawn/logbook/logbook_file.hpp>
#include <slowdawn/present/log_phrases.hpp>
#include <slowdawn/present/phrases.hpp>
#include <slowdawn/present/present.hpp>
#include <slowdawn/tank/goal_text.hpp>

#include "cli/commands.hpp"
#include "cli/follow_session.hpp"
#include "cli/progress_line.hpp"

namespace slowdawn {
namespace {

struct FollowArguments {
  CommonArguments common;
  RampOptions ramp;
  WriteOptions write;
  bool afresh = false;
};

/// A group that the file does not name any more, while a new one stands at its spot.
std::optional<std::pair<std::string, std::string>> find_renamed(const LoadedRamp& followed,
                                                                const Tank& tank) {
  const Replay& ramp = followed.ramp;
  const std::size_t day = std::min(ramp.today, ramp.plan.days.size() - 1);
  const auto has = [](const std::vector<std::string>& names, const std::string& name) {
    return std::find(names.begin(), names.end(), name) != names.end();
  };
  const std::vector<std::string> before = group_names(ramp.tank);
  const std::vector<std::string> now = group_names(tank);
  for (std::size_t g = 0; g < before.size(); ++g) {
    if (has(now, before[g]) || ramp.is_gone(g, day)) continue;
    const std::size_t seat = ramp.plan.days[day].groups.spot(g);
    const std::string& spot = ramp.tank.spots[ramp.setup.seats[seat].spot].name;
    for (const Group& group : tank.groups) {
      const bool is_new = !has(before, group.name);
      if (is_new && tank.spots[group.spot].name == spot) return std::pair{before[g], group.name};
    }
  }
  return std::nullopt;
}

/// A light that is dialled by channels, as before, and in other proportions; what was read
/// and lit under it was another mix.
std::optional<std::string> find_changed_mix(const LoadedRamp& followed, const Tank& tank) {
  const std::vector<TankLight>& before = followed.ramp.tank.lights;
  for (const TankLight& light : tank.lights) {
    const auto old = std::find_if(before.begin(), before.end(),
                                  [&](const TankLight& other) { return other.name == light.name; });
    if (old == before.end() || old->channels.empty() || light.channels.empty()) continue;
    if (old->channels != light.channels) return light.name;
  }
  return std::nullopt;
}

/// Refuses what would be answered with a question, without --yes.
std::optional<ExitCode> ask(const Console& console, const FollowArguments& arguments,
                            const WriteContext& context, const Tank& tank) {
  if (arguments.write.yes || context.loaded == nullptr) return std::nullopt;
  const bool json = arguments.common.json;
  if (arguments.afresh) {
    const auto count = std::count_if(
        context.log.entries.begin(), context.log.entries.end(),
        [](const Entry& entry) { return !std::holds_alternative<UndoEntry>(*entry.body); });
    return report_usage(
        console, json,
        fmt::format("--afresh drops {} of light and {} of the logbook: what the groups are used "
                    "to, what their looks have taught and asked for",
                    days_text(context.loaded->ramp.record.size()),
                    count == 1 ? "1 entry" : fmt::format("{} entries", count)),
        "without --afresh it goes on from where the corals are; to begin from the file alone, the "
        "same again with --yes");
  }
  if (const auto renamed = find_renamed(*context.loaded, tank)) {
    return report_usage(
        console, json,
        "the file does not name \"" + renamed->first + "\" any more, and \"" + renamed->second +
            "\" is new at its spot: was it renamed?",
        "if it was, give it its old name in the file, so that what is known of it goes on; if they "
        "are different corals, the same again with --yes");
  }
  if (const auto mixed = find_changed_mix(*context.loaded, tank)) {
    return report_usage(
        console, json,
        "the channels of \"" + *mixed + "\" are not those of the plan before: was its mix changed?",
        "if it was, it is another light: give it another name, and read it; if the file was wrong "
        "before, the same again with --yes");
  }
  return std::nullopt;
}

/// A first plan, from its file alone.
OrExit<FollowEntry> begin(const Console& console, const FollowArguments& arguments,
                          const Tank& tank) {
  const CommonArguments& common = arguments.common;
  const auto shelf = load_profiles(console, common);
  if (!shelf) return tl::make_unexpected(shelf.error());
  auto varied = with_options(console, common.json, tank, arguments.ramp);
  if (!varied) return tl::make_unexpected(varied.error());
  const auto proposed = plan_tank(console, common.json, *varied, arguments.ramp.even);
  if (!proposed) return tl::make_unexpected(proposed.error());
  const PlannedRamp ramp = proposed->view();
  if (ramp.plan.days.empty()) {
    console.out << (common.json ? plan_json(ramp) : plan_text(ramp, style_of(console, common)));
    return tl::make_unexpected(no_safe_answer);
  }
  return make_follow_entry(*varied, *shelf, proposed->ramp.start, &proposed->ramp.setup);
}

std::string answer_text(const LoadedRamp& loaded, const std::string& path, bool goes_on,
                        const TextStyle& style) {
  const PlannedRamp ramp = loaded.view();
  const std::string tank = to_safe_text(ramp.tank.name);
  if (!goes_on) {
    const Step first = list_steps(ramp.plan).front();
    return wrap(fmt::format("Followed: {} begins on {} with {}.", tank, to_iso(ramp.start),
                            step_text(ramp, first)),
                style) +
           wrap("Kept in " + to_safe_text(path) +
                    ". Next: slowdawn today, and slowdawn checkin --all for a first look, "
                    "which sets each group's baseline.",
                style);
  }
  const auto day = std::min(loaded.ramp.today, ramp.plan.days.size() - 1);
  std::string text =
      wrap(fmt::format("Followed on from where the corals are: {} stands at {} on {}.", tank,
                       dials_text(ramp.tank, ramp.dials(day)), to_iso(ramp.date(day))),
           style);
  for (const std::string& notice : leg_notices(ramp)) text += wrap(notice, style);
  return text + wrap(goal_day_text(ramp), style);
}

}  // namespace

RunCommand add_follow_command(CLI::App& command) {
  auto arguments = std::make_shared<FollowArguments>();
  add_common_arguments(command, arguments->common);
  add_ramp_options(command, arguments->ramp);
  command.add_flag("--afresh", arguments->afresh,
                   "Begin from the file alone and drop what was lived\nso far");
  add_yes_option(command, arguments->write);
  command.footer(
      "Example: slowdawn follow reef.tank.json --start 2026-10-01\n"
      "  Followed: Stairwell reef begins on 2026-10-01 with front bar 30 %, rear bar\n"
      "  33 %.\n"
      "  ...\n"
      "In a tank that is followed already it goes on from where the corals are.");
  return [arguments](const Console& console) {
    const CommonArguments& common = arguments->common;
    auto read = load_tank(console, common);
    if (!read) return read.error();
    const auto aimed = require_plannable(console, common.json,
                                         with_goal_option(console, common, *read, arguments->ramp));
    if (!aimed) return aimed.error();
    WriteOptions write = arguments->write;
    write.needs_plan = false;
    bool goes_on = false;
    const auto make = [&](const WriteContext& context) -> OrExit<std::vector<EntryBody>> {
      if (const auto asked = ask(console, *arguments, context, *aimed)) {
        return tl::make_unexpected(*asked);
      }
      const bool has_begun =
          context.loaded != nullptr && !arguments->afresh &&
          (context.today >= context.loaded->ramp.start || !context.loaded->ramp.record.empty());
      goes_on = has_begun;
      auto entry = has_begun ? make_next_entry(console, common, *aimed, arguments->ramp,
                                               context.log, context.today)
                             : begin(console, *arguments, *aimed);
      if (!entry) return tl::make_unexpected(entry.error());
      entry->afresh = arguments->afresh || (context.loaded != nullptr && !has_begun);
      if (!arguments->ramp.to.empty() && aimed->text != read->text) {
        const auto kept = write_goal(read->file, read->text, *read, aimed->ramp.to);
        if (!kept) return tl::make_unexpected(report_failure(console, common.json, kept.error()));
      }
      return std::vector<EntryBody>{std::move(*entry)};
    };
    const auto written = write_to_log(console, common.json, *aimed, write, make);
    if (!written) return written.error();
    const LoadedRamp& loaded = *written->loaded;
    if (common.json) {
      write_plan_json(console.out, loaded.view());
    } else {
      console.out << answer_text(loaded, LogbookFile::path_beside(read->file), goes_on,
                                 style_of(console, common));
    }
    return done;
  };
}

}  // namespace slowdawn
