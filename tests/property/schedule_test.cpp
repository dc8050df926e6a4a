// judge_schedule against our own plans, which it must accept, and against the same
// plans with one day raised past its cap, which it must refuse.
#include <gtest/gtest.h>

#include <slowdawn/ramp/schedule.hpp>

#include "property/dialled_ramp.hpp"
#include "property/naive_check.hpp"

namespace slowdawn {
namespace {

using testing::DialledRamp;
using testing::Dice;
using testing::NaiveGroup;

std::vector<Setting> days_of(const RampProblem& problem, const Plan& plan) {
  std::vector<Setting> days;
  for (const PlanDay& day : plan.days) days.push_back(problem.path.settings[day.setting]);
  return days;
}

bool keeps_its_caps(const Plan& plan) {
  return !plan.days.empty() &&
         std::none_of(plan.notes.begin(), plan.notes.end(), [](const PlanNote& note) {
           return note.kind == PlanNote::Kind::stays_at_first_setting;
         });
}

/// The groups as they are before a day of a schedule, reckoned a second time.
std::vector<NaiveGroup> groups_before(const DialledRamp& ramp, const std::vector<Setting>& days,
                                      std::size_t day) {
  std::vector<NaiveGroup> groups;
  for (const RampGroup& group : ramp.problem.groups) groups.emplace_back(group);
  for (std::size_t d = 0; d < day; ++d) {
    const std::vector<Exposure> today = ramp.expose(days[d]);
    const std::size_t next = testing::naive_brighter(ramp.problem.path, days[d]);
    for (std::size_t g = 0; g < groups.size(); ++g) {
      const Exposure& brighter = ramp.problem.exposures.at(next, g);
      groups[g].live(today[g].dose.mol_m2_d(), today[g].peak.umol_m2_s(), brighter.dose.mol_m2_d(),
                     brighter.peak.umol_m2_s());
    }
  }
  return groups;
}

/// The groups that break a cap of too much under some dials.
std::vector<std::size_t> overlit(const DialledRamp& ramp, const std::vector<NaiveGroup>& groups,
                                 const Setting& dials) {
  const std::vector<Exposure> there = ramp.expose(dials);
  std::vector<std::size_t> found;
  for (std::size_t g = 0; g < groups.size(); ++g) {
    if (!groups[g].broken(there[g].dose.mol_m2_d(), there[g].peak.umol_m2_s()).empty()) {
      found.push_back(g);
    }
  }
  return found;
}

/// Raises one day by whole thousandths of its dials until a cap is broken.
std::optional<Setting> raise(const DialledRamp& ramp, const std::vector<NaiveGroup>& groups,
                             const Setting& dials) {
  for (double factor = 1.001; factor < 3.0; factor += 0.001) {
    Setting raised;
    for (const Percent dial : dials) {
      if (dial.percent() * factor > 100.0) return std::nullopt;
      raised.push_back(Percent::of_full(dial.percent() * factor));
    }
    if (!overlit(ramp, groups, raised).empty()) return raised;
  }
  return std::nullopt;
}

TEST(Schedule, AcceptsEveryPlanOfOurs) {
  int accepted = 0;
  for (std::uint64_t seed = 1; seed <= 400; ++seed) {
    SCOPED_TRACE("seed " + std::to_string(seed));
    Dice dice{seed};
    DialledRamp ramp = testing::draw_dialled_ramp(dice, 1 + static_cast<int>(seed % 2), 5.0, 95.0);
    ramp.problem.every_days = dice.whole(1, 9);
    const Plan plan = compute_plan(ramp.problem);
    if (!keeps_its_caps(plan)) continue;
    const std::vector<Setting> days = days_of(ramp.problem, plan);
    const ScheduleVerdict verdict = judge_schedule(ramp.problem, schedule_start(ramp.problem), days,
                                                   ramp.ranges(), ramp.expose);
    ASSERT_TRUE(verdict.breaks.empty()) << "day " << verdict.breaks.front().day;
    EXPECT_EQ(verdict.nearest, days);
    EXPECT_TRUE(verdict.nearest_is_safe);
    ++accepted;
  }
  EXPECT_GT(accepted, 250);
}

TEST(Schedule, RefusesEveryPlanWithOneDayRaisedPastItsCap) {
  int refused = 0;
  for (std::uint64_t seed = 1; seed <= 60; ++seed) {
    Dice dice{seed};
    const DialledRamp ramp =
        testing::draw_dialled_ramp(dice, 1 + static_cast<int>(seed % 2), 5.0, 95.0);
    const Plan plan = compute_plan(ramp.problem);
    if (!keeps_its_caps(plan)) continue;
    const std::vector<Setting> days = days_of(ramp.problem, plan);
    for (std::size_t day = 0; day < days.size(); day += 3) {
      SCOPED_TRACE("seed " + std::to_string(seed) + ", day " + std::to_string(day));
      const auto groups = groups_before(ramp, days, day);
      const auto raised = raise(ramp, groups, days[day]);
      if (!raised) continue;
      std::vector<Setting> proposed{days.begin(), days.begin() + static_cast<long>(day)};
      proposed.push_back(*raised);
      const ScheduleVerdict verdict = judge_schedule(ramp.problem, schedule_start(ramp.problem),
                                                     proposed, ramp.ranges(), ramp.expose);
      const auto wanted = overlit(ramp, groups, *raised);
      ASSERT_EQ(verdict.breaks.size(), wanted.size());
      for (std::size_t i = 0; i < wanted.size(); ++i) {
        EXPECT_EQ(verdict.breaks[i].day, day);
        EXPECT_EQ(verdict.breaks[i].group, wanted[i]);
        EXPECT_GT(verdict.breaks[i].value, verdict.breaks[i].limit);
      }
      // The change that it advises breaks none, and is nothing brighter.
      ASSERT_TRUE(verdict.nearest_is_safe);
      EXPECT_TRUE(overlit(ramp, groups, verdict.nearest[day]).empty());
      EXPECT_NE(verdict.nearest[day], *raised);
      ++refused;
    }
  }
  EXPECT_GT(refused, 300);
}

/// Whatever is proposed, the nearest schedule breaks no cap of its own days.
TEST(Schedule, AdvisesNoDayThatBreaksACap) {
  int mended = 0;
  for (std::uint64_t seed = 1; seed <= 200; ++seed) {
    SCOPED_TRACE("seed " + std::to_string(seed));
    Dice dice{seed};
    const DialledRamp ramp =
        testing::draw_dialled_ramp(dice, 1 + static_cast<int>(seed % 2), 5.0, 95.0);
    std::vector<Setting> days;
    Setting dials;
    for (int day = 0; day < 40; ++day) {
      if (day % 8 == 0) {
        dials.clear();
        for (std::size_t j = 0; j < ramp.lights.size(); ++j) {
          dials.push_back(Percent::of_full(dice.whole(1, 100)));
        }
      }
      days.push_back(dials);
    }
    const ScheduleStart start = schedule_start(ramp.problem);
    const ScheduleVerdict verdict =
        judge_schedule(ramp.problem, start, days, ramp.ranges(), ramp.expose);
    if (!verdict.nearest_is_safe) continue;
    const ScheduleVerdict again =
        judge_schedule(ramp.problem, start, verdict.nearest, ramp.ranges(), ramp.expose);
    ASSERT_TRUE(again.breaks.empty()) << "day " << again.breaks.front().day;
    if (!verdict.breaks.empty()) ++mended;
  }
  EXPECT_GT(mended, 100);
}

}  // namespace
}  // namespace slowdawn
