#include <algorithm>
#include <memory>
#include <ostream>
#include <slowdawn/present/present.hpp>
#include <slowdawn/tank/nearest_name.hpp>

#include "cli/commands.hpp"
#include "cli/ramp_options.hpp"

namespace slowdawn {
namespace {

struct WhyArguments {
  CommonArguments common;
  RampOptions ramp;
  /// The group and the tank file, in any order.
  std::string words[2];
  std::string date;
};

/// The group of a name, or the one that holds the dial, or the first.
OrExit<std::size_t> choose_group(const Console& console, bool json, const LoadedRamp& loaded,
                                 std::size_t day, const std::string& name) {
  if (name.empty()) {
    const auto& held_by = loaded.plan.days[day].held_by;
    return held_by && held_by->by ? held_by->by->group : 0;
  }
  std::vector<std::string> names;
  for (const Group& group : loaded.tank.groups) names.push_back(group.name);
  const auto found = std::find(names.begin(), names.end(), name);
  if (found != names.end()) return static_cast<std::size_t>(found - names.begin());
  return tl::make_unexpected(report_usage(console, json, "there is no group \"" + name + "\"",
                                          hint_for_name(name, names)));
}

/// The day of a date; without one today, or the nearest day of the plan.
OrExit<std::size_t> choose_day(const Console& console, bool json, const LoadedRamp& loaded,
                               const std::string& text) {
  const auto last = static_cast<long>(loaded.plan.days.size()) - 1;
  if (text.empty()) {
    return static_cast<std::size_t>(std::clamp((console.today - loaded.start).days(), 0L, last));
  }
  const auto date = parse_date_option(console, json, "--date", text);
  if (!date) return tl::make_unexpected(date.error());
  const long day = (*date - loaded.start).days();
  if (day >= 0 && day <= last) return static_cast<std::size_t>(day);
  return tl::make_unexpected(
      report_usage(console, json, "--date: " + text + " is no day of this plan",
                   "it runs from " + to_iso(loaded.start) + " to " +
                       to_iso(days_after(loaded.start, static_cast<std::size_t>(last)))));
}

}  // namespace

RunCommand add_why_command(CLI::App& command) {
  auto arguments = std::make_shared<WhyArguments>();
  command.add_option("GROUP", arguments->words[0], "Group, else the one that holds the dial")
      ->type_name(" ");
  command
      .add_option("TANK", arguments->words[1],
                  "Tank file, as in the other commands; a word that\nends in .json is the tank "
                  "file, wherever it stands")
      ->type_name(" ");
  add_output_arguments(command, arguments->common);
  add_ramp_options(command, arguments->ramp);
  command.add_option("--date", arguments->date, "A day of the plan, YYYY-MM-DD; else today")
      ->type_name("DATE");
  command.footer("Example: slowdawn why \"staghorn thicket\" reef.tank.json --date 2026-12-05");
  return [arguments](const Console& console) {
    const bool json = arguments->common.json;
    std::string group_name;
    for (const std::string& word : arguments->words) {
      if (word.empty()) continue;
      std::string& target = word.ends_with(".json") ? arguments->common.tank : group_name;
      if (!target.empty()) {
        return report_usage(console, json, "\"" + word + "\" is one word too many",
                            "give one group, in quotes if it has spaces, and one tank file");
      }
      target = word;
    }
    auto tank = load_tank(console, arguments->common);
    if (!tank) return tank.error();
    auto varied = with_options(console, json, std::move(*tank), arguments->ramp);
    if (!varied) return varied.error();
    const auto loaded = plan_tank(console, json, std::move(*varied));
    if (!loaded) return loaded.error();
    const PlannedRamp ramp = loaded->view();
    const TextStyle style = style_of(console, arguments->common);
    if (loaded->plan.days.empty()) {
      console.out << (json ? plan_json(ramp) : plan_text(ramp, style));
      return no_safe_answer;
    }
    const auto day = choose_day(console, json, *loaded, arguments->date);
    if (!day) return day.error();
    const auto group = choose_group(console, json, *loaded, *day, group_name);
    if (!group) return group.error();
    console.out << (json ? why_json(ramp, *day, *group) : why_text(ramp, *day, *group, style));
    return done;
  };
}

}  // namespace slowdawn
