// Photons, lux and shares of open spectra.
//
// The illuminants are those of the Debian package colord-data, read where it is
// installed (GPL-2+, so not copied).
#include <gtest/gtest.h>

#include <cmath>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <memory>
#include <slowdawn/light/lux_factors.hpp>
#include <slowdawn/light/spectrum.hpp>
#include <sstream>
#include <string>

#include "published/published_case.hpp"

namespace slowdawn {
namespace {

namespace fs = std::filesystem;
using published::describe;
using published::expect_sourced;
using published::half_of_last_digit;
using published::Within;

const fs::path colord = "/usr/share/colord";

/// A row of a spectrum file (CGATS text).
Spectrum read_illuminant(const fs::path& file, int row) {
  std::ifstream stream{file};
  std::string line;
  double start = 0.0;
  double end = 0.0;
  double bands = 1.0;
  while (std::getline(stream, line) && line != "BEGIN_DATA") {
    std::istringstream words{line};
    std::string key;
    words >> key;
    if (key == "SPECTRAL_START_NM") words >> start;
    if (key == "SPECTRAL_END_NM") words >> end;
    if (key == "SPECTRAL_BANDS") words >> bands;
  }
  for (; row >= 0; --row) std::getline(stream, line);
  std::vector<SpectralPoint> points;
  std::istringstream words{line};
  double value = 0.0;
  for (double i = 0.0; words >> value; ++i) {
    points.push_back({Wavelength::nm(start + i * (end - start) / (bands - 1.0)), value});
  }
  return {SpectralTable::through(std::move(points)).value()};
}

/// One number, as GNU units prints it.
double ask_units(const std::string& have, const std::string& want) {
  const std::string command = "units -t -o '%.12g' '" + have + "' '" + want + "'";
  const std::unique_ptr<FILE, int (*)(FILE*)> pipe{popen(command.c_str(), "r"), pclose};
  char text[64] = "";
  if (!pipe || std::fgets(text, sizeof text, pipe.get()) == nullptr) return 0.0;
  return std::stod(text);
}

struct PhotonRow {
  const char* name;
  double nm;
  double umol_per_joule;
  double kj_per_mol;
  double value;  // lux per umol m-2 s-1
  Within within;
  const char* source;
};

constexpr const char* of_si =
    "CALC: 683.002 V / (nm / (N_A h c)) with the exact constants of the SI of 2019 and V of CIE "
    "018:2019, Table 1";
constexpr PhotonRow wavelengths[] = {
    {"400 nm", 400, 3.343739, 299.0664, 0.0809, half_of_last_digit(1e-4), of_si},
    {"420 nm", 420, 3.510926, 284.8252, 0.7781, half_of_last_digit(1e-4), of_si},
    {"450 nm", 450, 3.761706, 265.8368, 6.8995, half_of_last_digit(1e-4), of_si},
    {"470 nm", 470, 3.928893, 254.5246, 15.8160, half_of_last_digit(1e-4), of_si},
    {"500 nm", 500, 4.179674, 239.2531, 52.7815, half_of_last_digit(1e-4), of_si},
    {"550 nm", 550, 4.597641, 217.5028, 147.8047, half_of_last_digit(1e-4), of_si},
    {"555 nm", 555, 4.639438, 215.5434, 147.2165, half_of_last_digit(1e-4), of_si},
    {"600 nm", 600, 5.015608, 199.3776, 85.9266, half_of_last_digit(1e-4), of_si},
    {"660 nm", 660, 5.517169, 181.2524, 7.5515, half_of_last_digit(1e-4), of_si},
    {"700 nm", 700, 5.851543, 170.8951, 0.4788, half_of_last_digit(1e-4), of_si},
};

TEST(PublishedPhotons, OfWavelengthsHaveSources) { expect_sourced(wavelengths); }

TEST(PublishedPhotons, OfWavelengths) {
  for (const PhotonRow& row : wavelengths) {
    const double umol = photons_per_joule_at(Wavelength::nm(row.nm)).umol_per_joule();
    EXPECT_NEAR(umol, row.umol_per_joule, 0.5e-6) << describe(row);
    EXPECT_NEAR(1e3 / umol, row.kj_per_mol, 0.5e-4) << describe(row);
    published::expect_value(row, 683.002 * luminous_efficiency(Wavelength::nm(row.nm)) / umol);
  }
}

TEST(PublishedPhotons, OfWavelengthsAreThoseOfGnuUnits) {
  if (std::system("command -v units >/dev/null") != 0) {
    GTEST_SKIP() << "the package units is not installed, so this could not be checked";
  }
  for (const PhotonRow& row : wavelengths) {
    const std::string nm = std::to_string(static_cast<int>(row.nm)) + " nm";
    const double umol = ask_units(nm + " / (h c N_A)", "micromol/J");
    // Twelve digits are asked for.
    EXPECT_NEAR(photons_per_joule_at(Wavelength::nm(row.nm)).umol_per_joule() / umol, 1.0, 1e-11)
        << nm;
  }
}

TEST(PublishedVisibility, IsThatOfTheColourMatchingFunction) {
  const fs::path cmf = colord / "cmf/CIE1931-2deg-XYZ.cmf";
  if (!fs::exists(cmf)) {
    GTEST_SKIP() << "the package colord-data is not installed, so this could not be checked";
  }
  // The second of three rows is y, which is V; the file has up to seven digits.
  const Spectrum y = read_illuminant(cmf, 1);
  ASSERT_EQ(y.power.points().size(), 95U);
  double sum = 0.0;
  for (const auto& [wavelength, value] : y.power.points()) {
    EXPECT_NEAR(luminous_efficiency(wavelength), value, 0.5e-7) << wavelength.nm();
    sum += 5.0 * luminous_efficiency(wavelength);
  }
  // CALC from the same table: the sum every 5 nm; every 1 nm it is 106.856917.
  EXPECT_NEAR(sum, 106.857039, 0.5e-6);
  EXPECT_EQ(luminous_efficiency(Wavelength::nm(359.0)), 0.0);
  EXPECT_EQ(luminous_efficiency(Wavelength::nm(831.0)), 0.0);
}

/// Of CIE illuminants as colord-data has them.
struct Illuminant {
  const char* name;
  const char* file;
  double umol_per_joule;
  double value;  // lux per umol m-2 s-1
  Within within;
  const char* source;
};

constexpr const char* of_colord =
    "CALC: trapezoid rule over the file of colord-data 1.4.6, worked out apart from this code";
constexpr Illuminant illuminants[] = {
    {"daylight D65", "CIE-D65.sp", 4.5284, 55.499, half_of_last_digit(0.001), of_colord},
    {"incandescent A", "CIE-A.sp", 5.0133, 50.258, half_of_last_digit(0.001), of_colord},
    {"daylight D50", "CIE-D50.sp", 4.6683, 56.200, half_of_last_digit(0.001), of_colord},
    {"equal energy E", "CIE-E.sp", 4.5976, 52.914, half_of_last_digit(0.001), of_colord},
    {"fluorescent F2", "CIE-F2.sp", 4.5327, 76.507, half_of_last_digit(0.001), of_colord},
    {"fluorescent F11", "CIE-F11.sp", 4.5728, 76.059, half_of_last_digit(0.001), of_colord},
};

TEST(PublishedIlluminants, HaveSources) { expect_sourced(illuminants); }

TEST(PublishedIlluminants, HaveTheirPhotonsAndLux) {
  if (!fs::exists(colord / "illuminant")) {
    GTEST_SKIP() << "the package colord-data is not installed, so this could not be checked";
  }
  for (const Illuminant& row : illuminants) {
    const SpectrumFigures figures =
        compute_spectrum_figures(read_illuminant(colord / "illuminant" / row.file, 0));
    EXPECT_NEAR(figures.photons_per_joule.umol_per_joule(), row.umol_per_joule, 0.5e-4)
        << describe(row);
    published::expect_value(row, figures.lux_per_ppfd.lux_per_umol());
    EXPECT_NEAR(figures.share_400_500 + figures.share_500_600 + figures.share_600_700, 1.0, 1e-12);
  }
}

/// Spectra given every 1 nm against the same ones every 5 nm here: what the coarser
/// table costs.
TEST(PublishedIlluminants, AreWithinATenthOfAPercentOfFinerTables) {
  if (!fs::exists(colord / "illuminant")) {
    GTEST_SKIP() << "the package colord-data is not installed, so this could not be checked";
  }
  const auto figures_of = [](const char* file) {
    return compute_spectrum_figures(read_illuminant(colord / "illuminant" / file, 0));
  };
  // CALC from CIE tables every 1 nm: D65 4.5285 and 55.498, shares .3046 .3557 .3398; A 5.0133
  // and 50.257, shares .0907 .2962 .6131.
  const SpectrumFigures d65 = figures_of("CIE-D65.sp");
  EXPECT_NEAR(d65.lux_per_ppfd.lux_per_umol() / 55.498, 1.0, 1e-3);
  EXPECT_NEAR(d65.share_400_500, 0.3046, 5e-4);
  EXPECT_NEAR(d65.share_500_600, 0.3557, 5e-4);
  EXPECT_NEAR(d65.share_600_700, 0.3398, 5e-4);
  const SpectrumFigures a = figures_of("CIE-A.sp");
  EXPECT_NEAR(a.lux_per_ppfd.lux_per_umol() / 50.257, 1.0, 1e-3);
  EXPECT_NEAR(a.share_400_500, 0.0907, 5e-4);
  EXPECT_NEAR(a.share_500_600, 0.2962, 5e-4);
  EXPECT_NEAR(a.share_600_700, 0.6131, 5e-4);
}

TEST(PublishedSunlight, HasItsPhotonsLuxAndShares) {
  // CALC from ASTM G173-03, global tilt, trapezoid rule at its own wavelengths: 4.6015
  // umol/J and 55.360 lux per umol, shares .2674 .3508 .3818; 429.831 W m-2 and 1977.87 umol
  // m-2 s-1 within 400 to 700 nm.
  const SpectrumFigures sun = compute_spectrum_figures(daylight_spectrum());
  EXPECT_NEAR(sun.photons_per_joule.umol_per_joule(), 4.6015, 0.5e-4);
  // V is joined by straight lines every 5 nm here, by which a table every 1 nm gains a little.
  EXPECT_NEAR(sun.lux_per_ppfd.lux_per_umol() / 55.360, 1.0, 1e-3);
  EXPECT_NEAR(sun.share_400_500, 0.2674, 0.5e-4);
  EXPECT_NEAR(sun.share_500_600, 0.3508, 0.5e-4);
  EXPECT_NEAR(sun.share_600_700, 0.3818, 0.5e-4);
  double watt = 0.0;
  for (double nm = 400.0; nm < 700.0; ++nm) {
    const SpectralTable& power = daylight_spectrum().power;
    watt += 0.5 * (power.value_at(Wavelength::nm(nm)) + power.value_at(Wavelength::nm(nm + 1.0)));
  }
  EXPECT_NEAR(watt, 429.831, 0.5e-3);
  EXPECT_NEAR(watt * sun.photons_per_joule.umol_per_joule(), 1977.87, 0.5e-2);
}

/// READ second-hand: Thimijan and Heins 1983, HortScience 18:818-822, Table 3, at
/// bio.net/bionet/mm/plant-ed/2001-October/007207.html. Two published sets differ by 3
/// to 5 %, hence the tolerance of 5 %.
TEST(PublishedFactors, OfThimijanAndHeinsAgreeWithSpectraWithinFivePercent) {
  const auto expect_near = [](const SpectrumFigures& figures, const char* source,
                              double umol_per_joule) {
    EXPECT_NEAR(figures.photons_per_joule.umol_per_joule() / umol_per_joule, 1.0, 0.05) << source;
    for (const LuxFactor& factor : published_lux_factors) {
      if (factor.source != source) continue;
      EXPECT_NEAR(figures.lux_per_ppfd.lux_per_umol() / factor.lux_per_ppfd.lux_per_umol(), 1.0,
                  0.05)
          << source;
      return;
    }
    ADD_FAILURE() << "no factor of " << source;
  };
  expect_near(compute_spectrum_figures(daylight_spectrum()), "sun and sky", 4.57);
  if (!fs::exists(colord / "illuminant")) {
    GTEST_SKIP() << "the package colord-data is not installed, so the rest was not checked";
  }
  const auto figures_of = [](const char* file) {
    return compute_spectrum_figures(read_illuminant(colord / "illuminant" / file, 0));
  };
  expect_near(figures_of("CIE-F2.sp"), "cool-white fluorescent", 4.59);
  expect_near(figures_of("CIE-A.sp"), "incandescent", 5.00);
}

}  // namespace
}  // namespace slowdawn
