// What would help: the one change that brings a plan to its goal soonest.
#pragma once

#include <optional>
#include <slowdawn/ramp/planner.hpp>
#include <span>
#include <vector>

namespace slowdawn {

/// One change to a ramp, and what it gains.
struct Advice {
  enum class Kind {
    /// The group waits at another spot from the first day on.
    other_spot,
    /// The dial is turned every day.
    daily_steps,
  };
  Kind kind;
  std::size_t group = 0;
  /// Where it waits; for other_spot.
  std::size_t spot = 0;
  /// The day on which it comes back; empty where it stays for good.
  std::optional<std::size_t> until = {};
  std::size_t goal_day = 0;
  /// Against the plan as it is; empty where that never reaches its goal.
  std::optional<std::size_t> days_sooner = {};
};

/// A change that gains less is not worth its trouble (design choice).
inline constexpr std::size_t days_worth_advice = 3;

/// The change that gains most days; of equals the one with the least handling:
/// daily steps, then a spot. Tried are the groups that hold the plan
/// up longest, at every spot of the problem that is dimmer for them at the goal; of
/// hundreds of spots and thousands of groups some, from the dimmest to the brightest.
/// may_move: by group. capacity: how many groups have room, by the number of
///   SpotReadings::spot; without it there is room for all. A spot is tried only where
///   there is room all the while that the group would wait there.
/// Empty where nothing gains at least `days_worth_advice`.
std::optional<Advice> find_advice(const RampProblem& problem, const Plan& plan,
                                  const std::vector<bool>& may_move,
                                  std::span<const int> capacity = {});

}  // namespace slowdawn
