// What a meter's reading stands for, and how far it can be trusted.
#include <gtest/gtest.h>

#include <cmath>
#include <slowdawn/coral/acclimation.hpp>
#include <slowdawn/tank/ramp_setup.hpp>
#include <slowdawn/tank/tank.hpp>
#include <stdexcept>
#include <string>

#include "published/published_case.hpp"

namespace slowdawn {
namespace {

using published::describe;
using published::expect_sourced;
using published::expect_value;
using published::half_of_last_digit;
using published::rounding;
using published::Within;

struct WetReading {
  const char* name;
  /// As it stands in the tank file.
  const char* meter;
  const char* dial;
  const char* ppfd;
  /// Full output, umol m-2 s-1.
  double value;
  Within within;
  const char* source;
};

const WetReading wet_readings[] = {
    {"factor of an air-calibrated collector", R"({"immersion_factor": 1.25})", "100", "200", 250.0,
     rounding(1e-10),
     "MEM: published cosine collectors 1.2 to 1.4; true = reading * factor, Smith 1969, J. Mar. "
     "Res. 27:341; product CALC"},
    {"no factor", "{}", "100", "200", 200.0, rounding(1e-10),
     "CALC: a meter that already corrects has the factor 1"},
    {"repeats", R"({"immersion_factor": 1.25})", "100", "[190, 205, 205]", 250.0, rounding(1e-10),
     "CALC: mean 200 times 1.25"},
    {"half the dial", R"({"immersion_factor": 1.25})", "50", "100", 250.0, rounding(1e-10),
     "CALC: 100 times 1.25 over 0.5"},
};

Tank read(const WetReading& row) {
  const std::string text = std::string{R"({"format": "slowdawn-tank/1", "name": "basin",)"} +
                           R"("meter": )" + row.meter +
                           R"(, "lights": [{"name": "bars",
                                            "photoperiod": {"on": "09:00", "off": "19:00"}}],
                              "spots": [{"name": "crest"}],
                              "surveys": [{"dials": {"bars": )" +
                           row.dial + R"(}, "ppfd": {"crest": )" + row.ppfd +
                           R"(}}],
                              "groups": [{"name": "thicket", "profile": "acropora",
                                          "spot": "crest"}],
                              "ramp": {"from": {"bars": 40}, "to": {"bars": 100}}})";
  auto tank = parse_tank("basin.tank.json", text, ProfileShelf::built_in());
  if (!tank) throw std::runtime_error(tank.error().findings.front().what);
  return *tank;
}

TEST(PublishedImmersionFactor, EveryRowHasASource) { expect_sourced(wet_readings); }

TEST(PublishedImmersionFactor, IsAppliedOnceToAReading) {
  for (const WetReading& row : wet_readings) {
    const Tank tank = read(row);
    ASSERT_TRUE(tank.full_output.at(0).at(0).has_value()) << describe(row);
    expect_value(row, tank.full_output[0][0]->ppfd.umol_m2_s());
  }
}

TEST(PublishedImmersionFactor, IsNotAppliedAgainOnTheWayToThePlan) {
  for (const WetReading& row : wet_readings) {
    const RampProblem problem = make_ramp_setup(read(row)).problem;
    const Exposure& goal = problem.exposure(problem.path.goal, problem.groups.front());
    expect_value(row, goal.peak.umol_m2_s());
    EXPECT_NEAR(goal.dose.mol_m2_d(), 0.036 * row.value, 1e-10) << describe(row);
    EXPECT_NEAR(problem.groups.front().before.peak.umol_m2_s(), 0.4 * row.value, 1e-10)
        << describe(row);
  }
}

struct Doubt {
  const char* name;
  Readings readings;
  double calibration_percent;
  double repeat_percent;
  /// Relative standard uncertainty of the ratio.
  double value;
  Within within;
  const char* source;
};

const Doubt doubts[] = {
    {"same light, same spot", Readings::same, 10.0, 5.0, 0.0, rounding(1e-15),
     "CALC: nothing is compared"},
    {"two readings of one meter", Readings::one_meter, 10.0, 5.0, 0.0707107,
     half_of_last_digit(1e-7),
     "CALC: sqrt(2) r; MEM: JCGM 100:2008, 5.1.2, independent errors add in squares"},
    {"readings of two meters", Readings::two_meters, 10.0, 5.0, 0.1224745, half_of_last_digit(1e-7),
     "CALC: sqrt(2 r^2 + c^2); MEM: JCGM 100:2008, 5.1.2, independent errors add in squares"},
    {"two meters that repeat perfectly", Readings::two_meters, 10.0, 0.0, 0.1, rounding(1e-15),
     "CALC: sqrt(2 r^2 + c^2)"},
    {"one meter that repeats perfectly", Readings::one_meter, 10.0, 0.0, 0.0, rounding(1e-15),
     "CALC: the calibration cancels"},
};

TEST(PublishedDoubt, EveryRowHasASource) { expect_sourced(doubts); }

TEST(PublishedDoubt, AddsIndependentErrorsInSquares) {
  for (const Doubt& row : doubts) {
    const MeterAccuracy meter{.calibration = Percent::of_full(row.calibration_percent),
                              .repeat = Percent::of_full(row.repeat_percent)};
    expect_value(row, ratio_uncertainty(row.readings, meter));
  }
}

struct Bound {
  const char* name;
  double uncertainty;
  /// Share of the light before that counts.
  double value;
  Within within;
  const char* source;
};

const Bound bounds[] = {
    {"no doubt", 0.0, 1.0, rounding(1e-15), "CALC: exp(0)"},
    {"one meter, repeats within 5 %", 0.0707106781, 0.890191, half_of_last_digit(1e-6),
     "CALC: exp(-1.645 u); MEM: 1.645 from JCGM 100:2008, table G.1"},
    {"two meters within 10 %", 0.1224744871, 0.817528, half_of_last_digit(1e-6),
     "CALC: exp(-1.645 u); MEM: 1.645 from JCGM 100:2008, table G.1"},
};

TEST(PublishedBound, EveryRowHasASource) { expect_sourced(bounds); }

TEST(PublishedBound, IsThatOfALogNormalRatio) {
  const Exposure before{DailyDose::mol_m2_d(10.0), Ppfd::umol_m2_s(300.0)};
  for (const Bound& row : bounds) {
    const Acclimation start = at_start(before, 1.0, row.uncertainty);
    expect_value(row, start.dose / before.dose);
    expect_value(row, start.peak / before.peak);
  }
}

TEST(PublishedBound, LeavesOneInTwentyOutside) {
  // What stands over exp(-1.645 u) of a log-normal ratio is the normal
  // distribution up to 1.645; half of its last digit moves it by 5e-5.
  const double u = 0.1;
  const Exposure one{DailyDose::mol_m2_d(1.0), Ppfd::umol_m2_s(1.0)};
  const double deviations = -std::log(at_start(one, 1.0, u).dose.mol_m2_d()) / u;
  EXPECT_NEAR(0.5 * std::erfc(-deviations / std::sqrt(2.0)), 0.95, 5e-5);
}

}  // namespace
}  // namespace slowdawn
