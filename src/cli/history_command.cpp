#include <memory>
#include <ostream>
#include <slowdawn/logbook/history_file.hpp>
#include <slowdawn/present/present.hpp>
#include <slowdawn/tank/text_file.hpp>

#include "cli/commands.hpp"
#include "cli/log_session.hpp"

namespace slowdawn {
namespace {

struct HistoryArguments {
  CommonArguments common;
  bool csv = false;
  std::string import_file;
};

/// Fills a new logbook from a history file.
ExitCode import_history(const Console& console, const CommonArguments& common, const Tank& tank,
                        const std::string& file) {
  const auto text = read_text_file(file);
  if (!text) return report_failure(console, common.json, text.error());
  const auto entries = parse_history(file, *text);
  if (!entries) return report_failure(console, common.json, entries.error());
  const std::string path = LogbookFile::path_beside(tank.file);
  const auto written =
      LogbookFile::append(path, tank.name,
                          [&](const std::vector<LogEntry>& stored)
                              -> tl::expected<std::vector<NewLogEntry>, ReadFailure> {
                            if (stored.empty()) return *entries;
                            return tl::make_unexpected(ReadFailure{
                                ReadFailure::Kind::content,
                                {{{path, 0, 0, ""},
                                  "there are entries in this logbook already",
                                  "--import fills a new logbook; move the old file away first"}}});
                          });
  if (!written) return report_failure(console, common.json, written.error());
  note_written(console);
  const auto parsed = parse_entries(path, *written);
  if (!parsed) return report_failure(console, common.json, parsed.error());
  console.out << (common.json ? history_json(*written, *parsed)
                              : history_text(*parsed, style_of(console, common)));
  return done;
}

}  // namespace

RunCommand add_history_command(CLI::App& command) {
  auto arguments = std::make_shared<HistoryArguments>();
  add_common_arguments(command, arguments->common);
  command.add_flag("--csv", arguments->csv, "One row an entry (RFC 4180)")->excludes("--json");
  command
      .add_option("--import", arguments->import_file, "Fill a new logbook from what --json wrote")
      ->type_name("FILE");
  command.footer(
      "Example: slowdawn history\n"
      "      1  2026-10-01  follow   follows the plan that begins on 2026-10-01\n"
      "  ...");
  return [arguments](const Console& console) {
    const CommonArguments& common = arguments->common;
    const auto tank = load_tank(console, common);
    if (!tank) return tank.error();
    if (!arguments->import_file.empty()) {
      return import_history(console, common, *tank, arguments->import_file);
    }
    const std::string path = LogbookFile::path_beside(tank->file);
    const auto read = LogbookFile::read(path, tank->name);
    if (!read) return report_failure(console, common.json, read.error());
    const std::vector<LogEntry> stored = read->value_or(std::vector<LogEntry>{});
    const auto entries = parse_entries(path, stored);
    if (!entries) return report_failure(console, common.json, entries.error());
    if (common.json) {
      console.out << history_json(stored, *entries);
    } else if (arguments->csv) {
      console.out << history_csv(*entries);
    } else if (entries->empty()) {
      console.out << "The logbook is empty. Begin it with: slowdawn follow\n";
    } else {
      console.out << history_text(*entries, style_of(console, common));
    }
    return done;
  };
}

}  // namespace slowdawn
