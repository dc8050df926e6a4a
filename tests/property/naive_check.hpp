// Holds a plan against the rules of caps.hpp and planner.hpp, written down a
// second time in plain numbers. Shares no arithmetic with the planner.
#pragma once

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <optional>
#include <slowdawn/ramp/planner.hpp>
#include <string>
#include <vector>

namespace slowdawn::testing {

inline bool is_over(double value, double limit) { return value > limit * (1.0 + 1e-9); }

/// One group, day by day.
class NaiveGroup {
 public:
  explicit NaiveGroup(const RampGroup& group)
      : A(group.used_to.dose.mol_m2_d()),
        B(group.used_to.peak.umol_m2_s()),
        L(A),
        M(B),
        dose_before_(group.before.dose.mol_m2_d()),
        peak_before_(group.before.peak.umol_m2_s()),
        tolerance_(group.tolerance) {}

  struct Broken {
    Cap cap;
    double ratio;
  };

  /// Every cap that a dose and a peak break; `from` is the dose that a step
  /// would leave.
  std::vector<Broken> broken(double dose, double peak, std::optional<double> from = {}) const {
    std::vector<Broken> all;
    const auto limit_above = [&](Cap cap, double value, double limit) {
      if (is_over(value, limit)) all.push_back({cap, value / limit});
    };
    const double h = tolerance_.headroom.percent() / 100.0;
    const double dose_pace = L > A ? L : A;
    const double peak_pace = M > B ? M : B;
    if (is_over(dose_pace, (1.0 + h) * A)) {
      limit_above(Cap::dose_headroom, dose, (1.0 + h) * A);
    } else {
      limit_above(Cap::dose_pace, dose, dose_pace);
    }
    if (is_over(peak_pace, (1.0 + h) * B)) {
      limit_above(Cap::peak_headroom, peak, (1.0 + h) * B);
    } else {
      limit_above(Cap::peak_pace, peak, peak_pace);
    }
    limit_above(Cap::dose_band, dose, highest_dose());
    limit_above(Cap::peak_ceiling, peak, highest_peak());
    if (is_too_excited(peak)) {
      all.push_back({Cap::excitation, peak / std::max(peak_at_cap(), peak_before_)});
    }
    const double floor = (1.0 - tolerance_.floor.percent() / 100.0) * A;
    if (from && is_over(*from, dose) && is_over(floor, dose)) {
      all.push_back({Cap::dose_floor, floor / dose});
    }
    return all;
  }

  void live(double dose, double peak, double next_dose, double next_peak) {
    const double w = tolerance_.weekly_rise.percent() / 100.0;
    const auto follow = [&](double used_to, double today) {
      const double tau = today > used_to ? tolerance_.tau_up.d() : tolerance_.tau_down.d();
      return today + (used_to - today) * std::exp(-1.0 / tau);
    };
    const auto allow = [&](double allowance, double today, double next) {
      const double grown = allowance * std::exp(std::log1p(w) / 7.0);
      return std::min(grown, std::max((1.0 + w) * today, next));
    };
    A = follow(A, dose);
    B = follow(B, peak);
    L = allow(L, dose, next_dose);
    M = allow(M, peak, next_peak);
  }

  bool is_settled(double dose) const { return !is_over(std::abs(A - dose), 0.05 * dose); }

  /// Whether the next setting counts as out of reach however long one waits
  /// here: over a limit, or over the headroom above today's light. (While a
  /// group is still used to more than today's light the latter may be a little
  /// early; the plan's rule is kept to the letter.)
  bool is_barred(double dose, double peak, double next_dose, double next_peak) const {
    const double reach = 1.0 + tolerance_.headroom.percent() / 100.0;
    return is_over(next_dose, highest_dose()) || is_over(next_peak, highest_peak()) ||
           is_too_excited(next_peak) || is_over(next_dose, reach * dose) ||
           is_over(next_peak, reach * peak);
  }

  double highest_dose() const {
    return std::max(tolerance_.dose_band.high.mol_m2_d(), dose_before_);
  }
  double highest_peak() const {
    return std::max(tolerance_.peak_ceiling.umol_m2_s(), peak_before_);
  }

  /// 1 - tanh(x)/x against the cap, at a peak that is brighter than all before.
  bool is_too_excited(double peak) const {
    const auto& excitation = tolerance_.excitation;
    if (!excitation || !excitation->cap() || !is_over(peak, peak_before_)) return false;
    // A little less peak, for the slack.
    const double x = peak / (1.0 + 1e-9) / excitation->ek().umol_m2_s();
    return 1.0 - std::tanh(x) / x > *excitation->cap();
  }
  /// By Newton's method.
  double peak_at_cap() const {
    const double cap = *tolerance_.excitation->cap();
    double x = 1.0 / (1.0 - cap);
    for (int i = 0; i < 100; ++i) {
      const double t = std::tanh(x);
      x -= (1.0 - t / x - cap) / (t / (x * x) - (1.0 - t * t) / x);
    }
    return x * tolerance_.excitation->ek().umol_m2_s();
  }

  double A;
  double B;
  double L;
  double M;

 private:
  double dose_before_;
  double peak_before_;
  Tolerance tolerance_;
};

/// What was found along the way, for tests to see that all kinds came up.
struct PlanTraits {
  int retreats = 0;
  int retreats_later = 0;
  int steps_up = 0;
  int steps_down = 0;
  int waits_for_step_day = 0;
};

class NaiveCheck {
 public:
  NaiveCheck(const RampProblem& problem, const Plan& plan) : problem_(problem), plan_(plan) {
    for (const RampGroup& group : problem.groups) groups_.emplace_back(group);
  }

  /// Reports every difference as a failure of the test that calls it.
  void run() {
    const auto start = find_start();
    ASSERT_EQ(plan_.status == PlanStatus::no_safe_opening, !start.has_value());
    ASSERT_EQ(plan_.days.empty(), !start.has_value());
    if (!start) {
      ASSERT_FALSE(plan_.goal_day);
      return;
    }
    std::size_t present = *start;
    for (std::size_t day = 0; day < plan_.days.size(); ++day) {
      SCOPED_TRACE("day " + std::to_string(day));
      check_record(plan_.days[day]);
      check_choice(day, present);
      check_held_by(day);
      check_end(day);
      if (::testing::Test::HasFatalFailure()) return;
      present = plan_.days[day].setting;
      live(present);
    }
    check_goal();
  }

  PlanTraits traits;

 private:
  double dose(std::size_t setting, std::size_t g) const {
    return problem_.exposures.at(setting, problem_.groups[g].spot).dose.mol_m2_d();
  }
  double peak(std::size_t setting, std::size_t g) const {
    return problem_.exposures.at(setting, problem_.groups[g].spot).peak.umol_m2_s();
  }

  bool is_safe(std::size_t setting) const {
    for (std::size_t g = 0; g < groups_.size(); ++g) {
      if (!groups_[g].broken(dose(setting, g), peak(setting, g)).empty()) return false;
    }
    return true;
  }

  bool is_safe_step(std::size_t from, std::size_t to) const {
    for (std::size_t g = 0; g < groups_.size(); ++g) {
      if (!groups_[g].broken(dose(to, g), peak(to, g), dose(from, g)).empty()) return false;
    }
    return true;
  }

  std::size_t toward_goal(std::size_t setting) const {
    return setting < problem_.path.goal ? setting + 1 : setting - 1;
  }

  /// Where day 0 begins; nowhere if there is no safe opening.
  std::optional<std::size_t> find_start() const {
    if (problem_.lights_change || !problem_.path.base) {
      std::size_t safe = 0;
      while (safe <= problem_.path.goal && is_safe(safe)) ++safe;
      if (safe == 0) return std::nullopt;
      return safe - 1;
    }
    for (std::size_t setting = *problem_.path.base + 1; setting-- > 0;) {
      if (is_safe(setting)) return *problem_.path.base;
    }
    return std::nullopt;
  }

  void check_record(const PlanDay& today) const {
    ASSERT_EQ(today.groups.size(), groups_.size());
    for (std::size_t g = 0; g < groups_.size(); ++g) {
      const GroupDay& recorded = today.groups[g];
      ASSERT_EQ(recorded.light.real.dose.mol_m2_d(), dose(today.setting, g));
      ASSERT_EQ(recorded.light.real.peak.umol_m2_s(), peak(today.setting, g));
      // Rounding of up to 365 days, each far under 1e-15 of the value.
      const auto expect_near = [](double a, double b) { ASSERT_NEAR(a, b, 1e-12 * b + 1e-15); };
      expect_near(recorded.state.used_to.dose.mol_m2_d(), groups_[g].A);
      expect_near(recorded.state.used_to.peak.umol_m2_s(), groups_[g].B);
      expect_near(recorded.state.allowance.dose.mol_m2_d(), groups_[g].L);
      expect_near(recorded.state.allowance.peak.umol_m2_s(), groups_[g].M);
    }
  }

  bool is_step_day(std::size_t day) const {
    return day % static_cast<std::size_t>(problem_.every_days) == 0;
  }

  void check_choice(std::size_t day, std::size_t present) {
    const std::size_t chosen = plan_.days[day].setting;
    const std::size_t goal = problem_.path.goal;

    if (!is_safe(chosen)) {
      ASSERT_EQ(chosen, 0U) << "a cap is broken";
      ASSERT_GT(day, 0U) << "a cap is broken on the first day";
      ASSERT_TRUE(is_noted_as_stuck(day)) << "a cap is broken and no note says so";
    }

    std::size_t kept = present;
    while (kept > 0 && !is_safe(kept)) --kept;
    if (kept != present) ++(day == 0 ? traits.retreats : traits.retreats_later);

    if (!is_step_day(day) || !is_safe(kept)) {
      ASSERT_EQ(chosen, kept) << "moved on a day that is no step day";
      return;
    }
    const bool is_between =
        kept <= goal ? kept <= chosen && chosen <= goal : goal <= chosen && chosen <= kept;
    ASSERT_TRUE(is_between) << "moved away from the goal, or past it";
    for (std::size_t at = kept; at != chosen; at = toward_goal(at)) {
      ASSERT_TRUE(is_safe_step(at, toward_goal(at))) << "a step breaks a cap at setting " << at;
    }
    if (chosen != goal) {
      ASSERT_FALSE(is_safe_step(chosen, toward_goal(chosen))) << "the next setting was safe";
    }
    if (chosen > kept) ++traits.steps_up;
    if (chosen < kept) ++traits.steps_down;
  }

  bool is_noted_as_stuck(std::size_t day) const {
    return std::any_of(plan_.notes.begin(), plan_.notes.end(), [&](const PlanNote& note) {
      return note.kind == PlanNote::Kind::stays_at_first_setting && note.day <= day;
    });
  }

  void check_held_by(std::size_t day) {
    const PlanDay& today = plan_.days[day];
    ASSERT_EQ(today.held_by.has_value(), today.setting != problem_.path.goal);
    if (!today.held_by) return;
    const std::size_t next = toward_goal(today.setting);
    double worst = 0.0;
    std::optional<double> named;
    for (std::size_t g = 0; g < groups_.size(); ++g) {
      const auto broken = groups_[g].broken(dose(next, g), peak(next, g), dose(today.setting, g));
      for (const NaiveGroup::Broken& each : broken) {
        worst = std::max(worst, each.ratio);
        const auto& by = today.held_by->by;
        if (by && by->group == g && by->breach.cap == each.cap) named = each.ratio;
      }
    }
    if (!today.held_by->by) {
      ASSERT_EQ(worst, 0.0) << "a cap is broken that is not named";
      ASSERT_FALSE(is_step_day(day));
      ++traits.waits_for_step_day;
      return;
    }
    ASSERT_TRUE(named) << "the named cap is not broken";
    ASSERT_NEAR(*named, today.held_by->by->breach.ratio, 1e-11 * *named);
    ASSERT_FALSE(is_over(worst, *named)) << "another cap is broken more";
  }

  void check_end(std::size_t day) const {
    const std::size_t setting = plan_.days[day].setting;
    const bool at_goal = setting == problem_.path.goal;
    bool settled = true;
    bool barred = false;
    for (std::size_t g = 0; g < groups_.size(); ++g) {
      settled = settled && groups_[g].is_settled(dose(setting, g));
      if (at_goal) continue;
      const std::size_t next = toward_goal(setting);
      barred = barred || groups_[g].is_barred(dose(setting, g), peak(setting, g), dose(next, g),
                                              peak(next, g));
    }
    const bool is_done = settled && (at_goal || barred);
    const bool is_last = day + 1 == plan_.days.size();
    ASSERT_EQ(is_last, is_done || day == 365U);
    if (!is_last) return;
    ASSERT_EQ(plan_.status, at_goal ? PlanStatus::reaches_goal : PlanStatus::held);
    ASSERT_EQ(plan_.settled_day, is_done ? std::optional{day} : std::nullopt);
  }

  void check_goal() const {
    std::optional<std::size_t> first;
    for (std::size_t day = 0; day < plan_.days.size(); ++day) {
      const bool at_goal = plan_.days[day].setting == problem_.path.goal;
      if (!at_goal) first.reset();
      if (at_goal && !first) first = day;
    }
    ASSERT_EQ(plan_.goal_day, first);
  }

  void live(std::size_t setting) {
    const std::size_t brighter = std::min(setting + 1, problem_.path.settings.size() - 1);
    for (std::size_t g = 0; g < groups_.size(); ++g) {
      groups_[g].live(dose(setting, g), peak(setting, g), dose(brighter, g), peak(brighter, g));
    }
  }

  const RampProblem& problem_;
  const Plan& plan_;
  std::vector<NaiveGroup> groups_;
};

}  // namespace slowdawn::testing
