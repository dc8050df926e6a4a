// A schedule that somebody proposes, held against the caps: which day and group
// breaks which cap, by how much, and the nearest schedule that breaks none.
//
// The days are judged as they would be lived through: what a group is used to, and
// how far its pace lets it, follows from the schedule's own earlier days, those
// that break a cap included. Groups that are to move when ready move under it as
// under any dial (moves.hpp).
#pragma once

#include <optional>
#include <slowdawn/ramp/even_ramp.hpp>
#include <vector>

namespace slowdawn {

/// Where a schedule begins.
struct ScheduleStart {
  /// The day of the plan that is the schedule's first.
  std::size_t day = 0;
  /// One for each group, before that day's light.
  std::vector<RampGroup> groups;
  std::vector<GroupState> states;
  /// The dials of the day before; empty where the light is new.
  std::optional<Setting> before;
};

/// The first day of a problem.
ScheduleStart schedule_start(const RampProblem& problem);

/// A cap and how much of it a group gets on a day.
struct CapUse {
  /// Of the schedule, its first day is 0.
  std::size_t day;
  std::size_t group;
  Cap cap;
  /// Bare numbers, mol m-2 d-1 or umol m-2 s-1, since the cap says which.
  double value;
  double limit;
};

struct ScheduleVerdict {
  /// For every day and group the cap that it breaks most, in their order. A day
  /// that is darker than the floor does not break it where the light of the day
  /// before would have been more than some group bears.
  std::vector<CapUse> breaks;
  /// Of the caps that are kept, the one that is used most.
  std::optional<CapUse> closest;
  /// Days of the schedule.
  std::vector<Move> moves;
  /// By day: as near to the schedule as the caps allow, from the day before toward
  /// what the day was to be, by what can be dialled. It goes on after the schedule's
  /// last day until it has come to its last dials, or for a plan's days.
  std::vector<Setting> nearest;
  /// False where even the dimmest dial is more than a group bears on some day.
  bool nearest_is_safe = true;
};

/// problem: with the path that can be dialled.
/// days: the dials of every day, one or more.
/// ranges: what can be dialled, one for each light of the path.
ScheduleVerdict judge_schedule(const RampProblem& problem, const ScheduleStart& start,
                               const std::vector<Setting>& days,
                               const std::vector<DialRange>& ranges, const ExposeSetting& expose);

/// The fewest days, more than those of a line, over which the same line breaks no
/// cap; empty where there are none within a plan's days.
std::optional<std::size_t> find_slower_line(const RampProblem& problem, const ScheduleStart& start,
                                            const EvenLine& line, const ExposeSetting& expose);

}  // namespace slowdawn
