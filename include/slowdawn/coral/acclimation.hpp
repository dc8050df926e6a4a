// What a group is used to, and how that follows the light it gets.
//
//   D, P   dose and peak of a day
//   A, B   acclimated dose and peak: exponentially weighted means of the past
//
//   A += (1 - exp(-1/tau)) (D - A),  tau = tau_up if D > A, else tau_down   (1)
//   B likewise with P
//   A(0) = carryover * D0 * exp(-1.645 u),  B(0) likewise with P0           (2)
//
// That stress follows light relative to the acclimated state, and the order of
// the time constants, are from the literature; the first-order form is a design
// choice (README.md, "What each number rests on").
#pragma once

#include <slowdawn/coral/profile.hpp>
#include <slowdawn/light/quantity.hpp>

namespace slowdawn {

/// What a group is used to.
struct Acclimation {
  DailyDose dose;
  Ppfd peak;
  bool operator==(const Acclimation&) const = default;
};

/// How much of the way to a new level is gone after one day at it: the step
/// response of a first-order lag, exact for the day whatever came before.
/// tau: > 0.
double daily_adaptation(Days tau);

/// daily_adaptation of a tolerance's two time constants; worked out once, it
/// serves for all days.
struct AdaptationRates {
  // Implicit: a tolerance will do where the speed does not matter.
  AdaptationRates(const Tolerance& tolerance);
  double up;
  double down;
};

/// Equation (1): what a group is used to after one more day.
Acclimation after_day(const Acclimation& used_to, const Exposure& day,
                      const AdaptationRates& rates);

/// How good a meter's readings are.
struct MeterAccuracy {
  /// Of the meter's calibration: the same in all its readings.
  Percent calibration = Percent::of_full(10.0);
  /// Of one reading against the next.
  Percent repeat = Percent::of_full(5.0);
};

/// exp(-1.645 u) of equation (2): what is left of a level under doubt, the one-sided 95 %
/// bound of a log-normal ratio. uncertainty: u >= 0.
double doubt_factor(double uncertainty);

}  // namespace slowdawn
