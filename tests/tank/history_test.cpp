// Histories: what light a group had before, and what of it counts on the first day.
#include <gtest/gtest.h>

#include <cmath>
#include <slowdawn/light/origin.hpp>
#include <slowdawn/tank/ramp_setup.hpp>

#include "tank/good_tank.hpp"

namespace slowdawn {
namespace {

using testing::Json;
using testing::parse;
using testing::read;
using testing::refusal;
using testing::with;

/// The good tank, whose first group (acropora at the crest: tau 12 and 5 days,
/// carryover 0.8) has this history. Meter: 10 % calibration, 5 % repeats.
Json with_history(const Json& history) { return with("/groups/0/history", history); }

RampGroup first_group(const Tank& tank) { return make_ramp_setup(tank).problem.groups[0]; }

RampGroup first_group(const Json& tank) { return first_group(read(tank)); }

RampGroup plan_with(const Json& history) { return first_group(with_history(history)); }

/// What counts of a light under another one by design: carryover and doubt.
double counted(double u) { return 0.8 * std::exp(-1.645 * u); }

constexpr double rounding = 1e-12;

/// Relative error of a reading of the good tank: 5 % of each repeat, and half a digit.
double error_of(double ppfd, int repeats = 1) {
  return std::hypot(0.05 / std::sqrt(repeats), 0.5 / ppfd);
}
/// Of the bars and the tubes at the crest.
const double bars_error = error_of(160);
const double tubes_error = error_of(212, 3);

TEST(History, OfAMeterElsewhereHasTheErrorOfAReadingAndOfACalibration) {
  const RampGroup group = plan_with({{"dose", 6.0}, {"peak", 190}});
  EXPECT_DOUBLE_EQ(group.before.dose.mol_m2_d(), 6.0);
  EXPECT_NEAR(group.used_to.dose.mol_m2_d(), 6.0 * counted(std::hypot(0.05, bars_error, 0.1)),
              rounding);
}

TEST(History, ThatWasToldIsADoseAndHasALargerError) {
  const RampGroup group = plan_with({{"ppfd", 200}, {"hours", 10}});
  // Closed form: 200 x 10 x 0.0036.
  EXPECT_NEAR(group.before.dose.mol_m2_d(), 7.2, rounding);
  EXPECT_DOUBLE_EQ(group.before.peak.umol_m2_s(), 200);
  EXPECT_NEAR(group.used_to.dose.mol_m2_d(), 7.2 * counted(std::hypot(0.20, bars_error, 0.1)),
              rounding);
  const RampGroup measured = plan_with({{"dose", 7.2}, {"peak", 200}});
  EXPECT_LT(group.used_to.dose, measured.used_to.dose);
}

TEST(History, ThatWasToldTakesADaysCourse) {
  const RampGroup group = plan_with(
      {{"ppfd", 250},
       {"photoperiod",
        {{"on", "10:00"}, {"off", "20:00"}, {"rise_minutes", 60}, {"fall_minutes", 60}}}});
  // Closed form of a trapezoid: 0.0036 x 250 x (8 + 1).
  EXPECT_NEAR(group.before.dose.mol_m2_d(), 8.1, rounding);
}

TEST(History, TakesAnErrorOfItsOwn) {
  const RampGroup told = plan_with({{"ppfd", 200}, {"hours", 10}, {"error_percent", 40}});
  EXPECT_NEAR(told.used_to.dose.mol_m2_d(), 7.2 * counted(std::hypot(0.4, bars_error, 0.1)),
              rounding);
  const RampGroup measured = plan_with({{"dose", 7.2}, {"peak", 200}, {"error_percent", 40}});
  EXPECT_NEAR(measured.used_to.dose.mol_m2_d(), told.used_to.dose.mol_m2_d(), rounding);
}

TEST(History, AtASpotHereHasTheMetersRepeatsAlone) {
  const RampGroup group = plan_with({{"spot", "sand"}, {"dials", {{"tubes", 100}}}});
  EXPECT_NEAR(group.before.peak.umol_m2_s(), 74, 1e-9);
  EXPECT_NEAR(group.used_to.peak.umol_m2_s(), 74 * counted(std::hypot(error_of(74), bars_error)),
              1e-9);
}

TEST(History, AtTheSameSpotUnderTheSameLightsHasNoDoubt) {
  Json tank = with_history({{"spot", "crest"}, {"dials", {{"bars", 20}}}});
  const RampGroup group = first_group(tank);
  EXPECT_NEAR(group.used_to.peak.umol_m2_s(), 80, 1e-9);
  EXPECT_EQ(group.doubt, 0.0);
  tank["groups"][0]["history"]["spot"] = "sand";
  EXPECT_NEAR(first_group(tank).used_to.peak.umol_m2_s(),
              20 * std::exp(-1.645 * std::hypot(error_of(40), bars_error)), 1e-9);
}

TEST(History, ThatNobodyKnowsIsTheLowEndOfTheBand) {
  const Tank tank = read(with_history({{"unknown", true}}));
  const RampGroup group = first_group(tank);
  EXPECT_TRUE(tank.groups[0].history->is_guess());
  EXPECT_DOUBLE_EQ(group.before.dose.mol_m2_d(), 4.0);
  // In a day with the shape of the goal's.
  const Exposure goal = tank.exposure(0, tank.ramp.to);
  EXPECT_NEAR(group.before.peak / goal.peak, group.before.dose / goal.dose, rounding);
  EXPECT_NEAR(group.used_to.dose.mol_m2_d(), 4.0 * counted(std::hypot(bars_error, 0.1)), rounding);
}

TEST(History, OnAReefHasTheDoseAndTheErrorOfTheOrigin) {
  const Tank tank = read(with_history(
      {{"origin", {{"latitude", -20}, {"date", "2026-09-03"}, {"depth_m", 6}, {"kd", 0.1}}}}));
  Origin origin{.latitude = Latitude::degrees(-20), .days = {246}, .depth = Depth::m(6)};
  origin.water = Attenuation::per_m(0.1);
  const OriginLight light = compute_origin(origin).value();
  const RampGroup group = first_group(tank);
  EXPECT_DOUBLE_EQ(group.before.dose.mol_m2_d(), light.dose.mol_m2_d());
  EXPECT_DOUBLE_EQ(group.before.peak.umol_m2_s(), light.peak.umol_m2_s());
  const double u = std::hypot(light.log_error, bars_error, 0.1);
  EXPECT_NEAR(group.used_to.dose.mol_m2_d(), light.dose.mol_m2_d() * counted(u), rounding);
}

TEST(History, FadesInTheDarkByTheTimeConstantOfLess) {
  const RampGroup lit = plan_with({{"dose", 6.0}, {"peak", 190}});
  const RampGroup dark = plan_with({{"dose", 6.0}, {"peak", 190}, {"dark_days", 3}});
  EXPECT_NEAR(dark.used_to.dose / lit.used_to.dose, std::exp(-3.0 / 5.0), rounding);
  EXPECT_NEAR(dark.used_to.peak / lit.used_to.peak, std::exp(-3.0 / 5.0), rounding);
  EXPECT_EQ(dark.before, lit.before);
}

TEST(History, OfAGroupThatHasLivedHereForLongNoLongerMatters) {
  const RampGroup native = first_group(testing::good_tank());
  const RampGroup old =
      plan_with({{"dose", 20.0}, {"peak", 500}, {"dark_days", 5}, {"since", "2024-12-01"}});
  EXPECT_NEAR(old.used_to.dose / native.used_to.dose, 1.0, 1e-9);
  EXPECT_NEAR(old.used_to.peak / native.used_to.peak, 1.0, 1e-9);
  EXPECT_EQ(old.before, native.before);
}

TEST(History, CountsWhollyWhereTheGroupComesOnTheFirstDay) {
  const Json history{{"dose", 3.0}, {"peak", 90}};
  Json came = history;
  came["since"] = "2026-12-01";
  EXPECT_EQ(plan_with(came).used_to, plan_with(history).used_to);
}

TEST(History, IsCarriedDayByDayOverTheTimeSince) {
  const RampGroup group =
      plan_with({{"ppfd", 100}, {"hours", 10}, {"dark_days", 2}, {"since", "2026-11-24"}});
  // By hand: 3.6 mol, two days in the dark, arrival under the tubes (7.632 mol), seven
  // days of getting used to more, and the change to the bars.
  const double arrived = 3.6 * std::exp(-2.0 / 5.0) * counted(std::hypot(0.2, tubes_error, 0.1));
  const double here = 212 * 10 * 0.0036;
  const double left = here + (arrived - here) * std::exp(-7.0 / 12.0);
  EXPECT_NEAR(group.used_to.dose.mol_m2_d(), left * counted(std::hypot(tubes_error, bars_error)),
              1e-9);
  EXPECT_NEAR(group.before.dose.mol_m2_d(), here, 1e-9);
}

TEST(History, OfADimmerPastIsNeverMoreLight) {
  for (const char* since : {"2026-11-01", "2026-11-20", "2026-11-28", "2026-12-01"}) {
    double last = 0.0;
    for (const double dose : {1.0, 3.0, 6.0, 12.0}) {
      const RampGroup group = plan_with({{"dose", dose}, {"peak", 40 * dose}, {"since", since}});
      EXPECT_GT(group.used_to.dose.mol_m2_d(), last) << since;
      last = group.used_to.dose.mol_m2_d();
    }
  }
}

constexpr const char* other_tank = R"({
  "format": "slowdawn-tank/1", "name": "Tray", "meter": {"repeat_percent": 8},
  "lights": [{"name": "lamp", "photoperiod": {"on": "10:00", "off": "20:00"}}],
  "spots": [{"name": "rack"}, {"name": "corner"}],
  "surveys": [{"dials": {"lamp": 50}, "ppfd_file": "tray.csv"}],
  "groups": [{"name": "x", "profile": "acropora", "spot": "rack",
              "history": {"tank": "../reef.tank.json", "spot": "crest"}}],
  "ramp": {"from": {"lamp": 50}, "to": {"lamp": 70}}
})";

/// Another tank in a folder of its own, with a file of readings beside it.
ReadResult<std::string> find_file(const std::string& name) {
  if (name == "tray/tray.tank.json") return other_tank;
  if (name == "tray/tray.csv") return "spot,ppfd\nrack,140\n";
  return tl::make_unexpected(ReadFailure{ReadFailure::Kind::access,
                                         {{{name, 0, 0, ""}, "there is no such file", "look"}}});
}

ReadResult<Tank> parse_beside(const Json& history) {
  return parse_tank("reef.tank.json", with_history(history).dump(2), ProfileShelf::built_in(),
                    find_file);
}

TEST(HistoryElsewhere, IsWhatTheOtherTanksReadingsSay) {
  const auto tank =
      parse_beside({{"tank", "tray/tray.tank.json"}, {"spot", "rack"}, {"dials", {{"lamp", 100}}}});
  ASSERT_TRUE(tank);
  const RampGroup group = first_group(*tank);
  EXPECT_NEAR(group.before.peak.umol_m2_s(), 280, 1e-9);
  EXPECT_NEAR(group.before.dose.mol_m2_d(), 10.08, 1e-9);
  EXPECT_NEAR(group.used_to.dose.mol_m2_d(),
              10.08 * counted(std::hypot(std::hypot(0.08, 0.5 / 140), bars_error, 0.1)), 1e-9);
  EXPECT_TRUE(tank->warnings.empty());
}

TEST(HistoryElsewhere, TakesTheDimmerEndOfTheOtherTanksRampAndSaysSo) {
  const auto tank = parse_beside({{"tank", "tray/tray.tank.json"}, {"spot", "rack"}});
  ASSERT_TRUE(tank);
  EXPECT_NEAR(first_group(*tank).before.peak.umol_m2_s(), 140, 1e-9);
  EXPECT_EQ(testing::to_text(tank->warnings),
            "/groups/0/history/spot: \"tray/tray.tank.json\" has a ramp from 5.04 to 7.056 mol "
            "m-2 d-1 there; the lower is taken\n");
}

TEST(HistoryElsewhere, IsKeptWithTheTank) {
  const auto tank = parse_beside({{"tank", "tray/tray.tank.json"}, {"spot", "rack"}});
  ASSERT_TRUE(tank);
  ASSERT_EQ(tank->attached.size(), 2U);
  const auto kept = [&](const std::string& name) -> ReadResult<std::string> {
    return tank->attached.at(name);
  };
  const auto again = parse_tank("reef.tank.json", tank->text, ProfileShelf::built_in(), kept);
  ASSERT_TRUE(again);
  EXPECT_EQ(first_group(*again), first_group(*tank));
}

TEST(HistoryElsewhere, NamesWhatIsWrongThere) {
  const auto refused = [](const Json& history) {
    const auto tank = parse_beside(history);
    return tank ? std::string{} : testing::to_text(tank.error().findings);
  };
  EXPECT_EQ(refused({{"tank", "tray/tray.tank.json"}, {"spot", "corner"}}),
            "/groups/0/history/spot: \"tray/tray.tank.json\" has no reading of \"lamp\" at "
            "\"corner\"\n");
  EXPECT_EQ(refused({{"tank", "tray/tray.tank.json"}, {"spot", "rock"}}),
            "/groups/0/history/spot: there is no spot \"rock\"\n");
  EXPECT_EQ(refused({{"tank", "gone.tank.json"}, {"spot", "rack"}}),
            "/groups/0/history/tank: \"gone.tank.json\" cannot be read: there is no such file\n");
  EXPECT_EQ(refused({{"tank", "tray/tray.csv"}, {"spot", "rack"}}),
            ": this is not valid JSON: invalid literal\n");
}

TEST(History, MustSayOneThing) {
  const auto refused = [](const Json& history) { return refusal(with_history(history)); };
  EXPECT_EQ(refused({{"dark_days", 3}}),
            "/groups/0/history: this history does not say what light it was\n");
  EXPECT_EQ(refused({{"dose", 5}, {"peak", 150}, {"unknown", true}}),
            "/groups/0/history/dose: \"dose\" does not belong to a history of \"unknown\"\n");
  EXPECT_EQ(refused({{"ppfd", 150}}),
            "/groups/0/history: a PPFD that was told needs either \"hours\" or \"photoperiod\"\n");
  EXPECT_EQ(refused({{"unknown", false}}),
            "/groups/0/history/unknown: \"unknown\" can only be true\n");
  EXPECT_EQ(refused({{"spot", "sand"}, {"dials", {{"tubes", 0}}}}),
            "/groups/0/history/dials: no light is lit in this history\n");
  EXPECT_EQ(refused({{"dose", 5}, {"peak", 150}, {"since", "2026-12-02"}}),
            "/groups/0/history/since: \"staghorn thicket\" comes after the ramp has begun, on "
            "2026-12-01\n");
}

TEST(History, SinceNeedsTheLightOfBefore) {
  Json tank = with_history({{"dose", 5}, {"peak", 150}, {"since", "2026-11-20"}});
  tank["ramp"]["from"] = Json::object();
  tank["groups"][1]["history"] = {{"dose", 5}, {"peak", 150}};
  EXPECT_EQ(refusal(tank), "/groups/0: the light that \"staghorn thicket\" comes from is dark\n");
}

TEST(History, OfARelativeMeterCanOnlyBeASpotHere) {
  Json tank = with("/meter/relative", true);
  tank["groups"][0]["history"] = {{"unknown", true}};
  EXPECT_EQ(refusal(tank),
            "/groups/0/history: a history in mol and umol means nothing to a relative meter\n");
  tank["groups"][0]["history"] = {{"spot", "sand"}, {"dials", {{"tubes", 100}}}};
  EXPECT_EQ(refusal(tank), "");
}

}  // namespace
}  // namespace slowdawn
