#include "light/non_negative_least_squares.hpp"

#include <gtest/gtest.h>

#include <random>
#include <string>

namespace slowdawn {
namespace {

Eigen::MatrixXd random_matrix(std::mt19937& random, Eigen::Index rows, Eigen::Index columns) {
  std::uniform_real_distribution<double> value(0.0, 1.0);
  Eigen::MatrixXd made(rows, columns);
  for (Eigen::Index i = 0; i < rows; ++i) {
    for (Eigen::Index j = 0; j < columns; ++j) made(i, j) = value(random);
  }
  return made;
}

/// Right-hand sides that no x >= 0 meets: some parts pull below zero.
Eigen::VectorXd random_target(std::mt19937& random, const Eigen::MatrixXd& a) {
  std::normal_distribution<double> part(50.0, 120.0);
  std::normal_distribution<double> error(0.0, 10.0);
  Eigen::VectorXd x(a.cols());
  for (Eigen::Index j = 0; j < a.cols(); ++j) x[j] = part(random);
  Eigen::VectorXd b = a * x;
  for (Eigen::Index i = 0; i < b.size(); ++i) b[i] += error(random);
  return b;
}

/// The best of the ordinary least squares over every set of free columns that
/// comes out non-negative.
Eigen::VectorXd try_every_set(const Eigen::MatrixXd& a, const Eigen::VectorXd& b) {
  Eigen::VectorXd best = Eigen::VectorXd::Zero(a.cols());
  double least = b.norm();
  for (unsigned set = 1; set < 1u << a.cols(); ++set) {
    std::vector<Eigen::Index> columns;
    for (Eigen::Index j = 0; j < a.cols(); ++j) {
      if (set >> j & 1u) columns.push_back(j);
    }
    const Eigen::MatrixXd part = a(Eigen::all, columns);
    const Eigen::VectorXd x = part.fullPivHouseholderQr().solve(b);
    const double residual = (part * x - b).norm();
    if (x.minCoeff() < 0.0 || residual >= least) continue;
    least = residual;
    best.setZero();
    best(columns) = x;
  }
  return best;
}

TEST(NonNegativeLeastSquares, SolvesAnExactSystem) {
  const Eigen::MatrixXd a{{1.0, 0.5}, {0.2, 1.0}};
  const Eigen::VectorXd x{{120.0, 80.0}};
  EXPECT_LT((solve_non_negative_least_squares(a, a * x) - x).norm(), 1e-10);
}

TEST(NonNegativeLeastSquares, PinsANegativePartToZero) {
  // Unbound: x = (10, -2). Bound: the second is 0 and the first is
  // (1 * 10 + 1 * 8) / 2 = 9.
  const Eigen::MatrixXd a{{1.0, 0.0}, {1.0, 1.0}};
  const Eigen::VectorXd b{{10.0, 8.0}};
  const Eigen::VectorXd x = solve_non_negative_least_squares(a, b);
  EXPECT_NEAR(x[0], 9.0, 1e-13);
  EXPECT_EQ(x[1], 0.0);
}

TEST(NonNegativeLeastSquares, IsZeroWhereEveryPartPullsBelow) {
  const Eigen::MatrixXd a{{1.0, 0.5}, {0.5, 1.0}};
  const Eigen::VectorXd b{{-1.0, -3.0}};
  EXPECT_EQ(solve_non_negative_least_squares(a, b), Eigen::VectorXd::Zero(2));
}

TEST(NonNegativeLeastSquares, IsZeroForZero) {
  const Eigen::MatrixXd a{{1.0, 0.5}, {0.5, 1.0}};
  EXPECT_EQ(solve_non_negative_least_squares(a, Eigen::VectorXd::Zero(2)),
            Eigen::VectorXd::Zero(2));
}

TEST(NonNegativeLeastSquares, MeetsTheConditionsOfTheLeast) {
  for (unsigned seed = 1; seed <= 1000; ++seed) {
    SCOPED_TRACE("seed " + std::to_string(seed));
    std::mt19937 random(seed);
    const Eigen::Index columns = 1 + seed % 8;
    const Eigen::MatrixXd a = random_matrix(random, columns + seed % 5, columns);
    const Eigen::VectorXd b = random_target(random, a);
    const Eigen::VectorXd x = solve_non_negative_least_squares(a, b);
    // Karush, Kuhn and Tucker: no part below zero, no pinned part pulls up, no
    // free part pulls at all.
    const Eigen::VectorXd pull = a.transpose() * (b - a * x);
    const double rounding = 1e-9 * a.norm() * b.norm();
    for (Eigen::Index j = 0; j < columns; ++j) {
      EXPECT_GE(x[j], 0.0);
      EXPECT_LE(pull[j], rounding);
      if (x[j] > 0.0) {
        EXPECT_NEAR(pull[j], 0.0, rounding);
      }
    }
  }
}

TEST(NonNegativeLeastSquares, AgreesWithEverySetOfUpToThreeLights) {
  for (unsigned seed = 1; seed <= 1000; ++seed) {
    SCOPED_TRACE("seed " + std::to_string(seed));
    std::mt19937 random(seed);
    const Eigen::Index columns = 1 + seed % 3;
    // Two rows more than columns keep the columns well apart.
    const Eigen::MatrixXd a = random_matrix(random, columns + 2 + seed % 4, columns);
    const Eigen::VectorXd b = random_target(random, a);
    const Eigen::VectorXd x = solve_non_negative_least_squares(a, b);
    const Eigen::VectorXd best = try_every_set(a, b);
    EXPECT_NEAR((a * x - b).norm(), (a * best - b).norm(), 1e-9 * b.norm());
    EXPECT_LT((x - best).norm(), 1e-7 * (1.0 + best.norm()));
  }
}

TEST(NonNegativeLeastSquares, ScalesWithTheReadings) {
  for (const double scale : {1e-6, 1.0, 1e6}) {
    SCOPED_TRACE(scale);
    const Eigen::MatrixXd a{{1.0, 0.0}, {1.0, 1.0}};
    const Eigen::VectorXd b = scale * Eigen::VectorXd{{10.0, 8.0}};
    EXPECT_NEAR(solve_non_negative_least_squares(a, b)[0] / scale, 9.0, 1e-12);
  }
}

}  // namespace
}  // namespace slowdawn
