#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <slowdawn/light/spectrum.hpp>
#include <string>
#include <vector>

namespace slowdawn {
namespace {

using Points = std::vector<SpectralPoint>;

/// 1 from 400 to 700 nm, save where `value` says otherwise.
template <class Value>
SpectralTable every_ten(const Value& value) {
  Points points;
  for (double nm = 400.0; nm <= 700.0; nm += 10.0) {
    points.push_back({Wavelength::nm(nm), value(nm)});
  }
  return SpectralTable::through(points).value();
}

SpectralTable flat() {
  return every_ten([](double) { return 1.0; });
}

/// A narrow peak.
Spectrum peak_at(double centre_nm) {
  Points points;
  for (double nm = 400.0; nm <= 700.0; nm += 1.0) {
    points.push_back({Wavelength::nm(nm), std::exp(-0.5 * std::pow((nm - centre_nm) / 8.0, 2.0))});
  }
  return {SpectralTable::through(points).value()};
}

std::string fault_of(Points points) {
  const auto table = SpectralTable::through(std::move(points));
  return table ? "none" : std::to_string(table.error().point) + ": " + table.error().what;
}

TEST(SpectralTable, JoinsItsPointsByStraightLinesAndIsZeroOutside) {
  const SpectralTable table =
      every_ten([](double nm) { return nm == 450.0 ? 3.0 : (nm == 400.0 ? 2.0 : 1.0); });
  EXPECT_EQ(table.value_at(Wavelength::nm(450.0)), 3.0);
  EXPECT_DOUBLE_EQ(table.value_at(Wavelength::nm(447.5)), 2.5);
  EXPECT_EQ(table.value_at(Wavelength::nm(400.0)), 2.0);
  EXPECT_EQ(table.value_at(Wavelength::nm(700.0)), 1.0);
  EXPECT_EQ(table.value_at(Wavelength::nm(399.9)), 0.0);
  EXPECT_EQ(table.value_at(Wavelength::nm(700.1)), 0.0);
}

TEST(SpectralTable, RefusesWhatIsNoSpectrum) {
  const Points good = flat().points();
  EXPECT_EQ(fault_of(good), "none");
  EXPECT_EQ(fault_of({}), "0: the table has no wavelengths");
  const auto changed = [&](std::size_t i, SpectralPoint point) {
    Points points = good;
    points[i] = point;
    return fault_of(points);
  };
  EXPECT_EQ(changed(3, {Wavelength::nm(430.0), -0.1}), "3: a value is not 0 or more");
  EXPECT_EQ(changed(3, {Wavelength::nm(430.0), std::nan("")}), "3: a value is not 0 or more");
  EXPECT_EQ(changed(3, {Wavelength::nm(430.0), std::numeric_limits<double>::infinity()}),
            "3: a value is not 0 or more");
  EXPECT_EQ(changed(3, {Wavelength::nm(0.43), 1.0}),
            "3: a wavelength is not within 200 to 3000 nm");
  EXPECT_EQ(changed(3, {Wavelength::nm(420.0), 1.0}), "3: the wavelengths do not rise");
  EXPECT_EQ(changed(3, {Wavelength::nm(432.0), 1.0}),
            "3: the wavelengths are over 10 nm apart here");
  EXPECT_EQ(fault_of({good.begin() + 1, good.end()}), "0: the table begins beyond 405 nm");
  EXPECT_EQ(fault_of({good.begin(), good.end() - 1}), "29: the table ends before 695 nm");
  Points dark = good;
  for (SpectralPoint& point : dark)
    point.value = point.wavelength == Wavelength::nm(700.0) ? 1.0 : 0.0;
  EXPECT_EQ(fault_of(dark), "0: there is nothing between 400 and 700 nm");
}

TEST(SpectralTable, MayStopALittleShortAndStepWideInTheDark) {
  EXPECT_EQ(fault_of({{Wavelength::nm(405.0), 0.0},
                      {Wavelength::nm(500.0), 0.0},
                      {Wavelength::nm(505.0), 1.0},
                      {Wavelength::nm(510.0), 0.0},
                      {Wavelength::nm(695.0), 0.0}}),
            "none");
  // One dark end is not enough: the light may begin anywhere between.
  EXPECT_EQ(fault_of({{Wavelength::nm(400.0), 0.0},
                      {Wavelength::nm(500.0), 0.0},
                      {Wavelength::nm(511.0), 1.0},
                      {Wavelength::nm(520.0), 0.0},
                      {Wavelength::nm(700.0), 0.0}}),
            "2: the wavelengths are over 10 nm apart here");
  EXPECT_EQ(fault_of({{Wavelength::nm(400.0), 0.0},
                      {Wavelength::nm(500.0), 0.0},
                      {Wavelength::nm(510.0), 1.0},
                      {Wavelength::nm(521.0), 0.0},
                      {Wavelength::nm(700.0), 0.0}}),
            "3: the wavelengths are over 10 nm apart here");
}

TEST(SpectrumFigures, OfFlatEnergy) {
  const SpectrumFigures figures = compute_spectrum_figures({flat()});
  // The mean wavelength of 550 nm.
  EXPECT_NEAR(figures.photons_per_joule.umol_per_joule(),
              photons_per_joule_at(Wavelength::nm(550.0)).umol_per_joule(), 1e-12);
  EXPECT_NEAR(figures.share_400_500, 450.0 / 1650.0, 1e-12);
  EXPECT_NEAR(figures.share_500_600, 550.0 / 1650.0, 1e-12);
  EXPECT_NEAR(figures.share_600_700, 650.0 / 1650.0, 1e-12);
}

TEST(SpectrumFigures, DoNotDependOnTheUnitOfPower) {
  const Spectrum light = peak_at(460.0);
  Points scaled = light.power.points();
  for (SpectralPoint& point : scaled) point.value *= 1234.5;
  const SpectrumFigures one = compute_spectrum_figures(light);
  const SpectrumFigures other = compute_spectrum_figures({SpectralTable::through(scaled).value()});
  EXPECT_NEAR(other.photons_per_joule.umol_per_joule(), one.photons_per_joule.umol_per_joule(),
              1e-12);
  EXPECT_NEAR(other.lux_per_ppfd.lux_per_umol(), one.lux_per_ppfd.lux_per_umol(), 1e-10);
  EXPECT_NEAR(other.share_400_500, one.share_400_500, 1e-14);
}

TEST(SpectrumFigures, OfABlueLightAreFarFromThoseOfDaylight) {
  const SpectrumFigures blue = compute_spectrum_figures(peak_at(450.0));
  EXPECT_LT(blue.lux_per_ppfd.lux_per_umol(), 10.0);
  EXPECT_GT(blue.share_400_500, 0.99);
  EXPECT_GT(compute_spectrum_figures(daylight_spectrum()).lux_per_ppfd.lux_per_umol(), 50.0);
}

TEST(SpectrumFigures, LeaveOutPhotonsBeyond700ButNotTheirLux) {
  Points points = flat().points();
  points.push_back({Wavelength::nm(710.0), 1.0});
  points.push_back({Wavelength::nm(720.0), 1.0});
  const SpectrumFigures figures =
      compute_spectrum_figures({SpectralTable::through(points).value()});
  const SpectrumFigures shorter = compute_spectrum_figures({flat()});
  EXPECT_NEAR(figures.photons_per_joule.umol_per_joule(),
              shorter.photons_per_joule.umol_per_joule(), 1e-12);
  EXPECT_GT(figures.lux_per_ppfd, shorter.lux_per_ppfd);
}

TEST(SpectralError, IsNoneForAPerfectMeter) {
  const PhotonResponse perfect{flat()};
  for (const double nm : {430.0, 550.0, 660.0}) {
    EXPECT_NEAR(compute_spectral_error(perfect, peak_at(nm), {flat()}).value(), 0.0, 1e-9) << nm;
  }
}

TEST(SpectralError, IsNoneUnderItsOwnCalibrationLight) {
  const PhotonResponse response{every_ten([](double nm) { return nm / 700.0; })};
  EXPECT_NEAR(compute_spectral_error(response, daylight_spectrum(), daylight_spectrum()).value(),
              0.0, 1e-12);
}

/// A meter that counts energy instead of photons, its signal per photon 1/l: under one
/// wavelength its signal per photon is that, under flat energy the mean of it.
TEST(SpectralError, OfAMeterOfEnergyIsWorkedOutByHand) {
  const PhotonResponse energy{every_ten([](double nm) { return 1.0 / nm; })};
  // int E dl / int l E dl of flat energy is 300 / (300 x 550). The table joins 1/l by
  // straight lines, which costs under 1e-4.
  const double red = compute_spectral_error(energy, peak_at(660.0), {flat()}).value();
  EXPECT_NEAR(red, 550.0 / 660.0 - 1.0, 3e-4);
  const double blue = compute_spectral_error(energy, peak_at(440.0), {flat()}).value();
  EXPECT_NEAR(blue, 550.0 / 440.0 - 1.0, 5e-4);
}

TEST(SpectralError, CountsWhatTheMeterSeesBeyond700) {
  Points response = flat().points();
  for (double nm = 710.0; nm <= 800.0; nm += 10.0) response.push_back({Wavelength::nm(nm), 1.0});
  Points far_red = flat().points();
  for (double nm = 710.0; nm <= 740.0; nm += 10.0) far_red.push_back({Wavelength::nm(nm), 1.0});
  const double error = compute_spectral_error({SpectralTable::through(response).value()},
                                              {SpectralTable::through(far_red).value()}, {flat()})
                           .value();
  // Photons of 700 to 740 nm over those of 400 to 700.
  EXPECT_NEAR(error, 40.0 * 720.0 / (300.0 * 550.0), 1e-9);
}

TEST(SpectralError, NeedsASignalUnderTheCalibrationLight) {
  const auto only = [](double centre) {
    return every_ten([=](double nm) { return nm == centre ? 1.0 : 0.0; });
  };
  const auto error = compute_spectral_error({only(450.0)}, {flat()}, {only(600.0)});
  ASSERT_FALSE(error);
  EXPECT_EQ(error.error().what, "the meter sees nothing of the light under which it was set right");
}

}  // namespace
}  // namespace slowdawn
