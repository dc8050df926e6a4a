#include <memory>

#include "cli/commands.hpp"
#include "cli/log_session.hpp"

namespace slowdawn {
namespace {

struct GoneArguments {
  CommonArguments common;
  std::vector<std::string> words;
  WriteOptions write;
};

}  // namespace

RunCommand add_gone_command(CLI::App& command) {
  auto arguments = std::make_shared<GoneArguments>();
  command.add_option("WORDS", arguments->words, "The group, and a tank file if need be")
      ->type_name("GROUP [TANK]");
  add_output_arguments(command, arguments->common);
  add_date_option(command, arguments->write, "The first day without it, if that was not today");
  command.footer(
      "Example: slowdawn gone \"elephant ear\" --date 2026-10-12\n"
      "  Written; the plan has changed.\n"
      "  ...");
  return [arguments](const Console& console) {
    const bool json = arguments->common.json;
    const auto words = part_words(console, arguments->common, arguments->words, 1);
    if (!words) return words.error();
    if (words->empty()) {
      return report_usage(console, json, "gone takes the group that died, was sold or given away",
                          "for example: slowdawn gone chalice");
    }
    const auto make = [&](const WriteContext& context) -> OrExit<std::vector<EntryBody>> {
      const auto group = find_group_on(console, json, context, words->front());
      if (!group) return tl::make_unexpected(group.error());
      const auto is_same = [&](const EntryBody& body) {
        const auto* moved = std::get_if<MovedEntry>(&body);
        const auto* gone = std::get_if<GoneEntry>(&body);
        return (moved != nullptr && moved->group == words->front()) ||
               (gone != nullptr && gone->group == words->front());
      };
      const auto asked = ask_which_holds(console, json, context, arguments->write.yes, is_same);
      if (asked) return tl::make_unexpected(*asked);
      return std::vector<EntryBody>{GoneEntry{words->front()}};
    };
    return write_entries(console, arguments->common, arguments->write, make);
  };
}

}  // namespace slowdawn
