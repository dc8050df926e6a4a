// A survey says what was read where. Whether the spots were read in one go or in
// two under the same dials changes nothing.
#include <gtest/gtest.h>

#include <slowdawn/tank/ramp_setup.hpp>
#include <slowdawn/tank/tank.hpp>
#include <string>
#include <utility>
#include <vector>

#include "property/dice.hpp"

namespace slowdawn {
namespace {

const std::vector<std::string> spots{"crest", "east ledge", "sand", "cave mouth"};

/// The readings of one survey: dials as JSON, and one text for each spot.
struct Readings {
  std::string dials;
  std::vector<std::string> ppfd;
};

std::string join(const std::vector<std::string>& parts) {
  std::string text;
  for (const std::string& part : parts) text += (text.empty() ? "" : ", ") + part;
  return text;
}

std::string number(double value) { return std::to_string(value); }

/// One survey object of the spots whose numbers are given.
std::string survey(const Readings& readings, const std::vector<std::size_t>& of_spots) {
  std::vector<std::string> ppfd;
  for (const std::size_t spot : of_spots) {
    ppfd.push_back("\"" + spots[spot] + "\": " + readings.ppfd[spot]);
  }
  return R"({"dials": )" + readings.dials + R"(, "ppfd": {)" + join(ppfd) + "}}";
}

std::string tank_text(const std::string& surveys) {
  return R"({"format": "slowdawn-tank/1", "name": "Split",
    "lights": [
      {"name": "tubes", "photoperiod": {"on": "09:30", "off": "19:30"}},
      {"name": "bars", "photoperiod": {"on": "09:00", "off": "20:00", "rise_minutes": 90,
                                       "fall_minutes": 90},
       "dial": {"lowest": 5, "highest": 100, "step": 1}, "dimming": [[25, 21], [50, 47]]}],
    "spots": [{"name": "crest"}, {"name": "east ledge"}, {"name": "sand"},
              {"name": "cave mouth"}],
    "surveys": [)" +
         surveys + R"(],
    "groups": [
      {"name": "staghorn", "profile": "acropora", "spot": "crest"},
      {"name": "chalice", "profile": "pectiniid", "spot": "east ledge"},
      {"name": "elephant ear", "profile": "corallimorph", "spot": "sand"},
      {"name": "torch", "profile": "torch", "spot": "cave mouth", "to_spot": "east ledge"}],
    "ramp": {"from": {"tubes": 100}, "to": {"tubes": 30, "bars": 85}, "every_days": 2}})";
}

/// One reading, or a list of repeats.
std::string draw_reading(testing::Dice& dice, double around) {
  std::vector<std::string> repeats;
  const int count = dice.whole(1, 3);
  for (int i = 0; i < count; ++i) repeats.push_back(number(around * dice.real(0.9, 1.1)));
  return count == 1 ? repeats.front() : "[" + join(repeats) + "]";
}

/// Surveys of the tubes, of the bars, and of both at once.
std::vector<Readings> draw_readings(testing::Dice& dice) {
  std::vector<double> tubes;
  std::vector<double> bars;
  for (std::size_t spot = 0; spot < spots.size(); ++spot) {
    tubes.push_back(dice.real(80.0, 250.0));
    bars.push_back(dice.real(150.0, 500.0));
  }
  const std::pair<int, int> dials[] = {{100, 0}, {0, 40}, {0, 70}, {60, 30}};
  std::vector<Readings> all;
  for (const auto& [tube_dial, bar_dial] : dials) {
    Readings readings;
    readings.dials = R"({"tubes": )" + std::to_string(tube_dial) + R"(, "bars": )" +
                     std::to_string(bar_dial) + "}";
    for (std::size_t spot = 0; spot < spots.size(); ++spot) {
      readings.ppfd.push_back(
          draw_reading(dice, (tubes[spot] * tube_dial + bars[spot] * bar_dial) / 100.0));
    }
    all.push_back(readings);
  }
  return all;
}

std::string surveys_whole(const std::vector<Readings>& all) {
  std::vector<std::string> surveys;
  for (const Readings& readings : all) surveys.push_back(survey(readings, {0, 1, 2, 3}));
  return join(surveys);
}

/// Every survey in two, its spots divided at random.
std::string surveys_split(const std::vector<Readings>& all, testing::Dice& dice) {
  std::vector<std::string> surveys;
  for (const Readings& readings : all) {
    std::vector<std::size_t> halves[2];
    for (std::size_t spot = 0; spot < spots.size(); ++spot) {
      halves[dice.whole(0, 1)].push_back(spot);
    }
    for (const auto& half : halves) {
      if (!half.empty()) surveys.push_back(survey(readings, half));
    }
  }
  return join(surveys);
}

Tank parse(const std::string& text) {
  const auto tank = parse_tank("split.tank.json", text, ProfileShelf::built_in());
  if (!tank) {
    const Finding& first = tank.error().findings.front();
    throw std::runtime_error(first.what + " at " + first.place.pointer);
  }
  return *tank;
}

void expect_same_plan(const Plan& a, const Plan& b) {
  ASSERT_EQ(a.status, b.status);
  ASSERT_EQ(a.goal_day, b.goal_day);
  ASSERT_EQ(a.settled_day, b.settled_day);
  ASSERT_EQ(a.days.size(), b.days.size());
  for (std::size_t day = 0; day < a.days.size(); ++day) {
    ASSERT_EQ(a.days[day].setting, b.days[day].setting) << "day " << day;
    for (std::size_t g = 0; g < a.days[day].groups.size(); ++g) {
      ASSERT_EQ(a.days[day].groups[g].light.real, b.days[day].groups[g].light.real);
      ASSERT_EQ(a.days[day].groups[g].state.used_to, b.days[day].groups[g].state.used_to);
      ASSERT_EQ(a.days[day].groups[g].state.allowance, b.days[day].groups[g].state.allowance);
    }
  }
}

TEST(SplitSurvey, ChangesNeitherFullOutputsNorThePlan) {
  constexpr std::uint64_t first_seed = 31000;
  int with_days = 0;
  for (std::uint64_t seed = first_seed; seed < first_seed + 100; ++seed) {
    SCOPED_TRACE("seed " + std::to_string(seed));
    testing::Dice dice{seed};
    const std::vector<Readings> readings = draw_readings(dice);
    const Tank whole = parse(tank_text(surveys_whole(readings)));
    const Tank split = parse(tank_text(surveys_split(readings, dice)));
    ASSERT_GT(split.surveys.size(), whole.surveys.size());
    ASSERT_EQ(whole.full_output, split.full_output);
    const Plan plan = compute_plan(make_ramp_setup(whole).problem);
    expect_same_plan(plan, compute_plan(make_ramp_setup(split).problem));
    if (HasFatalFailure()) return;
    with_days += plan.days.size() > 1;
  }
  EXPECT_GT(with_days, 50);
}

}  // namespace
}  // namespace slowdawn
