// The light that a coral had where it comes from: a depth on a reef.
//
//   dose = mean over the days of  Q (s Ts + (1 - s) Tc) share(z)              (1)
//   peak = mean over the days of  P (1 - R(noon)) share(z)                    (2)
//
//   Q, P      dose and clear noon in the open (light/sunlight.hpp)
//   s         share of the dose that comes while the sun shines
//   Ts        what the surface lets pass of the sun's rays: 1 - R by Fresnel at the
//             sun's angle, over the day by the sine of the sun's height
//   Tc        the same for an evenly bright sky, which stands for clouds
//   share(z)  what the water leaves (light/sea_water.hpp)
//
// What it leaves out: shade of the reef and of neighbours, slopes, waves (which
// focus flashes far above the peak), tides, single dark or turbid days.
#pragma once

#include <optional>
#include <slowdawn/light/result.hpp>
#include <slowdawn/light/sea_water.hpp>
#include <slowdawn/light/sunlight.hpp>
#include <vector>

namespace slowdawn {

/// How sure a share of cloud is: its standard error where somebody knows the place,
/// and where it is a guess (design choices).
inline constexpr double known_cloud_error = 0.1;
inline constexpr double guessed_cloud_error = 0.2;
/// Taken where nobody says it: a sky that is rather clear, as over most reefs in
/// their season (design choice).
inline constexpr double guessed_cloud_share = 0.3;

/// A place on a reef.
struct Origin {
  /// -90 to 90 degrees, north positive.
  Latitude latitude;
  /// Days of the year, 1 to 366: one, or all days of a season.
  std::vector<int> days;
  /// 0 (just under the surface) or more.
  Depth depth;
  SeaWater water = WaterType::II;
  /// Share of the day with a cloud before the sun, [0, 1].
  double cloud_share = guessed_cloud_share;
  double cloud_error = guessed_cloud_error;
  /// Nobody said what the water is like.
  bool water_is_guess = false;
};

/// Relative standard errors of a dose by cause, as standard errors of its ln. They
/// are design choices, except cloud and water, whose effect is worked out from how
/// sure their figures are.
struct OriginError {
  /// FAO-56's two figures for any sky, against the sky of one place.
  double sky = 0.10;
  /// PAR photons for the energy, which change with the sun's height, moisture and
  /// cloud; the two figures at light/sunlight.hpp differ by 1 %.
  double photons = 0.03;
  double cloud = 0.0;
  /// A flat surface stands for waves.
  double surface = 0.02;
  /// Grows with depth: the error of Kd times the depth in units of 1/Kd.
  double water = 0.0;

  /// Root of the sum of squares. source: JCGM 100:2008, 5.1.2.
  double total() const;
};

/// Relative standard error of Kd by Jerlov's type: neighbouring types differ by 7 to
/// 40 % over the uppermost 10 m (own arithmetic), and a reef's water by as much over
/// the year. By a measured Kd of PAR: it holds for its day and its depths (both
/// design choices).
inline constexpr double water_type_error = 0.20;
/// Where the type is a guess: two neighbours off.
inline constexpr double guessed_water_error = 0.40;
inline constexpr double measured_kd_error = 0.15;

struct OriginLight {
  /// Means over the days.
  Hours day_length;
  DailyRadiation extraterrestrial;
  DailyDose dose;
  /// Noon under a clear sky. Single flashes under waves are far brighter, and most
  /// days of a cloudy place dimmer.
  Ppfd peak;
  /// As long as the sun is up.
  Hours lit;
  /// The darkest and the brightest of the days.
  DailyDose lowest_dose;
  DailyDose highest_dose;
  /// Of the light above the water, what is under the surface; and of that, what is
  /// left at the depth.
  double passes_surface;
  double left_at_depth;
  /// From the surface to the depth; empty at depth 0.
  std::optional<Attenuation> attenuation;
  OriginError error;
  /// Standard error of ln dose, which is also that of the peak.
  double log_error;
};

/// Errors: a day on which the sun does not rise; no days at all.
/// Validity: sea level, open sky, 0 to 100 m; sources with the equations above.
Result<OriginLight> compute_origin(const Origin& origin);

}  // namespace slowdawn
