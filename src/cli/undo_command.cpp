#include <memory>
#include <slowdawn/logbook/logbook_file.hpp>

#include "cli/commands.hpp"
#include "cli/log_session.hpp"

namespace slowdawn {
namespace {

struct UndoArguments {
  CommonArguments common;
  std::optional<std::int64_t> seq;
};

/// The newest entry that still counts and is no undo itself.
std::optional<std::int64_t> find_newest(const std::vector<Entry>& entries) {
  for (auto entry = entries.rbegin(); entry != entries.rend(); ++entry) {
    if (!entry->undone && !std::holds_alternative<UndoEntry>(entry->body)) return entry->seq;
  }
  return std::nullopt;
}

}  // namespace

RunCommand add_undo_command(CLI::App& command) {
  auto arguments = std::make_shared<UndoArguments>();
  add_common_arguments(command, arguments->common);
  command
      .add_option("--entry", arguments->seq,
                  "Number of the entry, as `slowdawn history` shows\nit; else the newest")
      ->type_name("NUMBER");
  command.footer(
      "Example: slowdawn undo --entry 2\n"
      "  Written; the plan has changed.\n"
      "  ...");
  return [arguments](const Console& console) {
    const CommonArguments& common = arguments->common;
    const auto tank = load_tank(console, common);
    if (!tank) return tank.error();
    const std::string path = LogbookFile::path_beside(tank->file);
    const auto stored = LogbookFile::read(path, tank->name);
    if (!stored) return report_failure(console, common.json, stored.error());
    const auto entries = parse_entries(path, stored->value_or(std::vector<LogEntry>{}));
    if (!entries) return report_failure(console, common.json, entries.error());
    const auto seq = arguments->seq ? arguments->seq : find_newest(*entries);
    const bool exists = seq && *seq >= 1 && *seq <= static_cast<std::int64_t>(entries->size());
    if (!exists) {
      return report_usage(console, common.json, "there is no such entry to take back",
                          "see slowdawn history");
    }
    const Entry& entry = (*entries)[static_cast<std::size_t>(*seq) - 1];
    if (entry.undone) {
      return report_usage(console, common.json,
                          "entry " + std::to_string(*seq) + " is taken back already",
                          "see slowdawn history");
    }
    return write_entries(console, common, entry.date, [&](const LoadedRamp&) {
      return OrExit<std::vector<EntryBody>>{{UndoEntry{*seq}}};
    });
  };
}

}  // namespace slowdawn
