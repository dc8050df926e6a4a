// Moves as part of the plan: on which day a group is ready for its spot, and
// which spots it stays at on the way.
//
// The dial is shared, the spot is each group's own. So the dial does not wait
// for a group that can wait where it is: the groups that stay decide the dial,
// and each moving group's days are searched under it (find_moves): first the
// fewest days until it has arrived, then the fewest moves. On every day, from
// the first to the last, the group is within its caps; a move to less light is
// also within the floor. What the group is used to counts for less on the day
// of a move, by exp(-1.645 u), u the doubt of the ratio of the two readings.
//
// A group that can neither wait nor go under the dial of the others joins those
// that the dial waits for (plan_moves). A light shaded by a mesh is a spot like
// any other, and taking the mesh off is a move.
#pragma once

#include <optional>
#include <slowdawn/ramp/walk.hpp>
#include <vector>

namespace slowdawn {

/// The u of the ratio of two spots' readings, which are of one meter.
double move_doubt(const RampProblem& problem, std::size_t from, std::size_t to);

/// A group's state on the day that it is moved: what it is used to counts for
/// less by exp(-1.645 doubt), a doubt under 0 being none, and its pace is that of
/// moves. The allowance itself is not doubted: it says how far the light has been
/// let rise, not what the group is used to.
GroupState after_move(const GroupState& state, double doubt);

/// How many times the light of where it is one move may bring a group that has
/// got used to it: 1 + headroom, less the doubt.
double reach_of_move(const RampProblem& problem, const RampGroup& group, std::size_t to);

/// A group after a move: at the spot, its wish fulfilled if it is the one it is
/// to live at, else to stay for a while.
RampGroup moved(const RampGroup& group, std::size_t spot, std::size_t day);

/// The effective dose at the brightest stop of a wish, its end included, that is brighter
/// than a spot under a setting, and likewise the peak; 0 where there is none.
Exposure brightest_stop(const RampProblem& problem, const RampGroup& group, std::size_t spot,
                        const MoveWish& wish, std::size_t setting);

/// What is known of a moving group's days to come.
struct MoveOutlook {
  const RampProblem& problem;
  std::size_t group;
  /// With its wish, at the spot where it is.
  RampGroup now;
  /// Before the light of `day`.
  GroupState state;
  std::size_t day;
  /// The setting of every day from `day` on; the last one stays.
  std::vector<std::size_t> settings;
  /// The setting of the day before; empty on the opening day, which has none.
  std::optional<std::size_t> setting_before;
};

/// What a search found.
struct MoveSearch {
  /// Empty where no day up to the last of a plan is the right one.
  std::optional<std::vector<Move>> moves;
  /// Whether the group is within its caps on every day if it stays where it is.
  bool can_stay;
};

/// Exact over all days and all choices of spots on the way: no schedule arrives
/// earlier, and none that arrives on the same day has fewer moves. A label that
/// is nowhere ahead of another is dropped, which is safe because more light
/// earlier only raises every later cap; where a floor might bind on the way, only
/// labels that are alike to 1e-9 are. So is a label that nothing will change any
/// more.
MoveSearch find_moves(const MoveOutlook& outlook);

/// The moves to come of all groups with a wish, and which groups the dial waits
/// for. walk: before the light of `day`, not yet open on day 0.
/// Each round: the dial of those that it waits for; every moving group searched
/// under it. One that can neither go nor stay joins, and the rounds begin anew;
/// of groups that have joined the earliest move is made for certain, and the
/// dial planned again from there.
MovePlan plan_moves(const RampWalk& walk, std::size_t day);

}  // namespace slowdawn
