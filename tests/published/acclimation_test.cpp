// Closed forms of the first-order lag, and what they make of the headroom.
#include <gtest/gtest.h>

#include <cmath>
#include <slowdawn/coral/acclimation.hpp>
#include <slowdawn/ramp/caps.hpp>

#include "published/published_case.hpp"

namespace slowdawn {
namespace {

using published::describe;
using published::expect_sourced;
using published::expect_value;
using published::half_of_last_digit;
using published::Within;

Tolerance make_tolerance(double tau_up_days, double tau_down_days, double headroom_percent) {
  return {.dose_band = {DailyDose::mol_m2_d(0.0), DailyDose::mol_m2_d(1e6)},
          .peak_ceiling = Ppfd::umol_m2_s(1e6),
          .headroom = Percent::of_full(headroom_percent),
          .weekly_rise = Percent::of_full(15.0),
          .tau_up = Days::d(tau_up_days),
          .tau_down = Days::d(tau_down_days),
          .carryover = 1.0,
          .floor = Percent::of_full(50.0)};
}

Exposure both(double value) { return {DailyDose::mol_m2_d(value), Ppfd::umol_m2_s(value)}; }
Acclimation used_to(double value) { return {both(value).dose, both(value).peak}; }

/// tau = 7 d, a lag from one level to another.
struct Lag {
  const char* name;
  double from;
  double to;
  int days;
  double value;
  Within within;
  const char* source;
};

constexpr const char* step = "CALC: L + (A0 - L) exp(-t / tau), tau = 7 d";

const Lag lags[] = {
    {"share of a step, 1 d", 0.0, 1.0, 1, 0.133122100, half_of_last_digit(1e-9), step},
    {"share of a step, 7 d", 0.0, 1.0, 7, 0.632120559, half_of_last_digit(1e-9), step},
    {"share of a step, 14 d", 0.0, 1.0, 14, 0.864664717, half_of_last_digit(1e-9), step},
    {"share of a step, 21 d", 0.0, 1.0, 21, 0.950212932, half_of_last_digit(1e-9), step},
    {"share of a step, 28 d", 0.0, 1.0, 28, 0.981684361, half_of_last_digit(1e-9), step},
    {"60 to 120, 1 d", 60.0, 120.0, 1, 67.987326, half_of_last_digit(1e-6), step},
    {"60 to 120, 7 d", 60.0, 120.0, 7, 97.927234, half_of_last_digit(1e-6), step},
    {"60 to 120, 14 d", 60.0, 120.0, 14, 111.879883, half_of_last_digit(1e-6), step},
    {"120 to 60, 1 d", 120.0, 60.0, 1, 112.012674, half_of_last_digit(1e-6), step},
    {"120 to 60, 7 d", 120.0, 60.0, 7, 82.072766, half_of_last_digit(1e-6), step},
    {"120 to 60, 14 d", 120.0, 60.0, 14, 68.120117, half_of_last_digit(1e-6), step},
};

TEST(PublishedLag, EveryRowHasASource) { expect_sourced(lags); }

TEST(PublishedLag, FollowsTheClosedForm) {
  for (const Lag& row : lags) {
    // The time constant of the other direction must not matter.
    const bool rises = row.to > row.from;
    const Tolerance tolerance =
        rises ? make_tolerance(7.0, 3.0, 30.0) : make_tolerance(20.0, 7.0, 30.0);
    Acclimation state = used_to(row.from);
    for (int day = 0; day < row.days; ++day) state = after_day(state, both(row.to), tolerance);
    expect_value(row, state.dose.mol_m2_d());
    expect_value(row, state.peak.umol_m2_s());
  }
}

TEST(PublishedLag, IsExactHoweverTheDayIsCut) {
  // A step of 1/n day with tau is a day's step with n tau.
  for (const int parts : {2, 3, 24, 1440}) {
    SCOPED_TRACE(parts);
    Acclimation state = used_to(60.0);
    const Tolerance tolerance = make_tolerance(7.0 * parts, 7.0 * parts, 30.0);
    for (int part = 0; part < parts; ++part) state = after_day(state, both(120.0), tolerance);
    const Acclimation day = after_day(used_to(60.0), both(120.0), make_tolerance(7.0, 7.0, 30.0));
    EXPECT_NEAR(state.dose.mol_m2_d(), day.dose.mol_m2_d(), 1e-10);
    EXPECT_NEAR(state.peak.umol_m2_s(), day.peak.umol_m2_s(), 1e-10);
  }
}

/// L = 60 + 4 t from A = 60, tau = 7 d.
struct RisingLight {
  const char* name;
  int days;
  double value;
  Within within;
  const char* source;
};

constexpr const char* rising = "CALC: 60 + 4 (t - 7 + 7 exp(-t / 7))";

const RisingLight rising_lights[] = {
    {"1 d", 1, 60.272581, half_of_last_digit(1e-6), rising},
    {"7 d", 7, 70.300624, half_of_last_digit(1e-6), rising},
    {"14 d", 14, 91.789388, half_of_last_digit(1e-6), rising},
    {"28 d", 28, 144.512838, half_of_last_digit(1e-6), rising},
};

constexpr int cuts = 1000;

/// The ramp in steps of a thousandth of a day, each at its mean level: the
/// error of that is of second order and under 1e-7.
double follow_rising_light(int days) {
  const Tolerance tolerance = make_tolerance(7.0 * cuts, 3.0 * cuts, 30.0);
  Acclimation state = used_to(60.0);
  for (int cut = 0; cut < days * cuts; ++cut) {
    state = after_day(state, both(60.0 + 4.0 * (cut + 0.5) / cuts), tolerance);
  }
  return state.dose.mol_m2_d();
}

TEST(PublishedRisingLight, EveryRowHasASource) { expect_sourced(rising_lights); }

TEST(PublishedRisingLight, FollowsTheClosedForm) {
  for (const RisingLight& row : rising_lights) expect_value(row, follow_rising_light(row.days));
}

TEST(PublishedRisingLight, StaysBehindByRateTimesTau) {
  // After 140 days exp(-20) of the opening is left: 28 * 2e-9.
  EXPECT_NEAR(60.0 + 4.0 * 140.0 - follow_rising_light(140), 28.0, 1e-6);
}

/// A group used to 1, held at the most that the headroom allows, 1 + h, is used
/// to 1 + h (1 - exp(-n / tau)) after n days. So much larger may every further
/// step be, n days apart.
struct LargestStep {
  const char* name;
  double headroom_percent;
  double tau_up_days;
  int days;
  double value;
  Within within;
  const char* source;
};

constexpr const char* largest = "CALC: 1 + h (1 - exp(-n / tau)), own derivation";

const LargestStep largest_steps[] = {
    {"default, 14 d", 30.0, 10.0, 14, 1.226, half_of_last_digit(1e-3), largest},
    {"default, 14 d, more digits", 30.0, 10.0, 14, 1.226021, half_of_last_digit(1e-6), largest},
    {"default, 7 d", 30.0, 10.0, 7, 1.151024, half_of_last_digit(1e-6), largest},
    {"default, 1 d", 30.0, 10.0, 1, 1.028549, half_of_last_digit(1e-6), largest},
    {"gentle, 14 d", 20.0, 10.0, 14, 1.150681, half_of_last_digit(1e-6), largest},
    {"brisk, 14 d", 50.0, 10.0, 14, 1.376702, half_of_last_digit(1e-6), largest},
    {"quick to get used to light, 7 d", 30.0, 5.0, 7, 1.226021, half_of_last_digit(1e-6), largest},
    {"slow to get used to light, 28 d", 30.0, 20.0, 28, 1.226021, half_of_last_digit(1e-6),
     largest},
};

TEST(PublishedLargestStep, EveryRowHasASource) { expect_sourced(largest_steps); }

TEST(PublishedLargestStep, IsWhatAGroupIsUsedToAfterDaysAtItsHeadroom) {
  for (const LargestStep& row : largest_steps) {
    const Tolerance tolerance = make_tolerance(row.tau_up_days, 5.0, row.headroom_percent);
    const double reach = 1.0 + row.headroom_percent / 100.0;
    Acclimation state = used_to(1.0);
    for (int day = 0; day < row.days; ++day) state = after_day(state, both(reach), tolerance);
    expect_value(row, state.dose.mol_m2_d());
    expect_value(row, state.peak.umol_m2_s());
  }
}

TEST(PublishedLargestStep, IsTheLargestThatTheHeadroomLetsPass) {
  for (const LargestStep& row : largest_steps) {
    SCOPED_TRACE(describe(row));
    const double headroom = row.headroom_percent / 100.0;
    const double allowed = 1.0 + headroom * (1.0 - std::exp(-row.days / row.tau_up_days));
    RampGroup group{.name = "thicket",
                    .spot = 0,
                    .before = both(1.0),
                    .used_to = used_to(1.0),
                    .tolerance = make_tolerance(row.tau_up_days, 5.0, row.headroom_percent)};
    // The pace is out of the way, so that the headroom alone counts.
    GroupState state{group.used_to, both(1e6)};
    double level = 1.0 + headroom;
    for (int steps = 0; steps < 5; ++steps) {
      for (int day = 0; day < row.days; ++day) {
        EXPECT_FALSE(worst_breach(compute_limits(group, state), both(level), {}));
        state = {after_day(state.used_to, both(level), group.tolerance), both(1e6)};
      }
      const auto breach =
          worst_breach(compute_limits(group, state), both(level * allowed * 1.0001), {});
      ASSERT_TRUE(breach.has_value());
      EXPECT_EQ(breach->cap, Cap::dose_headroom);
      level *= allowed;
    }
  }
}

}  // namespace
}  // namespace slowdawn
