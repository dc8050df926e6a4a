// What has been done to corals, and whether the caps agree with how it went.
#include <gtest/gtest.h>

#include <cmath>
#include <slowdawn/ramp/caps.hpp>
#include <slowdawn/tank/profile_shelf.hpp>

#include "published/published_case.hpp"

namespace slowdawn {
namespace {

using published::describe;
using published::expect_sourced;
using published::expect_value;
using published::half_of_last_digit;
using published::Within;

/// The default figures under a band and a ceiling that never bind.
Tolerance make_default(Pace pace = Pace::standard) {
  return at_pace({.dose_band = {DailyDose::mol_m2_d(0.0), DailyDose::mol_m2_d(1e6)},
                  .peak_ceiling = Ppfd::umol_m2_s(1e6),
                  .headroom = Percent::of_full(30.0),
                  .weekly_rise = Percent::of_full(15.0),
                  .tau_up = Days::d(10.0),
                  .tau_down = Days::d(5.0),
                  .carryover = 0.8,
                  .floor = Percent::of_full(50.0)},
                 pace);
}

/// A square day of 10 h.
Exposure day_of(double ppfd_umol_m2_s) {
  const Ppfd ppfd = Ppfd::umol_m2_s(ppfd_umol_m2_s);
  return {ppfd * Hours::h(10.0), ppfd};
}

/// A group that is used to the light that it has.
RampGroup make_settled(const Exposure& light, const Tolerance& tolerance) {
  return {.name = "colony",
          .spot = 0,
          .before = light,
          .used_to = {light.dose, light.peak},
          .tolerance = tolerance};
}

/// The state of a settled group after 60 more days in its light.
GroupState wait(const RampGroup& group, const Exposure& next_brighter) {
  GroupState state = state_at_start(group);
  for (int day = 0; day < 60; ++day) {
    state = after_day(state, group.before, next_brighter, group.tolerance);
  }
  return state;
}

/// A sudden move upward that bleached or killed. Light falls off with depth by
/// exp(-Kd depth). UV rose too in the field, so the ratio overstates what light
/// alone has done.
struct SuddenMove {
  const char* name;
  double from_depth_m;
  double to_depth_m;
  double kd_per_m;
  const char* outcome;
  /// PPFD after to before.
  double value;
  Within within;
  const char* source;
};

constexpr double clear = 0.06;
constexpr double less_clear = 0.10;

constexpr const char* hoegh_guldberg =
    "READ second-hand, citing Hoegh-Guldberg and Smith 1989; ratio CALC from the depths";
constexpr const char* gleason =
    "READ second-hand, depths as cited with Gleason and Wellington 1993, Nature 365:836 (abstract "
    "READ); ratio CALC from the depths";
constexpr const char* vareschi =
    "READ second-hand, citing Vareschi and Fricke 1986; ratio CALC from the depths";
constexpr const char* baker =
    "READ: depths in The Scientist on Baker 2001, Nature 411:765; that it bleached severely MEM; "
    "ratio CALC from the depths";
constexpr const char* kramer =
    "READ: Kramer et al. 2022, MEPS 682:237, abstract; ratio CALC from the depths";

const SuddenMove sudden_moves[] = {
    {"Stylophora and Seriatopora, clear water", 6.0, 1.2, clear, "bleached", 1.3,
     half_of_last_digit(0.1), hoegh_guldberg},
    {"Stylophora and Seriatopora, less clear", 6.0, 1.2, less_clear, "bleached", 1.6,
     half_of_last_digit(0.1), hoegh_guldberg},
    {"Orbicella by 6 m, clear water", 24.0, 18.0, clear, "bleached", 1.4, half_of_last_digit(0.1),
     gleason},
    {"Orbicella by 6 m, less clear", 24.0, 18.0, less_clear, "bleached", 1.8,
     half_of_last_digit(0.1), gleason},
    {"Orbicella by 12 m, clear water", 24.0, 12.0, clear, "bleached worst", 2.1,
     half_of_last_digit(0.1), gleason},
    {"Orbicella by 12 m, less clear", 24.0, 12.0, less_clear, "bleached worst", 3.3,
     half_of_last_digit(0.1), gleason},
    {"Plerogyra, clear water", 25.0, 5.0, clear, "bleached", 3.3, half_of_last_digit(0.1),
     vareschi},
    {"Plerogyra, less clear", 25.0, 5.0, less_clear, "bleached", 7.4, half_of_last_digit(0.1),
     vareschi},
    {"Caribbean species, nearest, clear water", 20.0, 4.0, clear, "bleached severely", 3.0,
     half_of_last_digit(1.0), baker},
    {"Caribbean species, nearest, less clear", 20.0, 4.0, less_clear, "bleached severely", 5.0,
     half_of_last_digit(1.0), baker},
    {"Caribbean species, farthest, clear water", 30.0, 2.0, clear, "bleached severely", 5.0,
     half_of_last_digit(1.0), baker},
    {"Caribbean species, farthest, less clear", 30.0, 2.0, less_clear, "bleached severely", 16.0,
     half_of_last_digit(1.0), baker},
    {"mesophotic juveniles, clear water", 50.0, 10.0, clear, "over half dead in a year", 11.0,
     half_of_last_digit(1.0), kramer},
    {"mesophotic juveniles, less clear", 50.0, 10.0, less_clear, "over half dead in a year", 55.0,
     half_of_last_digit(1.0), kramer},
};

double ratio_of(const SuddenMove& row) {
  return std::exp(row.kd_per_m * (row.from_depth_m - row.to_depth_m));
}

TEST(PublishedSuddenMove, EveryRowHasASource) { expect_sourced(sudden_moves); }

TEST(PublishedSuddenMove, RatioFollowsFromTheDepths) {
  for (const SuddenMove& row : sudden_moves) expect_value(row, ratio_of(row));
}

TEST(PublishedSuddenMove, IsRefusedForASettledGroup) {
  for (const Pace pace : {Pace::gentle, Pace::standard, Pace::brisk}) {
    for (const SuddenMove& row : sudden_moves) {
      const Exposure before = day_of(100.0);
      const RampGroup group = make_settled(before, make_default(pace));
      const Limits limits = compute_limits(group, state_at_start(group));
      EXPECT_FALSE(worst_breach(limits, before, {})) << describe(row);
      EXPECT_TRUE(worst_breach(limits, day_of(100.0 * ratio_of(row)), before))
          << describe(row) << ": " << row.outcome;
    }
  }
}

TEST(PublishedSuddenMove, IsRefusedHoweverLongTheGroupWaitedOnAFineDial) {
  for (const Pace pace : {Pace::gentle, Pace::standard, Pace::brisk}) {
    for (const SuddenMove& row : sudden_moves) {
      const Exposure before = day_of(100.0);
      const RampGroup group = make_settled(before, make_default(pace));
      const Limits limits = compute_limits(group, wait(group, day_of(101.0)));
      const double week = 1.0 + group.tolerance.weekly_rise.fraction();
      EXPECT_FALSE(worst_breach(limits, day_of(100.0 * week), before)) << "one week's rise";
      EXPECT_TRUE(worst_breach(limits, day_of(100.0 * ratio_of(row)), before))
          << describe(row) << ": " << row.outcome;
    }
  }
}

TEST(PublishedSuddenMove, IsRefusedByTheHeadroomWhereItIsTheNextStepOfTheDial) {
  // Where the dial has nothing between, the pace gives way to the step and the
  // headroom alone is left to refuse it.
  for (const Pace pace : {Pace::gentle, Pace::standard}) {
    for (const SuddenMove& row : sudden_moves) {
      const Exposure before = day_of(100.0);
      const Exposure after = day_of(100.0 * ratio_of(row));
      const RampGroup group = make_settled(before, make_default(pace));
      const Limits limits = compute_limits(group, wait(group, after));
      const auto breach = worst_breach(limits, after, before);
      ASSERT_TRUE(breach.has_value()) << describe(row) << ": " << row.outcome;
      EXPECT_GE(breach->ratio, ratio_of(row) / (1.0 + group.tolerance.headroom.fraction()) - 1e-9)
          << describe(row);
    }
  }
}

TEST(PublishedSuddenMove, HeadroomOfTheBriskPaceSparesOnlyTheMildest) {
  // The brisk headroom is 50 %: where the dial has nothing between, it lets the
  // two mildest moves pass, those of clear water. The default does not.
  for (const SuddenMove& row : sudden_moves) {
    const Exposure before = day_of(100.0);
    const Exposure after = day_of(100.0 * ratio_of(row));
    const RampGroup group = make_settled(before, make_default(Pace::brisk));
    const Limits limits = compute_limits(group, wait(group, after));
    EXPECT_EQ(worst_breach(limits, after, before).has_value(), ratio_of(row) > 1.5)
        << describe(row);
  }
}

TEST(PublishedSuddenMove, IsRefusedForEveryProfile) {
  const ProfileShelf shelf = ProfileShelf::built_in();
  for (const std::string& name : shelf.names()) {
    Tolerance tolerance = shelf.find(name).value().tolerance;
    // The refusal must not rest on where the band happens to lie.
    tolerance.dose_band = make_default().dose_band;
    tolerance.peak_ceiling = make_default().peak_ceiling;
    for (const SuddenMove& row : sudden_moves) {
      const Exposure before = day_of(100.0);
      const Exposure after = day_of(100.0 * ratio_of(row));
      const RampGroup group = make_settled(before, tolerance);
      EXPECT_TRUE(worst_breach(compute_limits(group, wait(group, after)), after, before))
          << name << ", " << describe(row) << ": " << row.outcome;
    }
  }
}

TEST(PublishedSuddenMove, IsRefusedEvenWhereAHardyCoralBoreIt) {
  // 6 to 32 mol m-2 d-1 at once (READ: DiPerna et al. 2018, PLoS ONE
  // 13(9):e0203882, abstract): Acropora millepora hardly changed its yield,
  // Pachyseris speciosa lost much of it. The caps do not bet on the former.
  const Exposure before{DailyDose::mol_m2_d(6.0), Ppfd::umol_m2_s(150.0)};
  const Exposure after{DailyDose::mol_m2_d(32.0), Ppfd::umol_m2_s(800.0)};
  const RampGroup group = make_settled(before, make_default());
  EXPECT_TRUE(worst_breach(compute_limits(group, wait(group, after)), after, before));
}

// The one published ramp with numbers: 25 to 200 umol m-2 s-1, raised every two
// weeks over weeks 0 to 19 (READ: NSU thesis 2025,
// nsuworks.nova.edu/hcas_etd_all/215).
constexpr double ramp_from = 25.0;
constexpr double ramp_to = 200.0;
constexpr double ramp_weeks = 19.0;

double geometric_step(double weeks) { return std::pow(ramp_to / ramp_from, weeks / ramp_weeks); }

struct RampFigure {
  const char* name;
  double weeks;
  /// Rise, %.
  double value;
  Within within;
  const char* source;
};

const RampFigure ramp_figures[] = {
    {"a week", 1.0, 11.6, half_of_last_digit(0.1),
     "CALC: 8 times in 19 weeks, evenly; levels and weeks READ in NSU thesis 2025"},
    {"two weeks", 2.0, 24.0, half_of_last_digit(1.0),
     "CALC: 8 times in 19 weeks, evenly; levels and weeks READ in NSU thesis 2025"},
    {"all of it", 19.0, 700.0, published::rounding(1e-9),
     "READ: 25 to 200 umol m-2 s-1, NSU thesis 2025; ratio CALC"},
};

TEST(PublishedRamp, EveryRowHasASource) { expect_sourced(ramp_figures); }

TEST(PublishedRamp, RisesByItsFigures) {
  for (const RampFigure& row : ramp_figures) {
    expect_value(row, 100.0 * (geometric_step(row.weeks) - 1.0));
  }
}

TEST(PublishedRamp, PassesEveryCapEveryDayWhereItIsSpreadByDay) {
  const int days = static_cast<int>(7.0 * ramp_weeks);
  const auto level = [&](int day) { return day_of(ramp_from * geometric_step(day / 7.0)); };
  const RampGroup group = make_settled(level(0), make_default());
  GroupState state = state_at_start(group);
  for (int day = 0; day <= days; ++day) {
    const auto breach =
        worst_breach(compute_limits(group, state), level(day), level(day == 0 ? 0 : day - 1));
    ASSERT_FALSE(breach.has_value()) << "day " << day << ", by " << breach->ratio;
    state = after_day(state, level(day), level(day + 1), group.tolerance);
  }
  EXPECT_NEAR(level(days).peak.umol_m2_s(), ramp_to, 1e-9);
}

TEST(PublishedRamp, StaysWellInsideTheHeadroomWhereItIsSpreadByDay) {
  // A light that grows by g a day runs ahead of what a group is used to by
  // 1 + g / (1 - exp(-1/tau)), own derivation: 16.6 % here, of 30.
  const double growth = geometric_step(1.0 / 7.0) - 1.0;
  const double ahead = 1.0 + growth / daily_adaptation(Days::d(10.0));
  const int days = static_cast<int>(7.0 * ramp_weeks);
  Acclimation used_to{day_of(ramp_from).dose, day_of(ramp_from).peak};
  for (int day = 0; day <= days; ++day) {
    const Exposure light = day_of(ramp_from * geometric_step(day / 7.0));
    ASSERT_LE(light.dose / used_to.dose, ahead + 1e-12) << day;
    if (day == days) {
      EXPECT_NEAR(light.dose / used_to.dose, ahead, 1e-4);
    }
    used_to = after_day(used_to, light, make_default());
  }
  EXPECT_LT(ahead, 1.17);
}

TEST(PublishedRamp, TwoWeeklyStepsBreakTheWeeklyRise) {
  // As it was done, in steps of two weeks: +24 % at once is over one week's
  // rise of 15 %, the most that the pace ever saves up. The corals of that
  // study lived through it: the cap is the more cautious of the two.
  const double step = geometric_step(2.0);
  const Exposure first = day_of(ramp_from);
  const Exposure second = day_of(ramp_from * step);
  const RampGroup group = make_settled(first, make_default());
  GroupState state = state_at_start(group);
  for (int day = 0; day < 14; ++day) {
    state = after_day(state, first, day_of(1.01 * ramp_from), group.tolerance);
  }
  const auto breach = worst_breach(compute_limits(group, state), second, first);
  ASSERT_TRUE(breach.has_value());
  EXPECT_EQ(breach->cap, Cap::dose_pace);
  EXPECT_NEAR(breach->ratio, step / 1.15, 1e-12);

  // Nor does it help that the last day before the step has it in sight.
  GroupState seen = state_at_start(group);
  for (int day = 0; day < 14; ++day) {
    seen = after_day(seen, first, day < 13 ? first : second, group.tolerance);
  }
  const auto still = worst_breach(compute_limits(group, seen), second, first);
  ASSERT_TRUE(still.has_value());
  EXPECT_EQ(still->cap, Cap::dose_pace);
}

TEST(PublishedRamp, TwoWeeklyStepsAreJustOverTheHeadroomToo) {
  // On a dial with nothing between, the pace gives way. The first step starts
  // from settled corals and passes (24 < 30 %). From then on they are used to
  // 1 + 0.30 (1 - exp(-1.4)) = 1.226 of the last step at the most, and 1.245 is
  // over it: the second step is refused.
  const double step = geometric_step(2.0);
  const double closed_form = 1.0 + 0.30 * (1.0 - std::exp(-1.4));
  EXPECT_GT(step, closed_form);

  const auto level = [&](int number) { return day_of(ramp_from * std::pow(step, number)); };
  const RampGroup group = make_settled(level(0), make_default());
  GroupState state = state_at_start(group);
  int number = 0;
  for (; number < 9; ++number) {
    for (int day = 0; day < 14; ++day) {
      state = after_day(state, level(number), level(number + 1), group.tolerance);
    }
    const auto breach =
        worst_breach(compute_limits(group, state), level(number + 1), level(number));
    if (!breach) continue;
    EXPECT_EQ(breach->cap, Cap::dose_headroom);
    // A group used to 1 has got used to 1 + (step - 1)(1 - exp(-1.4)).
    const double used_to = 1.0 + (step - 1.0) * (1.0 - std::exp(-1.4));
    EXPECT_NEAR(breach->ratio, step * step / (1.30 * used_to), 1e-12);
    break;
  }
  EXPECT_EQ(number, 1);
}

}  // namespace
}  // namespace slowdawn
