#include <gtest/gtest.h>

#include <slowdawn/present/present.hpp>

#include "tank/good_tank.hpp"

namespace slowdawn {
namespace {

using namespace slowdawn::testing;

void expect_said(const std::string& text, const std::string& words) {
  EXPECT_NE(text.find(words), std::string::npos) << words << "\n" << text;
}

/// The good tank with both lights read together alone, for whoever only looks.
Tank mixed() {
  Json file = good_tank();
  file["surveys"] =
      Json::parse(R"([{"dials": {"tubes": 50, "bars": 50}, "ppfd": {"crest": 200, "sand": 50}}])");
  return parse_tank("reef.tank.json", file.dump(2), ProfileShelf::built_in()).value();
}

TEST(KnownLightText, SaysHowWellAGroupsChangeIsKnownAndWhy) {
  Json file = good_tank();
  file["groups"][0]["history"] = {{"ppfd", 180}, {"hours", 10}};
  const Tank tank = read(file);
  const std::string text = check_text(tank, make_ramp_setup(tank), {.width = 120});
  // 74 and 40, each 5 % and half a digit: 5.05 and 5.15 %, together 7.2 %.
  expect_said(text,
              "elephant ear: known to about 7 % (light before 5 %, new light at the goal 5 %).");
  expect_said(text,
              "staghorn thicket: known to about 23 % (its history 20 %, new light at the goal 5 %, "
              "the meter's calibration 10 %).");
  const Json json = Json::parse(check_json(tank, make_ramp_setup(tank)));
  const Json& here = json["groups"][1]["known_to"];
  EXPECT_NEAR(here["ratio_error"].get<double>(), 0.0721, 1e-4);
  EXPECT_NEAR(here["before"].get<double>(), 0.0505, 1e-4);
  EXPECT_NEAR(here["goal"].get<double>(), 0.0515, 1e-4);
  EXPECT_TRUE(here["history"].is_null());
  EXPECT_DOUBLE_EQ(json["groups"][0]["known_to"]["history"].get<double>(), 0.2);
  EXPECT_DOUBLE_EQ(json["groups"][0]["known_to"]["calibration"].get<double>(), 0.1);
}

TEST(KnownLightText, SaysHowWellEachLightIsKnown) {
  const Tank tank = read(good_tank());
  const SurveyReport report = report_survey(tank, *tank.surveys[0].taken);
  const std::string text = survey_text(tank, report, {});
  expect_said(text, "spot   light  at 100 %  known to\nsand   bars        100       5 %\n");
  expect_said(text, "The one reading that would help most: bars 80 % alone at sand");
  const Json json = Json::parse(survey_json(tank, report));
  EXPECT_EQ(json["lights_known"].size(), 4U);
  EXPECT_NEAR(json["lights_known"][0]["error"].get<double>(), 0.0515, 1e-4);
  EXPECT_FALSE(json["lights_known"][0]["held_at_zero"].get<bool>());
  EXPECT_EQ(json["take_next"]["spot"], "sand");
  EXPECT_TRUE(json["plan_errors"].empty());
}

TEST(KnownLightText, SaysWhatIsKnownTogetherOnlyAndThatThereIsNoPlan) {
  const Tank tank = mixed();
  const SurveyReport report = report_survey(tank, Date{});
  const std::string text = survey_text(tank, report, {});
  expect_said(text, "crest  tubes         -         -  only together with others\n");
  expect_said(text, "bars 80 % alone at crest. Without it no\nplan can be made.");
  expect_said(text, "No plan can be made from these readings yet\n");
  const Json json = Json::parse(survey_json(tank, report));
  EXPECT_TRUE(json["lights_known"][0]["in_combination_only"].get<bool>());
  EXPECT_TRUE(json["lights_known"][0]["full_output"].is_null());
  EXPECT_TRUE(json["take_next"]["group"].is_null());
  EXPECT_EQ(json["plan_errors"].size(), 1U);
}

}  // namespace
}  // namespace slowdawn
