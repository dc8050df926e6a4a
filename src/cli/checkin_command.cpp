#include <unistd.h>

#include <iostream>
#include <memory>
#include <slowdawn/tank/utf8.hpp>

#include "cli/check_in_questions.hpp"
#include "cli/commands.hpp"
#include "cli/log_session.hpp"
#include "cli/value_words.hpp"

namespace slowdawn {
namespace {

/// In the order of Extension and of Tissue.
constexpr const char* extension_words = "less|usual|more";
constexpr const char* tissue_words = "whole|white-patches|lost";

struct CheckInArguments {
  CommonArguments common;
  std::vector<std::string> words;
  std::string date;
  bool all = false;
  std::optional<int> colour;
  std::optional<int> card;
  std::string extension;
  bool mucus = false;
  std::string tissue;
  std::optional<double> fv_fm;
  std::string note;
  std::string photo;
  bool restart = false;

  bool says_nothing() const {
    return !colour && !card && extension.empty() && !mucus && tissue.empty() && !fv_fm &&
           note.empty() && photo.empty() && !restart;
  }
};

OrExit<CheckInEntry> parse_entry(const Console& console, const CheckInArguments& arguments) {
  const bool json = arguments.common.json;
  const auto refuse = [&](std::string what, std::string hint) {
    return tl::make_unexpected(report_usage(console, json, std::move(what), std::move(hint)));
  };
  CheckInEntry entry;
  CheckIn& seen = entry.seen;
  if (arguments.colour && arguments.card) {
    return refuse("--colour and --card say the same thing", "give one of them");
  }
  if (arguments.colour && (*arguments.colour < -5 || *arguments.colour > 5)) {
    return refuse("--colour goes from -5 to 5 steps", "0 is its baseline, -1 one step paler");
  }
  if (arguments.card && (*arguments.card < 1 || *arguments.card > 6)) {
    return refuse("--card goes from 1 to 6", "1 is the palest step of a six-step colour card");
  }
  if (arguments.fv_fm && !(*arguments.fv_fm >= 0.0 && *arguments.fv_fm <= 0.9)) {
    return refuse("--fv-fm goes from 0 to 0.9", "it is a ratio; healthy corals read 0.5 to 0.7");
  }
  seen.colour = arguments.colour;
  seen.card = arguments.card;
  seen.mucus = arguments.mucus;
  seen.fv_fm = arguments.fv_fm;
  if (!arguments.extension.empty()) {
    const std::vector<std::string> names = choices_of(extension_words);
    const auto number = find_name(console, json, "extension", arguments.extension, names);
    if (!number) return tl::make_unexpected(number.error());
    seen.extension = static_cast<Extension>(*number);
  }
  if (!arguments.tissue.empty()) {
    const std::vector<std::string> names = choices_of(tissue_words);
    const auto number = find_name(console, json, "tissue", arguments.tissue, names);
    if (!number) return tl::make_unexpected(number.error());
    seen.tissue = static_cast<Tissue>(*number);
  }
  for (const auto& [option, text] :
       {std::pair{"--note", &arguments.note}, std::pair{"--photo", &arguments.photo}}) {
    if (is_utf8(*text)) continue;
    return refuse(std::string{option} + ": the text is not valid UTF-8",
                  "set the terminal to UTF-8, or use plain letters");
  }
  entry.note = arguments.note;
  entry.photo = arguments.photo;
  entry.restart = arguments.restart;
  return entry;
}

/// Refuses a restart that would come too early.
std::optional<ExitCode> refuse_restart(const Console& console, bool json, const LoadedRamp& loaded,
                                       std::size_t group, const Date& date) {
  const GroupStanding& standing = loaded.ramp.standings[group];
  const std::string& name = loaded.ramp.tank.groups[group].name;
  if (standing.mode != Condition::Mode::hurt) {
    return report_usage(console, json, "\"" + name + "\" is not stopped, so it needs no restart",
                        "leave --restart out");
  }
  const long day = (date - loaded.ramp.start).days();
  const long first = standing.last_sign_day.value_or(0) + steady_days_before_restart;
  if (day >= first) return std::nullopt;
  report_usage(console, json, "\"" + name + "\" has not been steady for 14 days",
               "it may be restarted from " +
                   to_iso(days_after(loaded.ramp.start, static_cast<std::size_t>(first))) +
                   " on, if no new sign comes");
  return no_safe_answer;
}

}  // namespace

RunCommand add_checkin_command(CLI::App& command) {
  auto arguments = std::make_shared<CheckInArguments>();
  CheckInArguments& a = *arguments;
  command.add_option("WORDS", a.words, "The group, and a tank file if need be")
      ->type_name("[GROUP] [TANK]");
  command.add_flag("--all", a.all, "Every group, with the same look");
  command.add_option("--date", a.date, "The day of the look, if it was not today")
      ->type_name("DATE");
  command.add_option("--colour", a.colour, "Steps against its baseline, paler is negative")
      ->type_name("STEPS");
  command.add_option("--card", a.card, "Score on a six-step colour card, 1 the palest")
      ->type_name("SCORE");
  command.add_option("--extension", a.extension, "Polyps, against its habit")
      ->type_name(extension_words);
  command.add_flag("--mucus", a.mucus, "More mucus than its habit");
  command.add_option("--tissue", a.tissue, "How its tissue is")->type_name(tissue_words);
  command.add_option("--fv-fm", a.fv_fm, "Maximum quantum yield, 0 to 0.9")->type_name("RATIO");
  command.add_option("--note", a.note, "Anything worth keeping")->type_name("TEXT");
  command.add_option("--photo", a.photo, "Path of a picture; the path is kept, no copy")
      ->type_name("PATH");
  command.add_flag("--restart", a.restart, "Go on with a group that was hurt, after 14 days");
  add_output_arguments(command, a.common);
  command.footer(
      "Example: slowdawn checkin chalice --colour -1 --extension less --date 2026-10-08\n"
      "  chalice shows less extension than its habit on 2026-10-08: once is no verdict;\n"
      "  look again in 3 days.\n"
      "  Written; the plan stays.\n"
      "  ...\n"
      "Without a look, on a terminal, it asks.");
  return [arguments](const Console& console) {
    const bool json = arguments->common.json;
    const auto words = part_words(console, arguments->common, arguments->words, 1);
    if (!words) return words.error();
    const auto date = entry_date(console, json, arguments->date);
    if (!date) return date.error();
    const bool asks = arguments->says_nothing() && !json && isatty(STDIN_FILENO) == 1 &&
                      isatty(STDOUT_FILENO) == 1;
    if (words->empty() && !arguments->all && !asks) {
      return report_usage(console, json, "checkin needs a group, or --all",
                          "for example: slowdawn checkin \"chalice\" --colour 0");
    }
    const auto entry = parse_entry(console, *arguments);
    if (!entry) return entry.error();

    // Questions are asked before the logbook is locked for writing.
    std::vector<CheckInEntry> answered;
    if (asks) {
      const auto loaded = load_ramp(console, arguments->common, {}, console.today);
      if (!loaded) return loaded.error();
      std::vector<std::string> names = group_names(loaded->ramp.tank);
      if (!words->empty()) {
        const auto group = find_name(console, json, "group", words->front(), names);
        if (!group) return group.error();
        names = {words->front()};
      }
      auto answers = ask_for_check_ins(std::cin, console.out, names, arguments->all);
      if (!answers) {
        return report_usage(console, json, "the input ended before the last answer",
                            "nothing was written");
      }
      answered = std::move(*answers);
      if (answered.empty()) return done;
    }
    const auto make = [&](const LoadedRamp& loaded) -> OrExit<std::vector<EntryBody>> {
      const std::vector<std::string> names = group_names(loaded.ramp.tank);
      std::vector<EntryBody> bodies{answered.begin(), answered.end()};
      if (asks) return bodies;
      CheckInEntry made = *entry;
      if (arguments->all) {
        for (const std::string& name : names) {
          made.group = name;
          bodies.emplace_back(made);
        }
        return bodies;
      }
      const auto group = find_name(console, json, "group", words->front(), names);
      if (!group) return tl::make_unexpected(group.error());
      if (made.restart) {
        const auto refused = refuse_restart(console, json, loaded, *group, *date);
        if (refused) return tl::make_unexpected(*refused);
      }
      made.group = words->front();
      bodies.emplace_back(made);
      return bodies;
    };
    return write_entries(console, arguments->common, *date, make);
  };
}

}  // namespace slowdawn
