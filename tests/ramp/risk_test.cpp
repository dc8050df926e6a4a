#include <gtest/gtest.h>
#include <oneapi/tbb/global_control.h>
#include <oneapi/tbb/task_arena.h>

#include <cmath>
#include <functional>
#include <slowdawn/ramp/risk.hpp>

#include "make_problem.hpp"
#include "ramp/risk_walk.hpp"

namespace slowdawn {
namespace {

using namespace slowdawn::testing;

constexpr std::uint64_t seed = 20261201;
const double headroom_log = std::sqrt(std::log(1.0 + 0.25 * 0.25));
const double tau_log = std::sqrt(std::log(1.0 + 0.40 * 0.40));

using Part = RiskCourse::Part;
using Row = RiskCourse::Row;

/// Groups and what their days bring them, all of it made up. A group is used to 10 mol and
/// 1000 umol, if nothing is in doubt; amounts are multiples of that, and a peak that is
/// not said is too low to matter.
struct Story {
  RiskCourse course;

  explicit Story(std::size_t days) { course.days = days; }

  /// A spot where the outputs of the lights have these rows of L, relative to 100 umol,
  /// which all of them give; the number of its first output.
  std::size_t add_spot(const std::vector<std::vector<double>>& root) {
    RiskCourse::Spot spot{course.spots.size(), {}};
    for (std::size_t light = 0; light < root.size(); ++light) {
      RiskCourse::Output output{light, umol(100.0)};
      for (const double entry : root[light]) output.root.push_back(100.0 * entry);
      spot.outputs.push_back(output);
    }
    course.spots.push_back(spot);
    const std::size_t first = outputs_;
    outputs_ += root.size();
    return first;
  }

  RiskCourse::Group& add(const Row& start, std::vector<Row> rows) {
    const double log_left = -1.0 / wide_tolerance().tau_up.d();
    for (std::size_t row = 0; row < rows.size(); ++row) rows[row].first_day = row;
    course.groups.push_back({.start = start,
                             .headroom = 0.30,
                             .end_day = course.days,
                             .rows = std::move(rows),
                             .stretches = {{0, log_left, log_left}}});
    return course.groups.back();
  }

 private:
  std::size_t outputs_ = 0;
};

/// Light that nothing of is in doubt.
Row sure(double dose, double peak = 0.01) {
  return {.certain = {mol(10.0 * dose), umol(1000.0 * peak)}};
}

/// Light of an output that brings this dose where it gives what was read.
Row of_output(std::size_t output, double dose) {
  return {.parts = {{output, 10.0 * dose / 100.0, 0.0}}};
}

Row operator+(Row one, const Row& other) {
  one.parts.insert(one.parts.end(), other.parts.begin(), other.parts.end());
  one.certain.dose += other.certain.dose;
  one.certain.peak += other.certain.peak;
  return one;
}

const Row used_to_it = sure(1.0, 1.0);

std::vector<Row> sure_days(const std::vector<double>& doses) {
  std::vector<Row> rows;
  for (const double dose : doses) rows.push_back(sure(dose));
  return rows;
}

double normal_share(double value) { return 0.5 * std::erfc(-value / std::sqrt(2.0)); }

/// The mean of a function of a standard normal variable, by the trapezoid rule, which
/// is exact to rounding for what is smooth and dies away.
double mean_over_normal(const std::function<double(double)>& of, int steps = 4000) {
  double sum = 0.0;
  for (int i = -steps; i <= steps; ++i) {
    const double z = 10.0 * i / steps;
    sum += std::exp(-0.5 * z * z) * of(z);
  }
  return sum * 10.0 / steps / std::sqrt(2.0 * 3.14159265358979323846);
}

/// Of two independent ones.
double mean_over_two(const std::function<double(double, double)>& of) {
  constexpr int steps = 400;
  return mean_over_normal(
      [&](double one) {
        return mean_over_normal([&](double other) { return of(one, other); }, steps);
      },
      steps);
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

Chance chance_of_only(const Story& story) {
  return compute_risk(story.course, seed, many_draws).groups.at(0);
}

Chance chance_of_any(const Story& story) {
  return compute_risk(story.course, seed, many_draws).any;
}

// source: own derivation: with no doubt of the readings, h' is all that one step on
//   the first day depends on, and log h' is normal.
TEST(Risk, OneStepHasTheClosedForm) {
  for (const double ratio : {1.15, 1.2, 1.28, 1.35, 1.5}) {
    SCOPED_TRACE(ratio);
    Story story{3};
    story.add(used_to_it, {sure(ratio)});
    story.add(used_to_it, {sure(0.01, ratio)});
    const Risk risk = compute_risk(story.course, seed, many_draws);
    for (const Chance& chance : risk.groups) {
      expect_chance(chance, chance_of(ratio));
      EXPECT_EQ(chance.worst_day, 0u);
    }
    // Their headrooms are independent.
    expect_chance(risk.any, 1.0 - std::pow(1.0 - chance_of(ratio), 2));
  }
}

TEST(Risk, TheErrorOfAReadingCountsAsItShould) {
  const double u = 0.11;
  const double exact =
      mean_over_normal([&](double z) { return chance_of(1.2 * std::max(0.0, 1.0 + u * z)); });
  EXPECT_GT(exact, chance_of(1.2) + 0.1);
  Story story{1};
  const std::size_t light = story.add_spot({{u}});
  story.add(used_to_it, {of_output(light, 1.2)});
  expect_chance(chance_of_only(story), exact);
  // The same in the peak alone.
  Story peak{1};
  Row row = sure(0.01, 0.0);
  row.parts = {{peak.add_spot({{u}}), 0.0, 1000.0 * 1.2 / 100.0}};
  peak.add(used_to_it, {row});
  expect_chance(chance_of_only(peak), exact);
}

TEST(Risk, OneLightBeforeAndAfterCancelsWhateverItsError) {
  Story story{1};
  const std::size_t light = story.add_spot({{0.15}});
  story.add(of_output(light, 1.0), {of_output(light, 1.2)});
  story.course.groups[0].start.parts[0].to_peak = 1000.0 / 100.0;
  Story sure_story{1};
  sure_story.add(used_to_it, {sure(1.2)});
  // To the very draw, since the headrooms are the same.
  EXPECT_EQ(chance_of_only(story).met, chance_of_only(sure_story).met);
  expect_chance(chance_of_only(story), chance_of(1.2));
}

TEST(Risk, OfTwoLightsOnlyTheNewOneIsInDoubtWhereTheOtherStays) {
  // As where the second was found by subtraction: the more of one, the less of the other.
  const double own = 0.09;
  const double shared = -0.06;
  const auto ratio = [&](double had, double fresh) {
    const double first = std::max(0.0, 1.0 + 0.1 * had);
    const double second = std::max(0.0, 1.0 + shared * had + own * fresh);
    return (0.75 * first + 0.45 * second) / first;
  };
  const double exact = mean_over_two([&](double z, double y) { return chance_of(ratio(z, y)); });
  Story story{1};
  const std::size_t first = story.add_spot({{0.1}, {shared, own}});
  Row start = of_output(first, 1.0);
  start.certain.peak = umol(1000.0);
  story.add(start, {of_output(first, 0.75) + of_output(first + 1, 0.45)});
  expect_chance(chance_of_only(story), exact);
  EXPECT_GT(exact, chance_of(1.2) + 0.02);
}

TEST(Risk, NoLightGivesLessThanNothing) {
  // Read as nothing, with an error: in half of the draws it gives nothing.
  const double exact =
      mean_over_normal([&](double z) { return chance_of(1.1 + std::max(0.0, 0.2 * z)); });
  Story story{1};
  const std::size_t light = story.add_spot({{0.2}});
  story.course.spots[0].outputs[0].full = umol(0.0);
  story.add(used_to_it, {sure(1.1) + of_output(light, 1.0)});
  expect_chance(chance_of_only(story), exact);
}

TEST(Risk, AnEstimateIsLogNormal) {
  const double e = 0.2;
  const auto chance_at = [&](double z) { return chance_of(1.2 * std::exp(e * z)); };
  Story story{1};
  const std::size_t light = story.add_spot({{}});
  story.course.spots[0].outputs[0].log_error = e;
  story.add(used_to_it, {of_output(light, 1.2)});
  expect_chance(chance_of_only(story), mean_over_normal(chance_at));
  // One error for all that live there.
  story.add(used_to_it, {of_output(light, 1.2)});
  expect_chance(chance_of_any(story),
                1.0 - mean_over_normal([&](double z) { return std::pow(1.0 - chance_at(z), 2); }));
}

TEST(Risk, TimeConstantsCountAsTheyShould) {
  Story story{2};
  // A dim day, after which it is used to less by its time constant; then a bright one.
  story.add(used_to_it, sure_days({0.2, 1.2}));
  const double exact = mean_over_normal([&](double x) {
    const double tau = 10.0 * std::exp(tau_log * x);
    return chance_of(1.2 / (0.2 + 0.8 * std::exp(-1.0 / tau)));
  });
  expect_chance(chance_of_only(story), exact);
}

TEST(Risk, GroupsAtOneSpotShareTheErrorOfItsReadings) {
  const double u = 0.3;
  const auto chance_at = [&](double z) { return chance_of(1.3 * std::max(0.0, 1.0 + u * z)); };
  const double one = mean_over_normal(chance_at);
  const double together =
      1.0 - mean_over_normal([&](double z) { return std::pow(1.0 - chance_at(z), 2); });
  const double apart = 1.0 - std::pow(1.0 - one, 2);
  ASSERT_GT(apart, together + 0.1);
  Story shared{1};
  const std::size_t light = shared.add_spot({{u}});
  shared.add(used_to_it, {of_output(light, 1.3)});
  shared.add(used_to_it, {of_output(light, 1.3)});
  expect_chance(chance_of_any(shared), together);
  Story split{1};
  split.add(used_to_it, {of_output(split.add_spot({{u}}), 1.3)});
  split.add(used_to_it, {of_output(split.add_spot({{u}}), 1.3)});
  expect_chance(chance_of_any(split), apart);
}

TEST(Risk, AMoveBringsTheErrorsOfBothSpots) {
  const double exact = mean_over_two([&](double z, double y) {
    return chance_of(1.3 * std::max(0.0, 1.0 + 0.08 * y) / std::max(1e-9, 1.0 + 0.12 * z));
  });
  Story story{2};
  const std::size_t here = story.add_spot({{0.12}});
  const std::size_t there = story.add_spot({{0.08}});
  Row start = of_output(here, 1.0);
  start.certain.peak = umol(1000.0);
  story.add(start, {of_output(here, 1.0), of_output(there, 1.3)});
  const Chance chance = chance_of_only(story);
  expect_chance(chance, exact);
  EXPECT_EQ(chance.worst_day, 1u);
}

TEST(Risk, WhatAMeshLetsThroughIsInDoubtForAllUnderIt) {
  const double v = 0.2;
  const auto chance_at = [&](double z) { return chance_of(1.3 * std::exp(v * z)); };
  Story story{1};
  story.course.meshes = {{3, v}, {5, v}};
  Row row = sure(1.3);
  row.mesh = 0;
  story.add(used_to_it, {row});
  expect_chance(chance_of_only(story), mean_over_normal(chance_at));
  story.add(used_to_it, {row});
  const double together =
      1.0 - mean_over_normal([&](double z) { return std::pow(1.0 - chance_at(z), 2); });
  expect_chance(chance_of_any(story), together);
  // Another mesh errs by itself.
  story.course.groups[1].rows[0].mesh = 1;
  expect_chance(chance_of_any(story), 1.0 - std::pow(1.0 - mean_over_normal(chance_at), 2));
}

TEST(Risk, AHistoryFromElsewhereHasItsOwnErrorAndTheCalibrationOfAll) {
  const double e = 0.15;
  const double c = 0.10;
  const auto chance_at = [&](double own, double shared) {
    return chance_of(1.3 / std::exp(e * own + c * shared));
  };
  Story story{1};
  story.course.calibration_error = c;
  story.add(used_to_it, {sure(1.3)}).history_error = e;
  expect_chance(chance_of_only(story), mean_over_normal([&](double z) {
                  return chance_of(1.3 / std::exp(std::hypot(e, c) * z));
                }));
  story.add(used_to_it, {sure(1.3)}).history_error = e;
  const double together = 1.0 - mean_over_normal(
                                    [&](double shared) {
                                      const double one = mean_over_normal(
                                          [&](double own) { return chance_at(own, shared); }, 400);
                                      return std::pow(1.0 - one, 2);
                                    },
                                    400);
  expect_chance(chance_of_any(story), together);
}

TEST(Risk, LearnedTimeConstantsCountFromTheirDay) {
  Story story{3};
  RiskCourse::Group& group = story.add(used_to_it, sure_days({0.2, 0.2, 1.1}));
  group.stretches.push_back({1, -1.0 / 10.0, -1.0 / 30.0});
  const double exact = mean_over_normal([&](double x) {
    const double factor = std::exp(tau_log * x);
    const double left = std::exp(-1.0 / (10.0 * factor) - 1.0 / (30.0 * factor));
    return chance_of(1.1 / (0.2 + 0.8 * left));
  });
  expect_chance(chance_of_only(story), exact);
}

TEST(Risk, DaysBeforeTheOneThatIsAskedAboutDoNotCount) {
  Story story{3};
  story.add(used_to_it, sure_days({1.5, 0.5, 1.2}));
  EXPECT_EQ(chance_of_only(story).worst_day, 0u);
  story.course.asked_from = 1;
  const Chance later = chance_of_only(story);
  EXPECT_EQ(later.worst_day, 2u);
  // Too much on the first day does not keep a draw from meeting it later.
  const double exact = mean_over_normal([&](double x) {
    const double left = std::exp(-0.1 / std::exp(tau_log * x));
    const double first = 1.5 - 0.5 * left;
    return chance_of(1.2 / (0.5 + (first - 0.5) * left));
  });
  expect_chance(later, exact);
}

TEST(Risk, AGroupIsAskedOnTheDaysThatItIsThere) {
  Story story{3};
  RiskCourse::Group& group = story.add(used_to_it, sure_days({0.1, 1.25, 9.0}));
  // It comes on the second day as what it then is, and is gone on the third.
  group.rows.erase(group.rows.begin());
  group.end_day = 2;
  const Chance chance = chance_of_only(story);
  expect_chance(chance, chance_of(1.25));
  EXPECT_EQ(chance.worst_day, 1u);
}

/// Chances from rare to about one half, with days that differ.
RiskCourse several_chances() {
  Story story{3};
  const std::size_t crest = story.add_spot({{0.07}, {-0.02, 0.05}});
  const std::size_t sand = story.add_spot({{0.12}});
  const auto mixed = [&](double one, double other) {
    return of_output(crest, one) + of_output(crest + 1, other);
  };
  story.add(used_to_it, {mixed(0.7, 0.4), mixed(0.75, 0.4), mixed(0.8, 0.4)});
  story.add(used_to_it, {of_output(crest, 1.1), of_output(crest, 1.2), of_output(crest, 1.25)});
  story.add(used_to_it, {of_output(sand, 1.2), of_output(sand, 1.2) + sure(0.0, 1.2),
                         of_output(sand, 1.3) + sure(0.0, 1.35)});
  story.add(used_to_it, sure_days({1.32, 1.3, 1.3}));
  return story.course;
}

// The repeats: 200 seeds. Their scatter is itself known to 1 / sqrt(400) = 5 %; four
// times that is 20 %.
TEST(Risk, StandardErrorIsTheScatterOverSeeds) {
  const RiskCourse course = several_chances();
  constexpr int repeats = 200;
  const std::size_t chances = course.groups.size() + 1;
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
  const RiskCourse course = several_chances();
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
    const Risk risk = compute_risk(several_chances(), other);
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

/// A day after another, by the equations as they stand.
void walk_plainly(const std::vector<Exposure>& days, std::size_t lane, RiskLanes& plain) {
  Acclimation used_to{mol(plain.dose[lane]), umol(plain.peak[lane])};
  AdaptationRates rates{wide_tolerance()};
  rates.up = plain.up[lane];
  rates.down = plain.down[lane];
  for (std::size_t day = 0; day < days.size(); ++day) {
    const bool is_over = days[day].dose > plain.reach[lane] * used_to.dose ||
                         days[day].peak > plain.reach[lane] * used_to.peak;
    if (is_over && day >= 2 && plain.first[lane] == 40.0) {
      plain.first[lane] = static_cast<double>(day);
    }
    used_to = after_day(used_to, days[day], rates);
  }
  plain.dose[lane] = used_to.dose.mol_m2_d();
  plain.peak[lane] = used_to.peak.umol_m2_s();
}

TEST(RiskWalk, EveryLaneIsWhatPlainCodeGives) {
  // A new light on every other day, of an output that is another in each lane.
  std::vector<Row> rows;
  for (std::size_t day = 0; day < 40; day += 2) {
    const double d = static_cast<double>(day);
    Row row{.first_day = day,
            .parts = {{0, (10.0 + 0.9 * d - 0.02 * d * d) / 100.0, 0.5}},
            .certain = {mol(0.0), umol(250.0 + 7.0 * static_cast<double>(day % 11))}};
    rows.push_back(row);
  }
  std::vector<RiskValues> outputs(1);
  RiskLanes lanes;
  for (std::size_t i = 0; i < risk_lanes; ++i) {
    const double part = static_cast<double>(i) / risk_lanes;
    outputs[0][i] = 95.0 + 10.0 * part;
    lanes.dose[i] = 8.0 + 3.0 * part;
    lanes.peak[i] = 310.0 - 60.0 * part;
    lanes.reach[i] = 1.2 + 0.5 * part * part;
    lanes.up[i] = 0.05 + 0.1 * part;
    lanes.down[i] = 0.2 - 0.1 * part;
    lanes.first[i] = 40.0;
  }
  RiskLanes plain = lanes;
  // In two parts, as where a time constant changes between two rows.
  walk_days(rows, {0, 13, 2}, {outputs, {}}, 40.0, lanes);
  walk_days(rows, {13, 40, 2}, {outputs, {}}, 40.0, lanes);
  std::size_t met = 0;
  for (std::size_t i = 0; i < risk_lanes; ++i) {
    std::vector<Exposure> days;
    for (std::size_t day = 0; day < 40; ++day) {
      const Row& row = rows[day / 2];
      days.push_back({mol(row.parts[0].to_dose * outputs[0][i]),
                      umol(row.certain.peak.umol_m2_s() + row.parts[0].to_peak * outputs[0][i])});
    }
    walk_plainly(days, i, plain);
    EXPECT_EQ(lanes.first[i], plain.first[i]);
    EXPECT_EQ(lanes.dose[i], plain.dose[i]);
    EXPECT_EQ(lanes.peak[i], plain.peak[i]);
    met += lanes.first[i] < 40.0 ? 1u : 0u;
  }
  EXPECT_GT(met, 3u);
  EXPECT_LT(met, risk_lanes);
}

}  // namespace
}  // namespace slowdawn
