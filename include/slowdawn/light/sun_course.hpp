// The sun as the light of a tank, so that a greenhouse can be planned by shade cloths.
//
// The full output F of the sun at a spot is what the spot has, with no cloth, at the
// brightest clear noon P of the days to come; a cloth that lets p through leaves p F.
// A day's course is
//
//   f(t) = P(day) / P * sin h(t) / sin h(noon)                                (1)
//
//   P(day)  clear noon in the open (light/sunlight.hpp)     h  height of the sun
//
// Clouds take from the dose alone: peak = F p max f, and dose = F p times the hours of
// (1) times the share of them that comes under the day's clouds.
#pragma once

#include <slowdawn/light/exposure.hpp>
#include <slowdawn/light/sunlight.hpp>

namespace slowdawn {

/// So far from the equator the sun rises and sets on every day of the year.
inline constexpr Latitude sun_latitude = Latitude::degrees(65.0);

/// The days from a ramp's start whose brightest stands for all of the ramp
/// (design choice: most ramps are over by then).
inline constexpr int days_of_sun_ahead = 120;

/// Where a sunlit tank stands.
struct SunPlace {
  /// -65 to 65 degrees.
  Latitude latitude;
  /// As of compute_sunlight, [0, 1].
  double cloud_share;
};

/// The sun in the open, from one day on.
struct SunAhead {
  /// The largest dose and the largest clear noon of the days, which may be of two days.
  DailyDose dose;
  Ppfd noon;
  /// Which brings both, as f of that noon.
  LightCourse brightest;
  /// The first of the days, as f of the same noon; or the brightest too, where the
  /// first comes within 5 % of its dose and noon.
  LightCourse first;
};

/// first_day: of the year, 1 to 366.
/// Errors: none; a latitude beyond 65 degrees or a share that is none throws.
/// Accuracy: noon is 12:00 of the clock; the course goes by 64 straight pieces, which
///   takes nothing from dose and noon.
SunAhead compute_sun_ahead(const SunPlace& place, int first_day);

}  // namespace slowdawn
