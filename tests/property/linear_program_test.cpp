// The greedy plan against the fastest that a linear program finds.
//
// With one group and one light whose dose and peak follow the dial in proportion,
// every rule of a day is linear in D_t, A_t, L_t (and in the peaks q D_t, B_t,
// M_t, q the peak for each mol of the dose) but for two:
//
//   - A follows D with tau_up or tau_down. Here both are equal.
//   - D <= max(L, A). Where L >= A on every day of the solution, the maximum is
//     L there; and since D <= L is the narrower rule, a solution of it is one of
//     the whole problem too. That L >= A is asserted, with L as the recursion
//     gives it from the solution's doses.
//
// On a fine dial Dnext <= (1+w) D, so that L_{t+1} = min( L_t (1+w)^(1/7),
// (1+w) D_t ) is two upper bounds. More light on one day only raises the bounds of
// the days after it, so the largest sum of doses is the largest dose on every day,
// and the program is exact.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <slowdawn/ramp/planner.hpp>
#include <string>
#include <vector>

#include "property/dice.hpp"
#include "property/linear_program.hpp"

namespace slowdawn {
namespace {

constexpr std::size_t days = 40;

/// What a keeper calls one step of a fine dial, %. The plan gets a dial fifty
/// times finer: what is lost by cutting back on one day grows with what the
/// group would have been used to, up to tenfold in 40 days.
constexpr double dial_step = 0.05;
constexpr int settings_per_percent = 1000;

/// One group under one light, in plain numbers.
struct OneGroup {
  double dose_per_percent;
  double peak_per_mol;
  double goal_percent;
  double used_to_dose;
  double used_to_peak;
  double weekly_rise;
  double headroom;
  double tau;
  double highest_dose;
  double highest_peak;

  double share_per_day() const { return 1.0 - std::exp(-1.0 / tau); }
  double one_day() const { return std::pow(1.0 + weekly_rise, 1.0 / 7.0); }
};

OneGroup draw_group(std::uint64_t seed) {
  testing::Dice dice{seed};
  OneGroup made{};
  made.dose_per_percent = dice.real(0.05, 0.3);
  made.peak_per_mol = dice.real(20.0, 50.0);
  made.goal_percent = dice.whole(30, 100);
  made.weekly_rise = dice.real(0.05, 0.35);
  made.headroom = dice.real(0.1, 0.4);
  made.tau = dice.real(4.0, 25.0);
  made.used_to_dose = made.dose_per_percent * dice.real(15.0, 30.0);
  // Dose and peak are used to much the same dial, so that neither is cut so far
  // on the first day that L would fall under A.
  made.used_to_peak = made.used_to_dose * made.peak_per_mol *
                      dice.real(1.0 - 0.6 * made.weekly_rise, 1.0 + 0.6 * made.weekly_rise);
  const double goal_dose = made.dose_per_percent * made.goal_percent;
  made.highest_dose = goal_dose * dice.real(0.7, 2.0);
  made.highest_peak = goal_dose * made.peak_per_mol * dice.real(0.7, 2.0);
  return made;
}

RampProblem make_problem(const OneGroup& group) {
  RampProblem problem;
  const auto count = static_cast<std::size_t>(group.goal_percent * settings_per_percent);
  problem.path.goal = count - 1;
  problem.exposures = ExposureTable{count, 1};
  for (std::size_t i = 0; i < count; ++i) {
    const double dial = static_cast<double>(i + 1) / settings_per_percent;
    const double dose = group.dose_per_percent * dial;
    problem.path.settings.push_back({Percent::of_full(dial)});
    problem.exposures.at(i, 0) = {DailyDose::mol_m2_d(dose),
                                  Ppfd::umol_m2_s(dose * group.peak_per_mol)};
  }
  const DailyDose dose = DailyDose::mol_m2_d(group.used_to_dose);
  const Ppfd peak = Ppfd::umol_m2_s(group.used_to_peak);
  problem.groups.push_back(
      {"corals",
       0,
       {dose, peak},
       {dose, peak},
       {.dose_band = {DailyDose::mol_m2_d(0.0), DailyDose::mol_m2_d(group.highest_dose)},
        .peak_ceiling = Ppfd::umol_m2_s(group.highest_peak),
        .headroom = Percent::of_full(100.0 * group.headroom),
        .weekly_rise = Percent::of_full(100.0 * group.weekly_rise),
        .tau_up = Days::d(group.tau),
        .tau_down = Days::d(group.tau),
        .carryover = 1.0,
        .floor = Percent::of_full(50.0)}});
  problem.lights_change = true;
  return problem;
}

/// The variables of one of the two, dose or peak, on every day.
struct Course {
  std::vector<int> used_to;
  std::vector<int> allowance;
};

/// Adds the rules of equation (1) and (4) of caps.hpp for doses D_t; the peak is
/// put as the dose that brings it, so that all numbers are of one size.
Course add_course(testing::LinearProgram& program, const std::vector<int>& dose,
                  const OneGroup& group, double used_to) {
  Course course;
  for (std::size_t t = 0; t < days; ++t) {
    course.used_to.push_back(program.add_variable());
    course.allowance.push_back(program.add_variable());
    program.at_most_zero({{dose[t], 1.0}, {course.allowance[t], -1.0}});
    program.at_most_zero({{dose[t], 1.0}, {course.used_to[t], -(1.0 + group.headroom)}});
    if (t == 0) continue;
    const double k = group.share_per_day();
    program.zero({{course.used_to[t], 1.0}, {course.used_to[t - 1], k - 1.0}, {dose[t - 1], -k}});
    program.at_most_zero({{course.allowance[t], 1.0}, {course.allowance[t - 1], -group.one_day()}});
    program.at_most_zero({{course.allowance[t], 1.0}, {dose[t - 1], -(1.0 + group.weekly_rise)}});
  }
  program.fix(course.used_to[0], used_to);
  program.fix(course.allowance[0], used_to);
  return course;
}

/// The largest dose of every day; fails the test where L falls under A.
std::vector<double> solve(const OneGroup& group) {
  testing::LinearProgram program;
  const double highest =
      std::min({group.dose_per_percent * group.goal_percent,
                std::max(group.highest_dose, group.used_to_dose),
                std::max(group.highest_peak, group.used_to_peak) / group.peak_per_mol});
  std::vector<int> dose;
  for (std::size_t t = 0; t < days; ++t) dose.push_back(program.add_variable(highest, 1.0));
  const double starts[] = {group.used_to_dose, group.used_to_peak / group.peak_per_mol};
  std::vector<Course> courses;
  for (const double start : starts) courses.push_back(add_course(program, dose, group, start));
  program.maximise();

  std::vector<double> doses;
  for (const int column : dose) doses.push_back(program.value(column));
  for (const Course& course : courses) {
    double allowance = program.value(course.used_to[0]);
    for (std::size_t t = 0; t < days; ++t) {
      EXPECT_GE(allowance * (1.0 + 1e-8), program.value(course.used_to[t])) << "day " << t;
      allowance = std::min(allowance * group.one_day(), (1.0 + group.weekly_rise) * doses[t]);
    }
  }
  return doses;
}

TEST(GreedyPlan, IsTheFastestThatALinearProgramFinds) {
  constexpr std::uint64_t first_seed = 5200;
  int at_goal_within = 0;
  int held_by_headroom = 0;
  int held_by_pace = 0;
  for (std::uint64_t seed = first_seed; seed < first_seed + 40; ++seed) {
    SCOPED_TRACE("seed " + std::to_string(seed));
    const OneGroup group = draw_group(seed);
    const Plan plan = compute_plan(make_problem(group));
    const std::vector<double> best = solve(group);
    ASSERT_NE(plan.status, PlanStatus::no_safe_opening);
    for (std::size_t t = 0; t < days; ++t) {
      const PlanDay& today = plan.days[std::min(t, plan.days.size() - 1)];
      const double dial = static_cast<double>(today.setting + 1) / settings_per_percent;
      ASSERT_NEAR(dial, best[t] / group.dose_per_percent, dial_step) << "day " << t;
      if (!today.held_by || !today.held_by->by) continue;
      const Cap cap = today.held_by->by->breach.cap;
      held_by_headroom += cap == Cap::dose_headroom || cap == Cap::peak_headroom;
      held_by_pace += cap == Cap::dose_pace || cap == Cap::peak_pace;
    }
    at_goal_within += plan.goal_day && *plan.goal_day < days;
  }
  // The draw must not miss a kind of ramp.
  EXPECT_GE(at_goal_within, 5);
  EXPECT_LT(at_goal_within, 35);
  EXPECT_GT(held_by_headroom, 100);
  EXPECT_GT(held_by_pace, 100);
}

}  // namespace
}  // namespace slowdawn
