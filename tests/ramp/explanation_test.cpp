#include <gtest/gtest.h>

#include <algorithm>
#include <slowdawn/ramp/explanation.hpp>
#include <string>
#include <vector>

#include "ramp/make_problem.hpp"

namespace slowdawn {
namespace {

using testing::from_base;
using testing::group_from;
using testing::mol;
using testing::percent;
using testing::problem_with_doses;
using testing::problem_with_fine_dial;
using testing::umol;
using testing::wide_tolerance;

RampProblem upward() {
  Tolerance tolerance = wide_tolerance();
  tolerance.dose_band.high = mol(8.05);
  return problem_with_fine_dial(90, group_from(5.0, tolerance));
}

RampProblem downward() {
  Tolerance tolerance = wide_tolerance();
  tolerance.floor = percent(20.0);
  return from_base(problem_with_fine_dial(30, group_from(10.0, tolerance)), 99);
}

/// A coarse dial, which headroom holds longer than pace.
RampProblem coarse() {
  Tolerance tolerance = wide_tolerance();
  tolerance.weekly_rise = percent(40.0);
  return problem_with_doses({4.0, 5.0, 6.4, 8.2, 10.5}, 4, group_from(5.0, tolerance));
}

struct ExplainedRamp {
  const char* name;
  RampProblem (*make)();
};

class ExplanationOfARamp : public ::testing::TestWithParam<ExplainedRamp> {
 protected:
  RampProblem problem_ = GetParam().make();
  Plan plan_ = compute_plan(problem_);
};

TEST_P(ExplanationOfARamp, AgreesWithThePlanOnEveryDay) {
  for (std::size_t day = 0; day < plan_.days.size(); ++day) {
    SCOPED_TRACE("day " + std::to_string(day));
    const PlanDay& today = plan_.days[day];
    const Explanation why = explain(problem_, plan_, day, 0);
    EXPECT_EQ(why.setting, today.setting);
    EXPECT_EQ(why.exposure, today.groups[0].light.real);
    EXPECT_EQ(why.state.used_to, today.groups[0].state.used_to);
    EXPECT_EQ(why.state.allowance, today.groups[0].state.allowance);
    EXPECT_EQ(why.next_setting.has_value(), today.held_by.has_value());
    const bool is_held = today.held_by && today.held_by->by;
    ASSERT_EQ(why.binding.has_value(), is_held);
    if (is_held) {
      EXPECT_EQ(why.binding->cap, today.held_by->by->breach.cap);
      EXPECT_EQ(why.binding->ratio, today.held_by->by->breach.ratio);
    }
  }
}

TEST_P(ExplanationOfARamp, ShowsEveryCapUnbrokenByThePresentSetting) {
  for (std::size_t day = 0; day < plan_.days.size(); ++day) {
    const Explanation why = explain(problem_, plan_, day, 0);
    for (const auto& line : why.dose_caps) EXPECT_FALSE(line.broken_now) << "day " << day;
    for (const auto& line : why.peak_caps) EXPECT_FALSE(line.broken_now) << "day " << day;
  }
}

TEST_P(ExplanationOfARamp, ShowsABrokenLineForTheCapThatBinds) {
  for (std::size_t day = 0; day < plan_.days.size(); ++day) {
    SCOPED_TRACE("day " + std::to_string(day));
    const Explanation why = explain(problem_, plan_, day, 0);
    int broken = 0;
    bool shows_binding = false;
    const auto look = [&](const auto& line) {
      if (!line.broken_next) return;
      ++broken;
      if (!why.binding || line.cap != why.binding->cap) return;
      shows_binding = true;
      const double ratio =
          line.cap == Cap::dose_floor ? line.limit / *line.next : *line.next / line.limit;
      EXPECT_NEAR(ratio, why.binding->ratio, 1e-12);
    };
    for (const auto& line : why.dose_caps) look(line);
    for (const auto& line : why.peak_caps) look(line);
    EXPECT_EQ(broken > 0, why.binding.has_value());
    EXPECT_EQ(shows_binding, why.binding.has_value());
  }
}

TEST_P(ExplanationOfARamp, FindsTheDaysToTheNextStepThatThePlanThenTakes) {
  int found = 0;
  for (std::size_t day = 0; day < plan_.days.size(); ++day) {
    SCOPED_TRACE("day " + std::to_string(day));
    const Explanation why = explain(problem_, plan_, day, 0);
    const auto change = find_next_change(plan_, day);
    ASSERT_EQ(why.days_to_next.has_value(), change.has_value());
    if (!change) continue;
    EXPECT_EQ(day + *why.days_to_next, *change);
    ++found;
  }
  EXPECT_GT(found, 5);
}

TEST_P(ExplanationOfARamp, FindsTheSameWhereNoStepDayIsNear) {
  // The days until this group would bear the next setting do not depend on
  // when the dial may be turned.
  RampProblem rarely = problem_;
  rarely.every_days = 28;
  const Plan plan = compute_plan(rarely);
  for (std::size_t day = 0; day < std::min<std::size_t>(28, plan.days.size()); ++day) {
    const auto days = explain(rarely, plan, day, 0).days_to_next;
    if (!plan.days[day].held_by || !plan.days[day].held_by->by) {
      EXPECT_FALSE(days) << "day " << day;
      continue;
    }
    ASSERT_TRUE(days) << "day " << day;
    const auto by = [&](std::size_t later) { return plan.days.at(later).held_by->by.has_value(); };
    if (day + *days >= 28) continue;
    EXPECT_FALSE(by(day + *days)) << "day " << day;
    EXPECT_TRUE(by(day + *days - 1)) << "day " << day;
  }
}

constexpr ExplainedRamp explained_ramps[] = {
    {"Upward", upward}, {"Downward", downward}, {"Coarse", coarse}};

INSTANTIATE_TEST_SUITE_P(Ramps, ExplanationOfARamp, ::testing::ValuesIn(explained_ramps),
                         [](const auto& each) { return std::string(each.param.name); });

std::vector<Cap> caps_of(const Explanation& why) {
  std::vector<Cap> caps;
  for (const auto& line : why.dose_caps) caps.push_back(line.cap);
  for (const auto& line : why.peak_caps) caps.push_back(line.cap);
  return caps;
}

TEST(Explanation, ShowsTheNumbersOfEveryCap) {
  const RampProblem problem = upward();
  const Explanation why = explain(problem, compute_plan(problem), 0, 0);
  EXPECT_EQ(caps_of(why),
            (std::vector<Cap>{Cap::dose_pace, Cap::dose_headroom, Cap::dose_band, Cap::peak_pace,
                              Cap::peak_headroom, Cap::peak_ceiling}));
  EXPECT_EQ(why.next_setting, 50U);
  EXPECT_EQ(why.dose_caps[0].limit, mol(5.0));
  EXPECT_EQ(why.dose_caps[0].now, mol(5.0));
  EXPECT_EQ(why.dose_caps[0].next, mol(5.1));
  EXPECT_TRUE(why.dose_caps[0].broken_next);
  EXPECT_EQ(why.dose_caps[1].limit, mol(6.5));
  EXPECT_FALSE(why.dose_caps[1].broken_next);
  EXPECT_EQ(why.dose_caps[2].limit, mol(8.05));
  EXPECT_EQ(why.peak_caps[0].limit, umol(500.0));
  EXPECT_EQ(why.peak_caps[0].now, umol(250.0));
  EXPECT_EQ(why.peak_caps[1].limit, umol(650.0));
}

TEST(Explanation, ShowsTheFloorWhereTheNextStepLowersTheDose) {
  const RampProblem problem = downward();
  const Explanation why = explain(problem, compute_plan(problem), 0, 0);
  ASSERT_EQ(why.dose_caps.back().cap, Cap::dose_floor);
  EXPECT_EQ(why.dose_caps.back().limit, mol(8.0));
  EXPECT_EQ(why.dose_caps.back().now, mol(8.0));
  EXPECT_EQ(why.dose_caps.back().next, mol(7.9));
  EXPECT_TRUE(why.dose_caps.back().broken_next);
  EXPECT_EQ(why.next_setting, 78U);
}

TEST(Explanation, HasNoNextSettingAtTheGoal) {
  const RampProblem problem = problem_with_fine_dial(50, group_from(8.0));
  const Explanation why = explain(problem, compute_plan(problem), 0, 0);
  EXPECT_FALSE(why.next_setting);
  EXPECT_FALSE(why.binding);
  EXPECT_FALSE(why.days_to_next);
  for (const auto& line : why.dose_caps) {
    EXPECT_FALSE(line.next);
    EXPECT_FALSE(line.broken_next);
  }
}

TEST(Explanation, HasNoDaysToAStepThatIsBarredForGood) {
  const RampProblem problem = problem_with_doses({5.0, 7.0}, 1, group_from(5.0));
  const Explanation why = explain(problem, compute_plan(problem), 0, 0);
  ASSERT_TRUE(why.binding);
  EXPECT_FALSE(why.days_to_next);
}

TEST(Explanation, HasNoDaysToAStepThatTheGroupBearsAlready) {
  RampProblem problem = problem_with_fine_dial(80, group_from(5.0));
  problem.groups.push_back(group_from(8.0));
  const Plan plan = compute_plan(problem);
  EXPECT_FALSE(explain(problem, plan, 0, 1).binding);
  EXPECT_FALSE(explain(problem, plan, 0, 1).days_to_next);
  EXPECT_TRUE(explain(problem, plan, 0, 0).days_to_next);
}

PlanDay held_day(std::size_t setting, std::size_t group, Cap cap) {
  return {setting, HeldBy{HeldBy::Group{group, {cap, 1.1}}}, {}};
}

Plan plan_with(std::vector<PlanDay> days) {
  Plan plan{};
  plan.days = std::move(days);
  return plan;
}

TEST(SummaryOfHolds, CountsDaysByGroupAndCapLongestFirst) {
  const Plan plan = plan_with({held_day(0, 0, Cap::dose_pace), held_day(0, 1, Cap::peak_pace),
                               held_day(1, 1, Cap::peak_pace), held_day(1, 1, Cap::dose_pace),
                               held_day(2, 1, Cap::peak_pace), held_day(2, 0, Cap::dose_pace)});
  const std::vector<Hold> holds = summarize_holds(plan);
  ASSERT_EQ(holds.size(), 3U);
  EXPECT_EQ(holds[0].group, 1U);
  EXPECT_EQ(holds[0].cap, Cap::peak_pace);
  EXPECT_EQ(holds[0].days, 3U);
  EXPECT_EQ(holds[1].group, 0U);
  EXPECT_EQ(holds[1].cap, Cap::dose_pace);
  EXPECT_EQ(holds[1].days, 2U);
  EXPECT_EQ(holds[2].group, 1U);
  EXPECT_EQ(holds[2].cap, Cap::dose_pace);
  EXPECT_EQ(holds[2].days, 1U);
}

TEST(SummaryOfHolds, LeavesOutTheGoalAndDaysThatWaitForAStepDay) {
  const Plan plan = plan_with({{0, HeldBy{}, {}}, held_day(0, 0, Cap::dose_pace), {1, {}, {}}});
  const std::vector<Hold> holds = summarize_holds(plan);
  ASSERT_EQ(holds.size(), 1U);
  EXPECT_EQ(holds[0].days, 1U);
}

TEST(SummaryOfHolds, AddsUpToTheDaysOfAPlanShortOfTheGoal) {
  RampProblem problem = problem_with_fine_dial(80, group_from(5.0));
  problem.groups.push_back(group_from(5.3));
  problem.groups[1].tolerance.weekly_rise = percent(11.0);
  const Plan plan = compute_plan(problem);
  std::size_t days = 0;
  for (const Hold& hold : summarize_holds(plan)) days += hold.days;
  EXPECT_EQ(days, plan.goal_day);
  EXPECT_EQ(summarize_holds(plan).front().group, 1U);
}

TEST(ListOfSteps, JoinsDaysOfOneSetting) {
  const Plan plan = plan_with({{4, {}, {}}, {4, {}, {}}, {5, {}, {}}, {4, {}, {}}, {4, {}, {}}});
  const std::vector<Step> steps = list_steps(plan);
  ASSERT_EQ(steps.size(), 3U);
  EXPECT_EQ(steps[0].first_day, 0U);
  EXPECT_EQ(steps[0].last_day, 1U);
  EXPECT_EQ(steps[1].first_day, 2U);
  EXPECT_EQ(steps[1].last_day, 2U);
  EXPECT_EQ(steps[2].first_day, 3U);
  EXPECT_EQ(steps[2].last_day, 4U);
}

/// Settings 0 to 3 on the way to a line from 4 to 8.
Plan even_plan(const std::vector<std::size_t>& settings) {
  std::vector<PlanDay> days;
  for (const std::size_t setting : settings) days.push_back({setting, {}, {}});
  Plan plan = plan_with(std::move(days));
  plan.even = EvenRamp{4, 8, true};
  return plan;
}

TEST(ListOfSteps, TakesAnEvenRampAndTheDaysAfterItAsOne) {
  const std::vector<Step> steps = list_steps(even_plan({4, 5, 6, 7, 8, 8, 8}));
  ASSERT_EQ(steps.size(), 1U);
  EXPECT_TRUE(steps[0].is_even());
  EXPECT_EQ(steps[0].reached_day, 4U);
  EXPECT_EQ(steps[0].last_day, 6U);
}

TEST(ListOfSteps, BeginsAnewWhereAnEvenRampWasCutAndBelowItsLine) {
  // A cut back to 3, which is not on the line, a wait, and on from the line's start.
  const std::vector<Step> steps = list_steps(even_plan({4, 5, 3, 3, 4, 5, 6}));
  ASSERT_EQ(steps.size(), 3U);
  EXPECT_EQ(steps[0].reached_day, 1U);
  EXPECT_EQ(steps[0].last_day, 1U);
  EXPECT_FALSE(steps[1].is_even());
  EXPECT_EQ(steps[1].last_day, 3U);
  EXPECT_EQ(steps[2].first_day, 4U);
  EXPECT_EQ(steps[2].reached_day, 6U);
}

TEST(ListOfSteps, GoesOnAfterAHoldInAStretchOfItsOwn) {
  const Plan plan = even_plan({4, 5, 5, 5, 6, 7});
  const std::vector<Step> steps = list_steps(plan);
  ASSERT_EQ(steps.size(), 2U);
  EXPECT_EQ(steps[0].reached_day, 1U);
  EXPECT_EQ(steps[0].last_day, 3U);
  EXPECT_EQ(steps[1].first_day, 4U);
  EXPECT_EQ(steps[1].reached_day, 5U);
  EXPECT_EQ(find_next_change(plan, 0), 1U);
  EXPECT_EQ(find_next_change(plan, 2), 4U);
  EXPECT_EQ(find_next_change(plan, 4), 5U);
  EXPECT_FALSE(find_next_change(plan, 5));
}

TEST(ListOfSteps, IsEmptyForAPlanWithoutDays) { EXPECT_TRUE(list_steps(plan_with({})).empty()); }

TEST(ListOfSteps, CoversEveryDayOfAPlanOnce) {
  const Plan plan = compute_plan(upward());
  std::size_t next = 0;
  for (const Step& step : list_steps(plan)) {
    EXPECT_EQ(step.first_day, next);
    for (std::size_t day = step.first_day; day <= step.last_day; ++day) {
      EXPECT_EQ(plan.days[day].setting, plan.days[step.first_day].setting);
    }
    next = step.last_day + 1;
  }
  EXPECT_EQ(next, plan.days.size());
}

TEST(NextChange, IsTheFirstDayWithAnotherSetting) {
  const Plan plan = plan_with({{4, {}, {}}, {4, {}, {}}, {5, {}, {}}, {5, {}, {}}});
  EXPECT_EQ(find_next_change(plan, 0), 2U);
  EXPECT_EQ(find_next_change(plan, 1), 2U);
  EXPECT_FALSE(find_next_change(plan, 2));
  EXPECT_FALSE(find_next_change(plan, 3));
}

TEST(DayToLook, IsEverySeventhFromTheFirstOn) {
  EXPECT_TRUE(is_day_to_look(0));
  EXPECT_FALSE(is_day_to_look(6));
  EXPECT_TRUE(is_day_to_look(7));
  EXPECT_FALSE(is_day_to_look(8));
}

class JudgementOfAGoal : public ::testing::Test {
 protected:
  /// A goal for corals of the band 4 to 10 with a ceiling of 400.
  static GoalFit judge(double dose, double peak, const Exposure& before) {
    RampGroup group = group_from(5.0);
    group.before = before;
    group.tolerance.dose_band = {mol(4.0), mol(10.0)};
    group.tolerance.peak_ceiling = umol(400.0);
    RampProblem problem = problem_with_doses({dose}, 0, group);
    problem.exposures.at(0, 0).peak = umol(peak);
    return judge_goal(problem, group);
  }
  const Exposure modest_{mol(5.0), umol(200.0)};
};

TEST_F(JudgementOfAGoal, IsRightWithinTheBandAndUnderTheCeiling) {
  for (const double dose : {4.0, 7.0, 10.0}) {
    const GoalFit fit = judge(dose, 400.0, modest_);
    EXPECT_EQ(fit.verdict, GoalVerdict::right);
    EXPECT_EQ(fit.goal.dose, mol(dose));
    EXPECT_EQ(fit.dose_ratio, 1.0);
    EXPECT_EQ(fit.peak_ratio, 1.0);
    EXPECT_FALSE(fit.outranked_by_history);
  }
}

TEST_F(JudgementOfAGoal, IsTooDimUnderTheBand) {
  const GoalFit fit = judge(3.0, 200.0, modest_);
  EXPECT_EQ(fit.verdict, GoalVerdict::too_dim);
  EXPECT_NEAR(fit.dose_ratio, 0.75, 1e-12);
}

TEST_F(JudgementOfAGoal, IsTooBrightOverTheBand) {
  const GoalFit fit = judge(15.0, 200.0, modest_);
  EXPECT_EQ(fit.verdict, GoalVerdict::too_bright);
  EXPECT_NEAR(fit.dose_ratio, 1.5, 1e-12);
  EXPECT_EQ(fit.peak_ratio, 1.0);
}

TEST_F(JudgementOfAGoal, IsTooBrightOverTheCeiling) {
  const GoalFit fit = judge(7.0, 500.0, modest_);
  EXPECT_EQ(fit.verdict, GoalVerdict::too_bright);
  EXPECT_EQ(fit.dose_ratio, 1.0);
  EXPECT_NEAR(fit.peak_ratio, 1.25, 1e-12);
}

TEST_F(JudgementOfAGoal, IsTooBrightOverTheCeilingEvenWhereItIsDimByDose) {
  EXPECT_EQ(judge(3.0, 500.0, modest_).verdict, GoalVerdict::too_bright);
}

TEST_F(JudgementOfAGoal, IsRightWhereItsHistoryOutranksItsClass) {
  const GoalFit fit = judge(15.0, 500.0, {mol(15.0), umol(600.0)});
  EXPECT_EQ(fit.verdict, GoalVerdict::right);
  EXPECT_TRUE(fit.outranked_by_history);
  EXPECT_NEAR(fit.dose_ratio, 1.5, 1e-12);
  EXPECT_NEAR(fit.peak_ratio, 1.25, 1e-12);
}

TEST_F(JudgementOfAGoal, IsTooBrightWhereItsHistoryOutranksOneOfTheTwo) {
  const GoalFit fit = judge(15.0, 500.0, {mol(20.0), umol(300.0)});
  EXPECT_EQ(fit.verdict, GoalVerdict::too_bright);
  EXPECT_FALSE(fit.outranked_by_history);
}

/// A goal of 3 mol for corals of two kinds that are used to 5: one may lose half of it at
/// once, the other 30 %.
RampProblem dim_goal(double goal) {
  RampProblem problem = problem_with_doses({1.0, goal, 9.0}, 1, group_from(5.0));
  Tolerance choosy = wide_tolerance();
  choosy.floor = percent(30.0);
  problem.groups.push_back(group_from(5.0, choosy));
  return problem;
}

TEST(DimStart, IsOfTheGroupsWhoseFloorTheGoalBreaks) {
  const std::vector<DimStart> one = list_dim_starts(dim_goal(3.0));
  ASSERT_EQ(one.size(), 1u);
  EXPECT_EQ(one[0].group, 1u);
  EXPECT_NEAR(one[0].share, 0.6, 1e-12);
  EXPECT_NEAR(one[0].least_share, 0.7, 1e-12);
  EXPECT_EQ(list_dim_starts(dim_goal(2.4)).size(), 2u);
  // At the floor itself.
  EXPECT_TRUE(list_dim_starts(dim_goal(3.5)).empty());
}

TEST(DimStart, GoesByWhatOfItsLightCounts) {
  RampProblem problem = dim_goal(3.0);
  // Under another light 80 % of it: 0.7 of 4.0 is less than the goal.
  problem.groups[1].used_to.dose = mol(4.0);
  EXPECT_TRUE(list_dim_starts(problem).empty());
}

TEST(DimStart, IsNoneWhereTheLightsStay) {
  EXPECT_TRUE(list_dim_starts(from_base(dim_goal(1.5), 2)).empty());
}

}  // namespace
}  // namespace slowdawn
