#include <algorithm>
#include <memory>
#include <ostream>
#include <slowdawn/present/present.hpp>

#include "cli/commands.hpp"
#include "cli/log_session.hpp"

namespace slowdawn {
namespace {

struct WhyArguments {
  CommonArguments common;
  RampOptions ramp;
  std::vector<std::string> words;
  std::string date;
};

/// The group of a name, or the one that holds the dial, or the first.
OrExit<std::size_t> choose_group(const Console& console, bool json, const LoadedRamp& loaded,
                                 std::size_t day, const std::string& name) {
  if (name.empty()) {
    const auto& held_by = loaded.ramp.plan.days[day].held_by;
    return held_by && held_by->by ? held_by->by->group : 0;
  }
  return find_name(console, json, "group", name, group_names(loaded.ramp.tank));
}

/// The day of a date; without one today, or the nearest day of the plan.
OrExit<std::size_t> choose_day(const Console& console, bool json, const LoadedRamp& loaded,
                               const std::string& text) {
  const auto last = static_cast<long>(loaded.ramp.plan.days.size()) - 1;
  if (text.empty()) {
    return static_cast<std::size_t>(
        std::clamp((loaded.today_or(console.today) - loaded.ramp.start).days(), 0L, last));
  }
  const auto date = parse_date_option(console, json, "--date", text);
  if (!date) return tl::make_unexpected(date.error());
  const long day = (*date - loaded.ramp.start).days();
  if (day >= 0 && day <= last) return static_cast<std::size_t>(day);
  return tl::make_unexpected(
      report_usage(console, json, "--date: " + text + " is no day of this plan",
                   "it runs from " + to_iso(loaded.ramp.start) + " to " +
                       to_iso(days_after(loaded.ramp.start, static_cast<std::size_t>(last)))));
}

}  // namespace

RunCommand add_why_command(CLI::App& command) {
  auto arguments = std::make_shared<WhyArguments>();
  command
      .add_option("WORDS", arguments->words,
                  "The group, else the one that holds the dial, and a\ntank file if need be")
      ->type_name("[GROUP] [TANK]");
  add_output_arguments(command, arguments->common);
  add_ramp_options(command, arguments->ramp);
  command.add_option("--date", arguments->date, "A day of the plan, YYYY-MM-DD; else today")
      ->type_name("DATE");
  command.footer(
      "Example: slowdawn why \"staghorn thicket\" reef.tank.json --date 2026-12-05\n"
      "  ...\n"
      "  cap            today   next  limit    that is\n"
      "  dose_pace       5.55   5.72   6.15    max(L 6.15, A 5.49)\n"
      "  ...");
  return [arguments](const Console& console) {
    const bool json = arguments->common.json;
    const auto words = part_words(console, arguments->common, arguments->words, 1);
    if (!words) return words.error();
    const auto loaded = load_ramp(console, arguments->common, arguments->ramp);
    if (!loaded) return loaded.error();
    const PlannedRamp ramp = loaded->view();
    const TextStyle style = style_of(console, arguments->common);
    if (ramp.plan.days.empty()) {
      console.out << (json ? plan_json(ramp) : plan_text(ramp, style));
      return no_safe_answer;
    }
    const auto day = choose_day(console, json, *loaded, arguments->date);
    if (!day) return day.error();
    const auto group =
        choose_group(console, json, *loaded, *day, words->empty() ? "" : words->front());
    if (!group) return group.error();
    const WhyView view{*day, *group, words->empty()};
    const auto advice = find_ramp_advice(console, *loaded);
    if (json) {
      console.out << why_json(ramp, view, advice);
    } else {
      console.out << why_text(ramp, view, style) << advice_text(ramp.tank, advice, style);
    }
    return done;
  };
}

}  // namespace slowdawn
