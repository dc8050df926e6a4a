// The planner: a dial setting for every day, and why it is not higher.
//
// Values in, values out: no files, no clock, no printing. Days are counted from
// the start of the ramp, which is day 0.
#pragma once

#include <algorithm>
#include <limits>
#include <memory>
#include <optional>
#include <slowdawn/ramp/caps.hpp>
#include <slowdawn/ramp/path.hpp>
#include <vector>

namespace slowdawn {

/// What every setting of the path brings to every spot; in further columns, the same as
/// it counts by one weighting or another.
class ExposureTable {
 public:
  ExposureTable() = default;
  ExposureTable(std::size_t settings, std::size_t columns)
      : columns_(columns), cells_(settings * columns) {}
  Exposure& at(std::size_t setting, std::size_t column) {
    return cells_[setting * columns_ + column];
  }
  const Exposure& at(std::size_t setting, std::size_t column) const {
    return cells_[setting * columns_ + column];
  }
  bool empty() const { return cells_.empty(); }
  std::size_t columns() const { return columns_; }

 private:
  std::size_t columns_ = 0;
  std::vector<Exposure> cells_;
};

/// By spot, the column of an ExposureTable where its light stands as it counts by a
/// weighting; `no_column` where no group of that weighting may come to.
using WeightedColumns = std::vector<std::size_t>;
inline constexpr std::size_t no_column = std::numeric_limits<std::size_t>::max();

/// What the light of a spot rests on.
struct SpotReadings {
  /// Which readings: spots with the same number share them, as one spot does
  /// under a mesh and without.
  std::size_t spot = 0;
  /// Relative standard error that is their own.
  double error = 0.0;
  /// That of the meter's repeats alone.
  double repeat_error = 0.0;
};

/// That a ramp is to be even: once begun, one setting a day along a part of the
/// path that is a straight line.
struct EvenRamp {
  /// The settings that the line begins and ends at.
  std::size_t start;
  std::size_t end;
  /// Whether the goal lies above it in the path.
  bool goes_up;
  bool operator==(const EvenRamp&) const = default;
};

struct RampProblem {
  Path path;
  ExposureTable exposures;
  std::vector<RampGroup> groups;
  /// True if the lights of the goal are not those of before: the plan then
  /// opens at the furthest safe setting, else at the base.
  bool lights_change = false;
  /// The dial is turned toward the goal on every so many days, 1 to 28.
  int every_days = 1;
  /// How many days before day 0 the last step was, where a plan goes on from an
  /// earlier one.
  int days_since_step = 0;
  /// By spot; none are without error.
  std::vector<SpotReadings> readings = {};
  /// True if the light is in units of a meter's own, so that amounts mean
  /// nothing and only ratios do.
  bool is_relative = false;
  /// Empty where the dial may be turned as far as the caps allow.
  std::optional<EvenRamp> even = {};
  /// By setting, what the next brighter one that can be dialled would bring; empty
  /// where that is the path's own next setting.
  ExposureTable brighter = {};
  /// The columns of weighting 1 and on; weighting 0 has those of the spots themselves.
  std::vector<WeightedColumns> weightings = {};

  /// Whether the dial may be turned toward the goal on a day.
  bool is_step_day(std::size_t day) const {
    return (day + static_cast<std::size_t>(days_since_step)) %
               static_cast<std::size_t>(every_days) ==
           0;
  }
  /// Where the light of a spot stands as it counts for a group.
  std::size_t column(const RampGroup& group, std::size_t spot) const {
    return group.weighting == 0 ? spot : weightings[group.weighting - 1][spot];
  }
  bool knows(const RampGroup& group, std::size_t spot) const {
    return column(group, spot) != no_column;
  }
  GroupLight light(std::size_t setting, const RampGroup& group, std::size_t spot) const {
    return {exposures.at(setting, spot), exposures.at(setting, column(group, spot))};
  }
  GroupLight light(std::size_t setting, const RampGroup& group) const {
    return light(setting, group, group.spot);
  }
  /// The same of light that is given by column.
  GroupLight light(const std::vector<Exposure>& by_column, const RampGroup& group) const {
    return {by_column[group.spot], by_column[column(group, group.spot)]};
  }
  /// As a meter shows it.
  const Exposure& exposure(std::size_t setting, const RampGroup& group) const {
    return exposures.at(setting, group.spot);
  }
  /// Enext of equation (4) of caps.hpp, by column: at the path's end that of the end.
  const Exposure& next_brighter(std::size_t setting, std::size_t column) const {
    if (!brighter.empty()) return brighter.at(setting, column);
    return exposures.at(std::min(setting + 1, path.settings.size() - 1), column);
  }
};

enum class PlanStatus { reaches_goal, held, no_safe_opening };

/// Why the dial is not further toward the goal on a day.
struct HeldBy {
  /// The group and cap that the next setting would break most; empty where it
  /// would have been safe but it is no step day.
  struct Group {
    std::size_t group;
    Breach breach;
  };
  std::optional<Group> by;
};

struct GroupDay {
  GroupLight light;
  /// Before that day's light; effective amounts.
  GroupState state;
  /// Number of the spot where it is.
  std::size_t spot;

  /// A and B as a meter would show them in the light of that day.
  Acclimation used_to() const { return light.shown(state.used_to); }
};

/// The light of every group on a day: the same for all days of one setting on which
/// no group moves, which share it.
struct DayLight {
  std::vector<GroupLight> lights;
  std::vector<std::size_t> spots;
};

/// Every group on a day, in the order of the problem's groups. A year of ten
/// thousand groups has millions of these, so no day keeps what another has or what
/// is zero.
class GroupDays {
 public:
  GroupDays() = default;
  /// One of `states` for each group of `light`.
  GroupDays(std::shared_ptr<const DayLight> light, const std::vector<GroupState>& states);

  std::size_t size() const { return light_ ? light_->spots.size() : 0; }
  GroupDay operator[](std::size_t group) const {
    const Levels& levels = levels_[group];
    return {light_->lights[group],
            {levels.used_to, levels.allowance, move_allowance(group)},
            light_->spots[group]};
  }
  /// Parts of the same, for whoever goes through all of them.
  const Exposure& exposure(std::size_t group) const { return light_->lights[group].real; }
  const GroupLight& light_of(std::size_t group) const { return light_->lights[group]; }
  std::size_t spot(std::size_t group) const { return light_->spots[group]; }
  const std::shared_ptr<const DayLight>& light() const { return light_; }
  /// Leaves the light alone; a whole group can then no longer be asked for.
  void forget_states();

 private:
  Exposure move_allowance(std::size_t group) const;

  struct Levels {
    Acclimation used_to;
    Exposure allowance;
  };
  std::shared_ptr<const DayLight> light_;
  std::vector<Levels> levels_;
  /// Of the groups that have one, few as a rule, in their order.
  std::vector<std::pair<std::size_t, Exposure>> move_allowances_;
};

struct PlanDay {
  /// Where the walk stands on the path.
  std::size_t setting;
  /// Empty on a day at the goal.
  std::optional<HeldBy> held_by = {};
  GroupDays groups = {};
  /// Which turning of the dial by hand the day was lit by; empty where it was
  /// the setting.
  std::optional<std::size_t> by_hand = {};
  /// Not by hand, but as a record says, by a setting of another path: `by_hand` then
  /// tells such days apart, and `setting` says nothing.
  bool is_as_recorded = false;

  /// Whether the lights stand as on the other day.
  bool is_lit_like(const PlanDay& other) const {
    return by_hand == other.by_hand && (by_hand || setting == other.setting);
  }
};

enum class BandFit { below_band, within_band, above_band };

/// Where a dose lies against a band, with the usual slack.
BandFit compute_fit(DailyDose dose, const DoseBand& band);

/// How a group comes through the whole plan.
struct GroupOutcome {
  Exposure goal;
  /// At the last setting of the plan; empty where there is no day.
  std::optional<BandFit> fit = {};
  /// Lowest dose of the plan over D0; empty where there is no day.
  std::optional<double> lowest_share = {};
  int days_below_band = 0;
};

/// Something that the keeper should be told about a plan.
struct PlanNote {
  enum class Kind {
    /// No setting is safe on the first day; `breach` is of the first setting.
    no_safe_opening,
    /// From `day` on even the first setting is more than a group bears.
    stays_at_first_setting,
    /// Held: the next setting would leave the group's band or pass its ceiling.
    held_by_limit,
    /// Held: the next setting is more than the headroom over the present one.
    dial_too_coarse,
    /// Held: the group's check-ins allow no more until they are better.
    held_by_check_in,
    /// Held: even the first setting stays over a limit that no wait raises.
    first_setting_is_over,
    /// Ended on the last day that a plan may have.
    ran_out_of_days,
    /// The group's lowest dose is under (1 - floor) of its old one.
    starved,
    /// Over 32 mol m-2 d-1 at the last setting.
    very_high_dose,
    /// Over 1000 umol m-2 s-1 at the last setting.
    very_high_peak,
    /// The group does not become ready to move to its spot; `breach` is of a move
    /// after the last day.
    never_ready,
    /// The light was out by hand, from `day` on for the first time; `breach.ratio` is
    /// on how many days.
    dark_by_hand,
  };
  Kind kind;
  std::size_t group = 0;
  Breach breach{Cap::dose_pace, 0.0};
  std::size_t day = 0;
};

/// A group moved to a spot on a day, before the lights come on.
struct Move {
  std::size_t day;
  std::size_t group;
  std::size_t spot;
  bool operator==(const Move&) const = default;
};

/// A group that is another one from a day on: with a limit, with other time
/// constants, at another spot.
struct GroupChange {
  std::size_t day;
  std::size_t group;
  RampGroup changed;
};

struct Plan {
  PlanStatus status;
  /// The first day at the goal; empty if the plan stops short of it.
  std::optional<std::size_t> goal_day;
  /// The last day, if every group was then used to its light.
  std::optional<std::size_t> settled_day;
  /// The group and cap for which no wait will ever allow the next setting; empty where
  /// the plan reaches its goal or only ran out of days.
  std::optional<HeldBy::Group> held_for_good_by;
  std::vector<PlanDay> days;
  std::vector<GroupOutcome> groups;
  std::vector<PlanNote> notes;
  /// In the order of their days; empty for a plan that nothing came between.
  std::vector<GroupChange> changes;
  /// The moves among the changes.
  std::vector<Move> moves;
  /// As in the problem.
  std::optional<EvenRamp> even = {};
};

/// A group as it was on a day of the plan, before the lights came on.
RampGroup group_on_day(const RampProblem& problem, const Plan& plan, std::size_t day,
                       std::size_t group);

/// The last day that a plan may have.
inline constexpr std::size_t last_plan_day = 365;

/// 32 mol m-2 d-1: "potentially photoinhibiting" (DiPerna et al. 2018, PLoS ONE
/// 13(9):e0203882); 1000 umol m-2 s-1: design choice. Both are only pointed out.
inline constexpr DailyDose dose_worth_a_note = DailyDose::mol_m2_d(32.0);
inline constexpr Ppfd peak_worth_a_note = Ppfd::umol_m2_s(1000.0);

/// Chooses the setting of every day. Each day: while the present setting breaks
/// a cap of dose or peak, one setting back toward dark; then, on a step day,
/// toward the goal while the next setting breaks no cap.
/// For one light going up this greedy choice is the fastest plan there is: more
/// light earlier only raises every later cap (a monotone system).
/// Groups that have a wish are moved as moves.hpp says.
/// source: own derivation, DEVELOPERS.md "Why greedy is fastest".
Plan compute_plan(const RampProblem& problem);

/// The same without what the groups are used to day by day: a small part of the
/// memory, for plans that are only compared.
Plan compute_dial(const RampProblem& problem);

}  // namespace slowdawn
