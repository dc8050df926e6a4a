#include <gtest/gtest.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <slowdawn/tank/answers.hpp>
#include <slowdawn/tank/examples.hpp>
#include <slowdawn/tank/tank_draft.hpp>
#include <sstream>

namespace slowdawn {
namespace {

/// Names that markup, a spreadsheet, a shell or a terminal would take for more than
/// names.
const std::string hostile =
    "<b>&\"x\"</b>; =1+2, \\ \xC3\xA9 \xE7\x8F\x8A \xE2\x80\xAE $(x)\x1B[2J\x07";

TankDraft draft_of(const std::string& name = "Stairwell reef") {
  TankDraft draft;
  draft.name = name;
  draft.old_light = DraftLight{"tubes", {ClockTime::minute(570), ClockTime::minute(1170)}};
  draft.new_light = DraftLight{
      "bars",
      {ClockTime::minute(540), ClockTime::minute(1200), Minutes::min(90), Minutes::min(90)}};
  draft.new_dial = Percent::of_full(40);
  draft.spots = {{"crest", {212, 208, 216}, {171}}, {"sand", {74}, {42.5}}};
  draft.groups = {{"staghorn thicket", "acropora", 0}, {"mushrooms", "corallimorph", 1}};
  draft.goal = Percent::of_full(85);
  draft.start = Date{2026, 12, 1};
  return draft;
}

Tank tank_of(const TankDraft& draft) {
  auto tank = parse_tank("reef.tank.json", tank_draft_json(draft), ProfileShelf::built_in());
  if (!tank) throw std::runtime_error(tank.error().findings.front().what);
  return *std::move(tank);
}

TEST(TankDraft, IsWrittenAsPeopleWriteTankFiles) {
  EXPECT_EQ(tank_draft_json(draft_of()), R"({
  "format": "slowdawn-tank/1",
  "name": "Stairwell reef",
  "lights": [
    {"name": "tubes", "photoperiod": {"on": "09:30", "off": "19:30"}},
    {"name": "bars",
     "photoperiod": {"on": "09:00", "off": "20:00", "rise_minutes": 90, "fall_minutes": 90}}
  ],
  "spots": [
    {"name": "crest"},
    {"name": "sand"}
  ],
  "surveys": [
    {"dials": {"tubes": 100}, "ppfd": {"crest": [212, 208, 216], "sand": 74}},
    {"dials": {"bars": 40}, "ppfd": {"crest": 171, "sand": 42.5}}
  ],
  "groups": [
    {"name": "staghorn thicket", "profile": "acropora", "spot": "crest"},
    {"name": "mushrooms", "profile": "corallimorph", "spot": "sand"}
  ],
  "ramp": {"from": {"tubes": 100}, "to": {"bars": 85}, "start": "2026-12-01", "every_days": 1,
           "pace": "standard"}
}
)");
}

TEST(TankDraft, WritesEverythingThatWasGiven) {
  TankDraft draft = draft_of();
  draft.water = Water{Length::cm(150), Length::cm(60), Length::cm(55.5)};
  draft.immersion_factor = 1.25;
  draft.new_light.dial =
      DialRange{Percent::of_full(5), Percent::of_full(90), Percent::of_full(2.5)};
  draft.new_light.dimming = {{Percent::of_full(25), Percent::of_full(21)},
                             {Percent::of_full(50), Percent::of_full(47)}};
  draft.spots[0].x = Length::cm(70);
  draft.spots[0].y = Length::cm(30);
  draft.spots[0].depth = Length::cm(15);
  draft.groups[1].history = History{.light = {DailyDose::mol_m2_d(4.32), Ppfd::umol_m2_s(120)}};
  draft.goal = Percent::of_full(80);
  draft.every_days = 7;
  draft.pace = Pace::gentle;
  const Tank tank = tank_of(draft);
  EXPECT_EQ(tank.water->depth.cm(), 55.5);
  EXPECT_EQ(tank.meter.immersion_factor, 1.25);
  EXPECT_EQ(tank.lights[1].dial.lowest.percent(), 5);
  EXPECT_EQ(tank.lights[1].dial.highest.percent(), 90);
  EXPECT_EQ(tank.lights[1].dial.step.percent(), 2.5);
  EXPECT_NEAR(tank.lights[1].course.dimming.output(Percent::of_full(25)), 0.21, 1e-12);
  EXPECT_EQ(tank.spots[0].position()->x.cm(), 70);
  EXPECT_FALSE(tank.spots[1].position());
  EXPECT_EQ(tank.groups[1].history->light.dose.mol_m2_d(), 4.32);
  EXPECT_EQ(tank.ramp.to.at(1).percent(), 80);
  EXPECT_EQ(tank.ramp.every_days, 7);
  EXPECT_EQ(tank.ramp.pace, Pace::gentle);
}

TEST(TankDraft, ALightThatStaysIsOneLightWithTwoSurveys) {
  TankDraft draft = draft_of();
  draft.new_light.name = "tubes";
  draft.old_dial = Percent::of_full(30);
  const Tank tank = tank_of(draft);
  ASSERT_EQ(tank.lights.size(), 1U);
  ASSERT_EQ(tank.surveys.size(), 2U);
  EXPECT_EQ(tank.surveys[0].dials[0].percent(), 30);
  EXPECT_EQ(tank.surveys[1].dials[0].percent(), 40);
  EXPECT_FALSE(tank.ramp.lights_change());
}

TEST(TankDraft, WithoutALightOfBeforeEveryGroupHasItsHistory) {
  TankDraft draft = draft_of();
  draft.old_light.reset();
  for (DraftGroup& group : draft.groups) {
    group.history = History{.light = {DailyDose::mol_m2_d(4.32), Ppfd::umol_m2_s(120)}};
  }
  const Tank tank = tank_of(draft);
  EXPECT_TRUE(tank.ramp.from.empty());
  EXPECT_EQ(tank.surveys.size(), 1U);
}

TEST(TankDraft, HostileNamesComeBackAsTheyWere) {
  TankDraft draft = draft_of(hostile);
  draft.old_light->name = hostile + "1";
  draft.new_light.name = hostile + "2";
  draft.spots[0].name = hostile + "3";
  draft.groups[0].name = hostile + "4";
  const Tank tank = tank_of(draft);
  EXPECT_EQ(tank.name, hostile);
  EXPECT_EQ(tank.lights[0].name, hostile + "1");
  EXPECT_EQ(tank.lights[1].name, hostile + "2");
  EXPECT_EQ(tank.spots[0].name, hostile + "3");
  EXPECT_EQ(tank.groups[0].name, hostile + "4");
}

TEST(TankDraft, HoldsNothingThatCouldSteerATerminal) {
  const std::string text = tank_draft_json(draft_of(hostile + "\x7F\xC2\x9B"));
  for (const char* mark : {"\x1B", "\x07", "\x7F", "\xE2\x80\xAE", "\xC2\x9B"}) {
    EXPECT_EQ(text.find(mark), std::string::npos);
  }
  EXPECT_NE(text.find("\\u202e $(x)\\u001b[2J\\u0007\\u007f\\u009b"), std::string::npos);
  EXPECT_EQ(nlohmann::json::parse(text).at("name"), hostile + "\x7F\xC2\x9B");
}

TEST(TankDraft, LinesKeepToTheWidthAndMeanTheSameAtEveryWidth) {
  TankDraft draft = draft_of();
  for (int i = 0; i < 30; ++i) {
    draft.spots.push_back({"a spot, number " + std::to_string(i),
                           {100.5 + i, 101, 102, 103},
                           std::vector<double>(40, 50.0 + i)});
  }
  const auto wide = nlohmann::json::parse(tank_draft_json(draft));
  for (const std::size_t width : {60U, 80U, 100U}) {
    std::istringstream lines{tank_draft_json(draft, width)};
    EXPECT_EQ(nlohmann::json::parse(lines.str()), wide);
    for (std::string line; std::getline(lines, line);) EXPECT_LE(line.size(), width) << line;
  }
}

TEST(TankDraft, DoseOfAReadingIsThatOfItsDay) {
  const TankDraft draft = draft_of();
  // CALC: 212 x 10 h x 0.0036 = 7.632; 171 x (11 - 1.5) h x 0.0036 = 5.8482.
  const Exposure before =
      exposure_of_reading(draft, *draft.old_light, Percent::of_full(100), {212, 208, 216});
  EXPECT_NEAR(before.dose.mol_m2_d(), 7.632, 1e-9);
  EXPECT_NEAR(before.peak.umol_m2_s(), 212, 1e-9);
  const Exposure after = exposure_of_reading(draft, draft.new_light, Percent::of_full(40), {171});
  EXPECT_NEAR(after.dose.mol_m2_d(), 5.8482, 1e-9);
  EXPECT_NEAR(after.peak.umol_m2_s(), 171, 1e-9);
}

TEST(TankDraft, FileNameIsMadeOfTheTanksName) {
  EXPECT_EQ(tank_file_name("Stairwell reef"), "stairwell-reef.tank.json");
  EXPECT_EQ(tank_file_name("  My 2nd (blue) tank! "), "my-2nd-blue-tank.tank.json");
  EXPECT_EQ(tank_file_name("../../etc/x"), "etc-x.tank.json");
  EXPECT_EQ(tank_file_name("\xE7\x8F\x8A"), "tank.tank.json");
  EXPECT_EQ(tank_file_name(std::string(300, 'a')), std::string(60, 'a') + ".tank.json");
}

TEST(Examples, AreTheFilesOfTheExamplesFolder) {
  namespace fs = std::filesystem;
  std::vector<std::string> folders;
  std::size_t files = 0;
  for (const auto& folder : fs::directory_iterator{SLOWDAWN_SOURCE_FOLDER "/examples"}) {
    if (!folder.is_directory()) continue;
    folders.push_back(folder.path().filename().string());
    for (const ExampleFile& file : find_example(folders.back())) {
      std::ifstream stream{folder.path() / file.name, std::ios::binary};
      std::ostringstream text;
      text << stream.rdbuf();
      EXPECT_EQ(file.text, text.str()) << file.name;
      ++files;
    }
    ASSERT_FALSE(find_example(folders.back()).empty()) << folders.back();
    EXPECT_TRUE(find_example(folders.back()).front().name.ends_with(".tank.json"));
  }
  std::sort(folders.begin(), folders.end());
  EXPECT_EQ(example_names(), folders);
  EXPECT_GT(files, folders.size());
  EXPECT_TRUE(find_example("no such example").empty());
}

TEST(TankDraft, WritesHowAHistoryIsKnown) {
  TankDraft draft = draft_of();
  const auto writes = [&](const std::string& text) {
    return tank_draft_json(draft).find(text) != std::string::npos;
  };
  draft.groups[1].history = parse_earlier_light("85.5 for 9.5 h").value();
  EXPECT_TRUE(writes("{\"ppfd\": 85.5, \"hours\": 9.5}"));
  draft.groups[1].history = parse_earlier_light("unknown").value();
  EXPECT_TRUE(writes("{\"unknown\": true}"));
  EXPECT_TRUE(tank_of(draft).groups[1].history->is_guess());
}

}  // namespace
}  // namespace slowdawn
