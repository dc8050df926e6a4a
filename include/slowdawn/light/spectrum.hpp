// Spectra of lights, and what follows from them.
//
// With E the power per nm and l the wavelength, a joule of l holds l / (N_A h c)
// mol of photons, so that over 400 to 700 nm
//
//   umol/J           = int l E dl / (N_A h c) / int E dl                      (1)
//   lux per umol m-2 s-1 = 683.002 int V E dl / (int l E dl / (N_A h c))      (2)
//
// (2) has V, the luminous efficiency of CIE 1924, over all of its range above the
// line. Every integral is the trapezoid rule on the spectrum's own wavelengths, with
// the ends of a range interpolated; only shapes count, so E may be in any unit.
//
// A meter whose signal per photon is R(l), set right under a light C, shows under
// a light L the true PPFD times
//
//   [int R l L dl / int l L dl] / [int R l C dl / int l C dl]                 (3)
//
// where the lower integrals run from 400 to 700 nm and the upper ones over all of R.
#pragma once

#include <cstddef>
#include <slowdawn/light/result.hpp>
#include <slowdawn/light/wavelength.hpp>
#include <vector>

namespace slowdawn {

/// One row of a table by wavelength.
struct SpectralPoint {
  Wavelength wavelength;
  /// Of what the table is of, and in its unit: only shapes count, so any will do.
  double value;
  bool operator==(const SpectralPoint&) const = default;
};

/// What is wrong with a table by wavelength.
struct SpectralFault : Fault {
  /// Number of the row, from 0; the later one where two disagree.
  std::size_t point;
};

/// Widest step between two wavelengths: a design choice, half the width of a
/// usual coloured LED.
inline constexpr Wavelength widest_spectral_step = Wavelength::nm(10.0);
/// How far a table may stop short of 400 and of 700 nm; it counts as 0 there.
inline constexpr Wavelength spectral_reach = Wavelength::nm(5.0);

/// A table by wavelength, joined by straight lines, 0 outside.
class SpectralTable {
 public:
  /// points: wavelengths of 200 to 3000 nm, rising in steps of at most 10 from
  ///   405 or less to 695 or more; values >= 0, with some light in 400 to 700 nm.
  /// Errors: points that are not so.
  static tl::expected<SpectralTable, SpectralFault> through(std::vector<SpectralPoint> points);

  const std::vector<SpectralPoint>& points() const { return points_; }
  double value_at(Wavelength wavelength) const;

 private:
  explicit SpectralTable(std::vector<SpectralPoint> points) : points_(std::move(points)) {}
  std::vector<SpectralPoint> points_;
};

/// Power per nm of a light, in any unit.
struct Spectrum {
  SpectralTable power;
};

/// A meter's signal per photon, in any unit; 1 from 400 to 700 nm and 0 outside
/// would be a perfect one.
struct PhotonResponse {
  SpectralTable signal;
};

/// What a spectrum says of a light.
struct SpectrumFigures {
  /// Photons of 400 to 700 nm in a joule of 400 to 700 nm, equation (1).
  PhotonsPerJoule photons_per_joule;
  /// Equation (2).
  LuxPerPpfd lux_per_ppfd;
  /// Shares of the photons of 400 to 500, 500 to 600 and 600 to 700 nm; they add up to 1.
  double share_400_500;
  double share_500_600;
  double share_600_700;
};

/// accuracy: that of the table; with V every 5 nm, lux of open spectra every 1 nm
///   come out within 0.1 % (tests/published/spectrum_test.cpp).
/// source: definition of PPFD; SI of 2019 for N_A, h and c; CIE 018:2019 for V.
SpectrumFigures compute_spectrum_figures(const Spectrum& light);

/// The spectral error of a meter: equation (3) less 1.
/// response: with some signal under `calibration`.
/// Returns: 0.1 for a meter that shows 10 % too much under `light`.
/// Errors: a meter that sees nothing of the calibration light.
Result<double> compute_spectral_error(const PhotonResponse& response, const Spectrum& light,
                                      const Spectrum& calibration);

/// Photons of one wavelength, > 0, in a joule.
PhotonsPerJoule photons_per_joule_at(Wavelength wavelength);

/// V at a wavelength, 0 to 1: CIE 1924, every 5 nm from 360 to 830, straight
/// lines between, 0 outside.
double luminous_efficiency(Wavelength wavelength);

/// Sun and sky on a slope of 37 degrees, air mass 1.5, every 1 nm from 380 to 749
/// nm, W m-2 nm-1.
/// source: ASTM G173-03, global tilt.
const Spectrum& daylight_spectrum();

}  // namespace slowdawn
