#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <numeric>
#include <slowdawn/light/full_output.hpp>

#include "light/non_negative_least_squares.hpp"

namespace slowdawn {

OutputCovariance::OutputCovariance(std::size_t lights, std::vector<double> covariance,
                                   std::vector<std::vector<double>> row_space)
    : lights_(lights), covariance_(std::move(covariance)), row_space_(std::move(row_space)) {}

double OutputCovariance::at(std::size_t j, std::size_t k) const {
  return j < lights_ && k < lights_ ? covariance_[j * lights_ + k] : 0.0;
}

double OutputCovariance::variance(std::span<const double> g) const {
  const std::size_t count = std::min(g.size(), lights_);
  double sum = 0.0;
  for (std::size_t j = 0; j < count; ++j) {
    for (std::size_t k = 0; k < count; ++k) sum += g[j] * g[k] * covariance_[j * lights_ + k];
  }
  // Rounding may leave a difference of equals a little below 0.
  return std::max(0.0, sum);
}

std::vector<double> OutputCovariance::untold_part(std::span<const double> g) const {
  std::vector<double> rest(g.begin(), g.end());
  rest.resize(std::max(g.size(), lights_));
  for (const std::vector<double>& direction : row_space_) {
    const double part = std::inner_product(direction.begin(), direction.end(), rest.begin(), 0.0);
    for (std::size_t j = 0; j < lights_; ++j) rest[j] -= part * direction[j];
  }
  return rest;
}

bool OutputCovariance::tells(std::span<const double> g) const {
  const auto squares = [](std::span<const double> v) {
    return std::inner_product(v.begin(), v.end(), v.begin(), 0.0);
  };
  constexpr double tolerance = 1e-9;
  return squares(untold_part(g)) <= tolerance * tolerance * squares(g);
}

std::vector<std::vector<double>> OutputCovariance::root(std::span<const std::size_t> lights) const {
  // Cholesky's root with the largest variance first that is left: it ends where no more is
  // left, and so needs no full rank.
  std::vector<double> left;
  for (const std::size_t light : lights) left.push_back(at(light, light));
  std::vector<std::vector<double>> rows(lights.size());
  if (left.empty()) return rows;
  const double least = 1e-12 * *std::max_element(left.begin(), left.end());
  for (std::size_t made = 0; made < lights.size(); ++made) {
    const auto largest = std::max_element(left.begin(), left.end());
    if (*largest <= least) break;
    const auto pivot = static_cast<std::size_t>(largest - left.begin());
    const double scale = std::sqrt(*largest);
    const std::vector<double> of_pivot = rows[pivot];
    for (std::size_t j = 0; j < lights.size(); ++j) {
      const double shared =
          std::inner_product(rows[j].begin(), rows[j].end(), of_pivot.begin(), 0.0);
      const double rest = j == pivot ? *largest : at(lights[j], lights[pivot]) - shared;
      // What has been a pivot has nothing left.
      const double entry = left[j] > 0.0 ? rest / scale : 0.0;
      rows[j].push_back(entry);
      left[j] = std::max(0.0, left[j] - entry * entry);
    }
    left[pivot] = 0.0;
  }
  return rows;
}

bool FullOutputFit::is_inseparable(std::size_t light) const {
  return std::binary_search(inseparable.begin(), inseparable.end(), light);
}

bool FullOutputFit::is_held_at_zero(std::size_t light) const {
  return std::binary_search(held_at_zero.begin(), held_at_zero.end(), light);
}

namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;

/// Equation (1) over the lights that were lit.
struct LinearModel {
  MatrixXd outputs;
  VectorXd ppfd;
  /// 1 / s_i.
  VectorXd roots_of_weights;
};

std::vector<std::size_t> list_lit(std::span<const SpotReading> readings, std::size_t lights) {
  std::vector<std::size_t> lit;
  for (std::size_t j = 0; j < lights; ++j) {
    const bool is_lit =
        std::any_of(readings.begin(), readings.end(),
                    [j](const SpotReading& reading) { return reading.outputs[j] > 0.0; });
    if (is_lit) lit.push_back(j);
  }
  return lit;
}

LinearModel make_model(std::span<const SpotReading> readings, const std::vector<std::size_t>& lit) {
  const auto rows = static_cast<Index>(readings.size());
  const auto columns = static_cast<Index>(lit.size());
  LinearModel model{MatrixXd{rows, columns}, VectorXd{rows}, VectorXd{rows}};
  for (Index i = 0; i < rows; ++i) {
    const SpotReading& reading = readings[static_cast<std::size_t>(i)];
    model.ppfd[i] = reading.ppfd.umol_m2_s();
    for (Index k = 0; k < columns; ++k) {
      model.outputs(i, k) = reading.outputs[lit[static_cast<std::size_t>(k)]];
    }
  }
  VectorXd errors{rows};
  for (Index i = 0; i < rows; ++i) {
    errors[i] = readings[static_cast<std::size_t>(i)].error.umol_m2_s();
  }
  const double scale = std::max(model.ppfd.maxCoeff(), errors.maxCoeff());
  const double least_error = scale > 0.0 ? 1e-6 * scale : 1.0;
  model.roots_of_weights = errors.cwiseMax(least_error).cwiseInverse();
  return model;
}

/// An orthonormal base of the row space of A, as columns.
MatrixXd row_space_of(const MatrixXd& outputs) {
  Eigen::JacobiSVD<MatrixXd> decomposition{outputs, Eigen::ComputeFullU | Eigen::ComputeFullV};
  decomposition.setThreshold(1e-9);
  return decomposition.matrixV().leftCols(decomposition.rank());
}

/// Equation (2). In the row space A has full rank, so there the inverse is one.
MatrixXd covariance_of(const LinearModel& model, const MatrixXd& row_space) {
  const MatrixXd weighted = model.roots_of_weights.asDiagonal() * (model.outputs * row_space);
  const Index rank = row_space.cols();
  const Eigen::HouseholderQR<MatrixXd> decomposition{weighted};
  const MatrixXd upper = decomposition.matrixQR().topRows(rank).triangularView<Eigen::Upper>();
  // A'WA = R'R, so its inverse is R^-1 R^-T.
  const MatrixXd root =
      row_space * upper.triangularView<Eigen::Upper>().solve(MatrixXd::Identity(rank, rank));
  return root * root.transpose();
}

OutputCovariance spread_over(std::size_t lights, const std::vector<std::size_t>& lit,
                             const MatrixXd& covariance, const MatrixXd& row_space) {
  std::vector<double> all(lights * lights);
  std::vector<std::vector<double>> directions(static_cast<std::size_t>(row_space.cols()),
                                              std::vector<double>(lights));
  for (std::size_t j = 0; j < lit.size(); ++j) {
    const auto row = static_cast<Index>(j);
    for (std::size_t k = 0; k < lit.size(); ++k) {
      all[lit[j] * lights + lit[k]] = covariance(row, static_cast<Index>(k));
    }
    for (std::size_t d = 0; d < directions.size(); ++d) {
      directions[d][lit[j]] = row_space(row, static_cast<Index>(d));
    }
  }
  return {lights, std::move(all), std::move(directions)};
}

double separation_of(const MatrixXd& outputs) {
  if (outputs.cols() < 2) return 1.0;
  const MatrixXd scaled = outputs.colwise().normalized();
  const auto eigenvalues =
      Eigen::SelfAdjointEigenSolver<MatrixXd>{scaled.transpose() * scaled}.eigenvalues();
  return std::sqrt(std::max(0.0, eigenvalues.minCoeff()));
}

}  // namespace

FullOutputFit fit_full_output(std::span<const SpotReading> readings, std::size_t lights) {
  FullOutputFit fit;
  fit.full_output.resize(lights);
  const std::vector<std::size_t> lit = list_lit(readings, lights);
  if (lit.empty()) {
    fit.covariance = {lights, std::vector<double>(lights * lights), {}};
    return fit;
  }

  const LinearModel model = make_model(readings, lit);
  const MatrixXd row_space = row_space_of(model.outputs);
  fit.covariance = spread_over(lights, lit, covariance_of(model, row_space), row_space);
  fit.separation = separation_of(model.outputs);

  // Only how the weights compare counts here, and readings of equal errors are then
  // fitted as they are, to the last digit.
  const VectorXd shares = model.roots_of_weights / model.roots_of_weights.maxCoeff();
  const MatrixXd weighted = shares.asDiagonal() * model.outputs;
  const VectorXd target = shares.asDiagonal() * model.ppfd;
  const VectorXd solution = solve_non_negative_least_squares(weighted, target);
  const VectorXd pull = weighted.transpose() * (target - weighted * solution);
  for (std::size_t k = 0; k < lit.size(); ++k) {
    const auto column = static_cast<Index>(k);
    fit.full_output[lit[k]] = Ppfd::umol_m2_s(solution[column]);
    std::vector<double> alone(lights);
    alone[lit[k]] = 1.0;
    if (!fit.covariance.tells(alone)) {
      fit.inseparable.push_back(lit[k]);
    } else if (solution[column] == 0.0 &&
               pull[column] < -1e-9 * weighted.col(column).norm() * target.norm()) {
      fit.held_at_zero.push_back(lit[k]);
    }
  }
  return fit;
}

}  // namespace slowdawn
