// The greedy plan against every sequence of settings that keeps the caps.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <slowdawn/ramp/planner.hpp>
#include <string>
#include <vector>

#include "property/dice.hpp"
#include "property/naive_check.hpp"

namespace slowdawn {
namespace {

/// Sequences followed at a time; a search goes on for as many days as that allows.
constexpr std::size_t most_sequences = 20000;
constexpr std::size_t most_days = 40;

/// Two or three groups on a coarse dial, that get used to light fast enough for
/// several steps in few days.
RampProblem draw_problem(testing::Dice& dice) {
  RampProblem problem;
  const auto settings = static_cast<std::size_t>(dice.whole(4, 7));
  const auto groups = static_cast<std::size_t>(dice.whole(2, 3));
  problem.every_days = dice.whole(1, 3);
  problem.lights_change = dice.chance(0.7);
  problem.path.goal = settings - 1;
  problem.exposures = ExposureTable{settings, groups};

  std::vector<double> output{1.0};
  for (std::size_t i = 0; i < settings; ++i) {
    problem.path.settings.push_back({Percent::of_full(10.0 * static_cast<double>(i + 1))});
    output.push_back(output.back() * dice.real(1.05, 1.3));
  }
  const std::size_t base = dice.chance(0.5) ? 0 : 1;
  if (!problem.lights_change) problem.path.base = base;
  for (std::size_t g = 0; g < groups; ++g) {
    const double dose = dice.real(1.0, 10.0);
    const double peak = dice.real(50.0, 400.0);
    const double bend = dice.real(0.8, 1.1);
    for (std::size_t i = 0; i < settings; ++i) {
      problem.exposures.at(i, g) = {DailyDose::mol_m2_d(dose * std::pow(output[i], bend)),
                                    Ppfd::umol_m2_s(peak * output[i])};
    }
    const Exposure& at_base = problem.exposures.at(base, g);
    const Exposure before{at_base.dose * dice.real(0.95, 1.2), at_base.peak * dice.real(0.95, 1.2)};
    const Exposure& at_goal = problem.exposures.at(problem.path.goal, g);
    problem.groups.push_back({"corals",
                              g,
                              before,
                              {before.dose, before.peak},
                              {.dose_band = {DailyDose{}, at_goal.dose * dice.real(0.9, 1.5)},
                               .peak_ceiling = at_goal.peak * dice.real(0.9, 1.5),
                               .headroom = Percent::of_full(dice.real(15.0, 60.0)),
                               .weekly_rise = Percent::of_full(dice.real(15.0, 150.0)),
                               .tau_up = Days::d(dice.real(1.0, 8.0)),
                               .tau_down = Days::d(dice.real(1.0, 8.0)),
                               .carryover = 1.0,
                               .floor = Percent::of_full(dice.real(20.0, 60.0))}});
  }
  return problem;
}

/// A sequence of settings so far: where it is, and what the groups are used to.
struct Sequence {
  std::size_t setting;
  std::vector<testing::NaiveGroup> groups;
};

class Search {
 public:
  explicit Search(const RampProblem& problem) : problem_(problem) {}

  /// For every day the highest setting that any sequence has on it, for as many
  /// days as there is room to follow them all. On a step day a sequence may go
  /// anywhere, on another it may stay or go back, by any number of settings.
  std::vector<std::size_t> highest_by_day() const {
    std::vector<std::size_t> highest;
    std::vector<Sequence> sequences = starts();
    for (std::size_t day = 0; day < most_days && !sequences.empty(); ++day) {
      const bool is_step_day = day % static_cast<std::size_t>(problem_.every_days) == 0;
      std::vector<Sequence> later;
      std::size_t top = 0;
      for (const Sequence& sequence : sequences) {
        const std::size_t last = is_step_day ? problem_.path.goal : sequence.setting;
        for (std::size_t setting = 0; setting <= last; ++setting) {
          if (!is_allowed(sequence, setting)) continue;
          top = std::max(top, setting);
          later.push_back(lived_through(sequence, setting));
        }
      }
      if (later.empty()) break;
      highest.push_back(top);
      if (later.size() > most_sequences) break;
      sequences = std::move(later);
    }
    return highest;
  }

 private:
  std::vector<Sequence> starts() const {
    Sequence start{problem_.path.base.value_or(problem_.path.goal), {}};
    for (const RampGroup& group : problem_.groups) start.groups.emplace_back(group);
    return {start};
  }

  bool is_allowed(const Sequence& sequence, std::size_t setting) const {
    for (std::size_t g = 0; g < sequence.groups.size(); ++g) {
      const Exposure& exposure = problem_.exposures.at(setting, g);
      if (!sequence.groups[g].broken(exposure.dose.mol_m2_d(), exposure.peak.umol_m2_s()).empty()) {
        return false;
      }
    }
    return true;
  }

  Sequence lived_through(const Sequence& sequence, std::size_t setting) const {
    Sequence later = sequence;
    later.setting = setting;
    const std::size_t brighter = std::min(setting + 1, problem_.path.settings.size() - 1);
    for (std::size_t g = 0; g < later.groups.size(); ++g) {
      const Exposure& today = problem_.exposures.at(setting, g);
      const Exposure& next = problem_.exposures.at(brighter, g);
      later.groups[g].live(today.dose.mol_m2_d(), today.peak.umol_m2_s(), next.dose.mol_m2_d(),
                           next.peak.umol_m2_s());
    }
    return later;
  }

  const RampProblem& problem_;
};

TEST(GreedyPlan, IsNowhereBelowAnySequenceThatKeepsTheCaps) {
  constexpr std::uint64_t first_seed = 880000;
  std::size_t days = 0;
  int climbed = 0;
  int reached = 0;
  for (std::uint64_t seed = first_seed; seed < first_seed + 300; ++seed) {
    SCOPED_TRACE("seed " + std::to_string(seed));
    testing::Dice dice{seed};
    const RampProblem problem = draw_problem(dice);
    const Plan plan = compute_plan(problem);
    const std::vector<std::size_t> highest = Search{problem}.highest_by_day();
    ASSERT_EQ(highest.empty(), plan.days.empty());
    const bool is_coarse = std::any_of(
        plan.notes.begin(), plan.notes.end(),
        [](const PlanNote& note) { return note.kind == PlanNote::Kind::dial_too_coarse; });
    for (std::size_t day = 0; day < highest.size(); ++day) {
      // A plan held by a coarse dial ends by a rule of its own, and may do so a
      // little early; until then it is nowhere below any other.
      if (is_coarse && day >= plan.days.size()) break;
      // Any other plan that has ended stays where it is.
      const PlanDay& today = plan.days[std::min(day, plan.days.size() - 1)];
      ASSERT_EQ(today.setting, highest[day]) << "day " << day;
    }
    if (highest.empty()) continue;
    days += highest.size();
    climbed += highest.back() > highest.front();
    reached += highest.back() == problem.path.goal;
  }
  // The draw must not miss a kind of ramp.
  EXPECT_GT(days, 300U * 5U);
  EXPECT_GT(climbed, 100);
  EXPECT_GT(reached, 20);
}

}  // namespace
}  // namespace slowdawn
