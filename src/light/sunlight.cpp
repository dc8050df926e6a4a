#include <slowdawn/light/sunlight.hpp>
#include <stdexcept>

namespace slowdawn {

DailyDose par_photons(DailyRadiation energy) {
  constexpr double mj_per_kwh = 3.6;
  constexpr double mol_per_kwh = 7.058;
  return DailyDose::mol_m2_d(energy.mj_m2_d() / mj_per_kwh * mol_per_kwh);
}

Sunlight compute_sunlight(Latitude latitude, int day_of_year, double cloud_share) {
  if (!(cloud_share >= 0.0 && cloud_share <= 1.0)) {
    throw std::invalid_argument("a share of cloud lies in 0 to 1");
  }
  const SunDay day{latitude, day_of_year};
  const DailyRadiation above = day.extraterrestrial();
  Sunlight light{.day_length = day.day_length(),
                 .extraterrestrial = above,
                 .dose = {},
                 .clear_noon = {},
                 .sunlit_share_of_dose = 0.0};
  if (above <= DailyRadiation{}) return light;
  const double sunlit = 1.0 - cloud_share;
  const DailyRadiation energy = solar_radiation(above, sunlit);
  light.dose = par_photons(energy);
  // Equation (35) is as Ra while clouded and (as + bs) Ra while sunlit.
  light.sunlit_share_of_dose = sunlit * (clear_sky_radiation(above) / energy);
  const DailyDose zenith = Ppfd::umol_m2_s(1.0) * day.zenith_hours();
  light.clear_noon = Ppfd::umol_m2_s(par_photons(clear_sky_radiation(above)) / zenith *
                                     day.sine_of_noon_height());  // (2)
  return light;
}

}  // namespace slowdawn
