// What the next setting toward the goal would break on a day: every cap of every
// group, and what each would take to allow it.
//
//   pace, headroom   rise to the next setting while the present one stands, as long as
//                    that is at most (1+h) times the present one
//   floor            falls to (1-floor) times the present dose
//   check-ins        are lifted by good looks alone
//   band, ceiling, excitation stay as they are
#pragma once

#include <slowdawn/ramp/planner.hpp>
#include <vector>

namespace slowdawn {

/// What makes a broken cap allow the next setting.
enum class Healing { time, good_looks, never };

struct BrokenCap {
  std::size_t group;
  Cap cap;
  /// What the next setting would bring, and the limit, in the cap's own unit: mol
  /// m-2 d-1, or umol m-2 s-1 for caps of the peak.
  double value;
  double limit;
  Healing heals;

  /// How far it is broken: value to limit, for the floor limit to value.
  double ratio() const { return cap == Cap::dose_floor ? limit / value : value / limit; }
};

/// Every cap of a group that the next setting would break on a day, in the order of
/// Cap; empty at the goal.
std::vector<BrokenCap> list_breaks(const RampProblem& problem, const Plan& plan, std::size_t day,
                                   std::size_t group);

/// The same of all groups that the dial waits for, in their order. A group that is
/// still to move counts only where it is the one that holds the dial.
std::vector<BrokenCap> list_breaks(const RampProblem& problem, const Plan& plan, std::size_t day);

/// Of several broken caps of one group the one that is broken most; ties go to the
/// first. breaks: at least one.
const BrokenCap& worst_of(const std::vector<BrokenCap>& breaks);

}  // namespace slowdawn
