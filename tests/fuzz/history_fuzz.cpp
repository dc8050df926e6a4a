// A logbook's history (JSON) that is imported, and its replay.
#include <slowdawn/logbook/history_file.hpp>
#include <slowdawn/logbook/record.hpp>
#include <slowdawn/logbook/replay.hpp>

#include "fuzz.hpp"

namespace slowdawn {
namespace {

constexpr std::size_t most_groups = 20;

std::vector<LogEntry> stored(const std::vector<NewLogEntry>& entries) {
  std::vector<LogEntry> all;
  for (const NewLogEntry& entry : entries) {
    all.push_back({static_cast<std::int64_t>(all.size()) + 1, entry.made, entry.date, entry.kind,
                   entry.body, entry.plan, entry.record});
  }
  return all;
}

/// Lives through the entries on a day: as an answer, or as findings, that stand up.
void require_life(const std::vector<LogEntry>& all, const Date& today) {
  const auto log = parse_log("fuzz.logbook", all, today);
  require_findings(log, "fuzz.logbook");
  if (!log) return;
  const auto lived = replay("fuzz.logbook", *log, today);
  require_findings(lived, "fuzz.logbook");
  if (!lived || !*lived) return;
  const Replay& replayed = **lived;
  require(replayed.standings.size() == replayed.tank.groups.size(), "each group stands somewhere");
  require(!plan_steps_json(replayed, replayed.start).empty(), "its plan can be kept");
  const Record kept = days_to_store(*log, *lived);
  require(parse_record(record_json(kept)) == kept, "its days can be kept");
}

void try_history(const std::string& text) {
  const auto read = parse_history("history.json", text);
  require_findings(read, "history.json");
  if (!read) return;
  const auto entries = parse_entries("fuzz.logbook", stored(*read));
  require(entries.has_value(), "what is imported can be read");
  for (const NewLogEntry& entry : *read) {
    const Record record = parse_record(entry.record);
    require(parse_record(record_json(record)) == record, "its record can be kept");
  }
  const Entry* followed = find_followed(*entries);
  if (followed == nullptr) return;
  const auto tank = followed_tank("fuzz.logbook", std::get<FollowEntry>(*followed->body));
  if (!tank || tank->groups.size() > most_groups) return;
  require_life(stored(*read), *parse_date("2026-12-20"));
}

}  // namespace
}  // namespace slowdawn

int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  slowdawn::try_history(slowdawn::text_of(data, size));
  return 0;
}
