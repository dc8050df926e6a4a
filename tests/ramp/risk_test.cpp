#include <gtest/gtest.h>
#include <oneapi/tbb/global_control.h>
#include <oneapi/tbb/task_arena.h>

#include <cmath>
#include <functional>
#include <slowdawn/ramp/moves.hpp>
#include <slowdawn/ramp/risk.hpp>

#include "make_problem.hpp"
#include "ramp/risk_walk.hpp"

namespace slowdawn {
namespace {

using namespace slowdawn::testing;

constexpr std::uint64_t seed = 20261201;
const double headroom_log = std::sqrt(std::log(1.0 + 0.25 * 0.25));
const double tau_log = std::sqrt(std::log(1.0 + 0.40 * 0.40));

/// Groups at spots, and the doses and peaks that a plan brings each of them, all of
/// it made up: the risk asks nothing but these.
struct Story {
  RampProblem problem;
  Plan plan{};

  explicit Story(std::size_t spots) {
    problem.exposures = ExposureTable{1, spots};
    for (std::size_t spot = 0; spot < spots; ++spot) problem.readings.push_back({spot, 0.0, 0.0});
  }

  /// A group that is used to 10 mol and 1000 umol, if its readings are right, and
  /// gets these multiples of it.
  void add(std::size_t spot, double doubt, const std::vector<double>& doses,
           const std::vector<double>& peaks) {
    RampGroup group = group_from(10.0);
    group.spot = spot;
    group.doubt = doubt;
    group.used_to = at_start(group.before, 1.0, doubt);
    problem.groups.push_back(group);
    states_.push_back(state_at_start(group));
    plan.days.resize(doses.size());
    lights_.resize(doses.size());
    for (std::size_t day = 0; day < doses.size(); ++day) {
      DayLight& light = lights_[day];
      light.lights.push_back(Exposure{mol(10.0 * doses[day]), umol(1000.0 * peaks[day])});
      light.spots.push_back(spot);
      plan.days[day].groups = GroupDays{std::make_shared<const DayLight>(light), states_};
    }
  }

  void add(std::size_t spot, double doubt, const std::vector<double>& doses) {
    add(spot, doubt, doses, std::vector<double>(doses.size(), 0.01));
  }

  RiskCourse course(std::size_t from = 0) const {
    return {problem, plan, std::vector<Percent>(problem.groups.size(), percent(30.0)), from};
  }

 private:
  std::vector<GroupState> states_;
  std::vector<DayLight> lights_;
};

double normal_share(double value) { return 0.5 * std::erfc(-value / std::sqrt(2.0)); }

/// The mean of a function of a standard normal variable, by the trapezoid rule, which
/// is exact to rounding for what is smooth and dies away.
double mean_over_normal(const std::function<double(double)>& of) {
  constexpr int steps = 4000;
  double sum = 0.0;
  for (int i = -steps; i <= steps; ++i) {
    const double z = 10.0 * i / steps;
    sum += std::exp(-0.5 * z * z) * of(z);
  }
  return sum * 10.0 / steps / std::sqrt(2.0 * 3.14159265358979323846);
}

/// The chance that light of `ratio` times what a group is used to is too much for it.
double chance_of(double ratio) {
  return ratio <= 1.0 ? 0.0 : normal_share(std::log((ratio - 1.0) / 0.30) / headroom_log);
}

void expect_chance(const Chance& chance, double exact) {
  EXPECT_NEAR(chance.share(), exact, 4.0 * chance.standard_error() + 1e-12);
  EXPECT_GT(chance.standard_error(), 0.0);
}

constexpr std::size_t many_draws = 200000;

// source: own derivation: with no doubt of the readings, h' is all that one step on
//   the first day depends on, and log h' is normal.
TEST(Risk, OneStepHasTheClosedForm) {
  for (const double ratio : {1.15, 1.2, 1.28, 1.35, 1.5}) {
    SCOPED_TRACE(ratio);
    Story story{1};
    story.add(0, 0.0, {ratio, ratio, ratio});
    story.add(0, 0.0, {0.01, 0.01, 0.01}, {ratio, ratio, ratio});
    const Risk risk = compute_risk(story.course(), seed, many_draws);
    for (const Chance& chance : risk.groups) {
      expect_chance(chance, chance_of(ratio));
      EXPECT_EQ(chance.worst_day, 0u);
    }
    // Their headrooms are independent.
    expect_chance(risk.any, 1.0 - std::pow(1.0 - chance_of(ratio), 2));
  }
}

TEST(Risk, DoubtOfReadingsCountsAsItShould) {
  Story story{1};
  const double u = 0.11;
  story.add(0, u, {1.2});
  const double exact = mean_over_normal([&](double z) { return chance_of(1.2 / std::exp(u * z)); });
  expect_chance(compute_risk(story.course(), seed, many_draws).groups[0], exact);
  EXPECT_GT(exact, chance_of(1.2) + 0.1);
}

TEST(Risk, TimeConstantsCountAsTheyShould) {
  Story story{1};
  // A dim day, after which it is used to less by its time constant; then a bright one.
  story.add(0, 0.0, {0.2, 1.2});
  const double exact = mean_over_normal([&](double x) {
    const double tau = 10.0 * std::exp(tau_log * x);
    return chance_of(1.2 / (0.2 + 0.8 * std::exp(-1.0 / tau)));
  });
  expect_chance(compute_risk(story.course(), seed, many_draws).groups[0], exact);
}

TEST(Risk, GroupsAtOneSpotShareTheErrorOfItsReadings) {
  const double u = 0.4;
  const auto chance_at = [&](double z) { return chance_of(1.3 / std::exp(u * z)); };
  const double one = mean_over_normal(chance_at);
  const double together =
      1.0 - mean_over_normal([&](double z) { return std::pow(1.0 - chance_at(z), 2); });
  const double apart = 1.0 - std::pow(1.0 - one, 2);
  ASSERT_GT(apart, together + 0.1);
  Story shared{2};
  shared.add(0, u, {1.3});
  shared.add(0, u, {1.3});
  expect_chance(compute_risk(shared.course(), seed, many_draws).any, together);
  Story split{2};
  split.add(0, u, {1.3});
  split.add(1, u, {1.3});
  expect_chance(compute_risk(split.course(), seed, many_draws).any, apart);
}

/// The story's group moved from the first spot to the second.
void move_on(Story& story, std::size_t day) {
  RampGroup there = story.problem.groups[0];
  there.spot = 1;
  story.plan.changes.push_back({day, 0, there});
  story.plan.moves.push_back({day, 0, 1});
}

TEST(Risk, AMoveBringsTheDoubtOfItsReadings) {
  Story story{2};
  story.problem.readings = {{0, 0.3, 0.05}, {1, 0.4, 0.05}};
  story.add(0, 0.0, {1.0, 1.3});
  move_on(story, 1);
  const double v = 0.5;
  const double exact = mean_over_normal([&](double z) { return chance_of(1.3 / std::exp(v * z)); });
  expect_chance(compute_risk(story.course(), seed, many_draws).groups[0], exact);
}

TEST(Risk, OnTheFirstDayAMovesDoubtCountsOnce) {
  Story story{2};
  story.problem.readings = {{0, 0.3, 0.05}, {1, 0.4, 0.05}};
  story.add(0, 0.2, {1.3});
  move_on(story, 0);
  const double exact =
      mean_over_normal([&](double z) { return chance_of(1.3 / std::exp(0.5 * z)); });
  expect_chance(compute_risk(story.course(), seed, many_draws).groups[0], exact);
}

TEST(Risk, LearnedTimeConstantsCountFromTheirDay) {
  Story story{1};
  story.add(0, 0.0, {0.2, 0.2, 1.1});
  RampGroup slower = story.problem.groups[0];
  slower.tolerance.tau_down = Days::d(30.0);
  story.plan.changes.push_back({1, 0, slower});
  const double exact = mean_over_normal([&](double x) {
    const double factor = std::exp(tau_log * x);
    const double left = std::exp(-1.0 / (10.0 * factor) - 1.0 / (30.0 * factor));
    return chance_of(1.1 / (0.2 + 0.8 * left));
  });
  expect_chance(compute_risk(story.course(), seed, many_draws).groups[0], exact);
}

TEST(Risk, DaysBeforeTheOneThatIsAskedAboutDoNotCount) {
  Story story{1};
  story.add(0, 0.0, {1.5, 0.5, 1.2});
  EXPECT_EQ(compute_risk(story.course(), seed, many_draws).groups[0].worst_day, 0u);
  const Chance later = compute_risk(story.course(1), seed, many_draws).groups[0];
  EXPECT_EQ(later.worst_day, 2u);
  // Too much on the first day does not keep a draw from meeting it later.
  const double exact = mean_over_normal([&](double x) {
    const double left = std::exp(-0.1 / std::exp(tau_log * x));
    const double first = 1.5 - 0.5 * left;
    return chance_of(1.2 / (0.5 + (first - 0.5) * left));
  });
  expect_chance(later, exact);
}

/// Chances from rare to about one half, with days that differ.
Story several_chances() {
  Story story{3};
  story.add(0, 0.07, {1.1, 1.15, 1.2});
  story.add(0, 0.07, {1.1, 1.2, 1.25});
  story.add(1, 0.12, {1.2, 1.2, 1.3}, {1.1, 1.2, 1.35});
  story.add(2, 0.0, {1.32, 1.3, 1.3});
  return story;
}

// The repeats: 200 seeds. Their scatter is itself known to 1 / sqrt(400) = 5 %; four
// times that is 20 %.
TEST(Risk, StandardErrorIsTheScatterOverSeeds) {
  const Story story = several_chances();
  const RiskCourse course = story.course();
  constexpr int repeats = 200;
  const std::size_t chances = story.problem.groups.size() + 1;
  std::vector<double> sum(chances);
  std::vector<double> squares(chances);
  std::vector<double> stated(chances);
  for (int repeat = 0; repeat < repeats; ++repeat) {
    Risk risk = compute_risk(course, static_cast<std::uint64_t>(repeat), 1);
    risk.groups.push_back(risk.any);
    for (std::size_t i = 0; i < chances; ++i) {
      const double share = risk.groups[i].share();
      sum[i] += share / repeats;
      squares[i] += share * share;
      stated[i] += risk.groups[i].standard_error() / repeats;
    }
  }
  for (std::size_t i = 0; i < chances; ++i) {
    const double scatter = std::sqrt((squares[i] - repeats * sum[i] * sum[i]) / (repeats - 1));
    EXPECT_NEAR(scatter / stated[i], 1.0, 0.2) << "chance " << i << ": " << sum[i];
    // What the pairs bring: never worse here than as many draws by themselves.
    const double plain = std::sqrt(sum[i] * (1.0 - sum[i]) / static_cast<double>(risk_batch));
    EXPECT_LT(stated[i], plain) << "chance " << i << ": " << sum[i];
  }
}

void expect_same(const Risk& one, const Risk& other) {
  ASSERT_EQ(one.groups.size(), other.groups.size());
  const auto expect_equal = [](const Chance& a, const Chance& b) {
    EXPECT_EQ(a.pairs, b.pairs);
    EXPECT_EQ(a.met, b.met);
    EXPECT_EQ(a.met_twice, b.met_twice);
    EXPECT_EQ(a.worst_day, b.worst_day);
  };
  EXPECT_EQ(one.draws, other.draws);
  expect_equal(one.any, other.any);
  for (std::size_t g = 0; g < one.groups.size(); ++g) expect_equal(one.groups[g], other.groups[g]);
}

TEST(Risk, IsTheSameOnAnyNumberOfThreads) {
  const Story story = several_chances();
  const RiskCourse course = story.course();
  const Risk here = compute_risk(course, seed);
  for (const int threads : {1, 2, 7}) {
    SCOPED_TRACE(threads);
    const auto allowed = static_cast<std::size_t>(threads);
    const tbb::global_control limit{tbb::global_control::max_allowed_parallelism, allowed};
    tbb::task_arena arena{threads};
    Risk there;
    arena.execute([&] { there = compute_risk(course, seed); });
    expect_same(here, there);
  }
  const Risk other = compute_risk(course, seed + 1);
  EXPECT_NE(other.any.met, here.any.met);
}

TEST(Risk, StopsWhenEveryErrorIsUnderHalfAPoint) {
  for (std::uint64_t other = 0; other < 10; ++other) {
    const Risk risk = compute_risk(several_chances().course(), other);
    EXPECT_GE(risk.draws, risk_batches_at_least * risk_batch);
    EXPECT_LE(risk.draws, risk_batches_at_most * risk_batch);
    EXPECT_LT(risk.any.standard_error(), 0.005);
    for (const Chance& chance : risk.groups) EXPECT_LT(chance.standard_error(), 0.005);
  }
}

TEST(Chance, HasNoWorseErrorThanTheMostDrawsAllow) {
  // Where both of a pair are always alike, pairs bring nothing, and chances are even.
  const std::size_t pairs = risk_batches_at_most * risk_batch / 2;
  const Chance worst{.pairs = pairs, .met = pairs, .met_twice = pairs / 2};
  EXPECT_NEAR(worst.standard_error(), 0.5 / std::sqrt(static_cast<double>(pairs)), 1e-6);
  EXPECT_LT(worst.standard_error(), risk_error_wanted);
}

TEST(Chance, ErrorIsThatOfTheMeanOverPairs) {
  // Pairs with 0, 0, 1/2, 1: mean 3/8, variance of the mean (11/16 / 3) / 4.
  const Chance chance{.pairs = 4, .met = 3, .met_twice = 1};
  EXPECT_DOUBLE_EQ(chance.share(), 0.375);
  EXPECT_NEAR(chance.standard_error(), std::sqrt((1.25 - 4 * 0.375 * 0.375) / 3.0 / 4.0), 1e-15);
}

// The score interval's ends are the p with (share - p)^2 = z^2 p (1 - p) / n.
TEST(Chance, BoundsSolveTheScoreEquation) {
  constexpr double z = 1.959963984540054;
  for (const std::size_t met : {0u, 1u, 30u, 1000u, 1999u, 2000u}) {
    const Chance chance{.pairs = 1000, .met = met};
    const auto [low, high] = chance.bounds();
    for (const double bound : {low, high}) {
      EXPECT_NEAR(std::pow(chance.share() - bound, 2), z * z * bound * (1.0 - bound) / 1000.0,
                  1e-12)
          << met;
    }
    EXPECT_LE(low, chance.share());
    EXPECT_GE(high, chance.share());
    EXPECT_LT(low, high);
  }
  // Wider than the exact bound for nothing seen, "the rule of three".
  EXPECT_GT((Chance{.pairs = 1000}.bounds().high), 1.0 - std::pow(0.05, 1.0 / 1000.0));
}

TEST(RiskWalk, EveryLaneIsWhatPlainCodeGives) {
  std::vector<RiskDay> days;
  for (int day = 0; day < 40; ++day) {
    days.push_back(
        {mol(10.0 + 0.9 * day - 0.02 * day * day), umol(300.0 + 7.0 * (day % 11)), 1.0 * day});
  }
  RiskLanes lanes;
  for (std::size_t i = 0; i < risk_lanes; ++i) {
    const double part = static_cast<double>(i) / risk_lanes;
    lanes.dose[i] = 8.0 + 3.0 * part;
    lanes.peak[i] = 310.0 - 60.0 * part;
    lanes.reach[i] = 1.2 + 0.5 * part * part;
    lanes.up[i] = 0.05 + 0.1 * part;
    lanes.down[i] = 0.2 - 0.1 * part;
    lanes.first[i] = 40.0;
  }
  RiskLanes plain = lanes;
  walk_days(days, 40.0, lanes);
  std::size_t met = 0;
  for (std::size_t i = 0; i < risk_lanes; ++i) {
    Acclimation used_to{mol(plain.dose[i]), umol(plain.peak[i])};
    AdaptationRates rates{wide_tolerance()};
    rates.up = plain.up[i];
    rates.down = plain.down[i];
    for (const RiskDay& day : days) {
      const bool is_over =
          day.dose > plain.reach[i] * used_to.dose || day.peak > plain.reach[i] * used_to.peak;
      if (is_over && plain.first[i] == 40.0) plain.first[i] = day.mark;
      used_to = after_day(used_to, {day.dose, day.peak}, rates);
    }
    EXPECT_EQ(lanes.first[i], plain.first[i]);
    EXPECT_EQ(lanes.dose[i], used_to.dose.mol_m2_d());
    EXPECT_EQ(lanes.peak[i], used_to.peak.umol_m2_s());
    met += lanes.first[i] < 40.0 ? 1u : 0u;
  }
  EXPECT_GT(met, 3u);
  EXPECT_LT(met, risk_lanes);
}

}  // namespace
}  // namespace slowdawn
