#include <algorithm>
#include <cmath>
#include <slowdawn/light/spectrum.hpp>
#include <stdexcept>
#include <utility>

#include "light/solar_spectrum.hpp"
#include "light/spectrum_tables.hpp"

namespace slowdawn {
namespace {

constexpr Wavelength photon_band_start = Wavelength::nm(400.0);
constexpr Wavelength photon_band_end = Wavelength::nm(700.0);
constexpr Wavelength lowest_wavelength = Wavelength::nm(200.0);
constexpr Wavelength highest_wavelength = Wavelength::nm(3000.0);

// The SI of 2019, exact.
constexpr double avogadro_per_mol = 6.02214076e23;
constexpr double planck_j_s = 6.62607015e-34;
constexpr double light_speed_m_s = 299792458.0;
/// 683 lm/W at 540 THz is 683.002 at V's own 555 nm in air.
constexpr double lumens_per_watt = 683.002;

using Points = std::vector<SpectralPoint>;

/// The index of the first point at or beyond a wavelength.
Points::const_iterator first_from(const Points& points, Wavelength wavelength) {
  return std::ranges::lower_bound(points, wavelength, {}, &SpectralPoint::wavelength);
}

/// The trapezoid rule over the wavelengths given, rising.
template <class Integrand>
double integrate(const std::vector<Wavelength>& wavelengths, const Integrand& integrand) {
  double sum = 0.0;
  for (std::size_t i = 1; i < wavelengths.size(); ++i) {
    const Wavelength left = wavelengths[i - 1];
    const Wavelength right = wavelengths[i];
    sum += 0.5 * (integrand(left) + integrand(right)) * (right - left).nm();
  }
  return sum;
}

/// The table's wavelengths between two others, and these two.
std::vector<Wavelength> wavelengths_between(const SpectralTable& table, Wavelength start,
                                            Wavelength end) {
  std::vector<Wavelength> wavelengths{start};
  for (const SpectralPoint& point : table.points()) {
    const Wavelength between = point.wavelength;
    if (between > start && between < end) wavelengths.push_back(between);
  }
  wavelengths.push_back(end);
  return wavelengths;
}

/// Photons of one wavelength, in umol per unit of power.
double photons_at(const Spectrum& light, Wavelength wavelength) {
  return light.power.value_at(wavelength) * photons_per_joule_at(wavelength).umol_per_joule();
}

/// Photons between two wavelengths, in umol per unit of power.
double photons_between(const Spectrum& light, Wavelength start, Wavelength end) {
  return integrate(wavelengths_between(light.power, start, end),
                   [&](Wavelength wavelength) { return photons_at(light, wavelength); });
}

/// The signal of a meter for each photon of 400 to 700 nm.
double signal_per_photon(const PhotonResponse& response, const Spectrum& light) {
  const Points& seen = response.signal.points();
  const Points& sent = light.power.points();
  const Wavelength start = std::max(seen.front().wavelength, sent.front().wavelength);
  const Wavelength end = std::min(seen.back().wavelength, sent.back().wavelength);
  // Either table may be the finer one.
  std::vector<Wavelength> wavelengths = wavelengths_between(response.signal, start, end);
  const std::vector<Wavelength> others = wavelengths_between(light.power, start, end);
  wavelengths.insert(wavelengths.end(), others.begin(), others.end());
  std::sort(wavelengths.begin(), wavelengths.end());
  const double signal = integrate(wavelengths, [&](Wavelength wavelength) {
    return response.signal.value_at(wavelength) * light.power.value_at(wavelength) *
           photons_per_joule_at(wavelength).umol_per_joule();
  });
  return signal / photons_between(light, photon_band_start, photon_band_end);
}

tl::unexpected<SpectralFault> fault_at(std::size_t point, std::string what, std::string hint) {
  return tl::make_unexpected(SpectralFault{{std::move(what), std::move(hint)}, point});
}

template <std::size_t count>
SpectralTable table_of(const std::array<double, count>& values, double start_nm, double step_nm) {
  Points points;
  for (std::size_t i = 0; i < count; ++i) {
    points.push_back({Wavelength::nm(start_nm + step_nm * static_cast<double>(i)), values[i]});
  }
  auto table = SpectralTable::through(std::move(points));
  if (!table) throw std::logic_error("a built-in spectrum: " + table.error().what);
  return std::move(*table);
}

}  // namespace

tl::expected<SpectralTable, SpectralFault> SpectralTable::through(Points points) {
  if (points.empty())
    return fault_at(0, "the table has no wavelengths", "one row for each of them");
  for (std::size_t i = 0; i < points.size(); ++i) {
    const SpectralPoint& point = points[i];
    if (point.wavelength < lowest_wavelength || point.wavelength > highest_wavelength) {
      return fault_at(i, "a wavelength is not within 200 to 3000 nm", "wavelengths are in nm");
    }
    if (!(point.value >= 0.0) || std::isinf(point.value)) {
      return fault_at(i, "a value is not 0 or more",
                      "write 0 where noise makes a spectrometer show less than nothing");
    }
    if (i == 0) continue;
    const Wavelength before = points[i - 1].wavelength;
    if (point.wavelength <= before) {
      return fault_at(i, "the wavelengths do not rise", "one row for each, the shortest first");
    }
    // Where no light is told of on either side a wide step leaves nothing out.
    const bool is_dark = point.value == 0.0 && points[i - 1].value == 0.0;
    if (!is_dark && exceeds(point.wavelength - before, widest_spectral_step)) {
      return fault_at(i, "the wavelengths are over 10 nm apart here",
                      "a peak of an LED would be lost in between; 1 to 5 nm are good");
    }
  }
  if (points.front().wavelength > photon_band_start + spectral_reach) {
    return fault_at(0, "the table begins beyond 405 nm",
                    "it must reach from 400 to 700 nm; write 0 where there is no light");
  }
  if (points.back().wavelength < photon_band_end - spectral_reach) {
    return fault_at(points.size() - 1, "the table ends before 695 nm",
                    "it must reach from 400 to 700 nm; write 0 where there is no light");
  }
  const bool is_dark = std::all_of(points.begin(), points.end(), [](const SpectralPoint& point) {
    return point.wavelength <= photon_band_start || point.wavelength >= photon_band_end ||
           point.value == 0.0;
  });
  if (is_dark) {
    return fault_at(0, "there is nothing between 400 and 700 nm", "is it the right column?");
  }
  return SpectralTable{std::move(points)};
}

double SpectralTable::value_at(Wavelength wavelength) const {
  const auto right = first_from(points_, wavelength);
  if (right == points_.end() || wavelength < points_.front().wavelength) return 0.0;
  if (right->wavelength == wavelength) return right->value;
  const SpectralPoint& left = *std::prev(right);
  return left.value + (right->value - left.value) * (wavelength - left.wavelength).nm() /
                          (right->wavelength - left.wavelength).nm();
}

PhotonsPerJoule photons_per_joule_at(Wavelength wavelength) {
  constexpr double joule_metres_per_mol = avogadro_per_mol * planck_j_s * light_speed_m_s;
  // 1e-9 m/nm and 1e6 umol/mol.
  return PhotonsPerJoule::umol_per_joule(1e-3 * wavelength.nm() / joule_metres_per_mol);
}

double luminous_efficiency(Wavelength wavelength) {
  static const SpectralTable table =
      table_of(spectrum_tables::luminous_efficiency, spectrum_tables::luminous_efficiency_start_nm,
               spectrum_tables::step_nm);
  return table.value_at(wavelength);
}

SpectrumFigures compute_spectrum_figures(const Spectrum& light) {
  const double photons = photons_between(light, photon_band_start, photon_band_end);
  const auto power = [&](Wavelength wavelength) { return light.power.value_at(wavelength); };
  const double joules =
      integrate(wavelengths_between(light.power, photon_band_start, photon_band_end), power);
  const Points& points = light.power.points();
  const double lumens =
      lumens_per_watt * integrate(wavelengths_between(light.power, points.front().wavelength,
                                                      points.back().wavelength),
                                  [&](Wavelength wavelength) {
                                    return power(wavelength) * luminous_efficiency(wavelength);
                                  });
  const double middle = photons_between(light, Wavelength::nm(500.0), Wavelength::nm(600.0));
  const double blue = photons_between(light, photon_band_start, Wavelength::nm(500.0));
  const double red = photons_between(light, Wavelength::nm(600.0), photon_band_end);
  const double sum = blue + middle + red;
  return {PhotonsPerJoule::umol_per_joule(photons / joules),
          LuxPerPpfd::lux_per_umol(lumens / photons), blue / sum, middle / sum, red / sum};
}

Result<double> compute_spectral_error(const PhotonResponse& response, const Spectrum& light,
                                      const Spectrum& calibration) {
  const double right_signal = signal_per_photon(response, calibration);
  if (!(right_signal > 0.0)) {
    return fault("the meter sees nothing of the light under which it was set right",
                 "compare the two tables: do their wavelengths meet?");
  }
  return signal_per_photon(response, light) / right_signal - 1.0;
}

const Spectrum& daylight_spectrum() {
  static const Spectrum daylight{table_of(solar_power, first_solar_nm, 1.0)};
  return daylight;
}

}  // namespace slowdawn
