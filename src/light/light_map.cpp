#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <optional>
#include <slowdawn/light/light_map.hpp>
#include <stdexcept>
#include <string>
#include <tuple>
#include <utility>

#include "light/place_tree.hpp"

namespace slowdawn {

using Eigen::Index;
using Eigen::Matrix3d;
using Eigen::MatrixXd;
using Eigen::Vector3d;
using Eigen::VectorXd;

/// K = L L' and what follows from it.
struct KrigingSolution {
  MatrixXd factor;              // L
  VectorXd whitened_ones;       // L^-1 1
  VectorXd whitened_residuals;  // L^-1 (z - m)
  double mean = 0.0;
  double log_likelihood = 0.0;

  auto lower() const { return factor.triangularView<Eigen::Lower>(); }
};

namespace {

/// Of ln PPFD: from 0.1 %, which no meter tells from evenness, to what is no bound.
constexpr double least_sill = 1e-6;
constexpr double most_sill = 1e4;
/// What readings at one place are at least allowed to differ by.
constexpr double least_repeat_error = 1e-3;
constexpr double minus_infinity = -std::numeric_limits<double>::infinity();

double square(double value) { return value * value; }
double square_across(const Position& p, const Position& q) {
  return square((p.x - q.x).cm()) + square((p.y - q.y).cm());
}

/// sqrt(3) h of equation (1).
double scaled_distance(const Position& p, const Position& q, const MaternCovariance& in) {
  return std::sqrt(3.0 * (square_across(p, q) / square(in.horizontal_range.cm()) +
                          square((p.depth - q.depth) / in.depth_range)));
}

/// Equation (2).
double field_covariance(const Position& p, const Position& q, const MaternCovariance& in) {
  const double distance = scaled_distance(p, q, in);
  return in.sill * (1.0 + distance) * std::exp(-distance);
}

using Readings = std::span<const MapReading>;

/// Equations (3) and (6); empty where K is singular.
std::optional<KrigingSolution> solve(Readings readings, const MaternCovariance& in) {
  const Index n = std::ssize(readings);
  KrigingSolution solution{MatrixXd::Zero(n, n), VectorXd::Ones(n), VectorXd(n)};
  MatrixXd& k = solution.factor;
  for (Index j = 0; j < n; ++j) {
    for (Index i = j; i < n; ++i) {  // the half that is read
      k(i, j) = field_covariance(readings.begin()[i].at, readings.begin()[j].at, in);
    }
    k(j, j) += in.nugget;
  }
  // In place: of thousands of readings one matrix is large enough.
  const Eigen::LLT<Eigen::Ref<MatrixXd>> cholesky(k);
  if (cholesky.info() != Eigen::Success) return std::nullopt;
  VectorXd& ones = solution.whitened_ones;
  VectorXd& residuals = solution.whitened_residuals;
  std::transform(readings.begin(), readings.end(), residuals.begin(),
                 [](const MapReading& reading) { return std::log(reading.ppfd.umol_m2_s()); });
  // About the plain mean first, so that brightness itself adds no rounding.
  const double centre = residuals.mean();
  residuals.array() -= centre;
  solution.lower().solveInPlace(ones);
  solution.lower().solveInPlace(residuals);
  const double offset = ones.dot(residuals) / ones.squaredNorm();
  residuals -= offset * ones;
  solution.mean = centre + offset;
  solution.log_likelihood = -0.5 * static_cast<double>(n) * std::log(2.0 * std::numbers::pi) -
                            solution.factor.diagonal().array().log().sum() -
                            0.5 * residuals.squaredNorm();
  return solution;
}

/// Equations (4) and (5).
LightEstimate estimate(const KrigingSolution& solution, Readings readings,
                       const MaternCovariance& in, const Position& place) {
  const VectorXd& ones = solution.whitened_ones;
  VectorXd c(std::ssize(readings));
  for (Index i = 0; i < c.size(); ++i) {
    c[i] = field_covariance(place, readings.begin()[i].at, in);
  }
  solution.lower().solveInPlace(c);
  const double log_ppfd = solution.mean + c.dot(solution.whitened_residuals);
  const double variance =
      in.sill - c.squaredNorm() + square(1.0 - ones.dot(c)) / ones.squaredNorm();
  // Rounding can take the variance at a reading below 0.
  return {Ppfd::umol_m2_s(std::exp(log_ppfd)), std::sqrt(std::max(variance, 0.0))};
}

/// A place in units of the ranges, so that equation (1) is a distance.
PlaceTree::Point in_ranges(const Position& place, const MaternCovariance& in) {
  return {place.x / in.horizontal_range, place.y / in.horizontal_range,
          place.depth / in.depth_range};
}

PlaceTree make_tree(Readings readings, const MaternCovariance& in) {
  std::vector<PlaceTree::Point> points;
  points.reserve(readings.size());
  for (const MapReading& reading : readings) points.push_back(in_ranges(reading.at, in));
  return PlaceTree{std::move(points)};
}

/// Equations (3) to (5) from the readings around a place alone.
/// without: the number of a reading that is left out.
LightEstimate estimate_from_near(const PlaceTree& tree, Readings readings,
                                 const MaternCovariance& in, const Position& place,
                                 std::optional<std::size_t> without = {}) {
  std::vector<MapReading> near;
  near.reserve(most_readings_around + 1);
  for (const std::size_t i : tree.nearest(in_ranges(place, in), most_readings_around + 1)) {
    if (i != without && near.size() < most_readings_around) near.push_back(readings[i]);
  }
  return estimate(solve(near, in).value(), near, in, place);
}

/// Derivatives of equation (6) by ln a, ln b and ln s: for each the sum of its dK times
/// (K^-1 (z - m) (z - m)'K^-1 - K^-1) / 2.
Vector3d compute_gradient(Readings readings, const MaternCovariance& in) {
  const KrigingSolution solution = solve(readings, in).value();
  const Index n = std::ssize(readings);
  const MatrixXd whitening = solution.lower().solve(MatrixXd::Identity(n, n));
  const VectorXd pull = whitening.transpose() * solution.whitened_residuals;
  const MatrixXd weights = 0.5 * (pull * pull.transpose() - whitening.transpose() * whitening);
  Vector3d gradient = Vector3d::Zero();
  for (Index j = 0; j < n; ++j) {
    for (Index i = 0; i < n; ++i) {
      const Position& p = readings.begin()[i].at;
      const Position& q = readings.begin()[j].at;
      const double distance = scaled_distance(p, q, in);
      const double across2 = 3.0 * square_across(p, q) / square(in.horizontal_range.cm());
      const Vector3d turns{across2, square(distance) - across2, 1.0 + distance};
      gradient += weights(i, j) * in.sill * std::exp(-distance) * turns;
    }
  }
  return gradient;
}

/// A point of the search, (ln a, ln b, ln s).
struct Trial {
  Vector3d logs;
  double log_likelihood = minus_infinity;
};
Trial better(const Trial& one, const Trial& other) {
  return other.log_likelihood > one.log_likelihood ? other : one;
}

/// The search for the highest likelihood within bounds.
struct Search {
  Readings readings;
  double nugget;
  bool varies_across;
  bool varies_down;
  /// The log of a range that the readings leave open stays at 0: it follows the other.
  Vector3d least{};
  Vector3d most{};

  MaternCovariance covariance(const Vector3d& logs) const {
    const Vector3d to = logs.array().exp();
    return {Length::cm(varies_across ? to[0] : to[1] / default_depth_range_share),
            Length::cm(varies_down ? to[1] : to[0] * default_depth_range_share), to[2], nugget};
  }
  Trial attempt(const Vector3d& logs) const {
    const Vector3d within = logs.cwiseMax(least).cwiseMin(most);
    return {within, log_likelihood(readings, covariance(within))};
  }
};

Search make_search(Readings readings, double repeat_error) {
  double across = 0.0;
  double down = 0.0;
  for (const MapReading& one : readings) {
    for (const MapReading& other : readings) {
      const double pair_across = std::sqrt(square_across(one.at, other.at));
      const double pair_down = std::abs((one.at.depth - other.at.depth).cm());
      across = std::max(across, pair_across);
      down = std::max(down, pair_down);
      const bool share_place = std::hypot(pair_across, pair_down) < same_place.cm();
      if (&one != &other && share_place) repeat_error = std::max(repeat_error, least_repeat_error);
    }
  }
  Search search{readings, square(repeat_error), across >= same_place.cm(), down >= same_place.cm()};
  const auto n = static_cast<double>(readings.size());
  Vector3d least{across / std::sqrt(n), down, least_sill};
  Vector3d most{most_horizontal_range_per_span * across, most_depth_range_per_span * down,
                most_sill};
  if (!search.varies_across) least[0] = most[0] = 1.0;
  if (!search.varies_down) least[1] = most[1] = 1.0;
  search.least = least.array().log();
  search.most = most.array().log();
  return search;
}

/// At most `most_readings_to_fit`, evenly out of all.
std::vector<MapReading> spread_out(const std::vector<MapReading>& sorted) {
  if (sorted.size() <= most_readings_to_fit) return sorted;
  std::vector<MapReading> some;
  for (std::size_t i = 0; i < most_readings_to_fit; ++i) {
    some.push_back(sorted[i * (sorted.size() - 1) / (most_readings_to_fit - 1)]);
  }
  return some;
}

/// Quasi-Newton steps after Broyden, Fletcher, Goldfarb and Shanno, within the bounds.
Trial climb(const Search& search, Trial trial) {
  const auto n = static_cast<double>(search.readings.size());
  // Minus the second derivatives; by ln s alone, without nugget, it is n / 2.
  Matrix3d bend = 0.5 * n * Matrix3d::Identity();
  Vector3d gradient = compute_gradient(search.readings, search.covariance(trial.logs));
  for (int round = 0; round < 200; ++round) {
    Vector3d pull = gradient;
    Matrix3d free_bend = bend;
    for (Index i = 0; i < 3; ++i) {
      if (trial.logs[i] != (pull[i] > 0.0 ? search.most : search.least)[i]) continue;
      pull[i] = 0.0;
      free_bend.row(i).setZero();
      free_bend.col(i).setZero();
      free_bend(i, i) = 1.0;
    }
    const Vector3d step = free_bend.ldlt().solve(pull);
    if (pull.dot(step) < 1e-11) break;
    Trial next = search.attempt(trial.logs + step);
    for (double share = 0.5; next.log_likelihood <= trial.log_likelihood; share *= 0.5) {
      if (share < 1e-9) return trial;
      next = search.attempt(trial.logs + share * step);
    }
    const Vector3d moved = next.logs - trial.logs;
    const Vector3d before = gradient;
    gradient = compute_gradient(search.readings, search.covariance(next.logs));
    const Vector3d turned = before - gradient;
    trial = next;
    if (moved.dot(turned) <= 0.0) continue;
    const Vector3d bent = bend * moved;
    bend +=
        turned * turned.transpose() / moved.dot(turned) - bent * bent.transpose() / moved.dot(bent);
  }
  return trial;
}

/// From the likeliest of nine points in each quarter, since there may be several tops;
/// each with about its likeliest sill, (z - m)'K^-1 (z - m) / n less the nugget.
MaternCovariance find_likeliest(const Search& search) {
  Trial best{search.least};
  for (int quarter = 0; quarter < 4; ++quarter) {
    Trial start{search.least};
    for (int i = 0; i < 9; ++i) {
      const int across = quarter % 2 * 3 + i % 3;
      const int down = quarter / 2 * 3 + i / 3;
      const Vector3d share{across / 5.0, down / 5.0, 0.0};
      Vector3d logs = search.least + share.cwiseProduct(search.most - search.least);
      logs[2] = 0.0;
      const auto solution = solve(search.readings, search.covariance(logs));
      if (!solution) continue;
      const double misfit = solution->whitened_residuals.squaredNorm();
      const double sill = misfit / static_cast<double>(search.readings.size()) - search.nugget;
      logs[2] = std::log(std::max(sill, least_sill));
      start = better(start, search.attempt(logs));
    }
    if (start.log_likelihood > minus_infinity) best = better(best, climb(search, start));
  }
  return search.covariance(best.logs);
}

}  // namespace

Result<LightMap> LightMap::fit(std::vector<MapReading> readings, double repeat_error) {
  if (readings.size() < fewest_map_readings) {
    return fault("a light map needs at least " + std::to_string(fewest_map_readings) +
                     " readings, not " + std::to_string(readings.size()),
                 "read more spots, bright and dim, shallow and deep");
  }
  const auto darkest = std::ranges::min(readings, {}, &MapReading::ppfd);
  if (darkest.ppfd <= Ppfd{}) {
    return fault("a light map cannot use a reading of 0", "leave dark spots out");
  }
  // In an order of their own, so that rounding does not depend on the given one.
  std::vector<MapReading> sorted = readings;
  std::ranges::sort(sorted, {}, [](const MapReading& reading) {
    return std::tuple{reading.at.x, reading.at.y, reading.at.depth, reading.ppfd};
  });
  const std::vector<MapReading> some = spread_out(sorted);
  // Among those that are left out two may be at one place.
  if (some.size() < sorted.size()) repeat_error = std::max(repeat_error, least_repeat_error);
  const Search search = make_search(some, repeat_error);
  if (!search.varies_across && !search.varies_down) {
    return fault("all readings of the light map are at one place", "read spots apart");
  }
  const MaternCovariance covariance = find_likeliest(search);
  if (readings.size() <= most_readings_at_once) return with(std::move(readings), covariance);
  const KrigingSolution solution = solve(some, covariance).value();
  LightMap map;
  map.parameters_ = {covariance, solution.mean, solution.log_likelihood};
  map.tree_ = std::make_shared<const PlaceTree>(make_tree(readings, covariance));
  map.readings_ = std::move(readings);
  return map;
}

LightMap LightMap::with(std::vector<MapReading> readings, const MaternCovariance& covariance) {
  if (readings.empty()) throw std::invalid_argument("a light map needs a reading");
  auto solution = solve(readings, covariance);
  if (!solution) throw std::invalid_argument("the covariance of the light map is singular");
  LightMap map;
  map.readings_ = std::move(readings);
  map.parameters_ = {covariance, solution->mean, solution->log_likelihood};
  map.solution_ = std::make_shared<const KrigingSolution>(std::move(*solution));
  return map;
}

LightEstimate LightMap::at(const Position& place) const {
  if (tree_) return estimate_from_near(*tree_, readings_, parameters_, place);
  return estimate(*solution_, readings_, parameters_, place);
}

std::vector<LightEstimate> LightMap::leave_one_out() const {
  std::vector<LightEstimate> estimates;
  if (tree_) {
    for (std::size_t i = 0; i < readings_.size(); ++i) {
      estimates.push_back(estimate_from_near(*tree_, readings_, parameters_, readings_[i].at, i));
    }
    return estimates;
  }
  const Index n = std::ssize(readings_);
  const VectorXd& ones = solution_->whitened_ones;
  const MatrixXd whitening = solution_->lower().solve(MatrixXd::Identity(n, n));
  for (Index i = 0; i < n; ++i) {
    const auto column = whitening.col(i);
    // B 1 = 0, so B z = K^-1 (z - m).
    const double b = column.squaredNorm() - square(column.dot(ones)) / ones.squaredNorm();
    const double b_z = column.dot(solution_->whitened_residuals);
    const double variance = std::max(1.0 / b - parameters_.nugget, 0.0);
    estimates.push_back({readings_.begin()[i].ppfd * std::exp(-b_z / b), std::sqrt(variance)});
  }
  return estimates;
}

double log_likelihood(std::span<const MapReading> readings, const MaternCovariance& covariance) {
  const auto solution = solve(readings, covariance);
  if (!solution) return minus_infinity;
  return solution->log_likelihood;
}

}  // namespace slowdawn
