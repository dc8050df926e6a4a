#include <charconv>
#include <ostream>
#include <slowdawn/present/csv.hpp>
#include <slowdawn/present/excitation_phrases.hpp>
#include <slowdawn/present/phrases.hpp>
#include <slowdawn/present/present.hpp>
#include <slowdawn/present/seat_phrases.hpp>
#include <slowdawn/tank/utf8.hpp>

namespace slowdawn {
namespace {

/// What a terminal takes for text; the line ends of a note stay.
std::string safe_lines(std::string_view text) {
  std::string safe;
  for (std::size_t end = text.find('\n'); end != std::string_view::npos; end = text.find('\n')) {
    safe += to_safe_text(text.substr(0, end)) + "\n";
    text.remove_prefix(end + 1);
  }
  return safe + to_safe_text(text);
}

/// Spaces of any width (Zs), which some spreadsheets skip.
bool is_space(char32_t point) {
  return point == ' ' || point == 0xA0 || point == 0x1680 || (point >= 0x2000 && point <= 0x200A) ||
         point == 0x202F || point == 0x205F || point == 0x3000;
}

/// Whether a spreadsheet might reckon with a cell: one that begins with a line end, or after
/// spaces with one of = + - @, which East Asian spreadsheets also take in their wide forms.
/// Tabs and carriage returns, which are skipped as well, are spelled out by now.
bool is_taken_for_formula(std::string_view cell) {
  if (cell.starts_with('\n')) return true;
  while (!cell.empty()) {
    const auto [point, length] = first_character(cell);
    if (point != U'\n' && !(point && is_space(*point))) {
      constexpr std::u32string_view beginnings = U"=+-@\uFF1D\uFF0B\uFF0D\uFF20";
      return point && beginnings.find(*point) != std::u32string_view::npos;
    }
    cell.remove_prefix(length);
  }
  return false;
}

}  // namespace

std::string csv_number_cell(double value) {
  char buffer[32];
  const auto end = std::to_chars(std::begin(buffer), std::end(buffer), value).ptr;
  return {buffer, end};
}

std::string csv_flag_cell(bool value) { return value ? "true" : "false"; }

std::string csv_text_cell(std::string_view text) {
  std::string cell = safe_lines(text);
  if (is_taken_for_formula(cell)) cell.insert(0, "'");
  if (cell.find_first_of(",\"\n") == std::string::npos) return cell;
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

namespace {

std::string plan_csv_header(const PlannedRamp& ramp) {
  std::vector<std::string> header{"date", "day"};
  for (std::size_t j = 0; j < ramp.setup.path_lights.size(); ++j) {
    header.push_back(csv_text_cell(ramp.light_name(j) + " dial_percent"));
    for (const Channel& channel : ramp.tank.lights[ramp.setup.path_lights[j]].channels) {
      header.push_back(csv_text_cell(ramp.light_name(j) + " " + channel.name + " dial_percent"));
    }
  }
  const bool is_relative = ramp.tank.meter.is_relative;
  const std::string dose = is_relative ? "dose_relative" : "dose_mol_m2_d";
  const std::string peak = is_relative ? "peak_relative" : "peak_umol_m2_s";
  for (const std::string& name :
       {std::string{"group"}, std::string{"spot"}, std::string{"shade_transmission"}, dose, peak,
        "acclimated_" + dose, "acclimated_" + peak, std::string{"is_estimated"},
        std::string{"is_guess"}, std::string{"held_by_group"}, std::string{"held_by_cap"},
        std::string{"held_for_good_by_group"}, std::string{"held_for_good_by_cap"},
        std::string{"move"}, std::string{"leg"}}) {
    header.push_back(name);
  }
  if (knows_an_ek(ramp.setup)) header.emplace_back("excitation_proxy");
  if (ramp.tank.has_weights()) {
    header.push_back("usable_" + dose);
    header.push_back("usable_" + peak);
  }
  return csv_record(header);
}

/// Who bars the goal for good, on the last day, which is the one that it is said of.
std::optional<HeldBy::Group> held_for_good_on(const PlannedRamp& ramp, std::size_t day) {
  if (day + 1 < ramp.plan.days.size()) return std::nullopt;
  return ramp.plan.held_for_good_by;
}

}  // namespace

void write_plan_csv(std::ostream& out, const PlannedRamp& ramp) {
  out << plan_csv_header(ramp);
  const bool has_proxy = knows_an_ek(ramp.setup);
  for (std::size_t number = 0; number < ramp.plan.days.size(); ++number) {
    const PlanDay& day = ramp.plan.days[number];
    const std::string date = to_iso(ramp.date(number));
    const auto dials = ramp.dials(number);
    std::string holder;
    std::string cap;
    if (day.held_by) {
      cap = day.held_by->by ? cap_key(day.held_by->by->breach.cap) : "between_steps";
      if (day.held_by->by) holder = ramp.tank.groups[day.held_by->by->group].name;
    }
    const auto for_good = held_for_good_on(ramp, number);
    std::string csv;
    for (std::size_t g = 0; g < day.groups.size(); ++g) {
      if (!ramp.is_there(number, g)) continue;
      const GroupDay group = day.groups[g];
      const Seat& seat = ramp.seat(number, g);
      std::vector<std::string> cells{date, std::to_string(number)};
      for (const std::size_t light : ramp.setup.path_lights) {
        cells.push_back(csv_number_cell(dials.at(light).percent()));
        for (const ChannelDial& channel : ramp.tank.lights[light].channel_dials(dials.at(light))) {
          cells.push_back(csv_number_cell(channel.dial.percent()));
        }
      }
      cells.push_back(csv_text_cell(ramp.tank.groups[g].name));
      cells.push_back(csv_text_cell(ramp.tank.spots[seat.spot].name));
      cells.push_back(csv_number_cell(seat.transmission));
      const Exposure measured = ramp.measured(number, g);
      cells.push_back(csv_number_cell(measured.dose.mol_m2_d()));
      cells.push_back(csv_number_cell(measured.peak.umol_m2_s()));
      cells.push_back(csv_number_cell(group.used_to().dose.mol_m2_d()));
      cells.push_back(csv_number_cell(group.used_to().peak.umol_m2_s()));
      cells.push_back(csv_flag_cell(ramp.tank.is_estimated(seat.spot, dials)));
      const auto& history = ramp.tank.groups[g].history;
      cells.push_back(csv_flag_cell(history && history->is_guess()));
      cells.push_back(csv_text_cell(holder));
      cells.push_back(cap);
      cells.push_back(for_good ? csv_text_cell(ramp.tank.groups[for_good->group].name) : "");
      cells.push_back(for_good ? cap_key(for_good->breach.cap) : "");
      cells.push_back(csv_text_cell(move_on(ramp, number, g)));
      cells.push_back(std::to_string(ramp.leg(number)));
      if (has_proxy) {
        const auto proxy = proxy_of(ramp.setup, g, group.light.real.peak);
        cells.push_back(proxy ? csv_number_cell(*proxy) : "");
      }
      if (ramp.tank.has_weights()) {
        cells.push_back(csv_number_cell(group.light.real.dose.mol_m2_d()));
        cells.push_back(csv_number_cell(group.light.real.peak.umol_m2_s()));
      }
      csv += csv_record(cells);
    }
    if (!(out << csv)) return;
  }
}

}  // namespace slowdawn
