// Quantities of light, time and place, each a small type of its own, so that a PPFD
// cannot be handed over where a dose is meant.
//
//   Ppfd       photosynthetic photon flux density, 400 to 700 nm   umol m-2 s-1
//   DailyDose  daily light integral (DLI)                          mol m-2 d-1
//   Hours      a stretch of time within a day                      h
//   Days       a stretch of time over many                         d
//   Percent    a dial, a drive or a share, 100 being the whole     %
//   Length     a place or a distance in a tank                     cm
//
// Of the clock, of wavelengths, of the sun and of the sea there are more, in the same
// manner, in clock_time.hpp, wavelength.hpp, sun.hpp and sea_water.hpp.
//
// Only physical operations exist: a PPFD over hours is a dose, two of a kind
// add up, a quantity scales with a plain number, two of a kind have a ratio.
// There is no conversion from or to a bare number but by a factory or accessor
// that names the unit. Factories refuse what is not finite (std::invalid_argument:
// a broken invariant; files are checked before they get here).
#pragma once

#include <cmath>
#include <compare>
#include <stdexcept>

namespace slowdawn {

/// The arithmetic that all quantities share; `Kind` is the quantity itself.
template <class Kind>
class Quantity {
 public:
  friend constexpr Kind operator+(Kind a, Kind b) { return Kind{a.value_ + b.value_}; }
  friend constexpr Kind operator-(Kind a, Kind b) { return Kind{a.value_ - b.value_}; }
  friend constexpr Kind operator*(Kind a, double factor) { return Kind{a.value_ * factor}; }
  friend constexpr Kind operator*(double factor, Kind a) { return Kind{factor * a.value_}; }
  friend constexpr Kind operator/(Kind a, double divisor) { return Kind{a.value_ / divisor}; }
  friend constexpr double operator/(Kind a, Kind b) { return a.value_ / b.value_; }
  friend constexpr bool operator==(Kind a, Kind b) { return a.value_ == b.value_; }
  friend constexpr auto operator<=>(Kind a, Kind b) { return a.value_ <=> b.value_; }
  constexpr Kind& operator+=(Kind other) {
    value_ += other.value_;
    return static_cast<Kind&>(*this);
  }

 protected:
  constexpr Quantity() = default;
  constexpr explicit Quantity(double value) : value_(value) {}
  static constexpr double checked(double value) {
    if (!(value - value == 0.0)) throw std::invalid_argument("a quantity must be finite");
    return value;
  }
  double value_ = 0.0;
};

/// Photosynthetic photon flux density, 400 to 700 nm.
class Ppfd : public Quantity<Ppfd> {
 public:
  constexpr Ppfd() = default;
  static constexpr Ppfd umol_m2_s(double value) { return Ppfd{checked(value)}; }
  constexpr double umol_m2_s() const { return value_; }

 private:
  friend class Quantity<Ppfd>;
  using Quantity::Quantity;
};

/// A stretch of time within a day.
class Hours : public Quantity<Hours> {
 public:
  constexpr Hours() = default;
  static constexpr Hours h(double value) { return Hours{checked(value)}; }
  static constexpr Hours minutes(double value) { return Hours{checked(value) / 60.0}; }
  constexpr double h() const { return value_; }

 private:
  friend class Quantity<Hours>;
  using Quantity::Quantity;
};

/// A stretch of time over many days, whole or not. A day's number and a count of
/// days are integers instead.
class Days : public Quantity<Days> {
 public:
  constexpr Days() = default;
  static constexpr Days d(double value) { return Days{checked(value)}; }
  constexpr double d() const { return value_; }

 private:
  friend class Quantity<Days>;
  using Quantity::Quantity;
};

/// Daily light integral (DLI): PPFD integrated over one day.
class DailyDose : public Quantity<DailyDose> {
 public:
  constexpr DailyDose() = default;
  static constexpr DailyDose mol_m2_d(double value) { return DailyDose{checked(value)}; }
  constexpr double mol_m2_d() const { return value_; }

 private:
  friend class Quantity<DailyDose>;
  using Quantity::Quantity;
};

/// A dial, a drive or a share; 100 is the whole.
class Percent : public Quantity<Percent> {
 public:
  constexpr Percent() = default;
  static constexpr Percent of_full(double value) { return Percent{checked(value)}; }
  constexpr double percent() const { return value_; }
  constexpr double fraction() const { return value_ / 100.0; }

 private:
  friend class Quantity<Percent>;
  using Quantity::Quantity;
};

/// A place or a distance in a tank; kept in cm, as tanks are measured.
class Length : public Quantity<Length> {
 public:
  constexpr Length() = default;
  static constexpr Length cm(double value) { return Length{checked(value)}; }
  static constexpr Length m(double value) { return Length{checked(value) * 100.0}; }
  constexpr double cm() const { return value_; }
  constexpr double m() const { return value_ / 100.0; }

 private:
  friend class Quantity<Length>;
  using Quantity::Quantity;
};

/// The dose of a steady PPFD: 3600 s/h and 1e-6 mol/umol make 0.0036.
/// source: definition of the daily light integral (Runkle 2006, MSU Extension).
constexpr DailyDose operator*(Ppfd ppfd, Hours time) {
  return DailyDose::mol_m2_d(0.0036 * ppfd.umol_m2_s() * time.h());
}
constexpr DailyDose operator*(Hours time, Ppfd ppfd) { return ppfd * time; }

/// What a day brings to one place.
struct Exposure {
  DailyDose dose;
  Ppfd peak;
  bool operator==(const Exposure&) const = default;
};

/// Limits are compared with this much relative slack, so that a value that
/// equals its limit but for rounding is not over it (design choice).
inline constexpr double relative_slack = 1e-9;

/// True if `value` is over `limit` by more than the slack; for amounts >= 0.
template <class Kind>
constexpr bool exceeds(Kind value, Kind limit) {
  return value > limit * (1.0 + relative_slack);
}

}  // namespace slowdawn
