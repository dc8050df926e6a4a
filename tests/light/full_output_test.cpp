#include <gtest/gtest.h>

#include <numeric>
#include <random>
#include <slowdawn/light/full_output.hpp>
#include <string>

namespace slowdawn {
namespace {

SpotReading reading(std::vector<double> outputs, double ppfd) {
  return {std::move(outputs), Ppfd::umol_m2_s(ppfd)};
}

double full(const FullOutputFit& fit, std::size_t light) {
  return fit.full_output.at(light).value().umol_m2_s();
}

FullOutputFit fit(const std::vector<SpotReading>& readings, std::size_t lights) {
  return fit_full_output(readings, lights);
}

TEST(FullOutput, OfOneReadingIsTheReadingOverTheOutput) {
  const FullOutputFit found = fit({reading({0.4}, 171.0)}, 1);
  EXPECT_NEAR(full(found, 0), 427.5, 1e-12);
  EXPECT_TRUE(found.inseparable.empty());
}

TEST(FullOutput, OfSeveralReadingsIsTheLeastSquaresLineThroughTheOrigin) {
  // sum(phi E) / sum(phi^2) = (0.25 * 52 + 0.5 * 98 + 1 * 205) / 1.3125.
  const FullOutputFit found =
      fit({reading({0.25}, 52.0), reading({0.5}, 98.0), reading({1.0}, 205.0)}, 1);
  EXPECT_NEAR(full(found, 0), 267.0 / 1.3125, 1e-11);
}

TEST(FullOutput, OfEqualSettingsIsTheirMean) {
  const FullOutputFit found = fit({reading({0.5}, 98.0), reading({0.5}, 102.0)}, 1);
  EXPECT_NEAR(full(found, 0), 200.0, 1e-11);
}

TEST(FullOutput, KeepsLightsReadApartApart) {
  const FullOutputFit found =
      fit({reading({1.0, 0.0}, 212.0), reading({0.0, 0.4}, 171.0), reading({0.5, 0.0}, 104.0)}, 2);
  EXPECT_NEAR(full(found, 0), (212.0 + 0.5 * 104.0) / 1.25, 1e-11);
  EXPECT_NEAR(full(found, 1), 427.5, 1e-11);
}

TEST(FullOutput, TellsLightsLitTogetherApart) {
  // F = (150, 300) reads 150 and 0.5 * 150 + 0.5 * 300 = 225.
  const FullOutputFit found = fit({reading({1.0, 0.0}, 150.0), reading({0.5, 0.5}, 225.0)}, 2);
  EXPECT_NEAR(full(found, 0), 150.0, 1e-11);
  EXPECT_NEAR(full(found, 1), 300.0, 1e-11);
}

TEST(FullOutput, IsNeverNegative) {
  // Together they read less than the first light alone: the second gives
  // nothing, and the first is the line through both, (100 + 90) / 2.
  const FullOutputFit found = fit({reading({1.0, 0.0}, 100.0), reading({1.0, 1.0}, 90.0)}, 2);
  EXPECT_NEAR(full(found, 0), 95.0, 1e-11);
  EXPECT_EQ(full(found, 1), 0.0);
}

TEST(FullOutput, OfADarkSpotIsZeroAndNotUnknown) {
  const FullOutputFit found = fit({reading({0.5}, 0.0)}, 1);
  EXPECT_EQ(full(found, 0), 0.0);
  EXPECT_TRUE(found.inseparable.empty());
}

TEST(FullOutput, IsEmptyWithoutReadings) {
  const FullOutputFit found = fit({}, 2);
  ASSERT_EQ(found.full_output.size(), 2u);
  EXPECT_FALSE(found.full_output[0].has_value());
  EXPECT_FALSE(found.full_output[1].has_value());
  EXPECT_TRUE(found.inseparable.empty());
}

TEST(FullOutput, IsEmptyForALightThatWasNeverLit) {
  const FullOutputFit found = fit({reading({0.0, 0.5, 0.0}, 60.0)}, 3);
  EXPECT_FALSE(found.full_output[0].has_value());
  EXPECT_NEAR(full(found, 1), 120.0, 1e-12);
  EXPECT_FALSE(found.full_output[2].has_value());
  EXPECT_TRUE(found.inseparable.empty());
}

TEST(FullOutput, NamesTwoLightsLitOnlyTogether) {
  const FullOutputFit found = fit({reading({0.6, 0.3}, 150.0)}, 2);
  EXPECT_EQ(found.inseparable, (std::vector<std::size_t>{0, 1}));
  // What each gives is anybody's guess; what they give together was read.
  EXPECT_NEAR(0.6 * full(found, 0) + 0.3 * full(found, 1), 150.0, 1e-10);
}

TEST(FullOutput, NamesLightsLitInTheSameProportionsEveryTime) {
  const FullOutputFit found =
      fit({reading({0.6, 0.3}, 150.0), reading({0.2, 0.1}, 49.0), reading({1.0, 0.5}, 260.0)}, 2);
  EXPECT_EQ(found.inseparable, (std::vector<std::size_t>{0, 1}));
}

TEST(FullOutput, NamesOnlyTheLightsThatAreMixed) {
  const FullOutputFit found =
      fit({reading({0.6, 0.0, 0.3, 0.0}, 150.0), reading({0.3, 0.0, 0.15, 0.0}, 80.0),
           reading({0.0, 0.5, 0.0, 0.0}, 60.0)},
          4);
  EXPECT_EQ(found.inseparable, (std::vector<std::size_t>{0, 2}));
  EXPECT_TRUE(found.is_inseparable(0));
  EXPECT_FALSE(found.is_inseparable(1));
  EXPECT_NEAR(full(found, 1), 120.0, 1e-11);
  // (0.6 * 150 + 0.3 * 80) / (0.6^2 + 0.3^2) of the light that is 1 and half of 2.
  EXPECT_NEAR(full(found, 0) + 0.5 * full(found, 2), 114.0 / 0.45, 1e-10);
  EXPECT_FALSE(found.full_output[3].has_value());
}

TEST(FullOutput, NamesEveryLightOfAnExactlySingularMix) {
  // The third row is the sum of the others: the readings see nothing along
  // (1, -1, 1, 0). The last light was read alone.
  const FullOutputFit found =
      fit({reading({1.0, 1.0, 0.0, 0.0}, 200.0), reading({0.0, 1.0, 1.0, 0.0}, 300.0),
           reading({1.0, 2.0, 1.0, 0.0}, 510.0), reading({0.0, 0.0, 0.0, 0.5}, 70.0)},
          4);
  EXPECT_EQ(found.inseparable, (std::vector<std::size_t>{0, 1, 2}));
  EXPECT_NEAR(full(found, 3), 140.0, 1e-10);
}

TEST(FullOutput, SeparatesThreeLightsByThreeMixes) {
  const std::vector<double> truth{120.0, 45.0, 310.0};
  const std::vector<std::vector<double>> mixes{{1.0, 1.0, 0.0}, {0.0, 1.0, 1.0}, {1.0, 0.0, 1.0}};
  std::vector<SpotReading> readings;
  for (const auto& mix : mixes) {
    readings.push_back(
        reading(mix, std::inner_product(mix.begin(), mix.end(), truth.begin(), 0.0)));
  }
  const FullOutputFit found = fit(readings, 3);
  EXPECT_TRUE(found.inseparable.empty());
  for (std::size_t j = 0; j < 3; ++j) EXPECT_NEAR(full(found, j), truth[j], 1e-10);
}

TEST(FullOutput, LightsThatAreMixedDoNotDisturbTheOthers) {
  for (unsigned seed = 1; seed <= 300; ++seed) {
    SCOPED_TRACE("seed " + std::to_string(seed));
    std::mt19937 random(seed);
    std::uniform_real_distribution<double> any(0.05, 1.0);
    std::uniform_real_distribution<double> error(-20.0, 20.0);
    const double proportion = 0.1 + 0.8 * any(random);
    std::vector<SpotReading> readings;
    std::vector<SpotReading> as_one_light;
    for (int i = 0; i < 5; ++i) {
      const double mixed = any(random);
      const double apart = any(random);
      const double ppfd = 150.0 * mixed + 200.0 * apart + error(random);
      readings.push_back(reading({mixed, apart, proportion * mixed}, ppfd));
      as_one_light.push_back(reading({mixed, apart}, ppfd));
    }
    const FullOutputFit found = fit(readings, 3);
    EXPECT_EQ(found.inseparable, (std::vector<std::size_t>{0, 2}));
    ASSERT_TRUE(found.full_output[1].has_value());
    EXPECT_NEAR(full(found, 1), full(fit(as_one_light, 2), 1), 1e-8);
  }
}

TEST(FullOutput, RecoversTheTruthFromReadingsWithoutError) {
  for (unsigned seed = 1; seed <= 300; ++seed) {
    SCOPED_TRACE("seed " + std::to_string(seed));
    std::mt19937 random(seed);
    std::uniform_real_distribution<double> any(0.05, 1.0);
    const std::size_t lights = 1 + seed % 5;
    std::vector<double> truth;
    for (std::size_t j = 0; j < lights; ++j) truth.push_back(500.0 * any(random));
    std::vector<SpotReading> readings;
    for (std::size_t i = 0; i < lights + 2; ++i) {
      std::vector<double> mix;
      for (std::size_t j = 0; j < lights; ++j) mix.push_back(any(random));
      const double ppfd = std::inner_product(mix.begin(), mix.end(), truth.begin(), 0.0);
      readings.push_back(reading(std::move(mix), ppfd));
    }
    const FullOutputFit found = fit(readings, lights);
    ASSERT_TRUE(found.inseparable.empty());
    for (std::size_t j = 0; j < lights; ++j) EXPECT_NEAR(full(found, j), truth[j], 1e-7);
  }
}

}  // namespace
}  // namespace slowdawn
