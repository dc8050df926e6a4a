#include "light/non_negative_least_squares.hpp"

#include <vector>

namespace slowdawn {
namespace {

/// Ordinary least squares over the columns that are free; the others stay 0.
Eigen::VectorXd solve_free(const Eigen::MatrixXd& a, const Eigen::VectorXd& b,
                           const std::vector<bool>& free) {
  std::vector<Eigen::Index> columns;
  for (std::size_t j = 0; j < free.size(); ++j) {
    if (free[j]) columns.push_back(static_cast<Eigen::Index>(j));
  }
  const Eigen::VectorXd part = a(Eigen::all, columns).colPivHouseholderQr().solve(b);
  Eigen::VectorXd whole = Eigen::VectorXd::Zero(a.cols());
  whole(columns) = part;
  return whole;
}

}  // namespace

Eigen::VectorXd solve_non_negative_least_squares(const Eigen::MatrixXd& a,
                                                 const Eigen::VectorXd& b) {
  const auto n = static_cast<std::size_t>(a.cols());
  std::vector<bool> free(n, false);
  Eigen::VectorXd x = Eigen::VectorXd::Zero(a.cols());
  // The gradient below this is nothing but rounding.
  const double tolerance = 1e-12 * a.norm() * b.norm();

  // Every round frees one column and ends with a lower residual, so no set of
  // free columns comes twice; the bound is a guard against rounding alone.
  for (std::size_t round = 0; round < 3 * n + 3; ++round) {
    const Eigen::VectorXd gradient = a.transpose() * (b - a * x);
    std::size_t best = n;
    for (std::size_t j = 0; j < n; ++j) {
      const double g = gradient[static_cast<Eigen::Index>(j)];
      const bool is_best = best == n || g > gradient[static_cast<Eigen::Index>(best)];
      if (!free[j] && g > tolerance && is_best) best = j;
    }
    if (best == n) return x;
    free[best] = true;

    for (Eigen::VectorXd candidate = solve_free(a, b, free);; candidate = solve_free(a, b, free)) {
      // How far from x toward the candidate everything stays non-negative.
      double share = 1.0;
      for (std::size_t j = 0; j < n; ++j) {
        const auto i = static_cast<Eigen::Index>(j);
        if (free[j] && candidate[i] <= 0.0) {
          share = std::min(share, x[i] / (x[i] - candidate[i]));
        }
      }
      x += share * (candidate - x);
      if (share == 1.0) break;
      for (std::size_t j = 0; j < n; ++j) {
        auto& value = x[static_cast<Eigen::Index>(j)];
        if (free[j] && value <= 1e-14 * x.cwiseAbs().maxCoeff()) {
          free[j] = false;
          value = 0.0;
        }
      }
    }
  }
  return x;
}

}  // namespace slowdawn
