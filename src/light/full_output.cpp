#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <slowdawn/light/full_output.hpp>

#include "light/non_negative_least_squares.hpp"

namespace slowdawn {

FullOutputFit fit_full_output(std::span<const SpotReading> readings, std::size_t lights) {
  FullOutputFit fit{std::vector<std::optional<Ppfd>>(lights), {}};

  std::vector<std::size_t> lit;
  for (std::size_t j = 0; j < lights; ++j) {
    for (const SpotReading& reading : readings) {
      if (reading.outputs[j] <= 0.0) continue;
      lit.push_back(j);
      break;
    }
  }
  if (lit.empty()) return fit;

  const auto rows = static_cast<Eigen::Index>(readings.size());
  const auto columns = static_cast<Eigen::Index>(lit.size());
  Eigen::MatrixXd outputs(rows, columns);
  Eigen::VectorXd ppfd(rows);
  for (Eigen::Index i = 0; i < rows; ++i) {
    const SpotReading& reading = readings[static_cast<std::size_t>(i)];
    ppfd[i] = reading.ppfd.umol_m2_s();
    for (Eigen::Index k = 0; k < columns; ++k) {
      outputs(i, k) = reading.outputs[lit[static_cast<std::size_t>(k)]];
    }
  }

  // A direction that no reading sees mixes exactly the lights it has parts in.
  Eigen::FullPivLU<Eigen::MatrixXd> decomposition(outputs);
  decomposition.setThreshold(1e-9);
  std::vector<bool> separable(lit.size(), true);
  if (decomposition.rank() < columns) {
    const Eigen::MatrixXd unseen = decomposition.kernel();
    for (std::size_t k = 0; k < lit.size(); ++k) {
      const double part = unseen.row(static_cast<Eigen::Index>(k)).cwiseAbs().maxCoeff();
      if (part <= 1e-9) continue;
      separable[k] = false;
      fit.inseparable.push_back(lit[k]);
    }
  }

  if (columns > 1) {
    const Eigen::MatrixXd scaled = outputs.colwise().normalized();
    const auto eigenvalues =
        Eigen::SelfAdjointEigenSolver<Eigen::MatrixXd>{scaled.transpose() * scaled}.eigenvalues();
    fit.separation = std::sqrt(std::max(0.0, eigenvalues.minCoeff()));
  }

  const Eigen::VectorXd solution = solve_non_negative_least_squares(outputs, ppfd);
  for (std::size_t k = 0; k < lit.size(); ++k) {
    if (!separable[k]) continue;
    fit.full_output[lit[k]] = Ppfd::umol_m2_s(solution[static_cast<Eigen::Index>(k)]);
  }
  return fit;
}

}  // namespace slowdawn
