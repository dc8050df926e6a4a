#include <algorithm>
#include <filesystem>
#include <memory>
#include <ostream>
#include <slowdawn/logbook/history_file.hpp>
#include <slowdawn/logbook/record.hpp>
#include <slowdawn/present/present.hpp>
#include <slowdawn/tank/text_file.hpp>
#include <stdexcept>

#include "cli/commands.hpp"
#include "cli/log_session.hpp"

namespace slowdawn {
namespace {

struct HistoryArguments {
  CommonArguments common;
  bool csv = false;
  bool tank = false;
  std::string import_file;
};

/// What a logbook holds, stored and read.
struct ReadHistory {
  std::string path;
  std::vector<LogEntry> stored;
  std::vector<Entry> entries;
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

/// The one *.logbook of the present folder, where a tank file is missing; empty where
/// there is none, or more, or a tank file.
std::string find_only_logbook() {
  namespace fs = std::filesystem;
  std::vector<std::string> files;
  std::error_code problem;
  for (fs::directory_iterator entry{".", problem}, end; !problem && entry != end;
       entry.increment(problem)) {
    const std::string name = entry->path().filename().string();
    if (name.ends_with(".tank.json")) return "";
    if (name.ends_with(".logbook")) files.push_back(name);
  }
  return files.size() == 1 ? files.front() : "";
}

/// Reads the logbook beside a tank file, which may be faulty or gone: all that is told
/// stands in the logbook. Where the tank file is good, it must be that of the logbook.
/// Empty where there is no logbook, and then the tank file is good.
OrExit<std::optional<ReadHistory>> read_history(const Console& console,
                                                const CommonArguments& common) {
  const auto file = choose_tank_file(common.tank);
  const std::string path = file ? LogbookFile::path_beside(*file) : find_only_logbook();
  std::error_code ignored;
  std::optional<std::string> tank_name;
  if (path.empty() || !std::filesystem::exists(path, ignored)) {
    // Says what is wrong with the name, or the file.
    const auto tank = load_tank(console, common);
    if (!tank) return tl::make_unexpected(tank.error());
  } else if (file) {
    ProfileShelf shelf = ProfileShelf::built_in();
    if (!common.profiles_folder.empty()) (void)shelf.add_folder(common.profiles_folder);
    if (const auto tank = read_tank(*file, shelf)) tank_name = tank->name;
  }
  auto stored = LogbookFile::read(path, tank_name);
  if (!stored) return tl::make_unexpected(report_failure(console, common.json, stored.error()));
  if (!*stored) return std::optional<ReadHistory>{};
  auto entries = parse_entries(path, **stored);
  if (!entries) return tl::make_unexpected(report_failure(console, common.json, entries.error()));
  return ReadHistory{path, std::move(**stored), std::move(*entries)};
}

ExitCode print_json(const Console& console, const ReadHistory& history) {
  try {
    console.out << history_json(with_legacy_record(history.stored), history.entries);
    return done;
  } catch (const std::invalid_argument& problem) {
    return report_failure(console, true,
                          {ReadFailure::Kind::access,
                           {{{history.path, 0, 0, ""},
                             problem.what(),
                             "keep the file as it is; it may be from a newer version of "
                             "slowdawn"}}});
  }
}

/// The tank file as it was followed last, byte for byte.
ExitCode print_tank(const Console& console, const CommonArguments& common,
                    const std::vector<Entry>& entries) {
  const Entry* followed = find_followed(entries);
  if (followed == nullptr) {
    return report_usage(console, common.json, "no plan is followed, so no tank file was kept",
                        "see slowdawn history");
  }
  console.out << std::get<FollowEntry>(*followed->body).tank_text;
  return done;
}

}  // namespace

RunCommand add_history_command(CLI::App& command) {
  auto arguments = std::make_shared<HistoryArguments>();
  add_common_arguments(command, arguments->common);
  command.add_flag("--csv", arguments->csv, "One row an entry (RFC 4180)")->excludes("--json");
  command
      .add_flag("--tank", arguments->tank,
                "The tank file as it was followed last, to have it\nback if it is lost")
      ->excludes("--json")
      ->excludes("--csv");
  command
      .add_option("--import", arguments->import_file, "Fill a new logbook from what --json wrote")
      ->excludes("--tank")
      ->type_name("FILE");
  command.footer(
      "Example: slowdawn history\n"
      "      1  2026-10-01  follow   follows the plan that begins on 2026-10-01\n"
      "  ...");
  return [arguments](const Console& console) {
    const CommonArguments& common = arguments->common;
    if (!arguments->import_file.empty()) {
      const auto tank = load_tank(console, common);
      if (!tank) return tank.error();
      return import_history(console, common, *tank, arguments->import_file);
    }
    const auto read = read_history(console, common);
    if (!read) return read.error();
    const ReadHistory history = read->value_or(ReadHistory{});
    if (arguments->tank) return print_tank(console, common, history.entries);
    if (common.json) return print_json(console, history);
    if (arguments->csv) {
      console.out << history_csv(history.entries);
    } else if (history.entries.empty()) {
      console.out << "The logbook is empty. Begin it with: slowdawn follow\n";
    } else {
      console.out << history_text(history.entries, style_of(console, common));
    }
    return done;
  };
}

}  // namespace slowdawn
