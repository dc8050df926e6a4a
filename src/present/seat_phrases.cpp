#include <fmt/format.h>

#include <set>
#include <slowdawn/present/phrases.hpp>
#include <slowdawn/present/seat_phrases.hpp>

namespace slowdawn {
namespace {

/// Where a group was before a move of the plan.
const Seat& seat_before(const PlannedRamp& ramp, const Move& move) {
  std::size_t number = ramp.setup.problem.groups[move.group].spot;
  for (const Move& earlier : ramp.plan.moves) {
    if (earlier == move) break;
    if (earlier.group == move.group) number = earlier.spot;
  }
  return ramp.setup.seats[number];
}

std::string mesh_text(double transmission) {
  return fmt::format("a mesh that lets {:.0f} % through", 100.0 * transmission);
}

}  // namespace

std::string seat_text(const Tank& tank, const Seat& seat) {
  const std::string spot = to_safe_text(tank.spots[seat.spot].name);
  return seat.transmission < 1.0 ? spot + ", under " + mesh_text(seat.transmission) : spot;
}

std::string move_text(const PlannedRamp& ramp, const Move& move) {
  const Seat& before = seat_before(ramp, move);
  const Seat& there = ramp.setup.seats[move.spot];
  const std::string group = to_safe_text(ramp.tank.groups[move.group].name);
  const bool loses_mesh = before.transmission < 1.0 && there.transmission == 1.0;
  if (before.spot == there.spot) {
    return loses_mesh ? "take the mesh off " + group
                      : "change the mesh over " + group + " for " + mesh_text(there.transmission);
  }
  std::string text = "move " + group + " to " + to_safe_text(ramp.tank.spots[there.spot].name);
  if (loses_mesh) text += " and take its mesh off";
  if (there.transmission < 1.0) text += ", under " + mesh_text(there.transmission);
  return text;
}

std::vector<std::string> moves_on(const PlannedRamp& ramp, std::size_t day) {
  std::vector<std::string> moves;
  if (day == 0) {
    for (const Group& group : ramp.tank.groups) {
      const std::string name = to_safe_text(group.name);
      if (group.spot_of_start() != group.spot) {
        moves.push_back("move " + name + " to " +
                        to_safe_text(ramp.tank.spots[group.spot_of_start()].name));
      }
      if (!group.shades.empty()) {
        moves.push_back("put " + mesh_text(group.shades.front()) + " over " + name);
      }
    }
  }
  for (const Move& move : ramp.plan.moves) {
    if (move.day == day) moves.push_back(move_text(ramp, move));
  }
  return moves;
}

std::optional<std::size_t> arrival_day(const Plan& plan, std::size_t group) {
  std::optional<std::size_t> day;
  for (const Move& move : plan.moves) {
    if (move.group == group) day = move.day;
  }
  return day;
}

std::string units_text(const Tank& tank) {
  return tank.meter.is_relative
             ? "Dose and peak in the meter's own unit: only ratios mean something"
             : "Dose in mol m-2 d-1, peak in umol m-2 s-1";
}

std::string band_cell(const Tank& tank, const Tolerance& tolerance) {
  return tank.meter.is_relative ? "-" : band_text(tolerance.dose_band);
}

std::string ceiling_cell(const Tank& tank, const Tolerance& tolerance) {
  return tank.meter.is_relative ? "-" : to_text(tolerance.peak_ceiling);
}

std::vector<EstimatedLight> list_estimates(const Tank& tank, const RampSetup& setup) {
  std::set<std::size_t> spots;
  for (const Seat& seat : setup.seats) spots.insert(seat.spot);
  for (const Group& group : tank.groups) spots.insert(group.spot);
  std::vector<EstimatedLight> estimates;
  for (const std::size_t spot : spots) {
    for (std::size_t light = 0; light < tank.lights.size(); ++light) {
      const auto& output = tank.full_output[spot][light];
      if (output && output->log_error) estimates.push_back({spot, light, *output->log_error});
    }
  }
  return estimates;
}

std::string light_remarks(const Tank& tank, const RampSetup& setup, const TextStyle& style) {
  std::string text;
  if (tank.meter.is_relative) {
    text += wrap(
        "The meter is relative: the plan rests on ratios alone. Bands, ceilings and what is too "
        "bright or too dim for a kind of coral are left out.",
        style);
  }
  std::string list;
  for (const EstimatedLight& estimate : list_estimates(tank, setup)) {
    if (!list.empty()) list += "; ";
    list += fmt::format("{} at {} (+/- {:.0f} %)", to_safe_text(tank.lights[estimate.light].name),
                        to_safe_text(tank.spots[estimate.spot].name), 100.0 * estimate.log_error);
  }
  if (!list.empty()) {
    text += wrap("Estimated from the readings around, not read: " + list +
                     ". The plan is the slower for it; a reading would be better.",
                 style);
  }
  return text;
}

}  // namespace slowdawn
