#include <algorithm>
#include <cmath>
#include <slowdawn/ramp/planner.hpp>

namespace slowdawn {
namespace {

/// A group whose acclimated dose lies this close to its dose has settled.
constexpr double settled_share = 0.05;

/// Walks the path day by day.
class Walk {
 public:
  explicit Walk(const RampProblem& problem) : problem_(problem) {
    for (const RampGroup& group : problem.groups) {
      states_.push_back(state_at_start(group));
      rates_.emplace_back(group.tolerance);
    }
  }

  Plan run() {
    if (!open()) {
      plan_.status = PlanStatus::no_safe_opening;
      note(PlanNote::Kind::no_safe_opening, find_worst_breach(problem_, states_, 0, {}));
      add_outcomes();
      return plan_;
    }
    for (std::size_t day = 0;; ++day) {
      choose(day);
      record(day);
      if (is_over(day)) break;
      live_through();
    }
    plan_.status = plan_.goal_day ? PlanStatus::reaches_goal : PlanStatus::held;
    add_outcomes();
    return plan_;
  }

 private:
  bool is_safe(std::size_t setting) const {
    return !find_worst_breach(problem_, states_, setting, {});
  }

  bool at_goal() const { return setting_ == problem_.path.goal; }

  std::size_t toward_goal() const {
    return setting_ < problem_.path.goal ? setting_ + 1 : setting_ - 1;
  }

  /// Finds where day 0 begins; false if no setting is safe.
  bool open() {
    if (problem_.lights_change || !problem_.path.base) {
      if (!is_safe(0)) return false;
      while (!at_goal() && is_safe(setting_ + 1)) ++setting_;
      return true;
    }
    setting_ = *problem_.path.base;
    while (!is_safe(setting_)) {
      if (setting_ == 0) return false;
      --setting_;
    }
    return true;
  }

  void choose(std::size_t day) {
    while (!is_safe(setting_)) {
      if (setting_ == 0) {
        note_first_setting(day);
        return;
      }
      --setting_;
    }
    if (day % static_cast<std::size_t>(problem_.every_days) != 0) return;
    while (!at_goal() && !find_worst_breach(problem_, states_, toward_goal(), setting_)) {
      setting_ = toward_goal();
    }
  }

  void record(std::size_t day) {
    PlanDay today{setting_, {}, {}};
    if (!at_goal()) {
      today.held_by = HeldBy{find_worst_breach(problem_, states_, toward_goal(), setting_)};
    }
    for (std::size_t g = 0; g < problem_.groups.size(); ++g) {
      today.groups.push_back({problem_.exposure(setting_, problem_.groups[g]), states_[g]});
    }
    plan_.days.push_back(std::move(today));
    if (!at_goal()) plan_.goal_day.reset();
    if (at_goal() && !plan_.goal_day) plan_.goal_day = day;
  }

  /// True on the last day; says why where the goal is not reached.
  bool is_over(std::size_t day) {
    if (is_settled() && (at_goal() || is_barred_for_good())) {
      plan_.settled_day = day;
      return true;
    }
    if (day < last_plan_day) return false;
    note(PlanNote::Kind::ran_out_of_days, std::nullopt);
    return true;
  }

  bool is_settled() const {
    for (std::size_t g = 0; g < problem_.groups.size(); ++g) {
      const DailyDose dose = problem_.exposure(setting_, problem_.groups[g]).dose;
      const double gap = std::abs((states_[g].used_to.dose - dose).mol_m2_d());
      if (exceeds(gap, settled_share * dose.mol_m2_d())) return false;
    }
    return true;
  }

  /// Whether no wait will ever allow the next setting toward the goal.
  bool is_barred_for_good() {
    const std::size_t next = toward_goal();
    for (std::size_t g = 0; g < problem_.groups.size(); ++g) {
      const RampGroup& group = problem_.groups[g];
      const Exposure& there = problem_.exposure(next, group);
      const Exposure& here = problem_.exposure(setting_, group);
      const Limits limits = compute_limits(group, states_[g]);
      const auto bars = [&](PlanNote::Kind kind, Cap cap, auto value, auto limit) {
        if (!exceeds(value, limit)) return false;
        note(kind, HeldBy::Group{g, {cap, value / limit}});
        return true;
      };
      const double reach = 1.0 + group.tolerance.headroom.fraction();
      using Kind = PlanNote::Kind;
      if (bars(Kind::held_by_limit, Cap::dose_band, there.dose, limits.dose_band) ||
          bars(Kind::held_by_limit, Cap::peak_ceiling, there.peak, limits.peak_ceiling) ||
          bars(Kind::dial_too_coarse, Cap::dose_headroom, there.dose, reach * here.dose) ||
          bars(Kind::dial_too_coarse, Cap::peak_headroom, there.peak, reach * here.peak)) {
        return true;
      }
    }
    return false;
  }

  void live_through() {
    const std::size_t brighter = std::min(setting_ + 1, problem_.path.settings.size() - 1);
    for (std::size_t g = 0; g < problem_.groups.size(); ++g) {
      const RampGroup& group = problem_.groups[g];
      states_[g] = after_day(states_[g], problem_.exposure(setting_, group),
                             problem_.exposure(brighter, group), rates_[g]);
    }
  }

  void note(PlanNote::Kind kind, const std::optional<HeldBy::Group>& by, std::size_t day = 0) {
    PlanNote made{.kind = kind, .day = day};
    if (by) {
      made.group = by->group;
      made.breach = by->breach;
    }
    plan_.notes.push_back(made);
  }

  void note_first_setting(std::size_t day) {
    const auto is_same = [](const PlanNote& made) {
      return made.kind == PlanNote::Kind::stays_at_first_setting;
    };
    if (std::any_of(plan_.notes.begin(), plan_.notes.end(), is_same)) return;
    note(PlanNote::Kind::stays_at_first_setting, find_worst_breach(problem_, states_, 0, {}), day);
  }

  void add_outcomes() {
    for (std::size_t g = 0; g < problem_.groups.size(); ++g) {
      const RampGroup& group = problem_.groups[g];
      GroupOutcome outcome{.goal = problem_.exposure(problem_.path.goal, group)};
      DailyDose lowest;
      for (const PlanDay& day : plan_.days) {
        const DailyDose dose = day.groups[g].exposure.dose;
        if (&day == &plan_.days.front() || dose < lowest) lowest = dose;
        if (compute_fit(dose, group.tolerance.dose_band) == BandFit::below_band) {
          ++outcome.days_below_band;
        }
      }
      if (!plan_.days.empty()) {
        const Exposure& last = plan_.days.back().groups[g].exposure;
        outcome.fit = compute_fit(last.dose, group.tolerance.dose_band);
        outcome.lowest_share = lowest / group.before.dose;
        note_extremes(g, last, *outcome.lowest_share);
      }
      plan_.groups.push_back(outcome);
    }
  }

  void note_extremes(std::size_t g, const Exposure& last, double lowest_share) {
    using Kind = PlanNote::Kind;
    if (exceeds(1.0 - problem_.groups[g].tolerance.floor.fraction(), lowest_share)) {
      note(Kind::starved, HeldBy::Group{g, {Cap::dose_floor, lowest_share}});
    }
    if (exceeds(last.dose, dose_worth_a_note)) {
      note(Kind::very_high_dose, HeldBy::Group{g, {Cap::dose_band, last.dose / dose_worth_a_note}});
    }
    if (exceeds(last.peak, peak_worth_a_note)) {
      note(Kind::very_high_peak,
           HeldBy::Group{g, {Cap::peak_ceiling, last.peak / peak_worth_a_note}});
    }
  }

  const RampProblem& problem_;
  std::vector<GroupState> states_;
  std::vector<DailyRates> rates_;
  std::size_t setting_ = 0;
  Plan plan_;
};

}  // namespace

BandFit compute_fit(DailyDose dose, const DoseBand& band) {
  if (exceeds(band.low, dose)) return BandFit::below_band;
  return exceeds(dose, band.high) ? BandFit::above_band : BandFit::within_band;
}

std::optional<HeldBy::Group> find_worst_breach(const RampProblem& problem,
                                               const std::vector<GroupState>& states,
                                               std::size_t setting,
                                               std::optional<std::size_t> present) {
  std::optional<HeldBy::Group> worst;
  for (std::size_t g = 0; g < problem.groups.size(); ++g) {
    const RampGroup& group = problem.groups[g];
    std::optional<Exposure> left;
    if (present) left = problem.exposure(*present, group);
    const auto breach =
        worst_breach(compute_limits(group, states[g]), problem.exposure(setting, group), left);
    if (breach && (!worst || exceeds(breach->ratio, worst->breach.ratio))) {
      worst = HeldBy::Group{g, *breach};
    }
  }
  return worst;
}

Plan compute_plan(const RampProblem& problem) { return Walk{problem}.run(); }

}  // namespace slowdawn
