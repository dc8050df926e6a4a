// The sun as the light of a tank, so that a greenhouse can be planned by shade cloths.
//
// The full output F of the sun at a spot is what the spot has at the brightest clear
// noon of the year there, with no cloth; a cloth of transmission p lets p F through.
// A day's course is
//
//   f(t) = P(day) / P(year) * sin h(t) / sin h(noon)
//
// with P the clear noon in the open (light/sunlight.hpp), and clouds take from the
// dose alone: dose = 0.0036 F p H, H = integral of f times the share of a clear day's
// light that comes under the day's clouds, peak = F p max f.
#pragma once

#include <slowdawn/light/exposure.hpp>
#include <slowdawn/light/sunlight.hpp>

namespace slowdawn {

/// So far from the equator the sun rises and sets on every day of the year.
inline constexpr double sun_latitude_degrees = 65.0;

/// Where a sunlit tank stands.
struct SunPlace {
  /// -65 to 65 degrees.
  Angle latitude;
  /// As of compute_sunlight, [0, 1].
  double cloud_share;
};

/// P(year): the brightest clear noon of the year in the open.
Ppfd brightest_noon(const SunPlace& place);

/// The sun of one day; noon is 12:00 of the clock.
/// day_of_year: 1 to 366.
/// Accuracy: the course by straight pieces of 1/64 of the day, 2e-4 of its integral,
///   which the dose share makes good.
LightCourse sun_course(const SunPlace& place, int day_of_year);

/// The brightest of so many days on from one: its dose the largest dose of them, its
/// peak the largest clear noon, which may be that of another day.
/// first_day_of_year: 1 to 366; days: 1 or more.
LightCourse brightest_sun_course(const SunPlace& place, int first_day_of_year, int days);

}  // namespace slowdawn
