#include <gtest/gtest.h>

#include <cmath>
#include <slowdawn/ramp/advice.hpp>
#include <slowdawn/ramp/moves.hpp>

#include "ramp/make_problem.hpp"

namespace slowdawn {
namespace {

using testing::from_base;
using testing::group_from;
using testing::has_note;
using testing::mol;
using testing::percent;
using testing::umol;
using testing::wide_tolerance;

/// One light at one setting, and spots with these doses; the peak is 50 umol for
/// every mol, so that the dose decides. The group lives at the first of them and
/// is used to it.
RampProblem still_light(const std::vector<double>& doses) {
  RampProblem problem;
  problem.path.settings = {{percent(50.0)}};
  problem.path.base = 0;
  problem.exposures = ExposureTable{1, doses.size()};
  for (std::size_t spot = 0; spot < doses.size(); ++spot) {
    problem.exposures.at(0, spot) = {mol(doses[spot]), umol(50.0 * doses[spot])};
  }
  problem.groups.push_back(group_from(doses.front()));
  return problem;
}

void give_readings(RampProblem& problem, std::size_t spots, double repeat) {
  for (std::size_t spot = 0; spot < spots; ++spot) {
    problem.readings.push_back({spot, repeat, repeat});
  }
}

TEST(MoveToMoreLight, WaitsUntilThePaceHasRisenThatFar) {
  // L rises by 15 % a week up to the next stop: 1.12 of it after ln 1.12 / ln 1.15
  // weeks = 5.68 days, so on day 6.
  RampProblem problem = still_light({10.0, 11.2});
  problem.groups[0].wish = MoveWish{.to = 1};
  const Plan plan = compute_plan(problem);
  ASSERT_EQ(plan.moves.size(), 1U);
  EXPECT_EQ(plan.moves.front(), (Move{6, 0, 1}));
  EXPECT_EQ(plan.days[5].groups[0].light.real.dose, mol(10.0));
  EXPECT_EQ(plan.days[6].groups[0].light.real.dose, mol(11.2));
  EXPECT_EQ(plan.status, PlanStatus::reaches_goal);
}

TEST(MoveToMoreLight, IsNeverMadePastTheHeadroom) {
  RampProblem problem = still_light({10.0, 13.1});
  problem.groups[0].wish = MoveWish{.to = 1};
  const Plan plan = compute_plan(problem);
  EXPECT_TRUE(plan.moves.empty());
  EXPECT_TRUE(has_note(plan, PlanNote::Kind::never_ready));
  problem.exposures.at(0, 1) = {mol(12.9), umol(50.0 * 12.9)};
  EXPECT_EQ(compute_plan(problem).moves.size(), 1U);
}

TEST(MoveToMoreLight, CountsWhatItIsUsedToForLessByTheDoubtOfTheReadings) {
  // 1.3 exp(-1.645 sqrt(2) 0.05) = 1.157.
  const double most = 1.3 * std::exp(-1.645 * std::sqrt(2.0) * 0.05);
  for (const double share : {0.999, 1.001}) {
    RampProblem problem = still_light({10.0, 10.0 * most * share});
    give_readings(problem, 2, 0.05);
    problem.groups[0].wish = MoveWish{.to = 1};
    EXPECT_EQ(compute_plan(problem).moves.empty(), share > 1.0) << share;
  }
}

TEST(MoveToMoreLight, StopsInBetweenWhereItIsTooFar) {
  RampProblem problem = still_light({10.0, 15.0, 12.2});
  problem.groups[0].wish = MoveWish{.to = 1, .via = {2}, .min_stay_days = 9};
  const Plan plan = compute_plan(problem);
  ASSERT_EQ(plan.moves.size(), 2U);
  EXPECT_EQ(plan.moves[0].spot, 2U);
  EXPECT_EQ(plan.moves[1].spot, 1U);
  EXPECT_GE(plan.moves[1].day, plan.moves[0].day + 9);
}

TEST(MoveToMoreLight, MakesNoMoveThatDoesNotBringItThereSooner) {
  RampProblem problem = still_light({10.0, 11.2, 10.6});
  problem.groups[0].wish = MoveWish{.to = 1, .via = {2}, .min_stay_days = 1};
  const Plan plan = compute_plan(problem);
  ASSERT_EQ(plan.moves.size(), 1U);
  EXPECT_EQ(plan.moves.front().day, 6U);
}

TEST(MoveToLessLight, KeepsTheFloor) {
  // The floor is half of what it is used to.
  RampProblem problem = still_light({10.0, 4.9});
  problem.groups[0].wish = MoveWish{.to = 1};
  EXPECT_TRUE(compute_plan(problem).moves.empty());
  problem.exposures.at(0, 1) = {mol(5.1), umol(255.0)};
  const Plan plan = compute_plan(problem);
  ASSERT_EQ(plan.moves.size(), 1U);
  EXPECT_EQ(plan.moves.front().day, 0U);
}

/// A dial of 1 to 20 that goes from 10 to 20: spot 0 gets 1 mol for each, spot 1
/// 0.4. The first group stays at spot 1, the second is to move from 1 to 0.
RampProblem rising_light() {
  RampProblem problem;
  problem.exposures = ExposureTable{20, 2};
  for (std::size_t i = 0; i < 20; ++i) {
    const double dial = static_cast<double>(i + 1);
    problem.path.settings.push_back({percent(dial)});
    problem.exposures.at(i, 0) = {mol(dial), umol(50.0 * dial)};
    problem.exposures.at(i, 1) = {mol(0.4 * dial), umol(20.0 * dial)};
  }
  problem.path.base = 9;
  problem.path.goal = 19;
  problem.groups = {group_from(4.0), group_from(4.0)};
  for (RampGroup& group : problem.groups) group.spot = 1;
  return problem;
}

TEST(DialWithMoves, DoesNotWaitForAGroupThatCanWait) {
  RampProblem problem = rising_light();
  problem.groups[1].name = "mover";
  RampProblem alone = problem;
  alone.groups.pop_back();
  // Slower than the other: by itself it would hold the dial.
  problem.groups[1].tolerance.weekly_rise = percent(14.9);
  problem.groups[1].wish = MoveWish{.to = 0};
  const Plan plan = compute_plan(problem);
  const Plan theirs = compute_plan(alone);
  ASSERT_TRUE(plan.goal_day);
  // It can neither go (2.5 times the light) nor, being slower, wait: it joins.
  RampProblem both = problem;
  both.groups[1].wish.reset();
  EXPECT_EQ(*plan.goal_day, *compute_plan(both).goal_day);
  // As quick as the other, it waits, and the dial is the other's.
  problem.groups[1].tolerance = alone.groups[0].tolerance;
  const Plan waiting = compute_plan(problem);
  ASSERT_GE(waiting.days.size(), theirs.days.size());
  for (std::size_t day = 0; day < theirs.days.size(); ++day) {
    EXPECT_EQ(waiting.days[day].setting, theirs.days[day].setting) << day;
  }
}

TEST(DialWithMoves, GoesOnWithoutAGroupThatLeavesTheBrightSpot) {
  // The mover comes from the bright spot, where its band ends before the goal.
  RampProblem problem = rising_light();
  problem.groups[1] = group_from(10.0);
  problem.groups[1].tolerance.dose_band.high = mol(12.0);
  problem.groups[1].tolerance.floor = percent(70.0);
  RampProblem staying = problem;
  problem.groups[1].wish = MoveWish{.to = 1};
  const Plan plan = compute_plan(problem);
  ASSERT_EQ(plan.moves.size(), 1U);
  EXPECT_EQ(plan.moves.front().day, 0U);
  EXPECT_TRUE(plan.goal_day);
  EXPECT_FALSE(compute_plan(staying).goal_day);
}

TEST(Advice, GainsWhatItSays) {
  // One of two groups is slow, and at the bright spot. At the dim one it is in
  // nobody's way.
  RampProblem problem = rising_light();
  problem.groups[1] = group_from(10.0);
  problem.groups[1].tolerance.weekly_rise = percent(4.0);
  problem.groups[1].tolerance.floor = percent(70.0);
  const Plan plan = compute_plan(problem);
  const auto advice = find_advice(problem, plan, {true, true});
  ASSERT_TRUE(advice);
  EXPECT_EQ(advice->kind, Advice::Kind::other_spot);
  EXPECT_EQ(advice->group, 1U);
  EXPECT_EQ(advice->spot, 1U);
  RampProblem changed = problem;
  changed.groups[1].spot = 1;
  changed.groups[1].wish = MoveWish{.to = 0};
  const Plan better = compute_plan(changed);
  EXPECT_EQ(*better.goal_day, advice->goal_day);
  // It never comes back, so it may as well belong there.
  EXPECT_FALSE(advice->until);
  changed.groups[1].wish.reset();
  EXPECT_EQ(*compute_plan(changed).goal_day, advice->goal_day);
  EXPECT_EQ(*plan.goal_day - advice->goal_day, advice->days_sooner);
  EXPECT_GE(*advice->days_sooner, days_worth_advice);
  // A fixed group is not moved.
  EXPECT_FALSE(find_advice(problem, plan, {true, false}));
}

TEST(Advice, IsNotASpotThatIsFull) {
  RampProblem problem = rising_light();
  problem.groups[1] = group_from(10.0);
  problem.groups[1].tolerance.weekly_rise = percent(4.0);
  problem.groups[1].tolerance.floor = percent(70.0);
  give_readings(problem, 2, 0.0);
  const Plan plan = compute_plan(problem);
  const std::vector<int> has_room{1, 2};
  const std::vector<int> is_full{1, 1};
  ASSERT_TRUE(find_advice(problem, plan, {true, true}, has_room));
  EXPECT_FALSE(find_advice(problem, plan, {true, true}, is_full));
}

TEST(Advice, TurnsTheDialDailyWhereThatIsEnough) {
  RampProblem problem = from_base(testing::problem_with_fine_dial(80, group_from(5.0)), 49);
  problem.every_days = 28;
  const Plan plan = compute_plan(problem);
  const auto advice = find_advice(problem, plan, {true});
  ASSERT_TRUE(advice);
  EXPECT_EQ(advice->kind, Advice::Kind::daily_steps);
  problem.every_days = 1;
  EXPECT_EQ(*compute_plan(problem).goal_day, advice->goal_day);
}

}  // namespace
}  // namespace slowdawn
