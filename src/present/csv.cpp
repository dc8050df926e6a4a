#include <charconv>
#include <slowdawn/present/csv.hpp>
#include <slowdawn/present/phrases.hpp>
#include <slowdawn/present/present.hpp>

namespace slowdawn {
std::string csv_number_cell(double value) {
  char buffer[32];
  const auto end = std::to_chars(std::begin(buffer), std::end(buffer), value).ptr;
  return {buffer, end};
}

std::string csv_text_cell(std::string_view text) {
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

std::string csv_record(const std::vector<std::string>& cells) {
  std::string line;
  for (std::size_t i = 0; i < cells.size(); ++i) {
    if (i > 0) line += ",";
    line += cells[i];
  }
  return line + "\r\n";
}

std::string plan_csv(const PlannedRamp& ramp) {
  std::vector<std::string> header{"date", "day"};
  for (std::size_t j = 0; j < ramp.setup.path_lights.size(); ++j) {
    header.push_back(csv_text_cell(ramp.light_name(j) + " dial_percent"));
  }
  for (const char* name :
       {"group", "spot", "dose_mol_m2_d", "peak_umol_m2_s", "acclimated_dose_mol_m2_d",
        "acclimated_peak_umol_m2_s", "held_by_group", "held_by_cap"}) {
    header.emplace_back(name);
  }
  std::string csv = csv_record(header);
  for (std::size_t number = 0; number < ramp.plan.days.size(); ++number) {
    const PlanDay& day = ramp.plan.days[number];
    const auto dials = ramp.dials(number);
    std::string holder;
    std::string cap;
    if (day.held_by) {
      cap = day.held_by->by ? cap_key(day.held_by->by->breach.cap) : "between_steps";
      if (day.held_by->by) holder = ramp.tank.groups[day.held_by->by->group].name;
    }
    for (std::size_t g = 0; g < day.groups.size(); ++g) {
      const GroupDay& group = day.groups[g];
      std::vector<std::string> cells{to_iso(ramp.date(number)), std::to_string(number)};
      for (const std::size_t light : ramp.setup.path_lights) {
        cells.push_back(csv_number_cell(dials.at(light).percent()));
      }
      cells.push_back(csv_text_cell(ramp.tank.groups[g].name));
      cells.push_back(csv_text_cell(ramp.spot_name(number, g)));
      cells.push_back(csv_number_cell(group.exposure.dose.mol_m2_d()));
      cells.push_back(csv_number_cell(group.exposure.peak.umol_m2_s()));
      cells.push_back(csv_number_cell(group.state.used_to.dose.mol_m2_d()));
      cells.push_back(csv_number_cell(group.state.used_to.peak.umol_m2_s()));
      cells.push_back(csv_text_cell(holder));
      cells.push_back(cap);
      csv += csv_record(cells);
    }
  }
  return csv;
}

}  // namespace slowdawn
