// How well full outputs are known: equations (2) and (3) of light/full_output.hpp.
#include <gtest/gtest.h>

#include <Eigen/Dense>
#include <cmath>
#include <numeric>
#include <random>
#include <slowdawn/light/full_output.hpp>
#include <string>
#include <vector>

namespace slowdawn {
namespace {

SpotReading reading(std::vector<double> outputs, double ppfd, double error) {
  return {std::move(outputs), Ppfd::umol_m2_s(ppfd), Ppfd::umol_m2_s(error)};
}

double full(const FullOutputFit& fit, std::size_t light) {
  return fit.full_output.at(light).value().umol_m2_s();
}

FullOutputFit fit(const std::vector<SpotReading>& readings, std::size_t lights) {
  return fit_full_output(readings, lights);
}

TEST(OutputCovariance, OfOneReadingIsItsErrorOverTheOutput) {
  const FullOutputFit found = fit({reading({0.4}, 160.0, 8.0)}, 1);
  EXPECT_NEAR(found.covariance.at(0, 0), 400.0, 1e-10);
}

TEST(OutputCovariance, OfLightsReadAloneHasNothingInCommon) {
  const FullOutputFit found =
      fit({reading({1.0, 0.0}, 200.0, 10.0), reading({0.0, 0.5}, 50.0, 3.0)}, 2);
  EXPECT_NEAR(found.covariance.at(0, 0), 100.0, 1e-10);
  EXPECT_NEAR(found.covariance.at(1, 1), 36.0, 1e-10);
  EXPECT_NEAR(found.covariance.at(0, 1), 0.0, 1e-10);
}

TEST(OutputCovariance, OfADifferenceOfTwoMixesHasBothErrors) {
  // Blue is known as the second reading less the first: 230 - 200 = 30, its error
  // squared 10^2 + 11.5^2, against it that of white, 10^2; together they were read.
  const FullOutputFit found =
      fit({reading({1.0, 0.0}, 200.0, 10.0), reading({1.0, 1.0}, 230.0, 11.5)}, 2);
  EXPECT_NEAR(full(found, 1), 30.0, 1e-10);
  EXPECT_NEAR(found.covariance.at(1, 1), 100.0 + 132.25, 1e-9);
  EXPECT_NEAR(found.covariance.at(0, 1), -100.0, 1e-9);
  EXPECT_NEAR(found.covariance.variance(std::vector{1.0, 1.0}), 132.25, 1e-9);
}

/// Entries of L L'.
void expect_root(const FullOutputFit& found, const std::vector<std::size_t>& lights,
                 std::size_t rank) {
  const auto root = found.covariance.root(lights);
  ASSERT_EQ(root.size(), lights.size());
  for (std::size_t j = 0; j < lights.size(); ++j) {
    EXPECT_EQ(root[j].size(), rank);
    for (std::size_t k = 0; k < lights.size(); ++k) {
      const double product =
          std::inner_product(root[j].begin(), root[j].end(), root[k].begin(), 0.0);
      EXPECT_NEAR(product, found.covariance.at(lights[j], lights[k]), 1e-9) << j << ", " << k;
    }
  }
}

TEST(OutputCovariance, HasARootOfAnyLights) {
  const FullOutputFit found =
      fit({reading({1.0, 0.0, 0.0, 0.0}, 200.0, 10.0), reading({1.0, 1.0, 0.0, 0.0}, 230.0, 11.5),
           reading({0.5, 0.2, 0.8, 0.0}, 300.0, 12.0)},
          4);
  expect_root(found, {0, 1, 2}, 3);
  expect_root(found, {2, 0}, 2);
  // The last was never lit, and has no variance.
  expect_root(found, {3, 1, 0}, 2);
  expect_root(found, {3}, 0);
  expect_root(found, {}, 0);
}

TEST(OutputCovariance, HasARootWhereLightsAreKnownTogetherAlone) {
  const FullOutputFit found =
      fit({reading({1.0, 1.0, 0.0}, 200.0, 10.0), reading({0.5, 0.5, 1.0}, 180.0, 9.0)}, 3);
  expect_root(found, {0, 1, 2}, 2);
  expect_root(found, {0, 1}, 1);
  EXPECT_TRUE(OutputCovariance{}.root(std::vector<std::size_t>{0, 2})[1].empty());
}

TEST(OutputCovariance, WeighsReadingsByTheirErrors) {
  // Of two readings of one light the weighted mean, (100 / 4 + 110 / 16) / (1/4 + 1/16).
  const FullOutputFit found = fit({reading({1.0}, 100.0, 2.0), reading({1.0}, 110.0, 4.0)}, 1);
  EXPECT_NEAR(full(found, 0), 102.0, 1e-10);
  EXPECT_NEAR(found.covariance.at(0, 0), 3.2, 1e-10);
}

TEST(OutputCovariance, OneCarefulReadingMoreNeverMakesALightWorseKnown) {
  // By weights all alike a bright careful reading made a small channel worse.
  const std::vector<SpotReading> three{reading({1.0, 0.0}, 300.0, 15.0),
                                       reading({1.0, 1.0}, 320.0, 16.0),
                                       reading({0.0, 1.0}, 21.0, 1.2)};
  std::vector<SpotReading> four = three;
  four.push_back(reading({1.0, 0.2}, 304.0, 7.6));
  EXPECT_LT(fit(four, 2).covariance.at(1, 1), fit(three, 2).covariance.at(1, 1));
  EXPECT_LT(fit(three, 2).covariance.at(1, 1), 1.2 * 1.2);
}

TEST(OutputCovariance, OfALightHeldAtZeroIsNotZero) {
  const FullOutputFit found =
      fit({reading({1.0, 0.0}, 200.0, 10.0), reading({1.0, 1.0}, 196.0, 9.8)}, 2);
  EXPECT_EQ(full(found, 1), 0.0);
  EXPECT_EQ(found.held_at_zero, std::vector<std::size_t>{1});
  EXPECT_TRUE(found.is_held_at_zero(1));
  EXPECT_FALSE(found.is_held_at_zero(0));
  EXPECT_NEAR(found.covariance.at(1, 1), 100.0 + 9.8 * 9.8, 1e-9);
}

TEST(OutputCovariance, OfADarkSpotHoldsNothingAtZero) {
  const FullOutputFit found = fit({reading({0.5}, 0.0, 0.5)}, 1);
  EXPECT_TRUE(found.held_at_zero.empty());
  EXPECT_NEAR(found.covariance.at(0, 0), 1.0, 1e-12);
}

TEST(OutputCovariance, IsZeroForALightThatWasNeverLit) {
  const FullOutputFit found = fit({reading({0.0, 0.5, 0.0}, 60.0, 3.0)}, 3);
  for (std::size_t j = 0; j < 3; ++j) EXPECT_EQ(found.covariance.at(0, j), 0.0);
  EXPECT_NEAR(found.covariance.at(1, 1), 36.0, 1e-10);
  EXPECT_FALSE(found.covariance.tells(std::vector{1.0, 0.0, 0.0}));
  EXPECT_TRUE(found.covariance.tells(std::vector{0.0, 1.0, 0.0}));
}

TEST(OutputCovariance, TellsSumsOfTheMixesThatWereReadAndNothingElse) {
  // Four channels in two mixes.
  const std::vector<double> one{0.8, 0.4, 0.2, 0.1};
  const std::vector<double> other{0.2, 0.8, 0.6, 0.1};
  const FullOutputFit found = fit({reading(one, 240.0, 12.0), reading(other, 180.0, 9.0)}, 4);
  EXPECT_EQ(found.inseparable, (std::vector<std::size_t>{0, 1, 2, 3}));
  std::vector<double> between(4);
  for (std::size_t j = 0; j < 4; ++j) between[j] = 0.5 * (one[j] + other[j]);
  EXPECT_TRUE(found.covariance.tells(between));
  EXPECT_NEAR(found.covariance.variance(between), 0.25 * (144.0 + 81.0), 1e-9);
  double sum = 0.0;
  for (std::size_t j = 0; j < 4; ++j) sum += between[j] * full(found, j);
  EXPECT_NEAR(sum, 210.0, 1e-9);
  between[2] += 1e-6;
  EXPECT_FALSE(found.covariance.tells(between));
  EXPECT_FALSE(found.covariance.tells(std::vector{1.0, 0.0, 0.0, 0.0}));
}

TEST(OutputCovariance, TellsNothingWithoutReadings) {
  const FullOutputFit found = fit({}, 2);
  EXPECT_FALSE(found.covariance.tells(std::vector{1.0, 0.0}));
  EXPECT_TRUE(found.covariance.tells(std::vector{0.0, 0.0}));
  EXPECT_EQ(found.covariance.variance(std::vector{1.0, 1.0}), 0.0);
}

TEST(OutputCovariance, StandsBesideOneSolutionOfMixesThatContradictEachOther) {
  // Karush, Kuhn and Tucker: what is over 0 has no slope left, what is at 0 none upwards.
  for (unsigned seed = 1; seed <= 300; ++seed) {
    SCOPED_TRACE("seed " + std::to_string(seed));
    std::mt19937 random(seed);
    std::uniform_real_distribution<double> any(0.05, 1.0);
    std::vector<SpotReading> readings;
    for (int i = 0; i < 3; ++i) {
      std::vector<double> mix;
      for (int j = 0; j < 5; ++j) mix.push_back(any(random) < 0.4 ? 0.0 : any(random));
      readings.push_back(reading(mix, 300.0 * any(random), 1.0 + 10.0 * any(random)));
    }
    const FullOutputFit found = fit(readings, 5);
    for (std::size_t j = 0; j < 5; ++j) {
      if (!found.full_output[j]) continue;
      double slope = 0.0;
      double size = 0.0;
      for (const SpotReading& one : readings) {
        double rest = one.ppfd.umol_m2_s();
        for (std::size_t k = 0; k < 5; ++k) {
          if (one.outputs[k] > 0.0) rest -= one.outputs[k] * full(found, k);
        }
        const double weight = one.outputs[j] / (one.error.umol_m2_s() * one.error.umol_m2_s());
        slope += weight * rest;
        size += weight * one.ppfd.umol_m2_s();
      }
      EXPECT_LE(slope, 1e-9 * size);
      if (full(found, j) == 0.0) continue;
      EXPECT_GE(slope, -1e-9 * size);
    }
  }
}

TEST(OutputCovariance, TakesReadingsWithoutAnError) {
  const FullOutputFit found = fit({reading({1.0, 0.0}, 0.0, 0.0), reading({0.0, 1.0}, 80.0, 4.0),
                                   reading({1.0, 1.0}, 90.0, 4.0)},
                                  2);
  EXPECT_NEAR(full(found, 0), 0.0, 1e-6);
  EXPECT_NEAR(full(found, 1), 85.0, 1e-6);
}

/// Random outputs of a few lights, their truth, and errors of every size.
struct Draw {
  explicit Draw(unsigned seed, std::size_t lights, std::size_t rows) : random(seed) {
    std::uniform_real_distribution<double> any(0.05, 1.0);
    for (std::size_t j = 0; j < lights; ++j) truth.push_back(300.0 + 200.0 * any(random));
    for (std::size_t i = 0; i < rows; ++i) {
      std::vector<double> mix;
      for (std::size_t j = 0; j < lights; ++j) mix.push_back(any(random) < 0.3 ? 0.0 : any(random));
      if (i < lights) mix[i] = 1.0;
      outputs.push_back(mix);
      errors.push_back(1.0 + 4.0 * any(random));
    }
  }

  std::vector<SpotReading> read() {
    std::normal_distribution<double> normal;
    std::vector<SpotReading> readings;
    for (std::size_t i = 0; i < outputs.size(); ++i) {
      const double exact = std::inner_product(truth.begin(), truth.end(), outputs[i].begin(), 0.0);
      readings.push_back(reading(outputs[i], exact + errors[i] * normal(random), errors[i]));
    }
    return readings;
  }

  std::mt19937 random;
  std::vector<double> truth;
  std::vector<std::vector<double>> outputs;
  std::vector<double> errors;
};

TEST(OutputCovariance, IsThatOfReadingsDrawnWithTheirErrors) {
  // Gauss and Markov: the outputs of many draws scatter by C. All are far from 0, so that
  // nothing is held there. A sample covariance of n draws has the standard error
  // sqrt((C_jj C_kk + C_jk^2) / n); 4.5 of them are missed once in 150,000.
  for (unsigned seed = 1; seed <= 6; ++seed) {
    SCOPED_TRACE("seed " + std::to_string(seed));
    const std::size_t lights = 1 + seed % 4;
    Draw draw{seed, lights, lights + 2};
    constexpr int draws = 4000;
    Eigen::MatrixXd outputs(draws, lights);
    FullOutputFit found;
    for (int i = 0; i < draws; ++i) {
      found = fit(draw.read(), lights);
      for (std::size_t j = 0; j < lights; ++j) {
        outputs(i, static_cast<Eigen::Index>(j)) = full(found, j);
      }
    }
    const Eigen::MatrixXd centred = outputs.rowwise() - outputs.colwise().mean();
    const Eigen::MatrixXd sample = centred.transpose() * centred / (draws - 1);
    for (std::size_t j = 0; j < lights; ++j) {
      const auto row = static_cast<Eigen::Index>(j);
      EXPECT_NEAR(outputs.col(row).mean(), draw.truth[j],
                  4.5 * std::sqrt(found.covariance.at(j, j) / draws));
      for (std::size_t k = 0; k < lights; ++k) {
        const double expected = found.covariance.at(j, k);
        const double error = std::sqrt(
            (found.covariance.at(j, j) * found.covariance.at(k, k) + expected * expected) / draws);
        EXPECT_NEAR(sample(row, static_cast<Eigen::Index>(k)), expected, 4.5 * error);
      }
    }
  }
}

TEST(OutputCovariance, AgreesWithTheNormalEquations) {
  // The other way round: (A'WA)^-1 by a complete orthogonal decomposition, also of readings
  // that do not tell all lights apart.
  for (unsigned seed = 1; seed <= 200; ++seed) {
    SCOPED_TRACE("seed " + std::to_string(seed));
    const std::size_t lights = 2 + seed % 4;
    Draw draw{seed, lights, lights};
    // Every third time one mix is twice another, so that a direction is missing.
    if (seed % 3 == 0) {
      for (std::size_t j = 0; j < lights; ++j) draw.outputs[1][j] = 0.5 * draw.outputs[0][j];
    }
    const FullOutputFit found = fit(draw.read(), lights);
    Eigen::MatrixXd a(draw.outputs.size(), lights);
    Eigen::VectorXd weights(draw.outputs.size());
    for (std::size_t i = 0; i < draw.outputs.size(); ++i) {
      const auto row = static_cast<Eigen::Index>(i);
      weights[row] = 1.0 / (draw.errors[i] * draw.errors[i]);
      for (std::size_t j = 0; j < lights; ++j) {
        a(row, static_cast<Eigen::Index>(j)) = draw.outputs[i][j];
      }
    }
    const Eigen::MatrixXd normal = a.transpose() * weights.asDiagonal() * a;
    Eigen::CompleteOrthogonalDecomposition<Eigen::MatrixXd> decomposition;
    decomposition.setThreshold(1e-11);
    decomposition.compute(normal);
    const Eigen::MatrixXd inverse = decomposition.pseudoInverse();
    for (std::size_t j = 0; j < lights; ++j) {
      for (std::size_t k = 0; k < lights; ++k) {
        EXPECT_NEAR(found.covariance.at(j, k),
                    inverse(static_cast<Eigen::Index>(j), static_cast<Eigen::Index>(k)),
                    1e-6 * inverse.cwiseAbs().maxCoeff());
      }
    }
  }
}

}  // namespace
}  // namespace slowdawn
