#include <fmt/format.h>

#include <algorithm>
#include <set>
#include <slowdawn/present/history_phrases.hpp>
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

namespace {

/// A group's way from one seat to another; empty where they are one.
std::string way_text(const Tank& tank, std::size_t g, const Seat& before, const Seat& there) {
  if (before == there) return "";
  const std::string group = to_safe_text(tank.groups[g].name);
  const bool has_mesh = there.transmission < 1.0;
  const bool loses_mesh = before.transmission < 1.0 && !has_mesh;
  if (before.spot == there.spot) {
    if (loses_mesh) return "take the mesh off " + group;
    const bool is_new = before.transmission == 1.0;
    return is_new ? "put " + mesh_text(there.transmission) + " over " + group
                  : "change the mesh over " + group + " for one that lets " +
                        fmt::format("{:.0f} % through", 100.0 * there.transmission);
  }
  std::string text = "move " + group + " to " + to_safe_text(tank.spots[there.spot].name);
  if (loses_mesh) text += " and take its mesh off";
  if (has_mesh) text += ", under " + mesh_text(there.transmission);
  return text;
}

}  // namespace

std::vector<std::string> moves_to_make(const PlannedRamp& ramp, std::size_t day) {
  const auto is_of_day = [&](const Move& move) { return move.day == day; };
  const bool is_logged =
      ramp.followed != nullptr && std::any_of(ramp.followed->logged_moves.begin(),
                                              ramp.followed->logged_moves.end(), is_of_day);
  if (!is_logged) return moves_on(ramp, day);
  std::vector<std::string> moves;
  for (const Move& move : ramp.plan.moves) {
    const auto& logged = ramp.followed->logged_moves;
    if (!is_of_day(move) || std::find(logged.begin(), logged.end(), move) != logged.end()) continue;
    moves.push_back(
        way_text(ramp.tank, move.group, seat_before(ramp, move), ramp.setup.seats[move.spot]));
  }
  return moves;
}

std::vector<std::string> moves_on(const PlannedRamp& ramp, std::size_t day) {
  std::vector<std::string> moves;
  const auto add = [&](std::size_t g, const Seat& before, const Seat& there) {
    std::string text = way_text(ramp.tank, g, before, there);
    if (!text.empty()) moves.push_back(std::move(text));
  };
  if (day == 0) {
    // What the tank file moves at the start, and what the plan does on that day.
    for (std::size_t g = 0; g < ramp.tank.groups.size(); ++g) {
      if (ramp.is_there(0, g)) add(g, {ramp.tank.groups[g].spot}, ramp.seat(0, g));
    }
    return moves;
  }
  for (const Move& move : ramp.plan.moves) {
    if (move.day == day) add(move.group, seat_before(ramp, move), ramp.setup.seats[move.spot]);
  }
  return moves;
}

std::string move_on(const PlannedRamp& ramp, std::size_t day, std::size_t group) {
  const Seat before = day == 0 ? Seat{ramp.tank.groups[group].spot} : ramp.seat(day - 1, group);
  return way_text(ramp.tank, group, before, ramp.seat(day, group));
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
  return tank.meter.is_relative ? "-" : to_text(lowest_ceiling(tolerance));
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

std::string weights_text(const Tank& tank) {
  std::string list;
  for (const TankLight& light : tank.lights) {
    if (light.usable_weight == 1.0) continue;
    if (!list.empty()) list += ", ";
    list += fmt::format("{} {}", to_safe_text(light.name), light.usable_weight);
  }
  return "Usable light, which the caps compare, is measured light times the weight of each light "
         "that is not 1: " +
         list +
         ". What a group is used to, its band, its ceiling and all limits are usable light. The "
         "weights are the keeper's own figures.";
}

Exposure measured_goal(const Tank& tank, const RampSetup& setup, const RampGroup& group) {
  const std::size_t seat = group.wish ? group.wish->to : group.spot;
  if (!tank.has_weights()) return setup.problem.exposures.at(setup.problem.path.goal, seat);
  return measured_exposure(tank, setup.seats[seat], tank.ramp.to);
}

std::string sun_text(const Tank& tank) {
  std::string text;
  for (const TankLight& light : tank.lights) {
    if (!light.sun) continue;
    const auto& [place, ahead] = *light.sun;
    text += fmt::format(
        "{}{} is the sun at latitude {}, with a cloud before it {} of the day. No season is "
        "followed: every day of the ramp counts as the brightest of the {} from {} on, in the open "
        "{} mol m-2 d-1 and a clear noon of {} umol m-2 s-1. What a group had under it before "
        "counts as on that first day, or as the brightest if that is within 5 %.",
        text.empty() ? "" : " ", to_safe_text(light.name),
        fmt::format("{:g}", place.latitude.degrees()),
        to_text(Percent::of_full(100.0 * place.cloud_share)), days_of_sun_ahead,
        to_iso(*tank.ramp.start), to_text(ahead.dose), to_text(ahead.noon));
  }
  return text;
}

std::string light_remarks(const Tank& tank, const RampSetup& setup, const TextStyle& style) {
  std::string text;
  if (tank.meter.is_relative) {
    text += wrap(
        "The meter is relative: the plan rests on ratios alone. Bands, ceilings and what is too "
        "bright or too dim for a kind of coral are left out.",
        style);
  }
  if (tank.has_weights()) text += wrap(weights_text(tank), style);
  if (tank.has_sun()) text += wrap(sun_text(tank), style);
  std::vector<std::string> estimates;
  for (const EstimatedLight& estimate : list_estimates(tank, setup)) {
    estimates.push_back(
        fmt::format("{} at {} (+/- {:.0f} %)", to_safe_text(tank.lights[estimate.light].name),
                    to_safe_text(tank.spots[estimate.spot].name), 100.0 * estimate.log_error));
  }
  if (const std::string guess = guess_words(tank); !guess.empty()) text += wrap(guess, style);
  if (!estimates.empty()) {
    text += wrap("Estimated from the readings around, not read: " + list_words(estimates, "; ") +
                     ". The plan is the slower for it; a reading would be better.",
                 style);
  }
  return text;
}

}  // namespace slowdawn
