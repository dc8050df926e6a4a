// What a meter's reading stands for, and how far it can be trusted.
#include <gtest/gtest.h>

#include <cmath>
#include <slowdawn/coral/acclimation.hpp>
#include <slowdawn/tank/ramp_setup.hpp>
#include <slowdawn/tank/tank.hpp>
#include <stdexcept>
#include <string>

#include "published/published_case.hpp"
#include "tank/ratio_error.hpp"

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
  double calibration_percent;
  double repeat_percent;
  /// The light before: a dial of "bars" or "tubes" here, or a history of another meter.
  const char* before;
  /// Relative standard uncertainty of the ratio to the bars at 80 %.
  double value;
  Within within;
  const char* source;
};

const Doubt doubts[] = {
    {"same light, same spot", 10.0, 5.0, "bars", 0.0, rounding(1e-9), "CALC: nothing is compared"},
    {"two readings of one meter", 10.0, 5.0, "tubes", 0.0707107, half_of_last_digit(1e-7),
     "CALC: sqrt(2) r; MEM: JCGM 100:2008, 5.1.2, independent errors add in squares"},
    {"readings of two meters", 10.0, 5.0, "history", 0.1224745, half_of_last_digit(1e-7),
     "CALC: sqrt(2 r^2 + c^2); MEM: JCGM 100:2008, 5.1.2, independent errors add in squares"},
    {"two meters that repeat within 1 %", 10.0, 1.0, "history", 0.1009950, half_of_last_digit(1e-7),
     "CALC: sqrt(2 r^2 + c^2)"},
    {"one meter that repeats within 1 %", 30.0, 1.0, "tubes", 0.0141421, half_of_last_digit(1e-7),
     "CALC: the calibration cancels"},
};

/// A meter without digits of its own, so that its repeats are all its error.
Tank read(const Doubt& row) {
  const std::string meter = R"({"relative": true, "calibration_percent": )" +
                            std::to_string(row.calibration_percent) + R"(, "repeat_percent": )" +
                            std::to_string(row.repeat_percent) + "}";
  const std::string text = R"({"format": "slowdawn-tank/1", "name": "basin", "meter": )" + meter +
                           R"(, "lights": [
      {"name": "bars", "photoperiod": {"on": "09:00", "off": "19:00"}},
      {"name": "tubes", "photoperiod": {"on": "09:00", "off": "19:00"}}],
    "spots": [{"name": "crest"}],
    "surveys": [{"dials": {"bars": 100}, "ppfd": {"crest": 200}},
                {"dials": {"tubes": 100}, "ppfd": {"crest": 150}}],
    "groups": [{"name": "thicket", "profile": "acropora", "spot": "crest"}],
    "ramp": {"from": {"tubes": 100}, "to": {"bars": 80}}})";
  auto tank = parse_tank("basin.tank.json", text, ProfileShelf::built_in());
  if (!tank) throw std::runtime_error(tank.error().findings.front().what);
  return *tank;
}

TEST(PublishedDoubt, EveryRowHasASource) { expect_sourced(doubts); }

TEST(PublishedDoubt, AddsIndependentErrorsInSquares) {
  for (const Doubt& row : doubts) {
    const Tank tank = read(row);
    const LightPart bars{0, {{0, Percent::of_full(80.0)}}};
    const std::string before = row.before;
    const LightPart old{0, {{before == "bars" ? 0u : 1u, Percent::of_full(100.0)}}};
    expect_value(row, before == "history"
                          ? compute_history_error(tank, row.repeat_percent / 100.0, bars)
                          : compute_ratio_error(tank, old, bars));
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
  for (const Bound& row : bounds) expect_value(row, doubt_factor(row.uncertainty));
}

TEST(PublishedBound, LeavesOneInTwentyOutside) {
  // What stands over exp(-1.645 u) of a log-normal ratio is the normal
  // distribution up to 1.645; half of its last digit moves it by 5e-5.
  const double u = 0.1;
  const double deviations = -std::log(doubt_factor(u)) / u;
  EXPECT_NEAR(0.5 * std::erfc(-deviations / std::sqrt(2.0)), 0.95, 5e-5);
}

}  // namespace
}  // namespace slowdawn
