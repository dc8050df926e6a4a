// From PPFD readings to what each light would give at 100 %.
//
// One reading E of light j at dial p gives F = c E / phi_j(p), c the meter's
// immersion factor. Several readings at one spot are a linear model, solved by
// non-negative least squares over
//
//   c E_i = sum_j phi_j(p_ij) F_j,   F_j >= 0                               (1)
//
// which for readings of one light alone is least squares through the origin.
#pragma once

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
};

struct FullOutputFit {
  /// For each light its full output at the spot, umol m-2 s-1; empty where no
  /// reading has the light lit, or where the readings cannot tell it apart.
  std::vector<std::optional<Ppfd>> full_output;
  /// Lights that were lit together only, in the same proportions, so that no
  /// reading tells one from the other (ascending numbers).
  std::vector<std::size_t> inseparable;
  /// How well the readings tell the lights apart, from 0 (not at all) to 1 (each
  /// was lit alone): the smallest singular value of the lights' columns, each
  /// scaled to length 1.
  double separation = 1.0;
};

/// Fits equation (1) to the readings of one spot.
/// readings: each with `lights` outputs.
/// source: Lawson and Hanson 1974, Solving Least Squares Problems, ch. 23 (NNLS).
FullOutputFit fit_full_output(std::span<const SpotReading> readings, std::size_t lights);

}  // namespace slowdawn
