#include <gtest/gtest.h>

#include <cmath>
#include <random>
#include <slowdawn/coral/acclimation.hpp>
#include <string>

namespace slowdawn {
namespace {

Tolerance make_tolerance(double tau_up_days, double tau_down_days) {
  return {.dose_band = {DailyDose::mol_m2_d(2.0), DailyDose::mol_m2_d(13.0)},
          .peak_ceiling = Ppfd::umol_m2_s(350.0),
          .headroom = Percent::of_full(30.0),
          .weekly_rise = Percent::of_full(15.0),
          .tau_up = Days::d(tau_up_days),
          .tau_down = Days::d(tau_down_days),
          .carryover = 0.8,
          .floor = Percent::of_full(50.0)};
}

Acclimation used_to(double dose, double peak) {
  return {DailyDose::mol_m2_d(dose), Ppfd::umol_m2_s(peak)};
}

Exposure exposure(double dose, double peak) {
  return {DailyDose::mol_m2_d(dose), Ppfd::umol_m2_s(peak)};
}

double share(double tau_days) { return 1.0 - std::exp(-1.0 / tau_days); }

TEST(AdaptationPerDay, IsTheStepOfAFirstOrderLag) {
  for (const double tau : {0.5, 1.0, 5.0, 10.0, 60.0}) {
    SCOPED_TRACE(tau);
    EXPECT_NEAR(daily_adaptation(Days::d(tau)), share(tau), 1e-15);
  }
}

TEST(AdaptationPerDay, KeepsItsDigitsForASlowCoral) {
  // 1 - exp(-x) = x - x^2/2 + ... with x = 1e-9: the plain difference would
  // keep 7 digits.
  EXPECT_NEAR(daily_adaptation(Days::d(1e9)) / 1e-9, 1.0 - 0.5e-9, 1e-15);
}

TEST(AdaptationPerDay, IsExactForTheDay) {
  // Half a day with tau is a whole one with 2 tau: two of them make the day.
  for (const double tau : {1.0, 5.0, 7.0, 10.0, 40.0}) {
    SCOPED_TRACE(tau);
    const double left_after_half = 1.0 - daily_adaptation(Days::d(2.0 * tau));
    EXPECT_NEAR(1.0 - daily_adaptation(Days::d(tau)), left_after_half * left_after_half, 1e-15);
  }
}

TEST(Acclimation, GoesUpWithTauUp) {
  const Acclimation next =
      after_day(used_to(5.0, 150.0), exposure(6.0, 180.0), make_tolerance(10.0, 5.0));
  EXPECT_NEAR(next.dose.mol_m2_d(), 5.0 + share(10.0) * 1.0, 1e-14);
  EXPECT_NEAR(next.peak.umol_m2_s(), 150.0 + share(10.0) * 30.0, 1e-12);
}

TEST(Acclimation, GoesDownWithTauDown) {
  const Acclimation next =
      after_day(used_to(5.0, 150.0), exposure(4.0, 120.0), make_tolerance(10.0, 5.0));
  EXPECT_NEAR(next.dose.mol_m2_d(), 5.0 - share(5.0) * 1.0, 1e-14);
  EXPECT_NEAR(next.peak.umol_m2_s(), 150.0 - share(5.0) * 30.0, 1e-12);
}

TEST(Acclimation, ChoosesTheTimeConstantForDoseAndPeakApart) {
  // A longer and dimmer day, then a shorter and brighter one.
  const Acclimation dimmer =
      after_day(used_to(5.0, 150.0), exposure(6.0, 120.0), make_tolerance(10.0, 5.0));
  EXPECT_NEAR(dimmer.dose.mol_m2_d(), 5.0 + share(10.0) * 1.0, 1e-14);
  EXPECT_NEAR(dimmer.peak.umol_m2_s(), 150.0 - share(5.0) * 30.0, 1e-12);

  const Acclimation brighter =
      after_day(used_to(5.0, 150.0), exposure(4.0, 180.0), make_tolerance(10.0, 5.0));
  EXPECT_NEAR(brighter.dose.mol_m2_d(), 5.0 - share(5.0) * 1.0, 1e-14);
  EXPECT_NEAR(brighter.peak.umol_m2_s(), 150.0 + share(10.0) * 30.0, 1e-12);
}

TEST(Acclimation, StaysWhereTheLightIsAsUsual) {
  const Acclimation settled = used_to(5.1, 151.0);
  EXPECT_EQ(after_day(settled, exposure(5.1, 151.0), make_tolerance(10.0, 5.0)), settled);
}

TEST(Acclimation, ForgetsOnADarkDay) {
  const Acclimation next =
      after_day(used_to(5.0, 150.0), exposure(0.0, 0.0), make_tolerance(10.0, 5.0));
  EXPECT_NEAR(next.dose.mol_m2_d(), 5.0 * std::exp(-0.2), 1e-14);
  EXPECT_NEAR(next.peak.umol_m2_s(), 150.0 * std::exp(-0.2), 1e-12);
}

TEST(Acclimation, FollowsTheClosedFormOverManyDaysOfOneLight) {
  const Tolerance tolerance = make_tolerance(10.0, 5.0);
  Acclimation up = used_to(4.0, 100.0);
  Acclimation down = used_to(8.0, 250.0);
  for (int day = 1; day <= 120; ++day) {
    up = after_day(up, exposure(8.0, 250.0), tolerance);
    down = after_day(down, exposure(4.0, 100.0), tolerance);
    ASSERT_NEAR(up.dose.mol_m2_d(), 8.0 - 4.0 * std::exp(-day / 10.0), 1e-12) << day;
    ASSERT_NEAR(up.peak.umol_m2_s(), 250.0 - 150.0 * std::exp(-day / 10.0), 1e-11) << day;
    ASSERT_NEAR(down.dose.mol_m2_d(), 4.0 + 4.0 * std::exp(-day / 5.0), 1e-12) << day;
    ASSERT_NEAR(down.peak.umol_m2_s(), 100.0 + 150.0 * std::exp(-day / 5.0), 1e-11) << day;
  }
}

TEST(Acclimation, StaysBetweenWhatItWasAndTheDay) {
  for (unsigned seed = 1; seed <= 500; ++seed) {
    SCOPED_TRACE("seed " + std::to_string(seed));
    std::mt19937 random(seed);
    std::uniform_real_distribution<double> any(0.0, 1.0);
    const Acclimation before = used_to(20.0 * any(random), 500.0 * any(random));
    const Exposure day = exposure(20.0 * any(random), 500.0 * any(random));
    const Tolerance tolerance = make_tolerance(1.0 + 39.0 * any(random), 1.0 + 39.0 * any(random));
    const Acclimation after = after_day(before, day, tolerance);
    EXPECT_GE(after.dose, std::min(before.dose, day.dose));
    EXPECT_LE(after.dose, std::max(before.dose, day.dose));
    EXPECT_GE(after.peak, std::min(before.peak, day.peak));
    EXPECT_LE(after.peak, std::max(before.peak, day.peak));
  }
}

TEST(Acclimation, NeverLosesByMoreLight) {
  // More light today or before never leaves a group used to less.
  for (unsigned seed = 1; seed <= 500; ++seed) {
    SCOPED_TRACE("seed " + std::to_string(seed));
    std::mt19937 random(seed);
    std::uniform_real_distribution<double> any(0.0, 1.0);
    const Tolerance tolerance = make_tolerance(1.0 + 39.0 * any(random), 1.0 + 39.0 * any(random));
    const double used = 20.0 * any(random);
    const double dose = 20.0 * any(random);
    const double more = 5.0 * any(random);
    const auto next = [&](double a, double d) {
      return after_day(used_to(a, a), exposure(d, d), tolerance).dose.mol_m2_d();
    };
    EXPECT_GE(next(used, dose + more), next(used, dose) - 1e-14);
    EXPECT_GE(next(used + more, dose), next(used, dose) - 1e-14);
  }
}

TEST(DoubtFactor, FadesAsTheGroupGetsUsedToItsLight) {
  const Tolerance tolerance = make_tolerance(10.0, 5.0);
  const Exposure day = exposure(5.0, 150.0);
  Acclimation sure = used_to(4.0, 120.0);
  Acclimation doubtful = used_to(4.0 * doubt_factor(0.1), 120.0 * doubt_factor(0.1));
  EXPECT_LT(doubtful.dose / sure.dose, 0.86);
  for (int i = 0; i < 60; ++i) {
    sure = after_day(sure, day, tolerance);
    doubtful = after_day(doubtful, day, tolerance);
  }
  EXPECT_NEAR(doubtful.dose / sure.dose, 1.0, 1e-3);
  EXPECT_NEAR(doubtful.peak / sure.peak, 1.0, 1e-3);
}

}  // namespace
}  // namespace slowdawn
