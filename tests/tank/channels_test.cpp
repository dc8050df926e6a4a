// A light whose dial stands for a mix of channels.
#include <gtest/gtest.h>

#include <cmath>
#include <random>
#include <sstream>

#include "tank/good_tank.hpp"
#include "tank/ratio_error.hpp"

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

/// The tank of the tests; its bars have these channels.
Json tank_with(const Json& channels, double step = 1.0) {
  Json file = good_tank();
  file["lights"][bars]["channels"] = channels;
  file["lights"][bars]["dial"] = {{"step", step}};
  return file;
}

const Json mix{{"royal", 100}, {"violet", 80}, {"red", 8}};

/// "royal 58, violet 46".
std::string words_of(const TankLight& light, double at) {
  std::ostringstream words;
  for (const ChannelDial& channel : light.channel_dials(dial(at))) {
    words << (words.str().empty() ? "" : ", ") << channel.name << " " << channel.dial.percent();
  }
  return words.str();
}

// By hand: 58 of 100, 46.4 and 4.64.
TEST(Channels, AreRoundedToTheNearestStep) {
  const TankLight light = read(tank_with(mix)).lights[bars];
  EXPECT_EQ(words_of(light, 58), "royal 58, violet 46, red 5");
  EXPECT_EQ(words_of(light, 5), "royal 5, violet 4, red 0");
}

TEST(Channels, AreRoundedHalvesUpAndByTheDialsOwnStep) {
  const Tank halves = read(tank_with({{"royal", 100}, {"violet", 50}, {"red", 5}}));
  EXPECT_EQ(words_of(halves.lights[bars], 25), "royal 25, violet 13, red 1");
  EXPECT_EQ(words_of(halves.lights[bars], 30), "royal 30, violet 15, red 2");
  const Tank fine = read(tank_with(mix, 0.5));
  EXPECT_EQ(words_of(fine.lights[bars], 57.5), "royal 57.5, violet 46, red 4.5");
  const Tank coarse = read(tank_with(mix, 5));
  EXPECT_EQ(words_of(coarse.lights[bars], 45), "royal 45, violet 35, red 5");
}

TEST(Channels, LeaveTheOrderOfTheFile) {
  const Tank tank = read(tank_with({{"violet", 80}, {"red", 8}, {"blue", 100}}));
  EXPECT_EQ(words_of(tank.lights[bars], 100), "violet 80, red 8, blue 100");
}

TEST(Channels, BringHalfAStepOfErrorEach) {
  const TankLight light = read(tank_with(mix)).lights[bars];
  EXPECT_NEAR(light.rounding_error(dial(50)), 0.5 * std::sqrt(2.0) / (50 + 40 + 4), 1e-15);
  EXPECT_EQ(light.rounding_error(dial(0)), 0.0);
  const TankLight whole = read(tank_with({{"royal", 100}, {"violet", 100}})).lights[bars];
  EXPECT_EQ(whole.rounding_error(dial(33)), 0.0);
}

/// What the rounding really does to light of channels that give as much a percent, at any
/// dial and shares: in the root mean square no more than it is taken for.
TEST(Channels, AreOffByNoMoreThanTheirError) {
  std::mt19937_64 dice{20261128};
  const auto draw = [&](double low, double high) {
    return std::uniform_real_distribution<double>{low, high}(dice);
  };
  TankLight light = read(tank_with(mix)).lights[bars];
  double squares = 0.0;
  constexpr int draws = 20'000;
  for (int i = 0; i < draws; ++i) {
    light.channels = {{"a", dial(100)}, {"b", dial(draw(5, 99))}, {"c", dial(draw(5, 99))}};
    const Percent mix_dial = dial(std::round(draw(10, 100)));
    double exact = 0.0;
    double set = 0.0;
    const auto dials = light.channel_dials(mix_dial);
    for (std::size_t k = 0; k < dials.size(); ++k) {
      exact += mix_dial.percent() * light.channels[k].share.fraction();
      set += dials[k].dial.percent();
    }
    const double off = (set / exact - 1.0) / light.rounding_error(mix_dial);
    squares += off * off;
  }
  const double scatter = std::sqrt(squares / draws);
  EXPECT_LT(scatter, 1.0);
  // Even over a step, it would be 1 / sqrt(3).
  EXPECT_NEAR(scatter, 1.0 / std::sqrt(3.0), 0.02);
}

TEST(Channels, AddTheirErrorToThatOfTheReadings) {
  const Tank plain = read(good_tank());
  const Tank mixed = read(tank_with(mix));
  const LightPart before{sand, {{tubes, dial(100)}}};
  const LightPart goal{sand, {{bars, dial(80)}}};
  const double rounding = mixed.lights[bars].rounding_error(dial(80));
  EXPECT_NEAR(compute_ratio_error(mixed, before, goal),
              std::hypot(compute_ratio_error(plain, before, goal), rounding), 1e-12);
  EXPECT_NEAR(compute_part_error(mixed, goal),
              std::hypot(compute_part_error(plain, goal), rounding), 1e-12);
  // At two dials of one light both are rounded, at one alike.
  const LightPart dimmer{sand, {{bars, dial(40)}}};
  EXPECT_NEAR(compute_ratio_error(mixed, dimmer, goal),
              std::hypot(mixed.lights[bars].rounding_error(dial(40)), rounding), 1e-12);
  EXPECT_NEAR(compute_ratio_error(mixed, goal, goal), 0.0, 1e-15);
  const LightPart elsewhere{crest, {{bars, dial(80)}}};
  EXPECT_NEAR(compute_ratio_error(mixed, elsewhere, goal),
              std::hypot(compute_ratio_error(plain, elsewhere, goal), rounding, rounding), 1e-12);
}

}  // namespace
}  // namespace slowdawn
