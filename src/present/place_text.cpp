#include <fmt/format.h>

#include <slowdawn/present/history_phrases.hpp>
#include <slowdawn/present/phrases.hpp>
#include <slowdawn/present/present.hpp>
#include <slowdawn/present/seat_phrases.hpp>

#include "present/json_parts.hpp"

namespace slowdawn {
namespace {

std::map<std::size_t, Percent> dials_of(const PlacementSetup& setup, std::size_t setting) {
  std::map<std::size_t, Percent> dials;
  for (std::size_t j = 0; j < setup.lights.size(); ++j) {
    dials[setup.lights[j]] = setup.settings[setting][j];
  }
  return dials;
}

std::string fit_word(PlaceFit fit) {
  switch (fit) {
    case PlaceFit::below_band: return "too dim";
    case PlaceFit::within_band: return "right";
    case PlaceFit::above_band:
    case PlaceFit::over_ceiling: return "too bright";
  }
  return "";
}

const std::string& spot_name(const Tank& tank, const PlacementSetup& setup, std::size_t spot) {
  return tank.spots[setup.spots[spot]].name;
}

/// A spot's name for a cell of a table that must fit the width.
std::string spot_cell(const Tank& tank, const PlacementSetup& setup, std::size_t spot) {
  constexpr std::size_t widest = 14;
  const std::string name = to_safe_text(spot_name(tank, setup, spot));
  return display_width(name) > widest ? fit_left(name, widest) : name;
}

/// All groups, or of many those that are to move, and those that are not right.
std::vector<std::size_t> groups_to_show(const Placement& placement) {
  // A misfit of a factor of e; which of the two comes first is a design choice.
  constexpr double as_much_as_a_move = 1.0;
  std::vector<double> importance;
  for (const PlacedGroup& placed : placement.places) {
    const double moved = placed.is_move ? as_much_as_a_move : 0.0;
    importance.push_back(std::max(moved, placed.verdict.misfit));
  }
  return rows_to_show(importance);
}

std::string table_of(const Tank& tank, const PlacementSetup& setup, const Placement& placement,
                     const TextStyle& style) {
  using Align = TextTable::Align;
  TextTable table{{{"group", Align::left},
                   {"now at", Align::left},
                   {"to", Align::left},
                   {"dose", Align::right},
                   {"peak", Align::right},
                   {"band", Align::right},
                   {"ceiling", Align::right},
                   {"that is", Align::left}}};
  for (const std::size_t g : groups_to_show(placement)) {
    const PlacedGroup& placed = placement.places[g];
    const Exposure& there = setup.problem.exposures.at(placement.setting, placed.spot);
    const PlacementGroup& group = setup.problem.groups[g];
    const Exposure measured = tank.has_weights() ? tank.exposure(setup.spots[placed.spot],
                                                                 dials_of(setup, placement.setting))
                                                 : there;
    table.add({to_safe_text(tank.groups[g].name), spot_cell(tank, setup, group.spot),
               placed.is_move   ? spot_cell(tank, setup, placed.spot)
               : group.is_fixed ? "(fixed)"
                                : "(stays)",
               to_text(measured.dose), to_text(measured.peak), band_cell(tank, group.tolerance),
               ceiling_cell(tank, group.tolerance), fit_word(placed.verdict.fit)});
  }
  if (tank.groups.size() <= most_rows) return table.to_text(style);
  return table.to_text(style) +
         wrap(fmt::format(
                  "Groups that are to move or sit wrong stand here before others; {} more stand in "
                  "slowdawn place --json.",
                  tank.groups.size() - most_rows),
              style);
}

std::string moves_phrase(std::size_t moves) {
  if (moves == 0) return "with no move";
  return moves == 1 ? "with one move" : fmt::format("with {} moves", moves);
}

std::string names_of(const Tank& tank, const std::vector<std::size_t>& groups) {
  std::vector<std::string> names;
  for (const std::size_t g : groups) names.push_back(to_safe_text(tank.groups[g].name));
  return list_words(names);
}

Json placement_json(const Tank& tank, const PlacementSetup& setup, const Placement& placement) {
  Json assignment = Json::object();
  Json moves = Json::array();
  for (std::size_t g = 0; g < tank.groups.size(); ++g) {
    const PlacedGroup& placed = placement.places[g];
    assignment[tank.groups[g].name] = spot_name(tank, setup, placed.spot);
    if (!placed.is_move) continue;
    moves.push_back({{"group", tank.groups[g].name},
                     {"from", spot_name(tank, setup, setup.problem.groups[g].spot)},
                     {"to", spot_name(tank, setup, placed.spot)}});
  }
  Json no_spot = Json::array();
  for (const std::size_t g : placement.no_spot) no_spot.push_back(tank.groups[g].name);
  return {{"dials", dials_json(tank, dials_of(setup, placement.setting))},
          {"assignment", std::move(assignment)},
          {"moves", std::move(moves)},
          {"no_spot", std::move(no_spot)},
          {"within_band", placement.within},
          {"misfit", placement.misfit}};
}

}  // namespace

std::string place_text(const Tank& tank, const PlacementSetup& setup, const PlaceView& view,
                       const TextStyle& style) {
  const Placement& at_goal = view.at_goal;
  const std::size_t groups = tank.groups.size();
  std::string text = emphasise(
      wrap(fmt::format("{}: at the goal, {}, {} of {} groups can sit right, {}.",
                       to_safe_text(tank.name), dials_text(tank, dials_of(setup, setup.goal)),
                       at_goal.within, groups, moves_phrase(at_goal.moves)),
           style),
      style);
  text += "\n" + wrap(units_text(tank) + ", at the goal", style) + "\n" +
          table_of(tank, setup, at_goal, style) + "\n";
  const Placement& best = view.over_dials;
  const std::string best_dials = dials_text(tank, dials_of(setup, best.setting));
  if (best.setting == setup.goal) {
    text +=
        wrap("No other setting of the dial lets more groups sit right with fewer moves.", style);
  } else {
    text += wrap(fmt::format("Over the dial: {} lets {} of {} sit right, {}.", best_dials,
                             best.within, groups, moves_phrase(best.moves)),
                 style) +
            "\n" + table_of(tank, setup, best, style);
  }
  if (!at_goal.no_spot.empty()) {
    text += "\n" + wrap("At the goal no spot that was read is right for: " +
                            names_of(tank, at_goal.no_spot) + ".",
                        style);
  }
  if (!view.never.empty()) {
    text += wrap("At no setting is any spot of this tank right for: " + names_of(tank, view.never) +
                     ". Another tank, a shade, or another light for them.",
                 style);
  }
  text += "\n" + wrap(
                     "Whether a group bears its move, and on which day, is for the plan: give it "
                     "\"to_spot\" and \"when\": \"ready\".",
                     style);
  if (const std::string guess = guess_words(tank); !guess.empty()) text += wrap(guess, style);
  if (tank.has_weights()) text += wrap(weights_text(tank), style);
  std::vector<std::string> estimated;
  for (const std::size_t spot : setup.spots) {
    if (!tank.is_estimated(spot, tank.ramp.to)) continue;
    estimated.push_back(to_safe_text(tank.spots[spot].name));
  }
  if (estimated.empty()) return text;
  return text + wrap("Estimated, not read: " + list_words(estimated) + ".", style);
}

std::string place_json(const Tank& tank, const PlacementSetup& setup, const PlaceView& view) {
  Json json = placement_json(tank, setup, view.at_goal);
  json["over_dials"] = placement_json(tank, setup, view.over_dials);
  Json never = Json::array();
  for (const std::size_t g : view.never) never.push_back(tank.groups[g].name);
  json["no_spot_at_any_dial"] = std::move(never);
  Json estimated = Json::array();
  for (const std::size_t spot : setup.spots) {
    if (tank.is_estimated(spot, tank.ramp.to)) estimated.push_back(tank.spots[spot].name);
  }
  if (!estimated.empty()) json["estimated"] = std::move(estimated);
  add_guesses(json, tank);
  add_channels(tank, json);
  return print(json);
}

}  // namespace slowdawn
