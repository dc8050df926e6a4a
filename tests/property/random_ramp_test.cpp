#include <gtest/gtest.h>

#include <algorithm>
#include <slowdawn/ramp/planner.hpp>
#include <string>

#include "property/naive_check.hpp"
#include "property/random_ramp.hpp"

namespace slowdawn {
namespace {

constexpr std::uint64_t first_seed = 70000;
constexpr std::uint64_t seeds = 3000;

std::string name_of(std::uint64_t seed) { return "seed " + std::to_string(seed); }

TEST(RandomRamp, KeepsEveryRuleOfAnIndependentCheck) {
  testing::PlanTraits seen;
  int reached = 0;
  int held = 0;
  int unopened = 0;
  int held_by_excitation = 0;
  for (std::uint64_t seed = first_seed; seed < first_seed + seeds; ++seed) {
    SCOPED_TRACE(name_of(seed));
    const RampProblem problem = testing::RampDraw{seed}.any();
    const Plan plan = compute_plan(problem);
    testing::NaiveCheck check{problem, plan};
    check.run();
    if (HasFatalFailure()) return;
    reached += plan.status == PlanStatus::reaches_goal;
    held += plan.status == PlanStatus::held;
    for (const PlanDay& day : plan.days) {
      const bool is_by = day.held_by && day.held_by->by;
      held_by_excitation += is_by && day.held_by->by->breach.cap == Cap::excitation;
    }
    unopened += plan.status == PlanStatus::no_safe_opening;
    seen.retreats += check.traits.retreats;
    seen.retreats_later += check.traits.retreats_later;
    seen.steps_up += check.traits.steps_up;
    seen.steps_down += check.traits.steps_down;
    seen.waits_for_step_day += check.traits.waits_for_step_day;
  }
  // The draw must not miss a kind of ramp.
  EXPECT_GT(reached, 300);
  EXPECT_GT(held, 300);
  EXPECT_GT(unopened, 30);
  EXPECT_GT(held_by_excitation, 500);
  EXPECT_GT(seen.retreats, 100);
  EXPECT_GT(seen.steps_up, 5000);
  EXPECT_GT(seen.steps_down, 500);
  EXPECT_GT(seen.waits_for_step_day, 5000);
  // What a group bears today it bears again tomorrow: A moves toward the dose,
  // and L never falls under it. So nothing but the first day sends a plan back.
  EXPECT_EQ(seen.retreats_later, 0);
}

TEST(RandomRamp, IsTheSameEveryTime) {
  for (std::uint64_t seed = first_seed; seed < first_seed + 50; ++seed) {
    SCOPED_TRACE(name_of(seed));
    const RampProblem problem = testing::RampDraw{seed}.any();
    const Plan once = compute_plan(problem);
    const Plan again = compute_plan(problem);
    ASSERT_EQ(once.days.size(), again.days.size());
    for (std::size_t day = 0; day < once.days.size(); ++day) {
      ASSERT_EQ(once.days[day].setting, again.days[day].setting);
    }
  }
}

/// The setting of a day; a plan that has ended stays where it is.
std::size_t setting_on(const Plan& plan, std::size_t day) {
  return plan.days[std::min(day, plan.days.size() - 1)].setting;
}

TEST(BrighterHistory, NeverMakesARampOfOneLightUpSlower) {
  int compared = 0;
  int faster = 0;
  for (std::uint64_t seed = first_seed; seed < first_seed + 2 * seeds; ++seed) {
    SCOPED_TRACE(name_of(seed));
    testing::RampDraw draw{seed};
    const RampProblem dim = draw.one_light_up();
    RampProblem bright = dim;
    for (RampGroup& group : bright.groups) {
      const double scale = draw.dice().real(1.0, 1.6);
      group.before = {scale * group.before.dose, scale * group.before.peak};
      group.used_to = {scale * group.used_to.dose, scale * group.used_to.peak};
    }
    const Plan slow = compute_plan(dim);
    const Plan fast = compute_plan(bright);
    if (slow.status == PlanStatus::no_safe_opening) continue;
    ASSERT_NE(fast.status, PlanStatus::no_safe_opening);
    if (slow.goal_day) {
      ++compared;
      ASSERT_TRUE(fast.goal_day);
      ASSERT_LE(*fast.goal_day, *slow.goal_day);
      faster += *fast.goal_day < *slow.goal_day;
    }
    const std::size_t days = std::max(slow.days.size(), fast.days.size());
    for (std::size_t day = 0; day < days; ++day) {
      ASSERT_GE(setting_on(fast, day), setting_on(slow, day)) << "day " << day;
    }
  }
  EXPECT_GT(compared, 500);
  EXPECT_GT(faster, 300);
}

}  // namespace
}  // namespace slowdawn
