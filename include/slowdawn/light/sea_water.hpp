// How light fades with depth.
//
//   E(z) = E(0) exp(-Kd z)                                                    (1)
//   share(z) = sum S(l) exp(-Kd(l) z) / sum S(l)                              (2)
//
//   z     depth, m                       Kd     attenuation, m-1
//   S(l)  photons of the sun at wavelength l, 400 to 700 nm
//
// Red is lost first, so the Kd of all PAR photons falls with depth; one Kd for
// PAR is true of the depths alone between which it was measured.
#pragma once

#include <array>
#include <optional>
#include <slowdawn/light/quantity.hpp>
#include <slowdawn/light/wavelength.hpp>
#include <string_view>
#include <variant>

namespace slowdawn {

/// Depth under the surface of the sea, in metres as reefs are told of; a tank's is a
/// Length. Two types, so that either keeps its number as it was given.
class Depth : public Quantity<Depth> {
 public:
  constexpr Depth() = default;
  static constexpr Depth m(double value) { return Depth{checked(value)}; }
  constexpr double m() const { return value_; }

 private:
  friend class Quantity<Depth>;
  using Quantity::Quantity;
};

/// Diffuse attenuation coefficient of downward light, m-1.
class Attenuation : public Quantity<Attenuation> {
 public:
  constexpr Attenuation() = default;
  static constexpr Attenuation per_m(double value) { return Attenuation{checked(value)}; }
  constexpr double per_m() const { return value_; }

 private:
  friend class Quantity<Attenuation>;
  using Quantity::Quantity;
};

/// Jerlov's optical water types: open ocean from clearest (I) to III, coast from
/// 1C to 5C.
enum class WaterType { I, IA, IB, II, III, C1, C3, C5 };

struct NamedWaterType {
  WaterType type;
  std::string_view name;
};

/// In the order from clear to turbid, under Jerlov's names.
inline constexpr std::array<NamedWaterType, 8> water_types{{{WaterType::I, "I"},
                                                            {WaterType::IA, "IA"},
                                                            {WaterType::IB, "IB"},
                                                            {WaterType::II, "II"},
                                                            {WaterType::III, "III"},
                                                            {WaterType::C1, "1C"},
                                                            {WaterType::C3, "3C"},
                                                            {WaterType::C5, "5C"}}};

std::string_view name_of(WaterType type);
/// Empty for a name that is none of Jerlov's eight.
std::optional<WaterType> find_water_type(std::string_view name);

/// Kd of one wavelength, straight between the table's 25 nm.
/// wavelength: 400 to 700 nm.
/// source: Jerlov 1976, Marine Optics, Table XXVII.
Attenuation attenuation_at(WaterType type, Wavelength wavelength);

/// What the water is known by: its type, or its Kd of PAR.
using SeaWater = std::variant<WaterType, Attenuation>;

/// The share of the sun's PAR photons just under the surface that is left at a
/// depth: equation (2) for a water type, (1) for a Kd of PAR.
/// depth: 0 or more; the result lies in (0, 1].
/// validity: S is the spectrum above the water, under a high sun; light aslant
///   goes a longer way, which Kd holds on the average alone.
/// source: spectrum of ASTM G173-03, global, 1 nm, trapezoid rule.
double share_left(const SeaWater& water, Depth depth);

/// The one Kd of PAR that would dim as much between two depths; shallow < deep.
Attenuation attenuation_between(const SeaWater& water, Depth shallow, Depth deep);

/// The depth at which this share of the PAR photons is left, (0, 1].
Depth depth_of_share(const SeaWater& water, double share);

/// PPFD of the sun at the ground within the one nm about a wavelength.
/// wavelength: 400 to 700 nm, at its 1 nm steps.
/// source: ASTM G173-03, global tilted, air mass 1.5.
Ppfd solar_photons(Wavelength wavelength);

}  // namespace slowdawn
