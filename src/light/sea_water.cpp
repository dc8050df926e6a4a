#include <algorithm>
#include <cmath>
#include <slowdawn/light/sea_water.hpp>
#include <stdexcept>

#include "light/solar_spectrum.hpp"

namespace slowdawn {
namespace {

constexpr int first_nm = 400;
constexpr int last_nm = 700;
constexpr int table_step_nm = 25;
/// umol m-2 s-1 for 1 W m-2 and each nm of wavelength: 1e-9 / (N_A h c) * 1e6,
/// with the exact constants of the SI of 2019.
constexpr double umol_per_joule_nm = 1e-3 / 0.119626565638697;

using TableRow = std::array<double, 13>;

/// m-1, from 400 to 700 nm by 25. source: Jerlov 1976, Marine Optics, 2nd ed.,
/// Table XXVII (p. 135), as two public transcriptions have it; they differ at one
/// cell, type I at 400 nm (0.028 and 0.027), where the larger is taken.
constexpr std::array<TableRow, water_types.size()> jerlov_table{{
    {.028, .022, .019, .018, .027, .043, .063, .089, .235, .305, .36, .42, .56},
    {.038, .031, .026, .025, .032, .048, .067, .094, .24, .31, .37, .43, .57},
    {.051, .042, .036, .033, .042, .054, .072, .099, .245, .315, .375, .435, .58},
    {.096, .081, .068, .062, .07, .076, .089, .115, .26, .335, .4, .465, .61},
    {.185, .16, .135, .116, .115, .116, .12, .148, .295, .375, .445, .52, .66},
    {.51, .36, .25, .17, .14, .13, .12, .15, .3, .37, .45, .51, .65},
    {.78, .54, .39, .29, .22, .2, .19, .21, .33, .4, .46, .56, .71},
    {1.1, .78, .56, .43, .36, .31, .3, .33, .4, .48, .54, .65, .8},
}};

/// Equation (2) by the trapezoid rule.
double share_of_spectrum(WaterType type, Depth depth) {
  double above = 0.0;
  double left = 0.0;
  for (int nm = first_nm; nm <= last_nm; ++nm) {
    const double end = nm == first_nm || nm == last_nm ? 0.5 : 1.0;
    const Wavelength wavelength = Wavelength::nm(nm);
    const double photons = end * solar_photons(wavelength).umol_m2_s();
    above += photons;
    left += photons * std::exp(-attenuation_at(type, wavelength).per_m() * depth.m());
  }
  return left / above;
}

}  // namespace

std::string_view name_of(WaterType type) {
  return std::ranges::find(water_types, type, &NamedWaterType::type)->name;
}

std::optional<WaterType> find_water_type(std::string_view name) {
  const auto* found = std::ranges::find(water_types, name, &NamedWaterType::name);
  if (found == water_types.end()) return std::nullopt;
  return found->type;
}

Attenuation attenuation_at(WaterType type, Wavelength wavelength) {
  if (wavelength.nm() < first_nm || wavelength.nm() > last_nm) {
    throw std::invalid_argument("the table of water types goes from 400 to 700 nm");
  }
  const TableRow& row = jerlov_table[static_cast<std::size_t>(type)];
  const double place = (wavelength.nm() - first_nm) / table_step_nm;
  const std::size_t below = std::min(static_cast<std::size_t>(place), row.size() - 2);
  const double share = place - static_cast<double>(below);
  return Attenuation::per_m(row[below] + share * (row[below + 1] - row[below]));
}

Ppfd solar_photons(Wavelength wavelength) {
  const auto number = static_cast<std::size_t>(wavelength.nm() - first_solar_nm);
  return Ppfd::umol_m2_s(solar_power.at(number) * wavelength.nm() * umol_per_joule_nm);
}

double share_left(const SeaWater& water, Depth depth) {
  if (const auto* type = std::get_if<WaterType>(&water)) return share_of_spectrum(*type, depth);
  return std::exp(-std::get<Attenuation>(water).per_m() * depth.m());  // (1)
}

Attenuation attenuation_between(const SeaWater& water, Depth shallow, Depth deep) {
  const double ratio = share_left(water, shallow) / share_left(water, deep);
  return Attenuation::per_m(std::log(ratio) / (deep - shallow).m());
}

Depth depth_of_share(const SeaWater& water, double share) {
  if (!(share > 0.0 && share <= 1.0)) throw std::invalid_argument("a share lies in (0, 1]");
  double low = 0.0;
  double high = 1.0;
  while (share_left(water, Depth::m(high)) > share) {
    high *= 2.0;
    // No sea dims as little as that.
    if (high > 1e6) throw std::invalid_argument("this water does not dim the light");
  }
  for (int halving = 0; halving < 60; ++halving) {
    const double middle = 0.5 * (low + high);
    (share_left(water, Depth::m(middle)) > share ? low : high) = middle;
  }
  return Depth::m(high);
}

}  // namespace slowdawn
