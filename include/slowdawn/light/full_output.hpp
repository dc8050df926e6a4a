// From PPFD readings to what each light would give at 100 %, and how well that is known.
//
// One reading E of light j at dial p gives F = c E / phi_j(p), c the meter's
// immersion factor. Several readings at one spot are a linear model, solved by
// non-negative least squares, each reading with the weight 1 / s_i^2:
//
//   c E_i = sum_j A_ij F_j,  A_ij = phi_j(p_ij),  F_j >= 0                  (1)
//
//   s_i   standard error of c E_i
//   W     diagonal, 1 / s_i^2
//
//   C = (A'WA)^-1                                                           (2)
//   variance of sum_j g_j F_j = g'C g                                       (3)
//
// C is over all lights that were lit at the spot, also those which (1) holds at 0:
// that a light gives nothing is a result of readings with errors, and no certainty.
// Where A has not full rank, the inverse in (2) is the pseudo-inverse. What the
// readings tell are then the sums (3) of which g lies in the row space of A: every
// solution of (1) gives them the same value, and every generalized inverse the same
// variance.
#pragma once

#include <cstddef>
#include <optional>
#include <slowdawn/light/quantity.hpp>
#include <span>
#include <vector>

namespace slowdawn {

/// One reading at a spot.
struct SpotReading {
  /// phi_j(p_j) of every light, [0, 1]; 0 where the light was off. That of the sun
  /// times what there was in the open, as a share of its noon.
  std::vector<double> outputs;
  /// What the meter showed times its immersion factor.
  Ppfd ppfd;
  /// Its standard error s_i; readings of equal errors weigh the same, whatever the error.
  Ppfd error = Ppfd::umol_m2_s(1.0);
};

/// C of equation (2), and the row space of A.
class OutputCovariance {
 public:
  /// Of a spot that was not read: no variance, and nothing is told.
  OutputCovariance() = default;
  /// covariance: `lights` rows of `lights`, one after another.
  /// row_space: orthonormal vectors of `lights` each.
  OutputCovariance(std::size_t lights, std::vector<double> covariance,
                   std::vector<std::vector<double>> row_space);

  /// C_jk, (umol m-2 s-1)^2; 0 where a light was never lit.
  double at(std::size_t j, std::size_t k) const;
  /// Equation (3). g: one number for each light; what is missing counts as 0.
  /// Valid where `tells(g)`.
  double variance(std::span<const double> g) const;
  /// Whether g lies in the row space of A, to 1e-9 of its length: whether the readings
  /// tell sum_j g_j F_j. g: as in variance().
  bool tells(std::span<const double> g) const;
  /// What of g lies outside the row space: 0 for each light where it is told.
  std::vector<double> untold_part(std::span<const double> g) const;
  /// L with L L' = C over some lights, a row for each of them, all of one length: that of
  /// the rank of C, to 1e-12 of its largest variance. Rows of lights without variance are 0.
  std::vector<std::vector<double>> root(std::span<const std::size_t> lights) const;

 private:
  std::size_t lights_ = 0;
  std::vector<double> covariance_;
  std::vector<std::vector<double>> row_space_;
};

struct FullOutputFit {
  /// For each light its full output at the spot, umol m-2 s-1; empty where no
  /// reading has the light lit. Of lights that are inseparable it is one solution of
  /// equation (1) among many: they are known in combination only.
  std::vector<std::optional<Ppfd>> full_output;
  /// Lights that no reading tells from the others lit with them (ascending numbers):
  /// they are known in combination only.
  std::vector<std::size_t> inseparable;
  /// Lights that were lit, and which equation (1) holds at 0, since less than nothing
  /// would fit the readings better (ascending numbers); inseparable ones aside.
  std::vector<std::size_t> held_at_zero;
  /// How well the readings tell the lights apart, from 0 (not at all) to 1 (each
  /// was lit alone): the smallest singular value of the lights' columns, each
  /// scaled to length 1.
  double separation = 1.0;
  OutputCovariance covariance;

  /// Whether the readings tell the light only together with others.
  bool is_inseparable(std::size_t light) const;
  bool is_held_at_zero(std::size_t light) const;
};

/// Fits equations (1) and (2) to the readings of one spot.
/// readings: each with `lights` outputs, and an error of 0 or more; one below a millionth of
///   the largest reading or error counts as that, since no reading is without error.
/// source: Lawson and Hanson 1974, Solving Least Squares Problems, ch. 23 (NNLS); (2) and
///   (3) own derivation: F is linear in the readings, whose errors are independent.
FullOutputFit fit_full_output(std::span<const SpotReading> readings, std::size_t lights);

}  // namespace slowdawn
