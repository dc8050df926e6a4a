// Placement: which spot for which group.
//
// A group is right at a spot if its dose lies within the group's band and its
// peak under the group's ceiling. Its own history outranks its class (equation
// (2) of caps.hpp): the band ends at max(band high, D0), the ceiling is
// max(peak ceiling, P0).
//
//   misfit = ln(low / dose) below the band,  ln(dose / high) above it,  0 within
//
// A spot may not be given where the dose is over the band, the peak over the
// ceiling, or the dose 0; dimmer than the band it may. A group that already
// lives where it may not be leaves if there is any place for it, else it stays.
// All groups are placed at once: first the fewest that are left where they may
// not be, then the least sum of misfits and of the price of each move.
//
// This judges the spots at a setting of the dials, not the way there: whether a
// group bears its move, and when, is for moves.hpp.
#pragma once

#include <cmath>
#include <cstddef>
#include <slowdawn/coral/profile.hpp>
#include <slowdawn/ramp/planner.hpp>
#include <span>
#include <vector>

namespace slowdawn {

/// A group as far as its place is concerned.
struct PlacementGroup {
  /// Number of the spot that it lives at.
  std::size_t spot;
  /// D0 and P0.
  Exposure before;
  /// Band and ceiling count, nothing else.
  Tolerance tolerance;
  /// It stays where it is, right or wrong, and takes up room there.
  bool is_fixed = false;
};

/// ln(1.25): a move must bring the dose 25 % nearer to the band, so that nothing
/// is moved for a trifle.
/// source: design choice, about twice what readings alone may feign: at a
///   repeatability of 5 % two of one light differ by up to 12 % (CALC: one-sided
///   95 %, exp(1.645 sqrt(2) 0.05) = 1.12).
inline const double default_move_price = std::log(1.25);

struct PlacementProblem {
  std::size_t spots;
  ExposureTable exposures;
  std::vector<PlacementGroup> groups;
  /// By spot: how many groups it takes; none are one each. A spot that holds
  /// more than that may go on holding as many, and one of 0 takes none that does
  /// not live there already.
  std::vector<std::size_t> capacity = {};
  /// In units of misfit, >= 0. Even at 0 nothing is moved for nothing.
  double move_price = default_move_price;
};

enum class PlaceFit { below_band, within_band, above_band, over_ceiling };

/// How a spot suits a group.
struct PlaceVerdict {
  /// Of dose and peak the one that is further over; a peak over the ceiling
  /// comes before a dose below the band.
  PlaceFit fit = PlaceFit::within_band;
  /// As above; ln(peak / ceiling) where that is the greater one. At most ln(1e6),
  /// which is also that of the dark.
  double misfit = 0.0;
  bool is_permitted = true;

  bool is_right() const { return fit == PlaceFit::within_band; }
};

/// Comparisons allow the usual slack.
PlaceVerdict judge_place(const PlacementGroup& group, const Exposure& exposure);

/// Where a group is placed.
struct PlacedGroup {
  std::size_t spot;
  PlaceVerdict verdict;
  bool is_move;
};

/// A spot for every group, under one setting. Lists are in the order of groups.
struct Placement {
  std::size_t setting;
  /// One for each group.
  std::vector<PlacedGroup> places = {};
  /// How many groups are right.
  std::size_t within = 0;
  /// How many are left where they may not be.
  std::size_t breaks = 0;
  std::size_t moves = 0;
  /// The sum of misfits, without the price of moves.
  double misfit = 0.0;
  /// Groups that are not right where they are placed.
  std::vector<std::size_t> badly_placed = {};
  /// Groups that no spot would be right for under this setting, were they alone.
  std::vector<std::size_t> no_spot = {};
};

/// The placement under one setting, at the least sum of misfits and prices.
/// Throws std::invalid_argument where a group lives at no spot of the problem,
///   the capacities are not one for each spot, or the price is not a number >= 0.
/// accuracy: optimal but for rounding (assignment.hpp). Of equal placements the
///   order of groups and spots alone decides which one is found.
Placement place_groups(const PlacementProblem& problem, std::size_t setting);

/// The best of the placements under several settings: most groups right, then
/// fewest left where they may not be, then fewest moves, then the least misfit,
/// then the first in the order given.
/// settings: one or more (std::invalid_argument).
/// source: design choice.
Placement place_over_settings(const PlacementProblem& problem,
                              std::span<const std::size_t> settings);

/// The groups that no spot is right for under any of these settings, were they
/// alone.
std::vector<std::size_t> groups_without_a_spot(const PlacementProblem& problem,
                                               std::span<const std::size_t> settings);

}  // namespace slowdawn
