// Quantities that hang on the wavelength of light, in the manner of quantity.hpp.
//
//   Wavelength        of light, or a stretch of them                     nm
//   PhotonsPerJoule   photons in a joule of light                        umol J-1
//   LuxPerPpfd        lux for one umol m-2 s-1 of the same light         lux umol-1 m2 s
#pragma once

#include <slowdawn/light/quantity.hpp>

namespace slowdawn {

class Wavelength : public Quantity<Wavelength> {
 public:
  constexpr Wavelength() = default;
  static constexpr Wavelength nm(double value) { return Wavelength{checked(value)}; }
  constexpr double nm() const { return value_; }

 private:
  friend class Quantity<Wavelength>;
  using Quantity::Quantity;
};

class PhotonsPerJoule : public Quantity<PhotonsPerJoule> {
 public:
  constexpr PhotonsPerJoule() = default;
  static constexpr PhotonsPerJoule umol_per_joule(double value) {
    return PhotonsPerJoule{checked(value)};
  }
  constexpr double umol_per_joule() const { return value_; }

 private:
  friend class Quantity<PhotonsPerJoule>;
  using Quantity::Quantity;
};

class LuxPerPpfd : public Quantity<LuxPerPpfd> {
 public:
  constexpr LuxPerPpfd() = default;
  static constexpr LuxPerPpfd lux_per_umol(double value) { return LuxPerPpfd{checked(value)}; }
  constexpr double lux_per_umol() const { return value_; }

 private:
  friend class Quantity<LuxPerPpfd>;
  using Quantity::Quantity;
};

}  // namespace slowdawn
