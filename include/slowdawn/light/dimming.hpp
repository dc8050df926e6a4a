// Dimming: what a light gives for what it is sent.
//
// phi(drive) is the output as a fraction of full output, with phi(0) = 0 and
// phi(100 %) = 1, through the measured pairs by monotone piecewise cubic
// Hermite interpolation. Without pairs it is linear.
#pragma once

#include <slowdawn/light/quantity.hpp>
#include <slowdawn/light/result.hpp>
#include <span>
#include <utility>
#include <vector>

namespace slowdawn {

class DimmingCurve {
 public:
  /// The straight line from nothing to full output.
  DimmingCurve() : DimmingCurve(std::vector<Knot>{{0.0, 0.0, 1.0}, {1.0, 1.0, 1.0}}) {}

  /// Through measured (drive, output) pairs.
  /// pairs: both in (0, 100) and strictly rising; (0, 0) may stand first and
  ///   (100, 100) last, and are added where they do not.
  /// Errors: pairs that do not rise, or lie outside 0 to 100.
  /// accuracy: equals Boost.Math 1.74's interpolators::pchip to rounding. That
  ///   class refuses fewer than four knots, and one measured pair makes three,
  ///   so the slopes are computed here, by the same rule.
  /// source: Fritsch and Carlson 1980, SIAM J. Numer. Anal. 17:238; interior
  ///   slopes as in SLATEC PCHIM (weighted harmonic mean), end slopes the
  ///   one-sided secants.
  static Result<DimmingCurve> through(std::span<const std::pair<Percent, Percent>> pairs);

  /// Output as a fraction of full output, [0, 1]; drive is clamped to 0..100 %.
  double output(Percent drive) const { return at(drive.fraction()); }

  /// Mean output while the drive moves evenly from one value to another.
  /// Exact to rounding: each piece of the curve is a cubic.
  double mean_output(Percent from, Percent to) const;

  bool is_linear() const { return knots_.size() == 2; }

 private:
  struct Knot {
    double drive;
    double output;
    double slope;
  };
  explicit DimmingCurve(std::vector<Knot> knots) : knots_(std::move(knots)) {}
  double at(double drive) const;

  std::vector<Knot> knots_;
};

}  // namespace slowdawn
