#include <gtest/gtest.h>

#include <cmath>
#include <slowdawn/ramp/walk.hpp>
#include <slowdawn/tank/ramp_setup.hpp>

#include "tank/good_tank.hpp"

namespace slowdawn {
namespace {

using testing::Json;
using testing::read;

constexpr double carryover = 0.8;

/// Each light on for ten hours, straight dimming, read once at 100 %: panel 200 and 50,
/// bar 100 and 25, tubes 150 and 40 umol m-2 s-1 at crest and sand.
Json three_light_tank() {
  Json tank = Json::parse(R"({
    "format": "slowdawn-tank/1",
    "name": "Annex reef",
    "meter": {"repeat_percent": 5, "calibration_percent": 10},
    "lights": [{"name": "panel", "photoperiod": {"on": "10:00", "off": "20:00"}},
               {"name": "bar", "photoperiod": {"on": "10:00", "off": "20:00"}},
               {"name": "tubes", "photoperiod": {"on": "10:00", "off": "20:00"}}],
    "spots": [{"name": "crest"}, {"name": "sand"}],
    "surveys": [{"dials": {"panel": 100}, "ppfd": {"crest": 200, "sand": 50}},
                {"dials": {"bar": 100}, "ppfd": {"crest": 100, "sand": 25}},
                {"dials": {"tubes": 100}, "ppfd": {"crest": 150, "sand": 40}}],
    "groups": [{"name": "staghorn", "spot": "crest",
                "profile": {"dose_band": [1, 30], "peak_ceiling": 1000, "headroom_percent": 30,
                            "weekly_rise_percent": 15, "tau_up_days": 10, "tau_down_days": 5,
                            "carryover": 0.8, "floor_percent": 50}}],
    "ramp": {"from": {"panel": 80}, "to": {"panel": 80, "bar": 60}, "start": "2026-03-01"}
  })");
  return tank;
}

/// Relative standard error of a light read once: 5 %, and half a unit of the display.
double error_of(double ppfd) { return std::hypot(0.05, 0.5 / ppfd); }

/// exp(1.645 u) / carryover of light that is read apart from the light before.
double weight_of_new(double before, double after) {
  return std::exp(1.645 * std::hypot(error_of(before), error_of(after))) / carryover;
}

/// W_j of a light, in the words of the equations.
double weight(const GroupStart& start, std::size_t light) {
  return start.weights[light] / start.unit;
}

double percent_on(const RampSetup& setup, const Plan& plan, std::size_t day, std::size_t light) {
  return setup.problem.path.settings[plan.days[day].setting][light].percent();
}

TEST(LightWeights, CountANewLightBesideOneThatStays) {
  const RampSetup setup = make_ramp_setup(read(three_light_tank()));
  const GroupStart& start = setup.starts[0];
  const double m = weight_of_new(200.0, 100.0);
  EXPECT_NEAR(weight(start, 0), 1.0, 1e-12);
  EXPECT_NEAR(weight(start, 1), m, 1e-12);
  // 80 % of 200 umol for ten hours.
  EXPECT_NEAR(start.used_to.dose.mol_m2_d() / start.unit, 5.76, 1e-12);
  const RampProblem& problem = setup.problem;
  const GroupLight goal = problem.light(problem.path.goal, problem.groups[0]);
  EXPECT_NEAR(goal.real.dose.mol_m2_d(), 7.92, 1e-12);
  EXPECT_NEAR(goal.effective.dose.mol_m2_d() / start.unit, 5.76 + m * 2.16, 1e-11);
  EXPECT_NEAR(goal.effective.peak.umol_m2_s() / start.unit, 160.0 + m * 60.0, 1e-9);
  // As a meter would show it under the goal's mix: A D / E.
  EXPECT_NEAR(goal.shown(start.used_to).dose.mol_m2_d(), 5.76 * 7.92 / (5.76 + m * 2.16), 1e-11);
}

TEST(LightWeights, LetAPlanWithAnAddedLightOpenAtTheOldLevel) {
  const RampSetup setup = make_ramp_setup(read(three_light_tank()));
  const Plan plan = compute_plan(setup.problem);
  ASSERT_FALSE(plan.days.empty());
  EXPECT_EQ(percent_on(setup, plan, 0, 0), 80.0);
  EXPECT_GE(plan.days[0].groups[0].light.real.dose.mol_m2_d(), 5.76 * (1.0 - 1e-9));
  EXPECT_TRUE(plan.goal_day);
}

TEST(LightWeights, LetACrossfadeOpenAtTheOldLevel) {
  Json tank = three_light_tank();
  tank["ramp"]["from"] = {{"tubes", 100}};
  tank["ramp"]["to"] = {{"tubes", 20}, {"bar", 100}};
  const RampSetup setup = make_ramp_setup(read(tank));
  const Plan plan = compute_plan(setup.problem);
  ASSERT_FALSE(plan.days.empty());
  const GroupLight first = plan.days[0].groups[0].light;
  const double before = setup.starts[0].before.dose.mol_m2_d() * setup.starts[0].unit;
  EXPECT_GE(first.effective.dose.mol_m2_d(), before * 0.97);
  EXPECT_LE(first.effective.dose.mol_m2_d(), before * (1.0 + 1e-9));
}

TEST(LightWeights, AreOneWhereALightIsMerelyLeftOut) {
  Json tank = three_light_tank();
  tank["ramp"]["from"] = {{"panel", 80}, {"tubes", 50}};
  tank["ramp"]["to"] = {{"panel", 80}};
  const RampSetup setup = make_ramp_setup(read(tank));
  EXPECT_EQ(setup.problem.groups[0].weighting, 0u);
  EXPECT_EQ(setup.starts[0].used_to.dose, setup.starts[0].before.dose);
  EXPECT_EQ(setup.starts[0].doubt, 0.0);
  const Plan plan = compute_plan(setup.problem);
  EXPECT_EQ(percent_on(setup, plan, 0, 0), 80.0);
}

TEST(LightWeights, AreThoseOfTheOldDiscountWhereAllLightIsNew) {
  Json tank = three_light_tank();
  tank["ramp"]["to"] = {{"bar", 60}, {"tubes", 60}};
  const RampSetup setup = make_ramp_setup(read(tank));
  EXPECT_EQ(setup.problem.groups[0].weighting, 0u);
  // Both new lights are read apart, and share the new part: 2.16 and 3.24 mol.
  const double part = 2.16 / 5.4;
  const double after = std::hypot(part * error_of(100.0), (1.0 - part) * error_of(150.0));
  const double u = std::hypot(error_of(200.0), after);
  EXPECT_NEAR(setup.starts[0].used_to.dose.mol_m2_d(), 5.76 * carryover * std::exp(-1.645 * u),
              1e-12);
}

TEST(LightWeights, CountALightThatStandsAtZeroAsNew) {
  Json tank = three_light_tank();
  tank["ramp"]["from"]["bar"] = 0;
  const RampSetup setup = make_ramp_setup(read(tank));
  EXPECT_NEAR(weight(setup.starts[0], 1), weight_of_new(200.0, 100.0), 1e-12);
  EXPECT_TRUE(setup.problem.lights_change);
}

TEST(LightWeights, DoubtTheOldLightWhereTheSpotChanges) {
  Json tank = three_light_tank();
  tank["groups"][0]["spot"] = "sand";
  tank["groups"][0]["to_spot"] = "crest";
  const RampSetup setup = make_ramp_setup(read(tank));
  const double moved = std::exp(1.645 * std::hypot(error_of(50.0), error_of(200.0)));
  EXPECT_NEAR(weight(setup.starts[0], 0), moved, 1e-12);
  EXPECT_NEAR(weight(setup.starts[0], 1), std::max(moved, weight_of_new(50.0, 100.0)), 1e-12);
}

TEST(LightWeights, NeverLetANewLightWeighLessThanAnOldOne) {
  Json tank = three_light_tank();
  tank["groups"][0]["profile"]["carryover"] = 1;
  tank["groups"][0]["spot"] = "sand";
  tank["groups"][0]["to_spot"] = "crest";
  // The old light is hardly known at the new spot, the new one well.
  tank["surveys"][1]["ppfd"]["crest"] = {100, 100, 100, 100};
  const RampSetup setup = make_ramp_setup(read(tank));
  EXPECT_GE(setup.starts[0].weights[1], setup.starts[0].weights[0]);
}

/// It came from elsewhere 20 days ago: the panel was new then, the bar is now.
TEST(LightWeights, GoOnFromLightThatWasNewBefore) {
  Json tank = three_light_tank();
  tank["groups"][0]["history"] = {{"dose", 4.0}, {"peak", 110.0}, {"since", "2026-02-09"}};
  const RampSetup setup = make_ramp_setup(read(tank));
  const GroupStart& start = setup.starts[0];
  const double first = std::exp(1.645 * std::hypot(0.05, error_of(200.0), 0.10)) / carryover;
  EXPECT_NEAR(weight(start, 0), first, 1e-12);
  EXPECT_NEAR(weight(start, 1), first * weight_of_new(200.0, 100.0), 1e-12);
  double used_to = 4.0;
  for (int day = 0; day < 20; ++day) {
    const double counted = first * 5.76;
    used_to += (1.0 - std::exp(-1.0 / 10.0)) * (counted - used_to);
  }
  EXPECT_NEAR(start.used_to.dose.mol_m2_d() / start.unit, used_to, 1e-11);
}

/// A farm has too many groups to have every seat in every weighting.
TEST(LightWeights, HaveColumnsWhereAGroupMayLive) {
  const RampSetup setup = make_ramp_setup(read(three_light_tank()));
  const RampProblem& problem = setup.problem;
  ASSERT_EQ(problem.groups[0].weighting, 1u);
  EXPECT_TRUE(problem.knows(problem.groups[0], problem.groups[0].spot));
  EXPECT_GT(problem.exposures.columns(), setup.seats.size());
}

}  // namespace
}  // namespace slowdawn
