#include <gtest/gtest.h>

#include <slowdawn/coral/profile.hpp>

namespace slowdawn {
namespace {

Tolerance make_tolerance(double weekly_rise, double headroom) {
  return {.dose_band = {DailyDose::mol_m2_d(2.0), DailyDose::mol_m2_d(13.0)},
          .peak_ceiling = Ppfd::umol_m2_s(350.0),
          .headroom = Percent::of_full(headroom),
          .weekly_rise = Percent::of_full(weekly_rise),
          .tau_up = Days::d(10.0),
          .tau_down = Days::d(5.0),
          .carryover = 0.8,
          .floor = Percent::of_full(50.0)};
}

TEST(Pace, GentleTakesTwoThirdsOfRiseAndHeadroom) {
  const Tolerance gentle = at_pace(make_tolerance(15.0, 30.0), Pace::gentle);
  EXPECT_DOUBLE_EQ(gentle.weekly_rise.percent(), 10.0);
  EXPECT_DOUBLE_EQ(gentle.headroom.percent(), 20.0);
}

TEST(Pace, StandardTakesThemAsTheyAre) {
  const Tolerance standard = at_pace(make_tolerance(15.0, 30.0), Pace::standard);
  EXPECT_EQ(standard.weekly_rise.percent(), 15.0);
  EXPECT_EQ(standard.headroom.percent(), 30.0);
}

TEST(Pace, BriskTakesFourThirdsOfRiseAndFiveThirdsOfHeadroom) {
  const Tolerance brisk = at_pace(make_tolerance(15.0, 30.0), Pace::brisk);
  EXPECT_DOUBLE_EQ(brisk.weekly_rise.percent(), 20.0);
  EXPECT_DOUBLE_EQ(brisk.headroom.percent(), 50.0);
}

TEST(Pace, ScalesTheFiguresOfAProfileAndNotTheDefaults) {
  const Tolerance brisk = at_pace(make_tolerance(6.0, 12.0), Pace::brisk);
  EXPECT_DOUBLE_EQ(brisk.weekly_rise.percent(), 8.0);
  EXPECT_DOUBLE_EQ(brisk.headroom.percent(), 20.0);
}

TEST(Pace, LeavesEverythingElse) {
  const Tolerance before = make_tolerance(15.0, 30.0);
  for (const Pace pace : {Pace::gentle, Pace::standard, Pace::brisk}) {
    const Tolerance after = at_pace(before, pace);
    EXPECT_EQ(after.dose_band.low, before.dose_band.low);
    EXPECT_EQ(after.dose_band.high, before.dose_band.high);
    EXPECT_EQ(after.peak_ceiling, before.peak_ceiling);
    EXPECT_EQ(after.tau_up, before.tau_up);
    EXPECT_EQ(after.tau_down, before.tau_down);
    EXPECT_EQ(after.carryover, before.carryover);
    EXPECT_EQ(after.floor, before.floor);
  }
}

}  // namespace
}  // namespace slowdawn
