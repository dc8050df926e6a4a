#include <gtest/gtest.h>

#include <fstream>
#include <slowdawn/tank/tank.hpp>

#include "tank/good_tank.hpp"

namespace slowdawn {
namespace {

using testing::bars;
using testing::crest;
using testing::good_profile_in_place;
using testing::good_tank;
using testing::Json;
using testing::read;
using testing::refusal;
using testing::sand;
using testing::to_text;
using testing::tubes;
using testing::with;
using testing::without;

double full_output(const Tank& tank, std::size_t spot, std::size_t light) {
  return tank.full_output[spot][light].value().ppfd.umol_m2_s();
}

TEST(Tank, IsReadAsItsFileDescribesIt) {
  const Tank tank = read(good_tank());
  EXPECT_EQ(tank.file, "reef.tank.json");
  EXPECT_EQ(tank.name, "Stairwell reef");
  EXPECT_EQ(tank.water->length.cm(), 150.0);
  EXPECT_EQ(tank.water->width.cm(), 60.0);
  EXPECT_EQ(tank.water->depth.cm(), 55.0);
  EXPECT_EQ(tank.meter.immersion_factor, 1.0);
  EXPECT_EQ(tank.meter.accuracy.calibration.percent(), 10.0);
  EXPECT_EQ(tank.meter.accuracy.repeat.percent(), 5.0);
  ASSERT_EQ(tank.lights.size(), 2u);
  EXPECT_EQ(tank.lights[tubes].name, "tubes");
  EXPECT_DOUBLE_EQ(tank.lights[tubes].course.photoperiod.lit().h(), 10.0);
  EXPECT_DOUBLE_EQ(tank.lights[bars].course.photoperiod.lit().h(), 11.0);
  EXPECT_EQ(tank.lights[bars].course.photoperiod.fraction_after(ClockTime::minute(9 * 60 + 45)),
            0.5);
  EXPECT_EQ(tank.lights[bars].dial.lowest.percent(), 5.0);
  EXPECT_EQ(tank.lights[bars].dial.highest.percent(), 90.0);
  EXPECT_EQ(tank.lights[bars].dial.step.percent(), 2.0);
  ASSERT_EQ(tank.spots.size(), 2u);
  EXPECT_EQ(tank.spots[sand].name, "sand");
  EXPECT_EQ(tank.spots[sand].x, Length::cm(40.0));
  EXPECT_EQ(tank.spots[sand].y, Length::cm(20.0));
  EXPECT_EQ(tank.spots[sand].depth, Length::cm(50.0));
  ASSERT_EQ(tank.surveys.size(), 2u);
  EXPECT_EQ(to_iso(tank.surveys[1].taken.value()), "2026-11-21");
  EXPECT_EQ(tank.surveys[1].dials[tubes].percent(), 0.0);
  EXPECT_EQ(tank.surveys[1].dials[bars].percent(), 40.0);
  ASSERT_EQ(tank.groups.size(), 2u);
  EXPECT_EQ(tank.groups[1].name, "elephant ear");
  EXPECT_EQ(tank.groups[1].profile.name, "corallimorph");
  EXPECT_EQ(tank.groups[1].spot, sand);
  EXPECT_EQ(tank.ramp.from.at(tubes).percent(), 100.0);
  EXPECT_EQ(tank.ramp.to.at(bars).percent(), 80.0);
  EXPECT_EQ(to_iso(tank.ramp.start.value()), "2026-12-01");
  EXPECT_TRUE(tank.warnings.empty());
}

TEST(Tank, HasDefaults) {
  Json file = good_tank();
  for (const char* key : {"water", "meter"}) file.erase(key);
  file["lights"][1].erase("dial");
  file["spots"] = Json::parse(R"([{"name": "crest"}, {"name": "sand"}])");
  file["surveys"][0].erase("taken");
  file["ramp"].erase("start");
  file["ramp"]["to"]["bars"] = 100;
  const Tank tank = read(file);
  EXPECT_FALSE(tank.water.has_value());
  EXPECT_EQ(tank.meter.immersion_factor, 1.0);
  EXPECT_EQ(tank.meter.accuracy.calibration.percent(), 10.0);
  EXPECT_EQ(tank.meter.accuracy.repeat.percent(), 5.0);
  EXPECT_EQ(tank.lights[bars].dial.lowest.percent(), 0.0);
  EXPECT_EQ(tank.lights[bars].dial.highest.percent(), 100.0);
  EXPECT_EQ(tank.lights[bars].dial.step.percent(), 1.0);
  EXPECT_TRUE(tank.lights[bars].course.dimming.is_linear());
  EXPECT_FALSE(tank.spots[crest].depth.has_value());
  EXPECT_FALSE(tank.surveys[0].taken.has_value());
  EXPECT_FALSE(tank.ramp.start.has_value());
  EXPECT_EQ(tank.ramp.every_days, 1);
  EXPECT_EQ(tank.ramp.pace, Pace::standard);
}

TEST(Tank, TurnsInchesIntoCentimetres) {
  for (const char* unit : {"in", "inches"}) {
    Json file = with("/units", unit);
    file["water"] = Json::parse(R"({"length_in": 48, "width_in": 24, "depth_in": 20})");
    file["spots"] = Json::parse(
        R"([{"name": "crest", "x_in": 10, "y_in": 0, "depth_in": 5.5}, {"name": "sand"}])");
    const Tank tank = read(file);
    // 1 in = 2.54 cm exactly.
    EXPECT_DOUBLE_EQ(tank.water->length.cm(), 121.92);
    EXPECT_DOUBLE_EQ(tank.water->width.cm(), 60.96);
    EXPECT_DOUBLE_EQ(tank.water->depth.cm(), 50.8);
    EXPECT_DOUBLE_EQ(tank.spots[crest].x.value().cm(), 25.4);
    EXPECT_DOUBLE_EQ(tank.spots[crest].y.value().cm(), 0.0);
    EXPECT_DOUBLE_EQ(tank.spots[crest].depth.value().cm(), 13.97);
  }
  EXPECT_EQ(read(with("/units", "cm")).water->length.cm(), 150.0);
}

TEST(Tank, KnowsOnlyTheKeysOfItsUnit) {
  EXPECT_EQ(testing::refusal(with("/units", "inches", without("/water"))),
            "/spots/0/x_cm: unknown key \"x_cm\" in a spot\n"
            "/spots/0/y_cm: unknown key \"y_cm\" in a spot\n"
            "/spots/0/depth_cm: unknown key \"depth_cm\" in a spot\n"
            "/spots/1/x_cm: unknown key \"x_cm\" in a spot\n"
            "/spots/1/y_cm: unknown key \"y_cm\" in a spot\n"
            "/spots/1/depth_cm: unknown key \"depth_cm\" in a spot\n");
}

TEST(TankReadings, AreScaledToFullOutput) {
  const Tank tank = read(good_tank());
  EXPECT_DOUBLE_EQ(full_output(tank, crest, tubes), 212.0);
  EXPECT_DOUBLE_EQ(full_output(tank, sand, tubes), 74.0);
  EXPECT_DOUBLE_EQ(full_output(tank, crest, bars), 400.0);
  EXPECT_DOUBLE_EQ(full_output(tank, sand, bars), 100.0);
}

TEST(TankReadings, AreDividedByWhatTheLightGivesAtItsDial) {
  const Tank tank = read(with("/lights/1/dimming", Json::parse("[[40, 32]]")));
  EXPECT_DOUBLE_EQ(full_output(tank, crest, bars), 160.0 / 0.32);
}

TEST(TankReadings, AreTheMeanOfTheirRepeats) {
  const Tank tank = read(with("/surveys/1/ppfd/crest", Json::parse("[150, 170, 172]")));
  EXPECT_DOUBLE_EQ(full_output(tank, crest, bars), 164.0 / 0.4);
  ASSERT_EQ(tank.surveys[1].readings.at(crest).size(), 3u);
  EXPECT_EQ(tank.surveys[1].readings.at(crest)[1], 170.0);
}

TEST(TankReadings, CountByTheirErrors) {
  // Three repeats of 150 in one survey, one of 170 in another at the same dial. Each is
  // 5 % and half a digit: squared 7.5^2 / 3 + 0.25 = 19, and 8.5^2 + 0.25 = 72.5.
  Json file = with("/surveys/1/ppfd/crest", Json::parse("[150, 150, 150]"));
  file["surveys"].push_back(Json::parse(R"({"dials": {"bars": 40}, "ppfd": {"crest": 170}})"));
  const double mean = (150.0 / 19.0 + 170.0 / 72.5) / (1.0 / 19.0 + 1.0 / 72.5);
  EXPECT_NEAR(full_output(read(file), crest, bars), mean / 0.4, 1e-9);
}

TEST(TankReadings, AreMultipliedByTheImmersionFactorOnce) {
  const Tank tank = read(with("/meter/immersion_factor", 1.25));
  EXPECT_DOUBLE_EQ(full_output(tank, crest, tubes), 1.25 * 212.0);
  EXPECT_DOUBLE_EQ(full_output(tank, crest, bars), 1.25 * 400.0);
  // The readings stay as the meter showed them.
  EXPECT_EQ(tank.surveys[1].readings.at(crest).front(), 160.0);
  EXPECT_DOUBLE_EQ(tank.exposure(crest, tank.ramp.from).peak.umol_m2_s(), 1.25 * 212.0);
  // 10 h at 1.25 x 212: dose = 0.0036 x PPFD x hours.
  EXPECT_DOUBLE_EQ(tank.exposure(crest, tank.ramp.from).dose.mol_m2_d(), 0.0036 * 265.0 * 10.0);
}

TEST(TankReadings, TellLightsApartThatWereLitTogether) {
  Json file = good_tank();
  file["surveys"][1] =
      Json::parse(R"({"dials": {"tubes": 50, "bars": 40}, "ppfd": {"crest": 266, "sand": 77}})");
  const Tank tank = read(file);
  EXPECT_NEAR(full_output(tank, crest, bars), 400.0, 1e-9);
  EXPECT_NEAR(full_output(tank, sand, tubes), 74.0, 1e-9);
  EXPECT_NEAR(full_output(tank, sand, bars), 100.0, 1e-9);
}

TEST(TankReadings, AreNeededOnlyWhereAGroupNeedsThem) {
  // The sand is read under no light, and nobody lives there.
  Json file = without("/groups/1");
  file["surveys"][0]["ppfd"].erase("sand");
  file["surveys"][1]["ppfd"].erase("sand");
  const Tank tank = read(file);
  EXPECT_FALSE(tank.full_output[sand][tubes].has_value());
  EXPECT_FALSE(tank.full_output[sand][bars].has_value());
}

TEST(TankReadings, MissingOnesAreNamed) {
  EXPECT_EQ(testing::refusal(without("/surveys/1/ppfd/crest")),
            "/groups/0/spot: \"staghorn thicket\" needs a reading of \"bars\" at \"crest\", and no "
            "survey has one\n");
  EXPECT_EQ(testing::refusal(without("/surveys/0/ppfd/sand")),
            "/groups/1/spot: \"elephant ear\" needs a reading of \"tubes\" at \"sand\", and no "
            "survey has one\n");
}

TEST(TankReadings, AreNotNeededOfALightAt0) {
  Json file = without("/surveys/1");
  file["ramp"]["to"] = Json::parse(R"({"tubes": 50, "bars": 0})");
  EXPECT_EQ(testing::refusal(file), "");
}

TEST(TankReadings, OfMixedLightsMustTellThemApart) {
  Json file = good_tank();
  file["surveys"] = Json::parse(
      R"([{"dials": {"tubes": 50, "bars": 50}, "ppfd": {"crest": 200, "sand": 50}},
          {"dials": {"tubes": 80, "bars": 80}, "ppfd": {"crest": 320, "sand": 80}}])");
  const auto parsed = testing::parse(file);
  ASSERT_FALSE(parsed.has_value());
  const Findings& findings = parsed.error().findings;
  ASSERT_EQ(findings.size(), 1u);
  EXPECT_EQ(findings[0].what,
            "the readings at \"crest\" and \"sand\" do not tell \"tubes\" and \"bars\" apart, "
            "and this ramp needs them apart");
  EXPECT_EQ(findings[0].hint,
            "read \"bars\" alone at \"crest\" and \"sand\" (one reading at each); fewer do not "
            "tell them apart");
  EXPECT_EQ(findings[0].place.pointer, "/groups/0/spot");
}

TEST(TankReadings, CountAlikeInLuxAndInPpfd) {
  // Two readings of the bars at the crest that contradict each other: which of them was
  // read in lux makes no difference, whatever the lux of a photon.
  for (const double lux_per_ppfd : {15.0, 70.0}) {
    const auto fitted = [&](double by_ppfd, double by_lux) {
      Json file = with("/lights/1/lux_per_ppfd", lux_per_ppfd);
      file["surveys"][1]["ppfd"]["crest"] = by_ppfd;
      file["surveys"].push_back(Json::parse(R"({"dials": {"bars": 40}, "unit": "lux"})"));
      file["surveys"][2]["ppfd"] = {{"crest", by_lux * lux_per_ppfd}};
      return full_output(read(file), crest, bars);
    };
    EXPECT_NEAR(fitted(150, 170) / fitted(170, 150), 1.0, 1e-9);
    EXPECT_GT(fitted(150, 170), 1.01 * fitted(150, 150));
    EXPECT_LT(fitted(150, 170), 0.99 * fitted(170, 170));
  }
}

TEST(TankReadings, OfALightThatOnlyAHistoryHadAreEstimatedToo) {
  // The tubes are in no dial of the ramp, and the sand was not read under them.
  Json file = good_tank();
  file["surveys"][0]["ppfd"].erase("sand");
  const double places[][3] = {{20, 20, 10},  {60, 25, 14}, {100, 40, 20},
                              {130, 15, 28}, {75, 50, 36}, {35, 35, 44}};
  for (const auto& [x, y, depth] : places) {
    const std::string name = "spot " + std::to_string(file["spots"].size());
    file["spots"].push_back({{"name", name}, {"x_cm", x}, {"y_cm", y}, {"depth_cm", depth}});
    file["surveys"][0]["ppfd"][name] = 230 - 3 * depth;
  }
  file["groups"] = Json::parse(R"([{"name": "elephant ear", "profile": "corallimorph",
    "spot": "sand", "history": {"spot": "sand", "dials": {"tubes": 100}}}])");
  file["ramp"] = Json::parse(R"({"from": {"bars": 40}, "to": {"bars": 80}})");
  const Tank tank = read(file);
  const auto& estimate = tank.full_output[sand][tubes];
  ASSERT_TRUE(estimate && estimate->log_error);
  EXPECT_NEAR(estimate->ppfd.umol_m2_s(), 80.0, 20.0);
  EXPECT_GT(tank.groups[0].history->light.dose.mol_m2_d(), 0.0);
}

TEST(TankReadings, MaySayWhenTheLampWasChanged) {
  EXPECT_FALSE(read(good_tank()).surveys[1].changed.has_value());
  const Tank tank = read(with("/surveys/1/changed", "2026-11-20"));
  EXPECT_EQ(to_iso(tank.surveys[1].changed.value()), "2026-11-20");
  EXPECT_FALSE(tank.surveys[0].changed.has_value());
  // On the day of the readings at the latest, where that day is known.
  EXPECT_EQ(refusal(with("/surveys/1/changed", "2026-11-21")), "");
  EXPECT_EQ(refusal(with("/surveys/1/changed", "2026-11-22")),
            "/surveys/1/changed: the lamp was changed on 2026-11-22, after these readings of "
            "2026-11-21\n");
  EXPECT_EQ(refusal(without("/surveys/1/taken", with("/surveys/1/changed", "2026-11-22"))), "");
  EXPECT_NE(refusal(with("/surveys/1/changed", "in autumn")), "");
}

TEST(TankRamp, HighestStandsForTheDialsHighest) {
  EXPECT_EQ(read(with("/ramp/to/bars", "highest")).ramp.to.at(bars).percent(), 90.0);
  EXPECT_EQ(
      read(with("/ramp/to/bars", "highest", without("/lights/1/dial"))).ramp.to.at(bars).percent(),
      100.0);
  EXPECT_EQ(testing::refusal(with("/ramp/from/tubes", "highest")),
            "/ramp/from/tubes: expected a number in %, found the text \"highest\"\n");
  EXPECT_EQ(testing::refusal(with("/ramp/to/bars", "Highest")),
            "/ramp/to/bars: expected a number in %, found the text \"Highest\"\n");
}

TEST(TankRamp, ChangesLightsWhereThoseThatAreLitDiffer) {
  const auto changes = [](const char* from, const char* to) {
    Json file = good_tank();
    file["ramp"]["from"] = Json::parse(from);
    file["ramp"]["to"] = Json::parse(to);
    for (Json& group : file["groups"]) group["history"] = {{"dose", 5}, {"peak", 200}};
    return read(file).ramp.lights_change();
  };
  EXPECT_TRUE(changes(R"({"tubes": 100})", R"({"bars": 80})"));
  EXPECT_TRUE(changes(R"({})", R"({"bars": 80})"));
  EXPECT_TRUE(changes(R"({"tubes": 100})", R"({"tubes": 100, "bars": 80})"));
  EXPECT_TRUE(changes(R"({"tubes": 100, "bars": 80})", R"({"tubes": 100})"));
  EXPECT_FALSE(changes(R"({"bars": 40})", R"({"bars": 80})"));
  EXPECT_FALSE(changes(R"({"bars": 40, "tubes": 50})", R"({"tubes": 60, "bars": 80})"));
  // A light at 0 is one that they have not lived under, and none that comes.
  EXPECT_TRUE(changes(R"({"bars": 0, "tubes": 50})", R"({"tubes": 60, "bars": 80})"));
  EXPECT_FALSE(changes(R"({"tubes": 50})", R"({"tubes": 60, "bars": 0})"));
  EXPECT_FALSE(changes(R"({"tubes": 50, "bars": 40})", R"({"tubes": 60, "bars": 0})"));
}

TEST(TankRamp, KeepsToTheDialsRange) {
  const auto said = [](const char* percent) {
    return std::string{": \"bars\" cannot be dialled to "} + percent + " %\n";
  };
  EXPECT_EQ(testing::refusal(with("/ramp/to/bars", 90)), "");
  EXPECT_EQ(testing::refusal(with("/ramp/to/bars", 5)), "");
  EXPECT_EQ(testing::refusal(with("/ramp/to/bars", 90.01)), "/ramp/to/bars" + said("90.01"));
  EXPECT_EQ(testing::refusal(with("/ramp/to/bars", 4.99)), "/ramp/to/bars" + said("4.99"));
  Json file = with("/ramp/from", Json::parse(R"({"bars": 95})"));
  EXPECT_EQ(testing::refusal(file), "/ramp/from/bars" + said("95"));
  // 0 is off, whatever the lowest.
  file["ramp"]["from"] = Json::parse(R"({"tubes": 100, "bars": 0})");
  EXPECT_EQ(testing::refusal(file), "");
}

TEST(TankRamp, TakesBaseAndGoalBetweenTheDialsSteps) {
  EXPECT_EQ(read(with("/ramp/to/bars", 81.5)).ramp.to.at(bars).percent(), 81.5);
}

TEST(TankRamp, NeedsALitGoal) {
  EXPECT_EQ(testing::refusal(with("/ramp/to/bars", 0)), "/ramp/to: the goal is dark\n");
  EXPECT_EQ(testing::refusal(with("/ramp/to", Json::object())), "/ramp/to: the goal is dark\n");
}

TEST(TankRamp, NeedsLightOrHistoryBefore) {
  EXPECT_EQ(testing::refusal(with("/ramp/from", Json::object())),
            "/groups/0: the light that \"staghorn thicket\" comes from is dark\n"
            "/groups/1: the light that \"elephant ear\" comes from is dark\n");
  Json file = with("/ramp/from", Json::object());
  for (Json& group : file["groups"]) group["history"] = {{"dose", 5}, {"peak", 200}};
  EXPECT_EQ(testing::refusal(file), "");
}

TEST(TankRamp, ReadsEveryPace) {
  EXPECT_EQ(read(with("/ramp/pace", "gentle")).ramp.pace, Pace::gentle);
  EXPECT_EQ(read(with("/ramp/pace", "standard")).ramp.pace, Pace::standard);
  EXPECT_EQ(read(with("/ramp/pace", "brisk")).ramp.pace, Pace::brisk);
}

TEST(TankGroup, ComesFromItsSpotUnderTheLightBefore) {
  const Tank tank = read(good_tank());
  const Exposure before = tank.before(tank.groups[0]);
  EXPECT_DOUBLE_EQ(before.peak.umol_m2_s(), 212.0);
  EXPECT_DOUBLE_EQ(before.dose.mol_m2_d(), 0.0036 * 212.0 * 10.0);
}

TEST(TankGroup, ComesFromItsHistoryWhereItHasOne) {
  const Tank tank = read(with("/groups/0/history", Json::parse(R"({"dose": 6.2, "peak": 190})")));
  EXPECT_EQ(tank.before(tank.groups[0]).dose.mol_m2_d(), 6.2);
  EXPECT_EQ(tank.before(tank.groups[0]).peak.umol_m2_s(), 190.0);
  EXPECT_FALSE(tank.groups[1].history.has_value());
}

TEST(TankGroup, NeedsAHistoryThatCanBe) {
  // 24 h at 190 umol m-2 s-1 are 16.416 mol m-2 d-1.
  const auto said = [](double dose) {
    return testing::refusal(with("/groups/0/history", Json{{"dose", dose}, {"peak", 190}}));
  };
  EXPECT_EQ(said(16.416), "");
  EXPECT_EQ(said(16.42),
            "/groups/0/history: this dose needs more than 24 h a day even at the peak\n");
}

TEST(TankGroup, MovesToAnotherSpot) {
  const Tank tank = read(with("/groups/0/to_spot", "sand"));
  const Group& group = tank.groups[0];
  EXPECT_EQ(group.spot, crest);
  EXPECT_EQ(group.to_spot, sand);
  EXPECT_EQ(group.spot_of_ramp(), sand);
  EXPECT_DOUBLE_EQ(tank.before(group).peak.umol_m2_s(), 212.0);
  EXPECT_EQ(read(good_tank()).groups[0].spot_of_ramp(), crest);
}

TEST(TankGroup, NeedsReadingsOfTheGoalWhereItMoves) {
  // The crest needs the tubes alone, the sand the bars alone.
  Json file = with("/groups/0/to_spot", "sand", without("/groups/1"));
  file["surveys"][0]["ppfd"].erase("sand");
  file["surveys"][1]["ppfd"].erase("crest");
  EXPECT_EQ(testing::refusal(file), "");
  file["surveys"][1]["ppfd"].erase("sand");
  EXPECT_EQ(testing::refusal(file),
            "/groups/0/to_spot: \"staghorn thicket\" needs a reading of \"bars\" at \"sand\", and "
            "no survey has one\n");
}

TEST(TankGroup, PutsItsOverrideOverTheNamedProfile) {
  const Tank tank = read(with("/groups/1/override",
                              Json::parse(R"({"weekly_rise_percent": 10, "dose_band": [1, 6]})")));
  const Profile named = ProfileShelf::built_in().find("corallimorph").value();
  const Profile& own = tank.groups[1].profile;
  EXPECT_EQ(own.name, "corallimorph");
  EXPECT_EQ(own.tolerance.weekly_rise.percent(), 10.0);
  EXPECT_EQ(own.tolerance.dose_band.low.mol_m2_d(), 1.0);
  EXPECT_EQ(own.tolerance.dose_band.high.mol_m2_d(), 6.0);
  EXPECT_EQ(own.tolerance.peak_ceiling, named.tolerance.peak_ceiling);
  EXPECT_EQ(own.tolerance.headroom, named.tolerance.headroom);
  EXPECT_EQ(own.tolerance.tau_up, named.tolerance.tau_up);
  EXPECT_EQ(own.tolerance.tau_down, named.tolerance.tau_down);
  EXPECT_EQ(own.tolerance.carryover, named.tolerance.carryover);
  EXPECT_EQ(own.tolerance.floor, named.tolerance.floor);
  EXPECT_EQ(own.light_class, named.light_class);
  EXPECT_EQ(own.covers, named.covers);
}

TEST(TankGroup, OverridesItsOwnProfileAlone) {
  Json file = good_tank();
  file["groups"][1]["profile"] = "acropora";
  file["groups"][0]["override"] = {{"weekly_rise_percent", 1}};
  const Tank tank = read(file);
  EXPECT_EQ(tank.groups[0].profile.tolerance.weekly_rise.percent(), 1.0);
  EXPECT_EQ(tank.groups[1].profile.tolerance.weekly_rise,
            ProfileShelf::built_in().find("acropora")->tolerance.weekly_rise);
}

TEST(TankGroup, TakesAProfileInPlace) {
  Json file = with("/groups/0/profile", good_profile_in_place());
  const Tolerance tolerance = read(file).groups[0].profile.tolerance;
  EXPECT_EQ(read(file).groups[0].profile.name, "in place");
  EXPECT_EQ(tolerance.dose_band.low.mol_m2_d(), 2.0);
  EXPECT_EQ(tolerance.dose_band.high.mol_m2_d(), 13.0);
  EXPECT_EQ(tolerance.peak_ceiling.umol_m2_s(), 350.0);
  EXPECT_EQ(tolerance.headroom.percent(), 25.0);
  EXPECT_EQ(tolerance.weekly_rise.percent(), 12.0);
  EXPECT_EQ(tolerance.tau_up.d(), 9.0);
  EXPECT_EQ(tolerance.tau_down.d(), 4.0);
  EXPECT_EQ(tolerance.carryover, 0.7);
  EXPECT_EQ(tolerance.floor.percent(), 60.0);
  file["groups"][0]["profile"]["name"] = "own";
  file["groups"][0]["profile"]["light_class"] = "high";
  file["groups"][0]["override"] = {{"carryover", 0.9}};
  EXPECT_EQ(read(file).groups[0].profile.name, "own");
  EXPECT_EQ(read(file).groups[0].profile.light_class, LightClass::high);
  EXPECT_EQ(read(file).groups[0].profile.tolerance.carryover, 0.9);
}

TEST(TankGroup, NeedsEveryNumberOfAProfileInPlace) {
  const Json profile = good_profile_in_place();
  ASSERT_EQ(profile.size() + 1, profile_figure_keys().size());  // all but light_class
  for (const auto& [key, value] : profile.items()) {
    EXPECT_EQ(
        testing::refusal(without("/groups/0/profile/" + key, with("/groups/0/profile", profile))),
        "/groups/0/profile: \"" + key + "\" is missing in the profile\n");
  }
}

/// Every place of a tank file where a dial of "tubes" stands, whose step is 1.
const std::vector<std::string> tubes_dials{"/surveys/0/dials/tubes", "/ramp/from/tubes",
                                           "/ramp/to/tubes", "/groups/0/history/dials/tubes"};

Json tank_with_a_dial(const std::string& pointer, double percent) {
  Json file =
      with("/groups/0/history", Json::parse(R"({"spot": "crest", "dials": {"tubes": 60}})"));
  return with(pointer, percent, file);
}

TEST(TankDials, AreNoShares) {
  for (const std::string& pointer : tubes_dials) {
    const auto parsed = testing::parse(tank_with_a_dial(pointer, 0.57));
    ASSERT_FALSE(parsed) << pointer;
    EXPECT_EQ(to_text(parsed.error().findings),
              pointer + ": a dial is a percentage, not a share: 0.57 would be 0.57 %\n");
    EXPECT_TRUE(parsed.error().findings.front().hint.starts_with("write 57;"))
        << parsed.error().findings.front().hint;
    EXPECT_NE(refusal(tank_with_a_dial(pointer, 0.999)), "") << pointer;
    EXPECT_EQ(refusal(tank_with_a_dial(pointer, 1.001)), "") << pointer;
    EXPECT_EQ(refusal(tank_with_a_dial(pointer, 60)), "") << pointer;
    // A dial that really has such steps.
    const Json fine =
        with("/lights/0/dial", Json::parse(R"({"step": 0.5})"), tank_with_a_dial(pointer, 0.5));
    EXPECT_EQ(refusal(fine), "") << pointer;
  }
}

TEST(TankDials, AreAskedAboutAt1) {
  for (const std::string& pointer : tubes_dials) {
    EXPECT_EQ(to_text(read(tank_with_a_dial(pointer, 1)).warnings),
              pointer + ": \"tubes\" stands at 1 %: is that meant, or 100 %?\n");
    const Json fine =
        with("/lights/0/dial", Json::parse(R"({"step": 0.5})"), tank_with_a_dial(pointer, 1));
    EXPECT_EQ(to_text(read(fine).warnings), "") << pointer;
    EXPECT_EQ(to_text(read(tank_with_a_dial(pointer, 2)).warnings), "") << pointer;
  }
}

TEST(TankDials, AreNoSharesInAHistoryOfAnotherTank) {
  const auto parse_with = [](double percent) {
    Json file = good_tank();
    file["groups"][0]["history"] = {
        {"tank", "other.tank.json"}, {"spot", "crest"}, {"dials", {{"tubes", percent}}}};
    return parse_tank("reef.tank.json", file.dump(), ProfileShelf::built_in(),
                      [](const std::string&) { return good_tank().dump(); });
  };
  EXPECT_TRUE(parse_with(60));
  const auto refused = parse_with(0.6);
  ASSERT_FALSE(refused);
  EXPECT_EQ(to_text(refused.error().findings),
            "/groups/0/history/dials/tubes: a dial is a percentage, not a share: 0.6 would be "
            "0.6 %\n");
}

TEST(TankWarnings, ComeInTheOrderOfTheFileAndStopNothing) {
  Json file = good_tank();
  file["lights"][0]["photoperiod"]["off"] = "21:31";
  file["spots"][1]["depth_cm"] = 56;
  file["ramp"] =
      Json::parse(R"({"from": {"tubes": 80, "bars": 0}, "to": {"tubes": 60, "bars": 40}})");
  const Tank tank = read(file);
  EXPECT_EQ(to_text(tank.warnings),
            "/lights/0/photoperiod: the light is lit for over 12 h a day\n"
            "/spots/1: the spot \"sand\" lies outside the water\n");
  for (const Finding& warning : tank.warnings) {
    EXPECT_GT(warning.place.line, 0u);
    EXPECT_FALSE(warning.hint.empty());
  }
}

TEST(TankWarnings, AreNoneAtTheEdges) {
  Json file = good_tank();
  file["lights"][0]["photoperiod"]["off"] = "21:30";  // 12 h
  file["spots"][0] = Json::parse(R"({"name": "crest", "x_cm": 150, "y_cm": 60, "depth_cm": 55})");
  EXPECT_EQ(to_text(read(file).warnings), "");
}

TEST(TankFile, IsReadFromDisk) {
  const std::string file = ::testing::TempDir() + "slowdawn_reef.tank.json";
  std::ofstream{file} << good_tank();
  EXPECT_EQ(read_tank(file, ProfileShelf::built_in())->file, file);
  std::ofstream{file} << "{";
  EXPECT_EQ(read_tank(file, ProfileShelf::built_in()).error().kind, ReadFailure::Kind::content);
  EXPECT_EQ(read_tank(file + "x", ProfileShelf::built_in()).error().kind,
            ReadFailure::Kind::access);
}

TEST(TankFile, HasASchemaThatIsJson) {
  const Json schema = Json::parse(tank_schema());
  EXPECT_EQ(schema.at("properties").at("format").at("const"), "slowdawn-tank/1");
  EXPECT_LT(tank_schema().size(), 60'000u);
}

}  // namespace
}  // namespace slowdawn
