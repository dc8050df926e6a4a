// Why a plan is as it is: the caps of a day in numbers, who holds the dial, and
// how the goal suits each group.
#pragma once

#include <slowdawn/ramp/planner.hpp>
#include <vector>

namespace slowdawn {

/// One cap of a group on a day; `Kind` is DailyDose or Ppfd.
template <class Kind>
struct CapLine {
  Cap cap;
  Kind limit;
  /// What the day's setting brings.
  Kind now;
  /// What the next setting toward the goal would bring; empty at the goal.
  std::optional<Kind> next;
  bool broken_now;
  bool broken_next;
  /// The limit as a meter would show it in the light of the next setting, where the
  /// lights that are new to the group make up another part of it.
  Kind next_limit;
};

/// What a move that is still to come would mean on a day.
struct MoveOutlookOfDay {
  /// Where the group is to live.
  std::size_t spot;
  /// What it would get there today.
  Exposure exposure;
  /// What that would break most, with the doubt of the move; empty if nothing.
  std::optional<Breach> breach;
};

/// The arithmetic of a day for a group.
struct Explanation {
  std::size_t setting;
  /// Empty at the goal.
  std::optional<std::size_t> next_setting;
  /// What that would bring the group; empty at the goal.
  std::optional<Exposure> next_exposure;
  /// These, too, as a meter would show them in the day's light.
  GroupState state;
  Exposure exposure;
  Limits limits;
  /// dose_pace, dose_headroom, dose_band, check_in where there is such a limit,
  /// and dose_floor where the next step would lower the dose.
  std::vector<CapLine<DailyDose>> dose_caps;
  /// peak_pace, peak_headroom, peak_ceiling, excitation where it has a cap.
  std::vector<CapLine<Ppfd>> peak_caps;
  /// The cap that the next setting would break most, for this group alone.
  std::optional<Breach> binding;
  /// How many days at the present setting until this group would bear the next
  /// one; empty where it does already, or never will within a plan's length.
  std::optional<std::size_t> days_to_next;
  /// Empty for a group that stays, or has arrived.
  std::optional<MoveOutlookOfDay> move;
};

/// day: a day of the plan. group: number of a group of the problem.
Explanation explain(const RampProblem& problem, const Plan& plan, std::size_t day,
                    std::size_t group);

/// The most dose that a day's limits leave a group: the smallest of pace,
/// headroom, band and, where there is one, its check-ins' limit. Its peak may
/// leave it less.
DailyDose dose_cap(const Limits& limits);

/// The highest excitation proxy of a group in a plan.
struct HighestExcitation {
  /// As excitation_proxy gives it.
  double proxy;
  /// The first day that has it.
  std::size_t day;
};

/// Empty where the group's Ek is not known, or the plan has no day.
std::optional<HighestExcitation> find_highest_excitation(const RampProblem& problem,
                                                         const Plan& plan, std::size_t group);

/// On how many days a group and cap held the dial.
struct Hold {
  std::size_t group;
  Cap cap;
  std::size_t days;
};

/// Longest first; days that only waited for a step day are left out.
std::vector<Hold> summarize_holds(const Plan& plan);

/// The first day after `day` with another setting or a move; on the way of an even
/// ramp the day on which it gets to its end. Empty if there is none.
std::optional<std::size_t> find_next_change(const Plan& plan, std::size_t day);

/// A stretch of the plan that is set once: one setting and no move but on its
/// first day, or an even ramp and the days after it.
struct Step {
  std::size_t first_day;
  std::size_t last_day;
  /// Up to this day the dial goes on evenly from that of the first day; the first
  /// day itself where the dial stands still.
  std::size_t reached_day;

  bool is_even() const { return reached_day > first_day; }
};

/// The plan as stretches. Days of an even plan that each go one setting further
/// along its straight line are one; a move begins a stretch of its own.
std::vector<Step> list_steps(const Plan& plan);

enum class GoalVerdict { too_dim, right, too_bright };

/// How the goal suits a group.
struct GoalFit {
  Exposure goal;
  GoalVerdict verdict;
  /// Goal dose to the end of the band that it lies outside of; 1 within.
  double dose_ratio = 1.0;
  /// Goal peak to the ceiling where it is over it; 1 otherwise.
  double peak_ratio = 1.0;
  /// Goal peak to the peak at the excitation cap where it is over it; 1 otherwise.
  double excitation_ratio = 1.0;
  /// True where the goal is over the class's figures, but not over the light
  /// that the group comes from.
  bool outranked_by_history = false;
};

GoalFit judge_goal(const RampProblem& problem, const RampGroup& group);

/// A group that even the goal is too dim for on the first day.
struct DimStart {
  std::size_t group;
  /// The goal's dose on that day over A(0).
  double share;
  /// 1 - floor.
  double least_share;
};

/// The groups whose floor, cap (3) of caps.hpp, the goal would break on day 0. Only where
/// the lights change: the light of before is then gone on that day, whatever the plan
/// does, while a light that stays is turned down slowly.
std::vector<DimStart> list_dim_starts(const RampProblem& problem);

/// Whether a group should be looked at on a day: every seventh, from day 0 on.
/// source: common practice, no source.
bool is_day_to_look(std::size_t day);

}  // namespace slowdawn
