// How well the ratio of two lights of a tank is known.
#include "tank/ratio_error.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <random>
#include <slowdawn/coral/acclimation.hpp>

#include "tank/good_tank.hpp"

namespace slowdawn {
namespace {

using testing::bars;
using testing::crest;
using testing::good_tank;
using testing::Json;
using testing::read;
using testing::sand;
using testing::tubes;

Percent dial(double percent) { return Percent::of_full(percent); }

/// 5 % of each repeat, and half a digit.
double error_of(double ppfd, int repeats = 1) {
  return std::hypot(0.05 / std::sqrt(repeats), 0.5 / ppfd);
}

TEST(RatioError, OfOneReadingEachOfTwoLightsHasBothErrors) {
  const Tank tank = read(good_tank());
  EXPECT_NEAR(compute_ratio_error(tank, {sand, {{tubes, dial(100)}}}, {sand, {{bars, dial(80)}}}),
              std::hypot(error_of(74), error_of(40)), 1e-12);
}

TEST(RatioError, IsRootTwoTimesTheRepeatabilityWithoutADisplay) {
  Json file = good_tank();
  file["meter"]["relative"] = true;
  EXPECT_NEAR(
      compute_ratio_error(read(file), {sand, {{tubes, dial(100)}}}, {sand, {{bars, dial(80)}}}),
      std::sqrt(2.0) * 0.05, 1e-12);
}

TEST(RatioError, OfThreeRepeatsIsLess) {
  const Tank tank = read(good_tank());
  EXPECT_NEAR(tank.reading_error(crest, {{tubes, dial(100)}}), error_of(212, 3), 1e-12);
}

TEST(RatioError, CountsFourRepeatsAtMost) {
  Json file = good_tank();
  file["surveys"][0]["ppfd"]["sand"] = Json::parse("[74, 74, 74, 74, 74, 74, 74, 74]");
  EXPECT_NEAR(read(file).reading_error(sand, {{tubes, dial(100)}}), error_of(74, 4), 1e-12);
}

TEST(RatioError, TakesTheScatterOfThreeRepeatsWhereItIsTheLarger) {
  Json file = good_tank();
  file["surveys"][0]["ppfd"]["sand"] = Json::parse("[60, 74, 88]");
  // Sample standard deviation 14, over the mean of 74.
  EXPECT_NEAR(read(file).reading_error(sand, {{tubes, dial(100)}}),
              std::hypot(14.0 / 74.0 / std::sqrt(3.0), 0.5 / 74.0), 1e-12);
  file["surveys"][0]["ppfd"]["sand"] = Json::parse("[60, 88]");
  EXPECT_NEAR(read(file).reading_error(sand, {{tubes, dial(100)}}), error_of(74, 2), 1e-12);
}

TEST(RatioError, OfOneLightDialledDifferentlyIsNothing) {
  const Tank tank = read(good_tank());
  EXPECT_NEAR(compute_ratio_error(tank, {crest, {{bars, dial(40)}}}, {crest, {{bars, dial(80)}}}),
              0.0, 1e-12);
}

TEST(RatioError, BetweenTwoSpotsHasTheReadingsOfBoth) {
  const Tank tank = read(good_tank());
  EXPECT_NEAR(compute_ratio_error(tank, {sand, {{bars, dial(40)}}}, {crest, {{bars, dial(80)}}}),
              std::hypot(error_of(40), error_of(160)), 1e-12);
}

TEST(RatioError, OfAHistoryHasItsOwnErrorAndTheCalibration) {
  const Tank tank = read(good_tank());
  EXPECT_NEAR(compute_history_error(tank, 0.2, {crest, {{bars, dial(80)}}}),
              std::hypot(0.2, error_of(160), 0.1), 1e-12);
}

TEST(RatioError, CountsTheLightsThatAreNamedAlone) {
  Json file = good_tank();
  file["ramp"]["to"] = {{"tubes", 50}, {"bars", 80}};
  const Tank tank = read(file);
  const LightPart before{sand, {{tubes, dial(100)}}};
  const LightPart fresh{sand, tank.ramp.to, {bars}};
  EXPECT_NEAR(compute_ratio_error(tank, before, fresh), std::hypot(error_of(74), error_of(40)),
              1e-12);
  // The tubes in both cancel in part: the more of them is left, the less is in doubt.
  EXPECT_LT(compute_ratio_error(tank, before, {sand, tank.ramp.to}),
            compute_ratio_error(tank, before, fresh));
}

TEST(RatioError, OfAPartWithoutLightIsThatOfTheOther) {
  const Tank tank = read(good_tank());
  EXPECT_EQ(compute_ratio_error(tank, {crest, {}}, {crest, {{bars, dial(0)}}}), 0.0);
  EXPECT_NEAR(compute_ratio_error(tank, {crest, {}}, {crest, {{bars, dial(80)}}}), error_of(160),
              1e-12);
}

/// White alone reads 200, white and blue together 230.
Json two_channels() {
  return Json::parse(R"({
    "format": "slowdawn-tank/1", "name": "Two channels", "meter": {"relative": true},
    "lights": [{"name": "white", "photoperiod": {"on": "09:00", "off": "19:00"}},
               {"name": "blue", "photoperiod": {"on": "09:00", "off": "19:00"}}],
    "spots": [{"name": "crest"}],
    "surveys": [{"dials": {"white": 100}, "ppfd": {"crest": 200}},
                {"dials": {"white": 100, "blue": 100}, "ppfd": {"crest": 230}}],
    "groups": [{"name": "staghorn thicket", "profile": "acropora", "spot": "crest"}],
    "ramp": {"from": {"white": 60}, "to": {"white": 60, "blue": 5}}
  })");
}

TEST(RatioError, OfAChannelKnownAsADifferenceIsWorkedOutByHand) {
  // Errors of 5 %: white 200 +- 10, blue 30 with C_bb = 10^2 + 11.5^2, C_wb = -10^2.
  const Tank tank = testing::read(two_channels());
  const LightPart white{0, {{0, dial(60)}}};
  EXPECT_NEAR(compute_ratio_error(tank, white, {0, {{1, dial(5)}}}),
              std::sqrt(0.05 * 0.05 + 2.0 * 100.0 / (200.0 * 30.0) + 232.25 / 900.0), 1e-9);
  // A part of either: F_w 0.6 + F_b 0.6 = 138, g = 0.6 / 138 of both, less 1 / 200 of white.
  const double g = 0.6 / 138.0;
  const double h = g - 1.0 / 200.0;
  EXPECT_NEAR(compute_ratio_error(tank, white, {0, {{0, dial(60)}, {1, dial(60)}}}),
              std::sqrt(h * h * 100.0 - 2.0 * h * g * 100.0 + g * g * 232.25), 1e-9);
}

TEST(RatioError, OfAnEstimateIsItsOwnByItsShareOfTheDose) {
  Tank tank = read(good_tank());
  tank.full_output[sand][tubes]->log_error = 0.3;
  // Bars at 80 % run 9.5 h of 80, tubes at 50 % 10 h of 37.
  const double of_bars = 9.5 * 80.0 / (9.5 * 80.0 + 370.0);
  EXPECT_NEAR(tank.reading_error(sand, {{tubes, dial(50)}, {bars, dial(80)}}),
              std::hypot(0.3 * (1.0 - of_bars), of_bars * error_of(40)), 1e-9);
  EXPECT_NEAR(compute_ratio_error(tank, {sand, {{tubes, dial(50)}}}, {sand, {{tubes, dial(90)}}}),
              0.0, 1e-12);
}

/// A tank of three lights, its truth, and readings drawn with their errors.
struct RandomTank {
  explicit RandomTank(unsigned seed) : random(seed), file(two_channels()) {
    std::uniform_real_distribution<double> any(0.0, 1.0);
    file["meter"] = {{"repeat_percent", 5}};
    file["lights"].push_back(file["lights"][1]);
    file["lights"][2]["name"] = "red";
    file["surveys"] = Json::array();
    for (int j = 0; j < 3; ++j) truth.push_back(50.0 + 250.0 * any(random));
    // Each light alone, and some mixes.
    for (int i = 0; i < 5; ++i) {
      const auto percent = [&](int light) {
        if (i < 3) return i == light ? 60.0 : 0.0;
        return std::round(100.0 * any(random));
      };
      add_survey({percent(0), percent(1), percent(2)});
    }
    before = {{0, dial(10.0 + 90.0 * any(random))}, {1, dial(40.0 * any(random))}};
    after = {{1, dial(10.0 + 90.0 * any(random))}, {2, dial(10.0 + 90.0 * any(random))}};
    file["ramp"] = {{"from", {{"white", 60}}}, {"to", {{"red", 60}}}};
  }

  void add_survey(const std::vector<double>& dials) {
    std::normal_distribution<double> normal;
    double ppfd = 0.0;
    for (std::size_t j = 0; j < 3; ++j) ppfd += 0.01 * dials[j] * truth[j];
    Json survey;
    survey["dials"] = {{"white", dials[0]}, {"blue", dials[1]}, {"red", dials[2]}};
    survey["ppfd"]["crest"] = ppfd * (1.0 + 0.05 * normal(random)) + 0.5 * normal(random);
    file["surveys"].push_back(survey);
  }

  /// All lights run the same hours, so that doses are as outputs.
  double dose(const std::map<std::size_t, Percent>& dials, const std::vector<double>& full) const {
    double sum = 0.0;
    for (const auto& [light, percent] : dials) sum += percent.fraction() * full[light];
    return sum;
  }

  std::mt19937 random;
  Json file;
  std::vector<double> truth;
  std::map<std::size_t, Percent> before;
  std::map<std::size_t, Percent> after;
};

TEST(RatioError, BoundsTheTrueRatioNineteenTimesInTwenty) {
  // The light after, over what the light before counts as with its doubt, is no more than
  // it seems in 95 % of tanks. Of 2,000 the share has a standard error of 0.5 %; 0.4 % is
  // left for what is of second order in errors of 5 %.
  constexpr int tanks = 2000;
  int covered = 0;
  double least_u = 1.0;
  double most_u = 0.0;
  for (unsigned seed = 1; seed <= tanks; ++seed) {
    const RandomTank one{seed};
    const Tank tank = read(one.file);
    std::vector<double> read_full;
    for (const auto& output : tank.full_output[0]) read_full.push_back(output->ppfd.umol_m2_s());
    const double u = compute_ratio_error(tank, {0, one.before}, {0, one.after});
    const double told = one.dose(one.after, read_full) / one.dose(one.before, read_full);
    const double truth = one.dose(one.after, one.truth) / one.dose(one.before, one.truth);
    if (truth * doubt_factor(u) <= told) ++covered;
    least_u = std::min(least_u, u);
    most_u = std::max(most_u, u);
  }
  const double share = static_cast<double>(covered) / tanks;
  RecordProperty("share", std::to_string(share));
  EXPECT_NEAR(share, 0.95, 3.0 * 0.005 + 0.004) << "seeds 1 to " << tanks;
  // The bound is no constant that happens to be right.
  EXPECT_LT(least_u, 0.05);
  EXPECT_GT(most_u, 0.06);
}

}  // namespace
}  // namespace slowdawn
