// Exposure: the dose and the peak that a setting of the dials brings to a spot.
//
//   F[j]    full output of light j at the spot, umol m-2 s-1
//   p[j]    dial of light j, %
//   f[j](t) photoperiod, 0 to 1        phi[j](drive) dimming curve, 0 to 1
//
//   s[j]    what clouds leave of the dose, 1 for a lamp
//
//   dose = 0.0036 * sum_j F[j] H_j(p_j),  H_j(p) = s_j times the integral over the
//          day of phi_j(p f_j(t)) dt in hours                               (1)
//   peak = max over t of sum_j F[j] phi_j(p_j f_j(t))                       (2)
#pragma once

#include <slowdawn/light/dimming.hpp>
#include <slowdawn/light/photoperiod.hpp>
#include <slowdawn/light/quantity.hpp>
#include <span>
#include <vector>

namespace slowdawn {

/// How one independently dialled source runs through its day and dims.
struct LightCourse {
  Photoperiod photoperiod;
  DimmingCurve dimming;
  /// What of each day's dose the clouds leave, (0, 1] or near; the peak is a clear
  /// day's. 1 for a lamp.
  double dose_share = 1.0;
};

/// H_j(p) of equation (1): the hours of full output that a day at this dial
/// amounts to, [0, 24]. Exact to rounding.
/// source: own derivation; a linear piece of f makes the drive move evenly, so
///   its mean output is DimmingCurve::mean_output.
Hours full_output_hours(const LightCourse& light, Percent dial);

/// A day under one setting of the dials, the same for every spot.
class LitDay {
 public:
  /// lights, dials: one dial, [0, 100] %, for each light, in the same order.
  LitDay(std::span<const LightCourse> lights, std::span<const Percent> dials);

  /// full_output: umol m-2 s-1 at 100 % for each light, in the same order; what
  ///   stands for a light at dial 0 does not count.
  /// Accuracy: dose exact to rounding. The peak is taken over both sides of
  ///   every corner of the lit photoperiods; where two or more lights are lit
  ///   and one has a dimming curve, over every whole minute as well, since the
  ///   sum can then peak between corners.
  Exposure at(std::span<const Ppfd> full_output) const;

  /// phi_j(p_j f_j(t)) of each light at the moment of the peak of `at`, the first of
  /// several that are as high; 0 of all where no light is lit.
  std::vector<double> outputs_at_peak(std::span<const Ppfd> full_output) const;
  /// H_j(p_j) of each light, 0 where it is at 0.
  std::span<const Hours> hours() const { return hours_; }

 private:
  struct Peak {
    Ppfd ppfd = {};
    /// Where its outputs begin.
    std::size_t moment = 0;
  };
  Peak find_peak(std::span<const Ppfd> full_output) const;
  void add_moments(std::span<const LightCourse> lights, std::span<const Percent> dials);

  std::vector<Hours> hours_;
  /// Outputs phi_j(p_j f_j(t)) of all lights at one moment after another: the
  /// moments at which the day may peak.
  std::vector<double> outputs_;
};

}  // namespace slowdawn
