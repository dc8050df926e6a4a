#include <memory>

#include "cli/commands.hpp"
#include "cli/follow_session.hpp"

namespace slowdawn {
namespace {

struct UndoArguments {
  CommonArguments common;
  std::optional<std::int64_t> seq;
  WriteOptions write;
};

/// The newest entry that still counts and is no undo itself.
std::optional<std::int64_t> find_newest(const std::vector<Entry>& entries) {
  for (auto entry = entries.rbegin(); entry != entries.rend(); ++entry) {
    if (!entry->undone && !std::holds_alternative<UndoEntry>(*entry->body)) return entry->seq;
  }
  return std::nullopt;
}

/// The plan that was followed before an entry's; empty where it was the first.
const FollowEntry* find_older(const std::vector<Entry>& entries, const Entry& followed) {
  const FollowEntry* older = nullptr;
  for (const Entry& entry : entries) {
    if (entry.seq >= followed.seq) break;
    const auto* body = std::get_if<FollowEntry>(entry.body.get());
    if (body != nullptr && !entry.undone) older = body;
  }
  return older;
}

/// Taking back what is followed is following the older goal again from where the lights
/// stand: what was lived since cannot be taken back.
OrExit<std::vector<EntryBody>> follow_older(const Console& console, const UndoArguments& arguments,
                                            const WriteContext& context, const Entry& followed) {
  const bool json = arguments.common.json;
  const std::string number = std::to_string(followed.seq);
  const FollowEntry* older = find_older(context.log.entries, followed);
  const bool is_newest = find_followed(context.log.entries) == &followed;
  const bool was_lived = context.loaded != nullptr && !context.loaded->ramp.record.empty();
  if (older == nullptr && !was_lived) {
    return std::vector<EntryBody>{UndoEntry{followed.seq}};
  }
  if (older == nullptr || !is_newest) {
    report_usage(console, json,
                 "entry " + number + " is a plan that was lived under, and " +
                     (older == nullptr ? "there is none before it to go back to"
                                       : "another one was followed since"),
                 "slowdawn follow goes on with the tank file as it is; slowdawn follow --afresh "
                 "begins from it alone");
    return tl::make_unexpected(no_safe_answer);
  }
  if (!arguments.write.yes) {
    return tl::make_unexpected(report_usage(
        console, json,
        "to take entry " + number +
            " back is to follow the plan before it again, from where the lights stand now",
        "if that is meant, the same again with --yes; the tank file stays as it is"));
  }
  FollowEntry again = *older;
  again.start = std::max(context.today, again.start);
  again.afresh = false;
  return std::vector<EntryBody>{again};
}

}  // namespace

RunCommand add_undo_command(CLI::App& command) {
  auto arguments = std::make_shared<UndoArguments>();
  add_common_arguments(command, arguments->common);
  command
      .add_option("--entry", arguments->seq,
                  "Number of the entry, as `slowdawn history` shows\nit; else the newest")
      ->type_name("NUMBER");
  add_yes_option(command, arguments->write);
  command.footer(
      "Example: slowdawn undo --entry 2\n"
      "  Written; the plan has changed.\n"
      "  ...\n"
      "A round (checkin --all) is taken back as a whole. An undo can be undone by its\n"
      "number.");
  return [arguments](const Console& console) {
    const CommonArguments& common = arguments->common;
    WriteOptions write = arguments->write;
    write.needs_plan = false;
    const auto make = [&](const WriteContext& context) -> OrExit<std::vector<EntryBody>> {
      const std::vector<Entry>& entries = context.log.entries;
      const auto seq = arguments->seq ? arguments->seq : find_newest(entries);
      const bool exists = seq && *seq >= 1 && *seq <= static_cast<std::int64_t>(entries.size());
      if (!exists) {
        return tl::make_unexpected(report_usage(
            console, common.json, "there is no such entry to take back", "see slowdawn history"));
      }
      const Entry& entry = entries[static_cast<std::size_t>(*seq) - 1];
      if (entry.undone) {
        return tl::make_unexpected(report_usage(
            console, common.json, "entry " + std::to_string(*seq) + " is taken back already",
            "see slowdawn history"));
      }
      if (std::holds_alternative<FollowEntry>(*entry.body)) {
        return follow_older(console, *arguments, context, entry);
      }
      const auto [first, last] = round_of(entries, *seq);
      if (first == last) return std::vector<EntryBody>{UndoEntry{*seq}};
      return std::vector<EntryBody>{UndoEntry{first, last}};
    };
    return write_entries(console, common, write, make);
  };
}

}  // namespace slowdawn
