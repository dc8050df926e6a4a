// Small ramps for tests: a group and a table of exposures with round numbers.
#pragma once

#include <initializer_list>
#include <slowdawn/ramp/planner.hpp>
#include <string>
#include <vector>

namespace slowdawn::testing {

inline DailyDose mol(double dose) { return DailyDose::mol_m2_d(dose); }
inline Ppfd umol(double ppfd) { return Ppfd::umol_m2_s(ppfd); }
inline Percent percent(double value) { return Percent::of_full(value); }

/// A band and a ceiling that nothing reaches, and time constants that are equal.
inline Tolerance wide_tolerance() {
  return {.dose_band = {mol(0.1), mol(1000.0)},
          .peak_ceiling = umol(100000.0),
          .headroom = percent(30.0),
          .weekly_rise = percent(15.0),
          .tau_up = Days::d(10.0),
          .tau_down = Days::d(10.0),
          .carryover = 0.8,
          .floor = percent(50.0)};
}

/// A group at the first spot that comes from `dose` and is used to all of it.
/// Its peak is 100 umol m-2 s-1 for every mol of the dose.
inline RampGroup group_from(double dose, Tolerance tolerance = wide_tolerance()) {
  const Exposure before{mol(dose), umol(100.0 * dose)};
  return {"corals", 0, before, {before.dose, before.peak}, tolerance};
}

/// Settings numbered 1, 2, ... on one dial, each with the dose that it brings
/// to the one spot; the peak is 50 umol m-2 s-1 for every mol, half of what
/// group_from() is used to, so that the dose decides.
inline RampProblem problem_with_doses(const std::vector<double>& doses, std::size_t goal,
                                      RampGroup group) {
  RampProblem problem;
  problem.path.goal = goal;
  problem.exposures = ExposureTable{doses.size(), 1};
  for (std::size_t i = 0; i < doses.size(); ++i) {
    problem.path.settings.push_back({percent(static_cast<double>(i + 1))});
    problem.exposures.at(i, 0) = {mol(doses[i]), umol(50.0 * doses[i])};
  }
  problem.groups.push_back(std::move(group));
  problem.lights_change = true;
  return problem;
}

/// As problem_with_doses, with a dose of 0.1 mol m-2 d-1 for every % of a dial
/// of 1 to 100 %: setting i is i + 1 %.
inline RampProblem problem_with_fine_dial(double goal_percent, RampGroup group) {
  std::vector<double> doses;
  for (int dial = 1; dial <= 100; ++dial) doses.push_back(dial / 10.0);
  return problem_with_doses(doses, static_cast<std::size_t>(goal_percent) - 1, std::move(group));
}

/// The problem with its lights unchanged and the plan starting at a setting.
inline RampProblem from_base(RampProblem problem, std::size_t base) {
  problem.lights_change = false;
  problem.path.base = base;
  return problem;
}

inline std::vector<std::size_t> settings_of(const Plan& plan) {
  std::vector<std::size_t> settings;
  for (const PlanDay& day : plan.days) settings.push_back(day.setting);
  return settings;
}

inline bool has_note(const Plan& plan, PlanNote::Kind kind) {
  for (const PlanNote& note : plan.notes) {
    if (note.kind == kind) return true;
  }
  return false;
}

}  // namespace slowdawn::testing
