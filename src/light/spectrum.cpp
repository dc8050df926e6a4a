#include <algorithm>
#include <cmath>
#include <slowdawn/light/spectrum.hpp>
#include <stdexcept>
#include <utility>

#include "light/solar_spectrum.hpp"
#include "light/spectrum_tables.hpp"

namespace slowdawn {
namespace {

constexpr double photon_band_start_nm = 400.0;
constexpr double photon_band_end_nm = 700.0;
constexpr double lowest_nm = 200.0;
constexpr double highest_nm = 3000.0;

// The SI of 2019, exact.
constexpr double avogadro_per_mol = 6.02214076e23;
constexpr double planck_j_s = 6.62607015e-34;
constexpr double light_speed_m_s = 299792458.0;
/// 683 lm/W at 540 THz is 683.002 at V's own 555 nm in air.
constexpr double lumens_per_watt = 683.002;

using Points = std::vector<SpectralPoint>;

/// The index of the first point at or beyond a wavelength.
Points::const_iterator first_from(const Points& points, double nm) {
  return std::lower_bound(points.begin(), points.end(), nm,
                          [](const SpectralPoint& point, double at) { return point.nm < at; });
}

/// The trapezoid rule over the wavelengths given, rising.
template <class Integrand>
double integrate(const std::vector<double>& wavelengths_nm, const Integrand& integrand) {
  double sum = 0.0;
  for (std::size_t i = 1; i < wavelengths_nm.size(); ++i) {
    const double left = wavelengths_nm[i - 1];
    const double right = wavelengths_nm[i];
    sum += 0.5 * (integrand(left) + integrand(right)) * (right - left);
  }
  return sum;
}

/// The table's wavelengths between two others, and these two.
std::vector<double> wavelengths_between(const SpectralTable& table, double start_nm,
                                        double end_nm) {
  std::vector<double> wavelengths{start_nm};
  for (const SpectralPoint& point : table.points()) {
    if (point.nm > start_nm && point.nm < end_nm) wavelengths.push_back(point.nm);
  }
  wavelengths.push_back(end_nm);
  return wavelengths;
}

/// Photons between two wavelengths, in umol per unit of power.
double photons_between(const Spectrum& light, double start_nm, double end_nm) {
  return integrate(wavelengths_between(light.power, start_nm, end_nm),
                   [&](double nm) { return light.power.value_at(nm) * umol_per_joule_at(nm); });
}

/// The signal of a meter for each photon of 400 to 700 nm.
double signal_per_photon(const PhotonResponse& response, const Spectrum& light) {
  const Points& seen = response.signal.points();
  const Points& sent = light.power.points();
  const double start = std::max(seen.front().nm, sent.front().nm);
  const double end = std::min(seen.back().nm, sent.back().nm);
  // Either table may be the finer one.
  std::vector<double> wavelengths = wavelengths_between(response.signal, start, end);
  const std::vector<double> others = wavelengths_between(light.power, start, end);
  wavelengths.insert(wavelengths.end(), others.begin(), others.end());
  std::sort(wavelengths.begin(), wavelengths.end());
  const double signal = integrate(wavelengths, [&](double nm) {
    return response.signal.value_at(nm) * light.power.value_at(nm) * umol_per_joule_at(nm);
  });
  return signal / photons_between(light, photon_band_start_nm, photon_band_end_nm);
}

tl::unexpected<SpectralFault> fault_at(std::size_t point, std::string what, std::string hint) {
  return tl::make_unexpected(SpectralFault{{std::move(what), std::move(hint)}, point});
}

template <std::size_t count>
SpectralTable table_of(const std::array<double, count>& values, double start_nm, double step_nm) {
  Points points;
  for (std::size_t i = 0; i < count; ++i) {
    points.push_back({start_nm + step_nm * static_cast<double>(i), values[i]});
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
    if (!(point.nm >= lowest_nm && point.nm <= highest_nm)) {
      return fault_at(i, "a wavelength is not within 200 to 3000 nm", "wavelengths are in nm");
    }
    if (!(point.value >= 0.0) || std::isinf(point.value)) {
      return fault_at(i, "a value is not 0 or more",
                      "write 0 where noise makes a spectrometer show less than nothing");
    }
    if (i == 0) continue;
    if (point.nm <= points[i - 1].nm) {
      return fault_at(i, "the wavelengths do not rise", "one row for each, the shortest first");
    }
    // Where no light is told of on either side a wide step leaves nothing out.
    const bool is_dark = point.value == 0.0 && points[i - 1].value == 0.0;
    if (!is_dark && point.nm - points[i - 1].nm > widest_spectral_step_nm * (1.0 + 1e-9)) {
      return fault_at(i, "the wavelengths are over 10 nm apart here",
                      "a peak of an LED would be lost in between; 1 to 5 nm are good");
    }
  }
  if (points.front().nm > photon_band_start_nm + spectral_reach_nm) {
    return fault_at(0, "the table begins beyond 405 nm",
                    "it must reach from 400 to 700 nm; write 0 where there is no light");
  }
  if (points.back().nm < photon_band_end_nm - spectral_reach_nm) {
    return fault_at(points.size() - 1, "the table ends before 695 nm",
                    "it must reach from 400 to 700 nm; write 0 where there is no light");
  }
  const bool is_dark = std::all_of(points.begin(), points.end(), [](const SpectralPoint& point) {
    return point.nm <= photon_band_start_nm || point.nm >= photon_band_end_nm || point.value == 0.0;
  });
  if (is_dark) {
    return fault_at(0, "there is nothing between 400 and 700 nm", "is it the right column?");
  }
  return SpectralTable{std::move(points)};
}

double SpectralTable::value_at(double nm) const {
  const auto right = first_from(points_, nm);
  if (right == points_.end() || nm < points_.front().nm) return 0.0;
  if (right->nm == nm) return right->value;
  const SpectralPoint& left = *std::prev(right);
  return left.value + (right->value - left.value) * (nm - left.nm) / (right->nm - left.nm);
}

double umol_per_joule_at(double nm) {
  constexpr double joule_metres_per_mol = avogadro_per_mol * planck_j_s * light_speed_m_s;
  // 1e-9 m/nm and 1e6 umol/mol.
  return 1e-3 * nm / joule_metres_per_mol;
}

double luminous_efficiency(double nm) {
  static const SpectralTable table =
      table_of(spectrum_tables::luminous_efficiency, spectrum_tables::luminous_efficiency_start_nm,
               spectrum_tables::step_nm);
  return table.value_at(nm);
}

SpectrumFigures compute_spectrum_figures(const Spectrum& light) {
  const double photons = photons_between(light, photon_band_start_nm, photon_band_end_nm);
  const auto power = [&](double nm) { return light.power.value_at(nm); };
  const double joules =
      integrate(wavelengths_between(light.power, photon_band_start_nm, photon_band_end_nm), power);
  const Points& points = light.power.points();
  const double lumens =
      lumens_per_watt *
      integrate(wavelengths_between(light.power, points.front().nm, points.back().nm),
                [&](double nm) { return power(nm) * luminous_efficiency(nm); });
  const double middle = photons_between(light, 500.0, 600.0);
  const double blue = photons_between(light, photon_band_start_nm, 500.0);
  const double red = photons_between(light, 600.0, photon_band_end_nm);
  const double sum = blue + middle + red;
  return {photons / joules, lumens / photons, blue / sum, middle / sum, red / sum};
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
