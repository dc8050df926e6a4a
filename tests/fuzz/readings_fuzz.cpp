// A table of readings (CSV), and the draft of a tank file that comes of it.
#include <slowdawn/tank/readings_table.hpp>
#include <slowdawn/tank/tank.hpp>

#include "fuzz.hpp"
#include "tank/json_document.hpp"

namespace slowdawn {
namespace {

constexpr std::size_t longest_text = 20'000;

void try_readings(const std::string& text) {
  const auto table = parse_csv("readings.csv", text);
  require_findings(table, "readings.csv");
  if (!table) return;
  auto readings = read_readings(*table, built_in_shelf(), "acropora");
  require_findings(readings, "readings.csv");
  if (!readings || text.size() > longest_text) return;
  const DraftDay day{ClockTime::minute(540.0), ClockTime::minute(1140.0)};
  TankDraft draft;
  draft.name = "Fuzz";
  draft.old_light = DraftLight{};
  draft.old_light->name = "tubes";
  draft.old_light->day = day;
  draft.new_light.name = "bars";
  draft.new_light.day = day;
  draft.new_dial = Percent::of_full(40.0);
  draft.goal = Percent::of_full(60.0);
  draft.start = *parse_date("2026-12-01");
  draft.spots = std::move(readings->spots);
  draft.groups = std::move(readings->groups);
  const std::string file = tank_draft_json(draft);
  require(JsonDocument::parse("draft", file).has_value(), "a draft is JSON");
  require_findings(parse_tank("draft.tank.json", file, built_in_shelf()), "draft.tank.json");
}

}  // namespace
}  // namespace slowdawn

int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  slowdawn::try_readings(slowdawn::text_of(data, size));
  return 0;
}
