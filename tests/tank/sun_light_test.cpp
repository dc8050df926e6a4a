#include <gtest/gtest.h>

#include <slowdawn/tank/even_setup.hpp>
#include <slowdawn/tank/schedule_reader.hpp>

#include "tank/good_tank.hpp"

namespace slowdawn {
namespace {

using testing::good_tank;
using testing::Json;
using testing::read;
using testing::refusal;
using testing::with;
using testing::without;

/// Under the sun before and after; the crest has a fifth of the open light under glass.
Json sunlit_tank() {
  Json file = good_tank();
  file["meter"]["immersion_factor"] = 1.25;
  file["lights"] = Json::parse(R"([{"name": "sun", "kind": "sun", "latitude": -20, "cloud": 0.4,
                                    "shade_cloths": [30, 50, 70]}])");
  file["surveys"] = Json::parse(R"([
    {"dials": {"sun": 50}, "outside_ppfd": 1500, "ppfd": {"crest": 120, "sand": 60}},
    {"dials": {"sun": 100}, "outside_ppfd": 400, "ppfd": {"crest": 64}}])");
  file["ramp"] = Json::parse(R"({"from": {"sun": 30}, "to": {"sun": 70}, "start": "2026-09-03"})");
  return file;
}

TEST(SunLight, FullOutputIsTheSpotsShareOfTheClearNoonAhead) {
  const Tank tank = read(sunlit_tank());
  Ppfd noon;
  for (int day = 246; day < 246 + 120; ++day) {
    noon =
        std::max(noon, compute_sunlight(Latitude::degrees(-20), (day - 1) % 365 + 1, 0).clear_noon);
  }
  // 120 x 1.25 of 1500 x 0.5, and 64 x 1.25 of 400: a fifth, at any hour and weather.
  EXPECT_NEAR(tank.full_output[0][0]->ppfd / noon, 0.2, 1e-9);
  EXPECT_NEAR(tank.full_output[1][0]->ppfd / noon, 0.1, 1e-9);
  EXPECT_NEAR(tank.exposure(0, tank.ramp.to).peak / noon, 0.2 * 0.7, 1e-9);
}

TEST(SunLight, LightBeforeIsThatOfTheFirstDay) {
  const Tank tank = read(sunlit_tank());
  const Sunlight first = compute_sunlight(Latitude::degrees(-20), 246, 0.4);
  const Exposure before = tank.before(tank.groups[0]);
  EXPECT_NEAR(before.dose / first.dose, 0.2 * 0.3, 1e-9);
  EXPECT_NEAR(before.peak / first.clear_noon, 0.2 * 0.3, 1e-9);
  EXPECT_EQ(tank.measured_before(tank.groups[0]), before);
  // In September the days of the south are getting brighter.
  EXPECT_GT(tank.exposure(0, tank.ramp.from).dose / before.dose, 1.1);
  // A history in this tank is of the days before, too.
  const Tank told =
      read(with("/groups/0/history", Json::parse(R"({"spot": "crest", "dials": {"sun": 30}})"),
                sunlit_tank()));
  EXPECT_EQ(told.before(told.groups[0]), before);
}

TEST(SunLight, IsTakenForRatherClearSkyAndForNoLamp) {
  const Tank tank = read(without("/lights/0/cloud", sunlit_tank()));
  EXPECT_EQ(tank.lights[0].sun->place.cloud_share, 0.3);
  EXPECT_TRUE(tank.has_sun());
  EXPECT_FALSE(can_run_evenly(tank));
  EXPECT_TRUE(tank.warnings.empty()) << testing::to_text(tank.warnings);
  EXPECT_FALSE(read(good_tank()).has_sun());
  EXPECT_TRUE(can_run_evenly(read(good_tank())));
  EXPECT_EQ(refusal(with("/lights/0/kind", "lamp")), "");
}

TEST(SunLight, StandsBesideALampInOneSurvey) {
  Json file = sunlit_tank();
  file["lights"].push_back(good_tank()["lights"][0]);
  file["surveys"][1]["dials"]["tubes"] = 50;
  file["surveys"][1]["ppfd"]["crest"] = 64 + 100;
  const Tank tank = read(file);
  EXPECT_NEAR(tank.full_output[0][1]->ppfd.umol_m2_s(), 250, 1e-6);
  EXPECT_NEAR(tank.full_output[0][0]->ppfd / tank.lights[0].sun->ahead.noon, 0.2, 1e-9);
}

TEST(SunLight, DialIsTheListOfCloths) {
  EXPECT_EQ(refusal(with("/ramp/to/sun", 60, sunlit_tank())),
            "/ramp/to/sun: \"sun\" has no shade cloth of 60 %\n");
  EXPECT_EQ(read(with("/ramp/to/sun", "highest", sunlit_tank())).ramp.to.at(0).percent(), 100);
  EXPECT_EQ(refusal(with("/ramp/from/sun", 0,
                         with("/groups/0/history", Json::parse(R"({"dose": 5, "peak": 200})"),
                              sunlit_tank()))),
            "/groups/1: the light that \"elephant ear\" comes from is dark\n");
  EXPECT_EQ(refusal(with("/lights/0/shade_cloths", Json::parse("[30, 30]"), sunlit_tank())),
            "/lights/0/shade_cloths/1: the shade cloths do not rise\n");
  const Tank tank = read(sunlit_tank());
  EXPECT_FALSE(parse_schedule(tank, {0}, "2026-09-03 60"));
  EXPECT_TRUE(parse_schedule(tank, {0}, "2026-09-03 50"));
  const RampSetup setup = make_ramp_setup(tank);
  ASSERT_EQ(setup.problem.path.settings.size(), 3U);
  EXPECT_EQ(setup.problem.path.settings[1][0].percent(), 50);
}

TEST(SunLight, SaysWhatItNeeds) {
  const auto first_of = [](const Json& file) {
    const std::string text = refusal(file);
    return text.substr(0, text.find('\n'));
  };
  EXPECT_EQ(refusal(without("/surveys/1/outside_ppfd", sunlit_tank())),
            "/surveys/1: a survey under the sun needs \"outside_ppfd\"\n");
  EXPECT_EQ(refusal(with("/surveys/0/outside_ppfd", 1500)),
            "/surveys/0/outside_ppfd: \"outside_ppfd\" belongs to a survey under the sun\n");
  EXPECT_EQ(refusal(with("/meter/relative", true, sunlit_tank())),
            "/surveys/0/outside_ppfd: a relative meter cannot be held against the sun's light in "
            "umol\n/surveys/1/outside_ppfd: a relative meter cannot be held against the sun's "
            "light in umol\n");
  EXPECT_EQ(first_of(with("/surveys/0/unit", "lux", sunlit_tank())),
            "/surveys/0/unit: a survey under the sun is read in PPFD, not in lux");
  EXPECT_EQ(first_of(without("/ramp/start", sunlit_tank())),
            "/lights/0: a light of kind \"sun\" needs the day on which the ramp starts");
  EXPECT_TRUE(first_of(with("/lights/0/latitude", 66, sunlit_tank()))
                  .starts_with("/lights/0/latitude: 66 is out of range"));
  EXPECT_EQ(first_of(with("/lights/0/dial", Json::object(), sunlit_tank())),
            "/lights/0/dial: unknown key \"dial\" in a light of kind \"sun\"");
  EXPECT_EQ(first_of(with("/lights/0/kind", "moon", sunlit_tank())),
            "/lights/0/kind: there is no kind of light \"moon\"");
}

}  // namespace
}  // namespace slowdawn
