// The caps: how much light a group may get on a day, before the lights come on.
//
//   D, P    dose and peak, as a meter shows them
//   E, Q    effective dose and peak: each light times its weight W for the group
//   A, B    acclimated E and Q             L, M   pace allowance of E and Q
//   h       headroom                       w      weekly rise
//
//   E <= min( max(L, A), (1+h) A )         Q <= min( max(M, B), (1+h) B )     (1)
//   D <= max(band high, D0)                P <= max(peak ceiling, P0)         (2)
//   P <= max(Ek x, P0), Q(x) = the excitation cap of coral/excitation.hpp     (2a)
//   a step may not lower E under (1 - floor) A                                (3)
//   after a day with E: L = min( L (1+w)^(1/7), max( (1+w) E, Enext ) )       (4)
//
// A light that a group has not had yet may be stronger to it than a meter shows, and so
// counts for more than one that it has had (tank/group_start.hpp says how much).
// Weights are such that the heaviest of the first plan is 1: where all light is new, or
// all had, effective amounts are those that a meter shows.
//
// Enext is the group's E at the next brighter setting, so that a coarse dial
// is never stuck. M runs likewise with peaks. A group that is to move has a
// second pair of allowances, for its moves alone: Enext is there also the dose at
// the brightest stop on its way, as stops are coarser than dials; what one move
// may bring is then for the headroom to say. All of it is a cautious
// design choice and no proven limit (README.md, "What each number rests on").
#pragma once

#include <algorithm>
#include <optional>
#include <slowdawn/coral/acclimation.hpp>
#include <slowdawn/coral/profile.hpp>
#include <string>
#include <vector>

namespace slowdawn {

/// In the order in which ties are named.
enum class Cap {
  dose_pace,
  dose_headroom,
  peak_pace,
  peak_headroom,
  dose_band,
  peak_ceiling,
  dose_floor,
  check_in,
  excitation,
};

/// Whether a cap is one of the peak; the others are of the dose.
bool is_of_peak(Cap cap);

/// Whether a cap is a limit that no day's light moves: band, ceiling, excitation
/// and what check-ins allow.
bool is_limit_that_stays(Cap cap);

/// The light of a group: as a meter shows it, and as it counts for the group.
struct GroupLight {
  Exposure real;
  Exposure effective;

  GroupLight() = default;
  // Implicit: most light is no other to a group than it is to a meter.
  GroupLight(const Exposure& both) : real(both), effective(both) {}
  GroupLight(const Exposure& its_real, const Exposure& its_effective)
      : real(its_real), effective(its_effective) {}

  /// What a meter shows where an effective amount is met in light of this mix.
  DailyDose shown(DailyDose amount) const { return scale(amount, real.dose, effective.dose); }
  Ppfd shown(Ppfd amount) const { return scale(amount, real.peak, effective.peak); }
  Exposure shown(const Exposure& amount) const { return {shown(amount.dose), shown(amount.peak)}; }
  Acclimation shown(const Acclimation& amount) const {
    return {shown(amount.dose), shown(amount.peak)};
  }
  /// What counts of an amount that a meter shows in light of this mix.
  DailyDose counted(DailyDose amount) const { return scale(amount, effective.dose, real.dose); }
  Ppfd counted(Ppfd amount) const { return scale(amount, effective.peak, real.peak); }
  bool operator==(const GroupLight&) const = default;

 private:
  template <class Kind>
  static Kind scale(Kind amount, Kind to, Kind from) {
    if (to == from || !(from > Kind{})) return amount;
    return (to / from) * amount;
  }
};

/// A move that a group is still to make, on the day that it is ready for it.
struct MoveWish {
  /// Where it is to live in the end.
  std::size_t to;
  /// Spots that it may stay at on the way, any of them, from front to back.
  std::vector<std::size_t> via = {};
  /// The first of them that is still before it.
  std::size_t next_via = 0;
  std::size_t min_stay_days = 7;
  /// It stays where it is until this day at least.
  std::size_t not_before = 0;
  bool operator==(const MoveWish&) const = default;
};

/// A group as the planner sees it.
struct RampGroup {
  std::string name;
  /// Number of the spot that it lives at.
  std::size_t spot;
  /// D0 and P0: its own history, which outranks its class. Where a plan goes on from
  /// an earlier one they may be more than what it had at first.
  Exposure before;
  /// A(0) and B(0), as all effective amounts by its weighting.
  Acclimation used_to;
  /// With the pace already in it.
  Tolerance tolerance;
  /// No more effective dose than this, after a check-in that asks for patience.
  std::optional<DailyDose> check_in_limit = {};
  /// Empty where it stays.
  std::optional<MoveWish> wish = {};
  /// The u of equation (2) of acclimation that is in `used_to` already.
  double doubt = 0.0;
  /// Which weights the lights have for it (RampProblem::weightings); 0 if all have 1.
  std::size_t weighting = 0;
  /// No step raises its dose or peak: it showed a sign, or nobody looked.
  bool holds = false;
  /// It has died or was given away: nothing waits for it, and no cap of it counts.
  bool is_gone = false;
  /// L(0) and M(0), where a plan goes on from an earlier one; else A(0) and B(0).
  std::optional<Exposure> allowance = {};
  /// What its shares are of, where that is not D0: what it had before all plans.
  std::optional<DailyDose> first_dose = {};
  bool operator==(const RampGroup&) const = default;
};

/// What a group carries from day to day.
struct GroupState {
  /// A and B.
  Acclimation used_to;
  /// L and M.
  Exposure allowance;
  /// The same for moves; where it is less it does not count.
  Exposure move_allowance = {};
};

GroupState state_at_start(const RampGroup& group);

/// What equation (4) and the acclimation need of a tolerance, worked out once.
struct DailyRates {
  // Implicit: a tolerance will do where the speed does not matter.
  DailyRates(const Tolerance& tolerance);
  AdaptationRates adaptation;
  /// 1 + w, and its seventh root.
  double week;
  double day;
};

/// Acclimation equation (1) and equation (4) over one day.
/// day: what the group got, as it counts. next: what the next brighter setting would
///   bring it, or `day` at the path's end.
GroupState after_day(const GroupState& state, const Exposure& day, const Exposure& next,
                     const DailyRates& rates);

/// The same for a group that is to move.
/// stop: what the brightest stop on its way would bring it, 0 if none is brighter.
GroupState after_day(const GroupState& state, const Exposure& day, const Exposure& next,
                     const Exposure& stop, const DailyRates& rates);

/// Every cap of a group on a day, as an amount: those of equations (1) and (3) and what
/// a check-in allows as effective ones, the others as a meter shows them.
struct Limits {
  DailyDose dose_pace;
  DailyDose dose_headroom;
  Ppfd peak_pace;
  Ppfd peak_headroom;
  DailyDose dose_band;
  Ppfd peak_ceiling;
  /// A lower limit, for steps that lower the dose.
  DailyDose dose_floor;
  /// Empty where no check-in asks for patience.
  std::optional<DailyDose> check_in = {};
  /// Of the peak; empty where its excitation has no cap.
  std::optional<Ppfd> excitation = {};
  /// As in the group: for steps that raise the light.
  bool holds = false;
};

Limits compute_limits(const RampGroup& group, const GroupState& state);

/// What the caps of a group need that no day changes, and where it lives: narrow,
/// so that those of ten thousand groups stay near the processor.
class DailyCaps {
 public:
  /// column: where the light of its spot stands as it counts for the group.
  DailyCaps(const RampGroup& group, std::size_t column);

  std::size_t spot() const { return spot_; }
  std::size_t column() const { return column_; }
  bool has_wish() const { return has_wish_; }
  /// Whether `worst_breach` would find a breach.
  /// present: the effective light that a step would leave, or null.
  bool are_broken(const GroupState& state, const Exposure& real, const Exposure& effective,
                  const Exposure* present) const {
    if (exceeds(real.dose, highest_dose_) || exceeds(real.peak, highest_peak_)) return true;
    const DailyDose dose = std::min({std::max(state.allowance.dose, state.used_to.dose),
                                     headroom_ * state.used_to.dose, check_in_});
    const Ppfd peak = std::min(std::max(state.allowance.peak, state.used_to.peak),
                               headroom_ * state.used_to.peak);
    if (exceeds(effective.dose, dose) || exceeds(effective.peak, peak)) return true;
    if (present == nullptr) return false;
    if (holds_ &&
        (exceeds(effective.dose, present->dose) || exceeds(effective.peak, present->peak))) {
      return true;
    }
    return exceeds(present->dose, effective.dose) &&
           exceeds(floor_ * state.used_to.dose, effective.dose);
  }

 private:
  /// 1 + h, and 1 - floor.
  double headroom_;
  double floor_;
  /// The least of the limits of light as a meter shows it.
  DailyDose highest_dose_;
  Ppfd highest_peak_;
  /// What check-ins allow; beyond reach where they ask for nothing.
  DailyDose check_in_;
  std::size_t spot_;
  std::size_t column_;
  bool has_wish_;
  bool holds_;
};

/// A broken cap and how far: value to limit, for the floor limit to value.
struct Breach {
  Cap cap;
  double ratio;
};

/// The cap that an exposure breaks most, if it breaks any: equations (1), (2)
/// and (2a), a limit after a check-in, and, if a step from `present` is meant, (3) and whether the
/// group holds. Of pace and headroom the smaller limit counts (pace if they are equal); ties go to
/// the first in the order of Cap.
std::optional<Breach> worst_breach(const Limits& limits, const GroupLight& light,
                                   const std::optional<GroupLight>& present);

/// The same limits as a meter would show them in light of this mix.
Limits shown(const Limits& limits, const GroupLight& light);

}  // namespace slowdawn
