// How hard the peak of a day presses on photosynthesis that is saturated.
//
//   E, Ek   peak of the day, and the PPFD at which photosynthesis saturates
//   P(E)    = Pmax tanh(E / Ek), the light curve of Jassby and Platt
//   x       = E / Ek
//
//   Q(x) = 1 - P(E) / (Pmax x) = 1 - tanh(x) / x                            (1)
//
// Q is the share of the absorbed light that would still have been used had the
// curve gone on as it began: 0 where light limits, toward 1 far over Ek. It
// stands in for the excitation pressure that a fluorometer measures (Qm), as a
// proxy of our own construction, not validated against measured Qm. Which form of
// the light curve is taken moves it, too: that of Smith gives up to 0.06 more.
#pragma once

#include <optional>
#include <slowdawn/light/quantity.hpp>

namespace slowdawn {

/// Q(x) of equation (1), a proxy of excitation pressure.
/// x: peak over Ek, >= 0, no unit. Result: [0, 1), no unit, rising with x.
/// Accuracy: 1e-12 of the value. Validity: a proxy of our own, not validated
///   against measured Qm; Ek itself follows the light a coral grows in.
/// source: own derivation from Jassby and Platt 1976, Limnol. Oceanogr. 21, the
///   tanh form.
double excitation_proxy(double x);

/// The x at which the proxy comes to a value: the inverse of excitation_proxy.
/// proxy: (0, 1), no unit; std::invalid_argument otherwise. Result: > 0, no unit.
/// Accuracy: that of excitation_proxy.
/// source: own derivation, bisection, as (1) rises with x.
double find_peak_over_ek(double proxy);

/// The Ek of a coral, and the cap that is put on its excitation, if there is one.
class Excitation {
 public:
  /// ek: umol m-2 s-1, > 0. cap: of the proxy, (0, 1), no unit, or none.
  /// Errors: std::invalid_argument outside of these.
  explicit Excitation(Ppfd ek, std::optional<double> cap = {});

  Ppfd ek() const { return ek_; }
  std::optional<double> cap() const { return cap_; }
  /// The peak at which the proxy comes to its cap; empty without a cap.
  std::optional<Ppfd> peak_at_cap() const { return peak_at_cap_; }
  /// The proxy at a peak >= 0.
  double proxy_at(Ppfd peak) const { return excitation_proxy(peak / ek_); }

  bool operator==(const Excitation&) const = default;

 private:
  Ppfd ek_;
  std::optional<double> cap_;
  /// Kept, since every day asks for it.
  std::optional<Ppfd> peak_at_cap_;
};

}  // namespace slowdawn
