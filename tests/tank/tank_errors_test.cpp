#include <gtest/gtest.h>

#include <set>

#include "tank/good_tank.hpp"

namespace slowdawn {
namespace {

using testing::good_profile_in_place;
using testing::good_tank;
using testing::Json;
using testing::refusal;
using testing::with;
using testing::without;

/// A good tank in which every key that takes a number is there.
Json full_tank() {
  Json file = good_tank();
  file["lights"][1]["dimming"] = Json::parse("[[25, 21], [50, 47]]");
  file["lights"][0]["photoperiod"] =
      Json::parse(R"({"points": [["09:00", 0], ["10:00", 50], ["11:00", 100], ["19:00", 0]]})");
  file["groups"][0]["profile"] = good_profile_in_place();
  file["groups"][1]["override"] = good_profile_in_place();
  file["groups"][1]["history"] = Json::parse(R"({"dose": 5, "peak": 200})");
  file["ramp"]["every_days"] = 7;
  return file;
}

TEST(TankErrors, KeepNumbersToTheirRanges) {
  const struct {
    const char* pointer;
    double low;
    double high;
  } ranges[] = {
      {"/water/length_cm", 1, 10000},
      {"/water/width_cm", 1, 10000},
      {"/water/depth_cm", 1, 10000},
      {"/meter/immersion_factor", 0.5, 3},
      {"/meter/calibration_percent", 0, 50},
      {"/meter/repeat_percent", 0, 50},
      {"/lights/0/photoperiod/points/1/1", 0, 100},
      {"/lights/1/photoperiod/rise_minutes", 0, 1440},
      {"/lights/1/photoperiod/fall_minutes", 0, 1440},
      {"/lights/1/dial/lowest", 0, 100},
      {"/lights/1/dial/highest", 0.01, 100},
      {"/lights/1/dial/step", 0.01, 100},
      {"/lights/1/dimming/0/0", 0, 100},
      {"/lights/1/dimming/0/1", 0, 100},
      {"/spots/0/x_cm", 0, 10000},
      {"/spots/0/y_cm", 0, 10000},
      {"/spots/0/depth_cm", 0, 10000},
      {"/surveys/0/dials/tubes", 0, 100},
      {"/surveys/0/ppfd/crest/2", 0, 3000},
      {"/surveys/0/ppfd/sand", 0, 3000},
      {"/groups/1/history/dose", 0.01, 100},
      {"/groups/1/history/peak", 0.1, 3000},
      {"/groups/0/profile/dose_band/0", 0.01, 100},
      {"/groups/0/profile/dose_band/1", 0.01, 100},
      {"/groups/0/profile/peak_ceiling", 1, 3000},
      {"/groups/0/profile/headroom_percent", 1, 100},
      {"/groups/0/profile/weekly_rise_percent", 0.1, 100},
      {"/groups/0/profile/tau_up_days", 0.5, 365},
      {"/groups/0/profile/tau_down_days", 0.5, 365},
      {"/groups/0/profile/carryover", 0.05, 1},
      {"/groups/0/profile/floor_percent", 1, 100},
      {"/groups/1/override/carryover", 0.05, 1},
      {"/ramp/from/tubes", 0, 100},
      {"/ramp/to/bars", 0, 100},
      {"/ramp/every_days", 1, 28},
  };
  ASSERT_EQ(refusal(full_tank()), "");
  for (const auto& [pointer, low, high] : ranges) {
    const auto said = [where = std::string{pointer}](const Json& value) {
      return refusal(with(where, value, full_tank()));
    };
    const std::string start = std::string{pointer} + ": ";
    const auto is_out_of_range = [&](double value) {
      const std::string text = said(value);
      return text.find(start) != std::string::npos &&
             text.find("out of range") != std::string::npos;
    };
    EXPECT_FALSE(is_out_of_range(low)) << pointer << " " << said(low);
    EXPECT_FALSE(is_out_of_range(high)) << pointer << " " << said(high);
    EXPECT_TRUE(is_out_of_range(low - 1e-3)) << pointer << " " << said(low - 1e-3);
    EXPECT_TRUE(is_out_of_range(high + 1e-3)) << pointer << " " << said(high + 1e-3);
    for (const char* other : {"null", "true", "\"5\"", "{}"}) {
      const std::string text = said(Json::parse(other));
      EXPECT_NE(text.find(start + "expected a number"), std::string::npos)
          << pointer << " " << other << " " << text;
    }
  }
}

TEST(TankErrors, NameEveryKeyThatIsMissing) {
  for (const char* pointer : {"/format",
                              "/name",
                              "/lights",
                              "/spots",
                              "/surveys",
                              "/groups",
                              "/ramp",
                              "/water/length_cm",
                              "/water/width_cm",
                              "/water/depth_cm",
                              "/lights/0/name",
                              "/lights/0/photoperiod",
                              "/lights/0/photoperiod/on",
                              "/lights/0/photoperiod/off",
                              "/spots/0/name",
                              "/surveys/0/dials",
                              "/surveys/0/ppfd",
                              "/groups/0/name",
                              "/groups/0/profile",
                              "/groups/0/spot",
                              "/ramp/from",
                              "/ramp/to"}) {
    const Json::json_pointer place{pointer};
    const std::string expected =
        place.parent_pointer().to_string() + ": \"" + place.back() + "\" is missing\n";
    const std::string said = refusal(without(pointer));
    EXPECT_NE(said.find(expected), std::string::npos) << pointer << "\n" << said;
  }
}

TEST(TankErrors, NameEveryKeyThatIsUnknown) {
  for (const char* object :
       {"", "/water", "/meter", "/lights/0", "/lights/1/photoperiod", "/lights/1/dial", "/spots/0",
        "/surveys/0", "/groups/0", "/groups/0/profile", "/groups/1/override", "/groups/1/history",
        "/ramp"}) {
    const std::string pointer = std::string{object} + "/zzzzz";
    const std::string said = refusal(with(pointer, 1, full_tank()));
    EXPECT_EQ(said.substr(0, said.find("\" in")), pointer + ": unknown key \"zzzzz") << said;
  }
}

TEST(TankErrors, NameEveryLightAndSpotThatIsUnknown) {
  for (const char* object : {"/surveys/0/dials", "/ramp/from", "/ramp/to"}) {
    const std::string pointer = std::string{object} + "/zzzzz";
    EXPECT_EQ(refusal(with(pointer, 1, full_tank())), pointer + ": there is no light \"zzzzz\"\n");
  }
  EXPECT_EQ(refusal(with("/surveys/0/ppfd/zzzzz", 1, full_tank())),
            "/surveys/0/ppfd/zzzzz: there is no spot \"zzzzz\"\n");
}

TEST(TankErrors, NameWhatIsNoObjectAndNoList) {
  for (const char* pointer :
       {"", "/water", "/meter", "/lights/0", "/lights/0/photoperiod", "/lights/1/dial", "/spots/0",
        "/surveys/0", "/surveys/0/dials", "/surveys/0/ppfd", "/groups/0", "/groups/1/override",
        "/groups/1/history", "/ramp", "/ramp/from", "/ramp/to"}) {
    const std::string said = refusal(with(pointer, 1, full_tank()));
    EXPECT_NE(said.find(std::string{pointer} + ": expected "), std::string::npos) << pointer << "\n"
                                                                                  << said;
  }
  for (const char* pointer : {"/lights", "/spots", "/surveys", "/groups", "/lights/1/dimming",
                              "/lights/1/dimming/0", "/lights/0/photoperiod/points",
                              "/lights/0/photoperiod/points/0", "/groups/0/profile/dose_band"}) {
    const std::string said = refusal(with(pointer, 1, full_tank()));
    EXPECT_NE(said.find(std::string{pointer} + ": expected a list of "), std::string::npos)
        << pointer << "\n"
        << said;
  }
}

TEST(TankErrors, AskForTheNearestName) {
  const struct {
    const char* pointer;
    const char* wrong;
    const char* nearest;
  } cases[] = {
      {"/groups/0/profile", "acropra", "acropora"}, {"/groups/0/profile", "Torch", "torch"},
      {"/groups/0/spot", "crets", "crest"},         {"/groups/0/to_spot", "sands", "sand"},
      {"/ramp/pace", "gentel", "gentle"},           {"/units", "inchs", "inches"},
  };
  for (const auto& [pointer, wrong, nearest] : cases) {
    const auto parsed = testing::parse(with(pointer, wrong));
    ASSERT_FALSE(parsed.has_value()) << pointer;
    ASSERT_EQ(parsed.error().findings.size(), 1u) << pointer;
    const Finding& finding = parsed.error().findings.front();
    EXPECT_EQ(finding.place.pointer, pointer);
    EXPECT_EQ(finding.hint, "did you mean \"" + std::string{nearest} + "\"?") << finding.what;
  }
}

TEST(TankErrors, NameDoubledNames) {
  EXPECT_EQ(refusal(with("/groups/1/name", "staghorn thicket")),
            "/groups/1/name: there are two groups of the name \"staghorn thicket\"\n");
  EXPECT_EQ(refusal(with("/lights/1/name", "tubes")).substr(0, 57),
            "/lights/1/name: there are two lights of the name \"tubes\"\n");
  EXPECT_EQ(refusal(with("/spots/1/name", "crest")).substr(0, 55),
            "/spots/1/name: there are two spots of the name \"crest\"\n");
  // A light, a spot and a group may share a name.
  Json file = good_tank();
  file["groups"][0]["name"] = "crest";
  EXPECT_EQ(refusal(file), "");
}

TEST(TankErrors, NameWhatCannotBeInTheDay) {
  const auto said = [](const char* photoperiod) {
    return refusal(with("/lights/0/photoperiod", Json::parse(photoperiod)));
  };
  const std::string at = "/lights/0/photoperiod: ";
  EXPECT_EQ(said(R"({"on": "06:00", "off": "20:00"})"), "");
  EXPECT_EQ(said(R"({"on": "06:00", "off": "20:01"})"),
            at + "the light is lit for over 14 h a day\n");
  EXPECT_EQ(said(R"({"on": "06:00", "off": "06:00"})"),
            at + "the light goes on and off at the same time\n");
  EXPECT_EQ(said(R"({"on": "09:00", "off": "19:00", "rise_minutes": 300, "fall_minutes": 300})"),
            "");
  EXPECT_EQ(said(R"({"on": "09:00", "off": "19:00", "rise_minutes": 300, "fall_minutes": 301})"),
            at + "the rise and the fall do not fit between on and off\n");
  EXPECT_EQ(said(R"({"points": [["06:00", 10], ["12:00", 100]]})"),
            at + "the light never goes dark\n");
  EXPECT_EQ(said(R"({"points": [["06:00", 0], ["12:00", 0]]})"), at + "the light is never lit\n");
  EXPECT_EQ(said(R"({"points": [["12:00", 0], ["09:00", 100], ["20:00", 0]]})"),
            at + "the points are not in the order of the day\n");
  EXPECT_EQ(said(R"({"points": []})"), at + "a course of the day needs at least two points\n");
  EXPECT_EQ(said(R"({"on": "06:00", "points": [["06:00", 0], ["12:00", 10]]})"),
            at + "a photoperiod has either \"points\" or \"on\" and \"off\"\n");
  EXPECT_EQ(said(R"({"points": [["06:00"], ["12:00", 10]]})"),
            "/lights/0/photoperiod/points/0: a point is a time and a percentage\n");
  EXPECT_EQ(said(R"({"points": [["24:00", 0], ["12:00", "10"]]})"),
            "/lights/0/photoperiod/points/0/0: \"24:00\" is not a time of day\n"
            "/lights/0/photoperiod/points/1/1: expected a number in %, found the text \"10\"\n");
}

TEST(TankErrors, NameWhatCannotBeInALight) {
  EXPECT_EQ(refusal(with("/lights/1/dimming", Json::parse("[[25, 21], [50, 21]]"))),
            "/lights/1/dimming: the dimming pairs do not rise\n");
  EXPECT_EQ(refusal(with("/lights/1/dimming", Json::parse("[[25, 21, 3]]"))),
            "/lights/1/dimming/0: a pair is a drive and an output, both in percent\n");
  EXPECT_EQ(refusal(with("/lights/1/dimming", Json::array())), "");
  EXPECT_EQ(refusal(with("/lights/1/dial", Json::parse(R"({"lowest": 50, "highest": 40})"))),
            "/lights/1/dial: the dial's lowest is over its highest\n");
  EXPECT_EQ(refusal(with("/lights/1/dial", Json::parse(R"({"lowest": 80, "highest": 80})"))), "");
}

TEST(TankErrors, NameWhatCannotBeInASurvey) {
  EXPECT_EQ(refusal(with("/surveys/1/dials", Json::object())),
            "/surveys/1/dials: no light is lit in this survey\n");
  EXPECT_EQ(refusal(with("/surveys/1/dials/bars", 0)),
            "/surveys/1/dials: no light is lit in this survey\n");
  EXPECT_EQ(refusal(with("/surveys/1/ppfd/crest", Json::array())),
            "/surveys/1/ppfd/crest: the list of repeats is empty\n");
  EXPECT_EQ(refusal(with("/surveys/1/taken", "2026-02-29")),
            "/surveys/1/taken: the date 2026-02-29 does not exist\n");
}

TEST(TankErrors, NameEmptyLists) {
  for (const char* key : {"lights", "spots", "surveys", "groups"}) {
    const std::string pointer = "/" + std::string{key};
    const std::string said = refusal(with(pointer, Json::array()));
    EXPECT_NE(said.find(pointer + ": the list of " + key + " is empty\n"), std::string::npos)
        << said;
  }
}

TEST(TankErrors, RefuseOtherFormats) {
  EXPECT_EQ(refusal(with("/format", "slowdawn-tank/2")),
            "/format: the format \"slowdawn-tank/2\" is not known to this program\n");
  EXPECT_EQ(refusal(with("/format", 1)),
            "/format: expected the format as text, found the number 1\n");
}

TEST(TankErrors, AreCollectedInTheOrderOfTheFile) {
  Json file = good_tank();
  file["meter"]["repeat_percent"] = 99;
  file["spots"][1]["depth"] = 50;
  file["surveys"][0]["ppfd"]["sand"] = -74;
  file["groups"][0]["profile"] = "acropra";
  file["groups"][1]["spot"] = "snad";
  file["ramp"]["pace"] = "fast";
  // The ramp before all others in the file, though it is read last.
  Json turned = {{"ramp", file["ramp"]}};
  turned.update(file);
  const auto parsed = testing::parse(turned);
  ASSERT_FALSE(parsed.has_value());
  EXPECT_EQ(parsed.error().kind, ReadFailure::Kind::content);
  EXPECT_EQ(testing::to_text(parsed.error().findings),
            "/ramp/pace: there is no pace \"fast\"\n"
            "/meter/repeat_percent: 99 is out of range, which goes from 0 to 50 %\n"
            "/spots/1/depth: unknown key \"depth\" in a spot\n"
            "/surveys/0/ppfd/sand: -74 is out of range, which goes from 0 to 3000 umol m-2 s-1\n"
            "/groups/0/profile: there is no profile \"acropra\"\n"
            "/groups/1/spot: there is no spot \"snad\"\n");
  std::size_t last = 0;
  for (const Finding& finding : parsed.error().findings) {
    EXPECT_GT(finding.place.line, last);
    last = finding.place.line;
    EXPECT_EQ(finding.place.file, "reef.tank.json");
    EXPECT_FALSE(finding.hint.empty()) << finding.what;
  }
}

TEST(TankErrors, AreAtMost20) {
  Json file = good_tank();
  for (int i = 0; i < 25; ++i) {
    file["spots"].push_back({{"name", "spot " + std::to_string(i)}, {"depth", i}});
  }
  const auto parsed = testing::parse(file);
  ASSERT_FALSE(parsed.has_value());
  ASSERT_EQ(parsed.error().findings.size(), 20u);
  EXPECT_EQ(parsed.error().findings.front().place.pointer, "/spots/2/depth");
  EXPECT_EQ(parsed.error().findings.back().place.pointer, "/spots/21/depth");
}

TEST(TankErrors, StandAtThePlaceThatIsWrong) {
  const std::string text =
      "{\"format\": \"slowdawn-tank/1\", \"name\": \"x\",\r\n"
      "  \"meter\": {\"repeat\":5},\r\n"
      "  \"lights\": [\r\n"
      "    {\"name\": 7, \"photoperiod\": {\"on\": \"9:00\", \"off\": \"20:00\"}}]}\r\n";
  const auto parsed = parse_tank("reef.tank.json", text, ProfileShelf::built_in());
  ASSERT_FALSE(parsed.has_value());
  std::set<std::string> places;
  for (const auto& [place, what, hint] : parsed.error().findings) {
    places.insert(std::to_string(place.line) + ":" + std::to_string(place.column) + " " +
                  place.pointer);
  }
  EXPECT_EQ(places, (std::set<std::string>{"1:1 ", "2:13 /meter/repeat", "4:14 /lights/0/name",
                                           "4:39 /lights/0/photoperiod/on"}));
}

}  // namespace
}  // namespace slowdawn
