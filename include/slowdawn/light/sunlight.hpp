// PAR photons of the sun on a level place in the open.
//
//   dose = 7.058 mol/kWh * Rs                    Rs by light/sun.hpp (35)     (1)
//   clear noon = dose under a clear sky * sin h(noon) / (0.0036 * Z)          (2)
//
//   h  height of the sun      Z  zenith hours: the sine of h over the day, h
//
// Over a day the light goes with the sine of the sun's height. Under a clear sky
// it in truth rises a little later and more steeply, since low rays go a longer way
// through the air; so noon is a little brighter than (2), by some per cent.
#pragma once

#include <slowdawn/light/sun.hpp>

namespace slowdawn {

/// Equation (1): PAR photons for a day's radiation energy of all wavelengths.
/// source: Logan, Sams and Faust 2016, American Meteorological Society 96th Annual
///   Meeting, paper 289816: 7.058 mol for each kWh. The spectrum of ASTM G173
///   gives 7.118.
DailyDose par_photons(DailyRadiation energy);

/// A day of sunlight above everything that could shade it.
struct Sunlight {
  Hours day_length;
  DailyRadiation extraterrestrial;
  /// With the day's clouds.
  DailyDose dose;
  /// PPFD at noon while no cloud is before the sun.
  Ppfd clear_noon;
  /// The share of the dose that comes while the sun shines, [0, 1].
  double sunlit_share_of_dose;
};

/// latitude: -90 to 90 degrees; day_of_year: 1 to 366;
/// cloud_share: how much of the day a cloud is before the sun, [0, 1], which is
///   1 - n/N of FAO-56; 0 is a clear sky.
/// result: all 0 in a polar night.
/// accuracy: see OriginError (light/origin.hpp): sky, photons and cloud.
Sunlight compute_sunlight(Latitude latitude, int day_of_year, double cloud_share);

}  // namespace slowdawn
