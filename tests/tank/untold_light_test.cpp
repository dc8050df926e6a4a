// Readings that are no ground for a plan, and those that are though they mix lights.
#include <gtest/gtest.h>

#include <slowdawn/ramp/planner.hpp>
#include <slowdawn/tank/known_light.hpp>
#include <slowdawn/tank/ramp_setup.hpp>

#include "tank/good_tank.hpp"

namespace slowdawn {
namespace {

using testing::Json;

/// Two surveys of white, blue, violet and red: mixes, each light by its dial.
Json four_channels() {
  return Json::parse(R"({
    "format": "slowdawn-tank/1", "name": "Four channels",
    "lights": [{"name": "white", "photoperiod": {"on": "09:00", "off": "19:00"}},
               {"name": "blue", "photoperiod": {"on": "09:00", "off": "19:00"}},
               {"name": "violet", "photoperiod": {"on": "09:00", "off": "19:00"}},
               {"name": "red", "photoperiod": {"on": "09:00", "off": "19:00"}}],
    "spots": [{"name": "crest"}],
    "surveys": [
      {"dials": {"white": 80, "blue": 40, "violet": 20, "red": 10}, "ppfd": {"crest": 240}},
      {"dials": {"white": 20, "blue": 80, "violet": 60, "red": 10}, "ppfd": {"crest": 180}}],
    "groups": [{"name": "staghorn thicket", "profile": "acropora", "spot": "crest"}],
    "ramp": {"from": {"white": 40, "blue": 20, "violet": 10, "red": 5},
             "to": {"white": 50, "blue": 60, "violet": 40, "red": 10}, "start": "2026-12-01"}
  })");
}

/// White alone at 200, white and blue at `together`.
Json two_channels(double together) {
  Json file = four_channels();
  file["lights"].erase(3);
  file["lights"].erase(2);
  file["surveys"] = Json::parse(R"([{"dials": {"white": 100}, "ppfd": {"crest": 200}},
                                    {"dials": {"white": 100, "blue": 100}, "ppfd": {}}])");
  file["surveys"][1]["ppfd"]["crest"] = together;
  file["ramp"]["from"] = {{"white", 60}, {"blue", 20}};
  file["ramp"]["to"] = {{"white", 80}, {"blue", 60}};
  return file;
}

Tank looked_at(const Json& file) {
  auto tank = parse_tank("reef.tank.json", file.dump(2), ProfileShelf::built_in());
  EXPECT_TRUE(tank.has_value());
  return std::move(*tank);
}

TEST(UntoldLight, AGoalBetweenTwoMixesIsPlanned) {
  const Tank tank = testing::read(four_channels());
  const RampSetup setup = make_ramp_setup(tank);
  // Half of either mix at the goal, half of the first before: 210 and 120.
  EXPECT_NEAR(tank.exposure(0, tank.ramp.to).peak.umol_m2_s(), 210.0, 1e-9);
  EXPECT_NEAR(tank.exposure(0, tank.ramp.from).peak.umol_m2_s(), 120.0, 1e-9);
  EXPECT_EQ(compute_plan(setup.problem).status, PlanStatus::reaches_goal);
}

TEST(UntoldLight, AGoalBesideTheMixesIsOneErrorWithTheFewestReadings) {
  Json file = four_channels();
  file["ramp"]["to"]["violet"] = 55;
  EXPECT_EQ(testing::refusal(file),
            "/groups/0/spot: the readings at \"crest\" do not tell \"white\", \"blue\", "
            "\"violet\" and \"red\" apart, and this ramp needs them apart\n");
  const Tank tank = looked_at(file);
  ASSERT_EQ(tank.plan_errors.size(), 1U);
  EXPECT_EQ(tank.plan_errors[0].hint,
            "read \"white\" alone and \"blue\" alone at \"crest\" (2 readings); fewer do not tell "
            "them apart");
  // With these two they are told apart.
  for (const char* light : {"white", "blue"}) {
    Json survey = Json::parse(R"({"dials": {}, "ppfd": {"crest": 100}})");
    survey["dials"][light] = 50;
    file["surveys"].push_back(survey);
    const bool is_apart = testing::refusal(file).find("do not tell") == std::string::npos;
    EXPECT_EQ(is_apart, std::string{light} == "blue") << light;
  }
}

TEST(UntoldLight, AMixWhoseChannelsRiseAtOtherHoursIsNotTold) {
  Json file = four_channels();
  file["lights"][2]["photoperiod"]["on"] = "09:01";
  EXPECT_NE(testing::refusal(file), "");
}

TEST(UntoldLight, AMixWhoseChannelsDimByCurvesIsToldOnlyAsItWasRead) {
  Json file = four_channels();
  file["lights"][1]["dimming"] = Json::parse("[[40, 20]]");
  EXPECT_NE(testing::refusal(file), "");
  // The mix itself, without a way to go.
  file["ramp"]["from"] = file["surveys"][0]["dials"];
  file["ramp"]["to"] = file["surveys"][0]["dials"];
  EXPECT_NE(testing::refusal(file), "");
}

TEST(UntoldLight, NewLightBesideLightThatWasHadMustBeToldFromIt) {
  // White and blue were read together; blue is new, white was had.
  Json file = two_channels(0);
  file["surveys"] =
      Json::parse(R"([{"dials": {"white": 100, "blue": 100}, "ppfd": {"crest": 230}}])");
  file["ramp"]["from"] = {{"white", 50}, {"blue", 50}};
  file["ramp"]["to"] = {{"white", 80}, {"blue", 80}};
  EXPECT_EQ(testing::refusal(file), "");
  file["ramp"]["from"] = {{"white", 50}, {"blue", 0}};
  EXPECT_NE(testing::refusal(file), "");
}

TEST(UntoldLight, ToAGroupWithAHistoryAllLightsAreNew) {
  Json file = two_channels(0);
  file["surveys"] =
      Json::parse(R"([{"dials": {"white": 100, "blue": 100}, "ppfd": {"crest": 230}}])");
  file["ramp"]["from"] = Json::object();
  file["ramp"]["to"] = {{"white", 80}, {"blue", 80}};
  file["groups"][0]["history"] = {{"dose", 5.0}, {"peak", 150}};
  EXPECT_EQ(testing::refusal(file), "");
}

TEST(UntoldLight, UsableWeightsThatDifferNeedTheLightsApart) {
  Json file = four_channels();
  for (Json& light : file["lights"]) light["usable_weight"] = 1.2;
  EXPECT_EQ(testing::refusal(file), "");
  file["lights"][1]["usable_weight"] = 1.5;
  EXPECT_NE(testing::refusal(file), "");
}

TEST(UntoldLight, ALightLeftWithNothingIsAnErrorWhereItMayMatter) {
  const Json file = two_channels(196);
  EXPECT_EQ(testing::refusal(file),
            "/groups/0/spot: the readings at \"crest\" leave nothing for \"blue\", and it may be "
            "over 5 % of the goal's dose there\n");
  // At 5 % of it the bound, 23 of full, is 1.2 of 160.
  Json dim = file;
  dim["ramp"]["to"]["blue"] = 5;
  EXPECT_EQ(testing::refusal(dim), "");
  dim["ramp"]["to"]["blue"] = 0;
  EXPECT_EQ(testing::refusal(dim), "");
}

TEST(UntoldLight, ALightKnownTooBadlyIsAnErrorWhereItMayMatter) {
  const Json file = two_channels(230);
  EXPECT_EQ(testing::refusal(file),
            "/groups/0/spot: the readings at \"crest\" tell \"blue\" to no better than 25 %, and "
            "it may be over 5 % of the goal's dose there\n");
  // Read alone it is 30 to 5 % and half a digit.
  Json mended = file;
  mended["surveys"].push_back(Json::parse(R"({"dials": {"blue": 100}, "ppfd": {"crest": 30}})"));
  EXPECT_EQ(testing::refusal(mended), "");
  // 63 of 263 together: its error of 16.6 is 26 % of it, and 68 of 268 is known to 25 %.
  EXPECT_NE(testing::refusal(two_channels(263)), "");
  EXPECT_EQ(testing::refusal(two_channels(268)), "");
}

TEST(UntoldLight, IsNoErrorOfWhoOnlyLooks) {
  const Tank tank = looked_at(two_channels(196));
  EXPECT_EQ(tank.plan_errors.size(), 1U);
  const std::vector<KnownLight> known = list_known_lights(tank);
  ASSERT_EQ(known.size(), 2U);
  EXPECT_FALSE(known[0].is_held_at_zero);
  // C is over both lights, so that white is as well known as if it had been read once: its
  // 198 is the mean of both readings, its error that of the first, 10.01.
  EXPECT_NEAR(known[0].error.value(), 10.0125 / 198.0, 1e-4);
  EXPECT_TRUE(known[1].is_held_at_zero);
  EXPECT_FALSE(known[1].error.has_value());
}

TEST(KnownLight, SaysWhatIsKnownInCombinationOnly) {
  for (const KnownLight& light : list_known_lights(testing::read(four_channels()))) {
    EXPECT_TRUE(light.is_in_combination_only);
    EXPECT_FALSE(light.error.has_value());
  }
}

TEST(ReadingToTake, IsTheOneWithoutWhichThereIsNoPlan) {
  const auto next = find_reading_to_take(looked_at(two_channels(196)));
  ASSERT_TRUE(next.has_value());
  EXPECT_EQ(next->spot, 0U);
  EXPECT_EQ(next->dials, (std::map<std::size_t, Percent>{{1, Percent::of_full(60)}}));
  EXPECT_FALSE(next->gain.has_value());
}

TEST(ReadingToTake, IsOfTheWorstKnownOfTwoLights) {
  // At the sand the tubes show 74 and the bars 40, each once: half a digit is more of 40.
  Json file = testing::good_tank();
  file["groups"].erase(0);
  const Tank tank = testing::read(file);
  const auto next = find_reading_to_take(tank);
  ASSERT_TRUE(next.has_value());
  EXPECT_EQ(next->spot, 1U);
  EXPECT_EQ(next->dials, (std::map<std::size_t, Percent>{{1, Percent::of_full(80)}}));
  ASSERT_TRUE(next->gain.has_value());
  // One reading of 80 beside one of 40, weighed by their errors: in squares relative to full
  // output, 1 / (1 / e1^2 + 1 / e2^2).
  const auto squared = [](double ppfd) { return 0.0025 + 0.25 / (ppfd * ppfd); };
  const double both = 1.0 / (1.0 / squared(40) + 1.0 / squared(80));
  EXPECT_NEAR(next->gain->now, std::sqrt(squared(74) + squared(40)), 1e-9);
  EXPECT_NEAR(next->gain->then, std::sqrt(squared(74) + both), 1e-9);
}

TEST(GroupDoubt, SaysWhatItComesFrom) {
  Json file = testing::good_tank();
  const Tank tank = testing::read(file);
  const GroupDoubt here = compute_group_doubt(tank, tank.groups[1]);
  EXPECT_NEAR(here.before.value(), std::hypot(0.05, 0.5 / 74), 1e-12);
  EXPECT_NEAR(here.goal, std::hypot(0.05, 0.5 / 40), 1e-12);
  EXPECT_NEAR(here.ratio, std::hypot(*here.before, here.goal), 1e-12);
  EXPECT_FALSE(here.history.has_value());
  EXPECT_FALSE(here.calibration.has_value());
  file["groups"][1]["history"] = {{"ppfd", 100}, {"hours", 10}};
  const Tank told = testing::read(file);
  const GroupDoubt elsewhere = compute_group_doubt(told, told.groups[1]);
  EXPECT_FALSE(elsewhere.before.has_value());
  EXPECT_DOUBLE_EQ(elsewhere.history.value(), 0.2);
  EXPECT_DOUBLE_EQ(elsewhere.calibration.value(), 0.1);
  EXPECT_NEAR(elsewhere.ratio, std::hypot(0.2, 0.1, elsewhere.goal), 1e-12);
}

}  // namespace
}  // namespace slowdawn
