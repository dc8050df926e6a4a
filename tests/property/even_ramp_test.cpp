// The shortest even ramp against every even ramp there is, held against the caps as
// they are written down a second time (naive_check.hpp).
#include <gtest/gtest.h>

#include <slowdawn/ramp/even_ramp.hpp>
#include <slowdawn/ramp/schedule.hpp>

#include "property/dialled_ramp.hpp"
#include "property/naive_check.hpp"

namespace slowdawn {
namespace {

using testing::DialledRamp;
using testing::Dice;
using testing::NaiveGroup;

/// Ramps are searched up to so many days; longer ones are left out.
constexpr std::size_t most_days = 50;

std::vector<double> dials_on(const Setting& from, const Setting& to, std::size_t days,
                             std::size_t day) {
  std::vector<double> dials;
  for (std::size_t j = 0; j < from.size(); ++j) {
    const double a = from[j].percent();
    const double b = to[j].percent();
    dials.push_back(days == 0 ? b
                              : a + (b - a) * static_cast<double>(day) / static_cast<double>(days));
  }
  return dials;
}

Setting to_setting(const std::vector<double>& dials) {
  Setting setting;
  for (const double dial : dials) setting.push_back(Percent::of_full(std::round(dial * 1e9) / 1e9));
  return setting;
}

bool is_borne(const DialledRamp& ramp, const Setting& from, const Setting& to, std::size_t days) {
  std::vector<NaiveGroup> groups;
  for (const RampGroup& group : ramp.problem.groups) groups.emplace_back(group);
  std::vector<Exposure> before;
  if (!ramp.problem.lights_change) {
    before = ramp.expose(ramp.problem.path.settings[*ramp.problem.path.base]);
    for (std::size_t g = 0; g < groups.size(); ++g) {
      // What is more than a group bears is left, however far down.
      if (before.empty()) break;
      const Exposure& there = before[g];
      if (!groups[g].broken(there.dose.mol_m2_d(), there.peak.umol_m2_s()).empty()) before.clear();
    }
  }
  for (std::size_t day = 0; day <= days; ++day) {
    const Setting dials = to_setting(dials_on(from, to, days, day));
    const std::vector<Exposure> today = ramp.expose(dials);
    const std::size_t next = testing::naive_brighter(ramp.problem.path, dials);
    for (std::size_t g = 0; g < groups.size(); ++g) {
      const double dose = today[g].dose.mol_m2_d();
      const double peak = today[g].peak.umol_m2_s();
      std::optional<double> left;
      if (!before.empty()) left = before[g].dose.mol_m2_d();
      if (!groups[g].broken(dose, peak, left).empty()) return false;
      const Exposure& brighter = ramp.problem.exposures.at(next, g);
      groups[g].live(dose, peak, brighter.dose.mol_m2_d(), brighter.peak.umol_m2_s());
    }
    before = today;
  }
  return true;
}

struct NaiveLine {
  std::size_t from;
  std::size_t to;
  std::size_t days;
};

/// Every end from the goal back, every length, every start from the brightest.
std::optional<NaiveLine> search(const DialledRamp& ramp, bool& is_cut_short) {
  const std::vector<Setting>& settings = ramp.whole.settings;
  const bool up = !ramp.whole.base || ramp.whole.goal >= *ramp.whole.base;
  const auto last = static_cast<long>(settings.size()) - 1;
  const auto goal = static_cast<long>(ramp.whole.goal);
  for (long end = goal; up ? end >= 0 : end <= last; end += up ? -1 : 1) {
    for (std::size_t days = 0; days <= most_days; ++days) {
      for (long start = up ? end : last; start >= (up ? 0 : end); --start) {
        if ((start == end) != (days == 0)) continue;
        const auto a = static_cast<std::size_t>(start);
        const auto b = static_cast<std::size_t>(end);
        if (is_borne(ramp, settings[a], settings[b], days)) return NaiveLine{a, b, days};
      }
    }
    // A longer ramp to this end might do, which is not searched here.
    is_cut_short = true;
  }
  return std::nullopt;
}

struct Counts {
  int found = 0;
  int at_goal = 0;
  int of_days = 0;
  int down = 0;
};

void compare_with_every_line(std::uint64_t seed, int light_count, Counts& counts) {
  Dice dice{seed};
  const DialledRamp ramp = testing::draw_dialled_ramp(dice, light_count, 8.0, 26.0);
  const auto found = find_even_line(ramp.problem, ramp.whole, ramp.expose);
  bool is_cut_short = false;
  const auto wanted = search(ramp, is_cut_short);
  ASSERT_EQ(found.has_value(), wanted.has_value());
  if (!found) return;
  ++counts.found;
  const bool at_goal = found->to == ramp.whole.settings[ramp.whole.goal];
  if (at_goal) ++counts.at_goal;
  if (found->days > 0) ++counts.of_days;
  if (ramp.whole.base && ramp.whole.goal < *ramp.whole.base) ++counts.down;
  // Where the naive search stops early, the real one must have got further.
  if (is_cut_short && found->days > most_days) return;
  EXPECT_EQ(found->from, ramp.whole.settings[wanted->from]);
  EXPECT_EQ(found->to, ramp.whole.settings[wanted->to]);
  EXPECT_EQ(found->days, wanted->days);
}

TEST(EvenRamp, IsTheShortestOfAllWithOneLight) {
  Counts counts;
  for (std::uint64_t seed = 1; seed <= 150; ++seed) {
    SCOPED_TRACE("seed " + std::to_string(seed));
    compare_with_every_line(seed, 1, counts);
  }
  // The draw brings up every kind of ramp.
  EXPECT_GT(counts.found, 100);
  EXPECT_GT(counts.at_goal, 60);
  EXPECT_GT(counts.of_days, 40);
  EXPECT_GT(counts.down, 10);
}

TEST(EvenRamp, IsTheShortestOfAllWithTwoLights) {
  Counts counts;
  for (std::uint64_t seed = 1001; seed <= 1080; ++seed) {
    SCOPED_TRACE("seed " + std::to_string(seed));
    compare_with_every_line(seed, 2, counts);
  }
  EXPECT_GT(counts.found, 40);
  EXPECT_GT(counts.of_days, 20);
}

/// The plan of a line goes along it day by day, and a schedule of it breaks no cap.
TEST(EvenRamp, IsWhatItsPlanDoesAndWhatItsScheduleBears) {
  int followed = 0;
  for (std::uint64_t seed = 1; seed <= 200; ++seed) {
    SCOPED_TRACE("seed " + std::to_string(seed));
    Dice dice{seed};
    const DialledRamp ramp =
        testing::draw_dialled_ramp(dice, 1 + static_cast<int>(seed % 2), 10, 90);
    const auto line = find_even_line(ramp.problem, ramp.whole, ramp.expose);
    if (!line) continue;
    const RampProblem even = with_line(ramp.problem, ramp.whole, *line, ramp.expose);
    const Plan plan = compute_plan(even);
    ASSERT_GT(plan.days.size(), line->days);
    std::vector<Setting> days;
    for (std::size_t day = 0; day <= line->days; ++day) {
      days.push_back(even.path.settings[plan.days[day].setting]);
      ASSERT_EQ(days.back(), setting_on(*line, day)) << "day " << day;
    }
    const bool at_goal = line->to == ramp.whole.settings[ramp.whole.goal];
    EXPECT_EQ(plan.goal_day, at_goal ? std::optional{line->days} : plan.goal_day);
    const ScheduleVerdict verdict = judge_schedule(ramp.problem, schedule_start(ramp.problem), days,
                                                   ramp.ranges(), ramp.expose);
    EXPECT_TRUE(verdict.breaks.empty());
    EXPECT_EQ(verdict.nearest, days);
    ++followed;
  }
  EXPECT_GT(followed, 120);
}

}  // namespace
}  // namespace slowdawn
