// From a tank to what the planner plans.
#pragma once

#include <slowdawn/ramp/even_ramp.hpp>
#include <slowdawn/ramp/planner.hpp>
#include <slowdawn/tank/group_start.hpp>
#include <slowdawn/tank/tank.hpp>

namespace slowdawn {

/// Where a group may live: a spot of the tank, under a mesh or not.
struct Seat {
  std::size_t spot;
  /// The share of light that a mesh lets through; 1 without one.
  double transmission = 1.0;
  bool operator==(const Seat&) const = default;
};

struct RampSetup {
  RampProblem problem;
  /// The tank's lights that the dials of a setting belong to, in order.
  std::vector<std::size_t> path_lights;
  /// The seats that the exposures are of: number `RampGroup::spot` of this list
  /// is where a group lives.
  std::vector<Seat> seats;
  /// By group.
  std::vector<GroupStart> starts;
  /// By weighting of the problem, from number 1 on.
  std::vector<LightWeights> weightings;
  /// The line in the problem's path, where the ramp is even.
  std::optional<EvenLine> even = {};

  /// Its number; empty where the exposures are not of it.
  std::optional<std::size_t> find_seat(const Seat& seat) const;
};

/// Everything the planner needs, worked out from a tank that was read.
/// more_seats: where groups may come to besides what the tank file says.
/// known_weights: by group, those of groups that go on from an earlier plan; empty for
///   the others.
RampSetup make_ramp_setup(const Tank& tank, std::span<const Seat> more_seats = {},
                          std::span<const LightWeights> known_weights = {});

/// What dials, by light of the tank, bring to a seat: as a meter shows it, and as
/// the caps see it.
Exposure measured_exposure(const Tank& tank, const Seat& seat,
                           const std::map<std::size_t, Percent>& dials);
GroupLight group_light(const Tank& tank, const Seat& seat, const LightWeights& weights,
                       const std::map<std::size_t, Percent>& dials);

/// The lights of a setup's path, for paths by other steps.
std::vector<PathLight> list_path_lights(const Tank& tank);

/// What any setting of the lights of a ramp's goal brings to the columns of its tables:
/// to every seat as usable light, then to seats as it counts by weightings.
class ColumnLight {
 public:
  ColumnLight(const Tank& tank, const RampSetup& setup);
  /// One for each column. setting: one dial for each of the path's lights.
  std::vector<Exposure> under(const Setting& setting) const;

 private:
  std::vector<LightCourse> courses_;
  /// By column and light of the path.
  std::vector<std::vector<Ppfd>> full_outputs_;
};

/// What stands for the upper end of a band and for a ceiling, in the unit of either,
/// where light is relative and has neither: no reading comes near it.
inline constexpr double no_limit = 1e12;

}  // namespace slowdawn
