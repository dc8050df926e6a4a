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
  WriteOptions write;
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
  /// Whether it says how the group looks, and not only that it may go on.
  bool has_look() const {
    return colour || card || !extension.empty() || mucus || !tissue.empty() || fv_fm;
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

std::vector<std::string> names_there(const Replay& ramp, std::size_t day) {
  std::vector<std::string> names;
  for (std::size_t g = 0; g < ramp.tank.groups.size(); ++g) {
    if (ramp.is_there(g, day)) names.push_back(ramp.tank.groups[g].name);
  }
  return names;
}

/// Refuses a restart that would come too early, or without a good look of late.
std::optional<ExitCode> refuse_restart(const Console& console, const CheckInArguments& arguments,
                                       const WriteContext& context, std::size_t group) {
  const bool json = arguments.common.json;
  const Replay& ramp = context.loaded->ramp;
  const GroupStanding& standing = ramp.standings[group];
  const std::string& name = ramp.tank.groups[group].name;
  if (standing.mode != Condition::Mode::hurt) {
    return report_usage(console, json, "\"" + name + "\" is not stopped, so it needs no restart",
                        "leave --restart out");
  }
  const long day = (context.date - ramp.start).days();
  const long first = standing.last_sign_day.value_or(0) + steady_days_before_restart;
  if (day < first) {
    report_usage(console, json, "\"" + name + "\" has not been steady for 14 days",
                 "it may be restarted from " +
                     to_iso(days_after(ramp.start, static_cast<std::size_t>(first))) +
                     " on, if no new sign comes");
    return no_safe_answer;
  }
  const bool has_good_look = day - standing.looked_at_until <= good_look_days_before_restart;
  if (has_good_look || arguments.has_look()) return std::nullopt;
  report_usage(console, json, "\"" + name + "\" has no good look of the last 3 days",
               "look at it and log what you see with the restart: slowdawn checkin \"" + name +
                   "\" --colour 0 --restart");
  return no_safe_answer;
}

}  // namespace

RunCommand add_checkin_command(CLI::App& command) {
  auto arguments = std::make_shared<CheckInArguments>();
  CheckInArguments& a = *arguments;
  command.add_option("WORDS", a.words, "The group, and a tank file if need be")
      ->type_name("[GROUP] [TANK]");
  command.add_flag("--all", a.all, "Every group, with the same look");
  add_date_option(command, a.write, "The day of the look, if it was not today");
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
      const auto loaded = load_ramp(console, arguments->common, {});
      if (!loaded) return loaded.error();
      std::vector<std::string> names = names_there(loaded->ramp, loaded->ramp.today);
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
    const auto make = [&](const WriteContext& context) -> OrExit<std::vector<EntryBody>> {
      std::vector<CheckInEntry> looks = answered;
      CheckInEntry made = *entry;
      if (arguments->all && !asks) {
        const Replay& ramp = context.loaded->ramp;
        const long day = std::max((context.date - ramp.start).days(), 0L);
        for (const std::string& name : names_there(ramp, static_cast<std::size_t>(day))) {
          made.group = name;
          looks.push_back(made);
        }
      } else if (!asks) {
        const auto group = find_group_on(console, json, context, words->front());
        if (!group) return tl::make_unexpected(group.error());
        if (made.restart) {
          const auto refused = refuse_restart(console, *arguments, context, *group);
          if (refused) return tl::make_unexpected(*refused);
        }
        made.group = words->front();
        looks.push_back(made);
      }
      // Written together, they are taken back together.
      if (looks.size() > 1) {
        for (std::size_t i = 0; i < looks.size(); ++i) looks[i].round = static_cast<int>(i);
      }
      return std::vector<EntryBody>{looks.begin(), looks.end()};
    };
    return write_entries(console, arguments->common, arguments->write, make);
  };
}

}  // namespace slowdawn
