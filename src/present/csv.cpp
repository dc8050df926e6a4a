#include <charconv>
#include <slowdawn/present/phrases.hpp>
#include <slowdawn/present/present.hpp>

namespace slowdawn {
namespace {

/// Shortest text that reads back as the same number.
std::string number_cell(double value) {
  char buffer[32];
  const auto end = std::to_chars(std::begin(buffer), std::end(buffer), value).ptr;
  return {buffer, end};
}

/// A cell of RFC 4180. A leading character that a spreadsheet would take for
/// the start of a formula gets an apostrophe before it.
std::string text_cell(std::string_view text) {
  std::string cell;
  if (!text.empty() && std::string_view{"=+-@\t\r"}.find(text.front()) != std::string_view::npos) {
    cell += "'";
  }
  cell += text;
  if (cell.find_first_of(",\"\r\n") == std::string::npos) return cell;
  std::string quoted = "\"";
  for (const char c : cell) {
    if (c == '"') quoted += '"';
    quoted += c;
  }
  return quoted + "\"";
}

std::string record(const std::vector<std::string>& cells) {
  std::string line;
  for (std::size_t i = 0; i < cells.size(); ++i) {
    if (i > 0) line += ",";
    line += cells[i];
  }
  return line + "\r\n";
}

}  // namespace

std::string plan_csv(const PlannedRamp& ramp) {
  std::vector<std::string> header{"date", "day"};
  for (std::size_t j = 0; j < ramp.setup.path_lights.size(); ++j) {
    header.push_back(text_cell(ramp.light_name(j) + " dial_percent"));
  }
  for (const char* name :
       {"group", "spot", "dose_mol_m2_d", "peak_umol_m2_s", "acclimated_dose_mol_m2_d",
        "acclimated_peak_umol_m2_s", "held_by_group", "held_by_cap"}) {
    header.emplace_back(name);
  }
  std::string csv = record(header);
  for (std::size_t number = 0; number < ramp.plan.days.size(); ++number) {
    const PlanDay& day = ramp.plan.days[number];
    std::string holder;
    std::string cap;
    if (day.held_by) {
      cap = day.held_by->by ? cap_key(day.held_by->by->breach.cap) : "between_steps";
      if (day.held_by->by) holder = ramp.tank.groups[day.held_by->by->group].name;
    }
    for (std::size_t g = 0; g < day.groups.size(); ++g) {
      const GroupDay& group = day.groups[g];
      std::vector<std::string> cells{to_iso(ramp.date(number)), std::to_string(number)};
      for (const Percent dial : ramp.setting(day.setting)) {
        cells.push_back(number_cell(dial.percent()));
      }
      cells.push_back(text_cell(ramp.tank.groups[g].name));
      cells.push_back(text_cell(ramp.tank.spots[ramp.tank.groups[g].spot_of_ramp()].name));
      cells.push_back(number_cell(group.exposure.dose.mol_m2_d()));
      cells.push_back(number_cell(group.exposure.peak.umol_m2_s()));
      cells.push_back(number_cell(group.state.used_to.dose.mol_m2_d()));
      cells.push_back(number_cell(group.state.used_to.peak.umol_m2_s()));
      cells.push_back(text_cell(holder));
      cells.push_back(cap);
      csv += record(cells);
    }
  }
  return csv;
}

}  // namespace slowdawn
