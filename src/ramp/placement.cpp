#include <algorithm>
#include <slowdawn/ramp/assignment.hpp>
#include <slowdawn/ramp/placement.hpp>
#include <stdexcept>
#include <utility>

#include "ramp/spread.hpp"

namespace slowdawn {
namespace {

/// A misfit is no more than this, so that the dark can be weighed as well.
const double greatest_misfit = std::log(1e6);

/// What a move costs at the least; far under any difference of light.
constexpr double least_move_price = 1e-9;

double log_ratio(double ratio) { return std::min(std::log(ratio), greatest_misfit); }

/// Whether a spot takes a group that does not live there.
bool takes_newcomers(const PlacementProblem& problem, std::size_t spot) {
  return problem.capacity.empty() || problem.capacity[spot] > 0;
}

/// By spot: the room for groups that are not fixed. Nobody is thrown out: a spot
/// has room for as many groups as live there now.
std::vector<std::size_t> room_for_movers(const PlacementProblem& problem) {
  std::vector<std::size_t> now(problem.spots, 0);
  std::vector<std::size_t> fixed(problem.spots, 0);
  for (const PlacementGroup& group : problem.groups) {
    ++now[group.spot];
    if (group.is_fixed) ++fixed[group.spot];
  }
  std::vector<std::size_t> room(problem.spots, 1);
  if (!problem.capacity.empty()) room = problem.capacity;
  for (std::size_t spot = 0; spot < problem.spots; ++spot) {
    room[spot] = std::max(room[spot], now[spot]) - fixed[spot];
  }
  return room;
}

PairCost cost_of(const PlacementProblem& problem, const PlacementGroup& group, std::size_t setting,
                 std::size_t spot) {
  const PlaceVerdict verdict = judge_place(group, problem.exposures.at(setting, spot));
  if (spot == group.spot) return {verdict.is_permitted ? 0 : 1, verdict.misfit};
  if (!verdict.is_permitted || !takes_newcomers(problem, spot)) return no_pair;
  return {0, verdict.misfit + std::max(problem.move_price, least_move_price)};
}

/// The spot of every group.
std::vector<std::size_t> choose_spots(const PlacementProblem& problem, std::size_t setting) {
  std::vector<std::size_t> chosen;
  std::vector<std::size_t> movers;
  for (std::size_t g = 0; g < problem.groups.size(); ++g) {
    chosen.push_back(problem.groups[g].spot);
    if (!problem.groups[g].is_fixed) movers.push_back(g);
  }
  AssignmentProblem assignment{movers.size(), problem.spots, {}, room_for_movers(problem)};
  assignment.costs.reserve(movers.size() * problem.spots);
  for (const std::size_t g : movers) {
    for (std::size_t spot = 0; spot < problem.spots; ++spot) {
      assignment.costs.push_back(cost_of(problem, problem.groups[g], setting, spot));
    }
  }
  const auto columns = assign_columns(assignment);
  // All could stay at once, so each has found a spot.
  for (std::size_t i = 0; i < movers.size(); ++i) chosen[movers[i]] = columns[i].value();
  return chosen;
}

bool has_a_spot(const PlacementProblem& problem, const PlacementGroup& group, std::size_t setting) {
  for (std::size_t spot = 0; spot < problem.spots; ++spot) {
    if (spot != group.spot && !takes_newcomers(problem, spot)) continue;
    if (judge_place(group, problem.exposures.at(setting, spot)).is_right()) return true;
  }
  return false;
}

bool is_better(const Placement& a, const Placement& b) {
  if (a.within != b.within) return a.within > b.within;
  if (a.breaks != b.breaks) return a.breaks < b.breaks;
  if (a.moves != b.moves) return a.moves < b.moves;
  return a.misfit < b.misfit - relative_slack;
}

void demand(bool holds, const char* what) {
  if (!holds) throw std::invalid_argument(what);
}

void check(const PlacementProblem& problem) {
  for (const PlacementGroup& group : problem.groups) {
    demand(group.spot < problem.spots, "a group must live at a spot");
  }
  demand(problem.capacity.empty() || problem.capacity.size() == problem.spots,
         "the capacity of each spot is needed");
  demand(problem.move_price >= 0.0 && std::isfinite(problem.move_price),
         "the price of a move must be a number of 0 or more");
}

}  // namespace

PlaceVerdict judge_place(const PlacementGroup& group, const Exposure& exposure) {
  const DoseBand& band = group.tolerance.dose_band;
  const DoseBand own_band{band.low, std::max(band.high, group.before.dose)};
  const Ppfd own_ceiling = std::max(lowest_ceiling(group.tolerance), group.before.peak);
  if (exposure.dose.mol_m2_d() <= 0.0) return {PlaceFit::below_band, greatest_misfit, false};

  PlaceVerdict verdict;
  switch (compute_fit(exposure.dose, own_band)) {
    case BandFit::below_band:
      verdict = {PlaceFit::below_band, log_ratio(own_band.low / exposure.dose), true};
      break;
    case BandFit::within_band: break;
    case BandFit::above_band:
      verdict = {PlaceFit::above_band, log_ratio(exposure.dose / own_band.high), false};
      break;
  }
  if (!exceeds(exposure.peak, own_ceiling)) return verdict;
  const double over = log_ratio(exposure.peak / own_ceiling);
  if (verdict.fit != PlaceFit::above_band || over > verdict.misfit) {
    verdict.fit = PlaceFit::over_ceiling;
  }
  return {verdict.fit, std::max(verdict.misfit, over), false};
}

Placement place_groups(const PlacementProblem& problem, std::size_t setting) {
  check(problem);
  Placement placement{.setting = setting};
  const std::vector<std::size_t> spots = choose_spots(problem, setting);
  for (std::size_t g = 0; g < problem.groups.size(); ++g) {
    const PlacementGroup& group = problem.groups[g];
    const PlaceVerdict verdict = judge_place(group, problem.exposures.at(setting, spots[g]));
    placement.places.push_back({spots[g], verdict, spots[g] != group.spot});
    placement.misfit += verdict.misfit;
    if (spots[g] != group.spot) ++placement.moves;
    if (!verdict.is_permitted) ++placement.breaks;
    if (verdict.is_right()) {
      ++placement.within;
    } else {
      placement.badly_placed.push_back(g);
    }
  }
  placement.no_spot = groups_without_a_spot(problem, {&setting, 1});
  return placement;
}

Placement place_over_settings(const PlacementProblem& problem,
                              std::span<const std::size_t> settings) {
  demand(!settings.empty(), "a setting is needed");
  std::vector<Placement> placements(settings.size());
  for_each_item(
      settings.size(), [&](std::size_t i) { placements[i] = place_groups(problem, settings[i]); },
      1);
  // Of equals, within their slack, the first.
  std::size_t best = 0;
  for (std::size_t i = 1; i < placements.size(); ++i) {
    if (is_better(placements[i], placements[best])) best = i;
  }
  return std::move(placements[best]);
}

std::vector<std::size_t> groups_without_a_spot(const PlacementProblem& problem,
                                               std::span<const std::size_t> settings) {
  check(problem);
  std::vector<std::size_t> without;
  for (std::size_t g = 0; g < problem.groups.size(); ++g) {
    const auto is_right_somewhere = [&](std::size_t setting) {
      return has_a_spot(problem, problem.groups[g], setting);
    };
    if (std::none_of(settings.begin(), settings.end(), is_right_somewhere)) without.push_back(g);
  }
  return without;
}

}  // namespace slowdawn
