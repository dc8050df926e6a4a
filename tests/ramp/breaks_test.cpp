#include <gtest/gtest.h>

#include <algorithm>
#include <slowdawn/ramp/breaks.hpp>
#include <slowdawn/ramp/explanation.hpp>
#include <slowdawn/ramp/walk.hpp>

#include "ramp/make_problem.hpp"

namespace slowdawn {
namespace {

using testing::from_base;
using testing::group_from;
using testing::has_note;
using testing::mol;
using testing::percent;
using testing::problem_with_doses;
using testing::problem_with_fine_dial;
using testing::umol;
using testing::wide_tolerance;

RampProblem upward() { return problem_with_fine_dial(90, group_from(5.0)); }

RampProblem into_the_band() {
  Tolerance tolerance = wide_tolerance();
  tolerance.dose_band.high = mol(8.05);
  return problem_with_fine_dial(90, group_from(5.0, tolerance));
}

RampProblem downward() {
  Tolerance tolerance = wide_tolerance();
  tolerance.floor = percent(20.0);
  return from_base(problem_with_fine_dial(30, group_from(10.0, tolerance)), 99);
}

/// From 12 to 9 in one step, which is more than a floor of 20 % lets go.
RampProblem downward_in_leaps() {
  Tolerance tolerance = wide_tolerance();
  tolerance.floor = percent(20.0);
  return from_base(problem_with_doses({9.0, 12.0}, 0, group_from(12.0, tolerance)), 1);
}

/// The last step is over the headroom of 30 %.
RampProblem too_coarse() { return problem_with_doses({4.0, 5.0, 6.4, 8.5}, 3, group_from(5.0)); }

struct BrokenRamp {
  const char* name;
  RampProblem (*make)();
  /// How the cap that holds the plan on its last day heals; empty where it gets to its goal.
  std::optional<Healing> at_the_end;
  std::optional<Cap> for_good;
};

class Breaks : public ::testing::TestWithParam<BrokenRamp> {
 protected:
  RampProblem problem_ = GetParam().make();
  Plan plan_ = compute_plan(problem_);
};

TEST_P(Breaks, AreTheBrokenLinesOfTheExplanation) {
  std::size_t found = 0;
  for (std::size_t day = 0; day < plan_.days.size(); ++day) {
    const Explanation why = explain(problem_, plan_, day, 0);
    std::vector<Cap> broken;
    for (const auto& line : why.dose_caps) {
      if (line.broken_next) broken.push_back(line.cap);
    }
    for (const auto& line : why.peak_caps) {
      if (line.broken_next) broken.push_back(line.cap);
    }
    std::sort(broken.begin(), broken.end());
    std::vector<Cap> listed;
    const auto breaks = list_breaks(problem_, plan_, day, 0);
    for (const BrokenCap& each : breaks) listed.push_back(each.cap);
    EXPECT_EQ(listed, broken) << "day " << day;
    found += listed.size();
    if (breaks.empty()) continue;
    ASSERT_TRUE(why.binding);
    EXPECT_EQ(worst_of(breaks).cap, why.binding->cap) << "day " << day;
    EXPECT_NEAR(worst_of(breaks).ratio(), why.binding->ratio, 1e-12) << "day " << day;
  }
  EXPECT_GT(found, 0U);
}

TEST_P(Breaks, HealWithTimeWhereWaitingAllowsTheNextSetting) {
  for (std::size_t day = 0; day < plan_.days.size(); ++day) {
    const auto breaks = list_breaks(problem_, plan_, day, 0);
    if (breaks.empty()) continue;
    const bool all_heal = std::all_of(breaks.begin(), breaks.end(), [](const BrokenCap& broken) {
      return broken.heals == Healing::time;
    });
    EXPECT_EQ(explain(problem_, plan_, day, 0).days_to_next.has_value(), all_heal) << "day " << day;
  }
}

TEST_P(Breaks, OfTheLastDayBarThePlanForGoodWhereNoneHeals) {
  const auto breaks = list_breaks(problem_, plan_, plan_.days.size() - 1);
  ASSERT_EQ(breaks.empty(), !GetParam().at_the_end);
  ASSERT_EQ(plan_.held_for_good_by.has_value(), GetParam().for_good.has_value());
  if (!breaks.empty()) {
    EXPECT_EQ(worst_of(breaks).heals, *GetParam().at_the_end);
  }
  if (!plan_.held_for_good_by) return;
  EXPECT_EQ(plan_.held_for_good_by->group, 0U);
  EXPECT_EQ(plan_.held_for_good_by->breach.cap, *GetParam().for_good);
}

constexpr BrokenRamp broken_ramps[] = {
    {"Upward", upward, {}, {}},
    {"IntoTheBand", into_the_band, Healing::never, Cap::dose_band},
    {"Downward", downward, {}, {}},
    {"DownwardInLeaps", downward_in_leaps, Healing::never, {}},
    {"TooCoarse", too_coarse, Healing::never, Cap::dose_headroom},
};

INSTANTIATE_TEST_SUITE_P(Ramps, Breaks, ::testing::ValuesIn(broken_ramps),
                         [](const auto& each) { return std::string(each.param.name); });

TEST(BreaksOfAPlan, AreOfEveryGroupThatTheDialWaitsFor) {
  RampProblem problem = problem_with_doses({5.0, 6.0, 7.0}, 2, group_from(5.0));
  problem.exposures = ExposureTable{3, 2};
  for (std::size_t setting = 0; setting < 3; ++setting) {
    const double dose = 5.0 + static_cast<double>(setting);
    problem.exposures.at(setting, 0) = {mol(dose), umol(50.0 * dose)};
    problem.exposures.at(setting, 1) = {mol(10.0 * dose), umol(500.0 * dose)};
  }
  problem.groups.push_back(group_from(50.0));
  problem.groups.push_back(group_from(5.5));
  problem.groups.push_back(group_from(5.0));
  // Never ready for ten times the light.
  problem.groups.back().wish = MoveWish{.to = 1};
  const Plan plan = compute_plan(problem);
  std::vector<std::size_t> groups;
  for (const BrokenCap& broken : list_breaks(problem, plan, 0)) {
    if (groups.empty() || groups.back() != broken.group) groups.push_back(broken.group);
  }
  EXPECT_EQ(groups, (std::vector<std::size_t>{0, 2}));
}

TEST(BreaksOfALook, AreHealedByGoodLooksAlone) {
  RampProblem problem = problem_with_fine_dial(90, group_from(5.0));
  problem.groups[0].check_in_limit = mol(6.0);
  const Plan plan = compute_plan(problem);
  const auto breaks = list_breaks(problem, plan, plan.days.size() - 1);
  ASSERT_EQ(breaks.size(), 1U);
  EXPECT_EQ(breaks.front().cap, Cap::check_in);
  EXPECT_EQ(breaks.front().heals, Healing::good_looks);
  EXPECT_EQ(breaks.front().limit, 6.0);
  EXPECT_FALSE(plan.held_for_good_by) << "it waits for looks, and not for ever";
  EXPECT_EQ(plan.status, PlanStatus::held);
}

/// A group that holds has no limit of its own: the light of the day is one.
TEST(BreaksOfALook, AreOfAGroupThatHoldsWithoutALimit) {
  RampProblem problem = problem_with_fine_dial(90, group_from(5.0));
  problem.groups[0].holds = true;
  const Plan plan = compute_plan(problem);
  const std::size_t last = plan.days.size() - 1;
  const auto breaks = list_breaks(problem, plan, last);
  ASSERT_FALSE(breaks.empty());
  EXPECT_EQ(breaks.back().cap, Cap::check_in);
  EXPECT_EQ(breaks.back().heals, Healing::good_looks);
  EXPECT_EQ(breaks.back().limit, plan.days[last].groups.exposure(0).dose.mol_m2_d());
}

TEST(HeldForGood, SaysThatEvenTheFirstSettingIsOver) {
  const RampProblem problem = from_base(problem_with_doses({5.0, 6.0, 7.0}, 2, group_from(5.0)), 0);
  RampWalk walk{problem};
  ASSERT_TRUE(walk.open());
  std::size_t day = 0;
  for (;; ++day) {
    if (day == 1) {
      RampGroup limited = problem.groups[0];
      limited.check_in_limit = mol(3.0);
      walk.change_group(day, 0, limited);
    }
    walk.choose(day);
    walk.record(day);
    if (walk.is_over(day)) break;
    walk.live_through();
  }
  const Plan plan = walk.finish();
  EXPECT_EQ(plan.days.back().setting, 0U);
  EXPECT_TRUE(has_note(plan, PlanNote::Kind::first_setting_is_over));
  ASSERT_TRUE(plan.held_for_good_by);
  EXPECT_EQ(plan.held_for_good_by->breach.cap, Cap::check_in);
  EXPECT_NEAR(plan.held_for_good_by->breach.ratio, 5.0 / 3.0, 1e-12);
}

}  // namespace
}  // namespace slowdawn
