// Where the sun stands, how long it is up, and what its rays bring to a level
// surface, by the equations of FAO Irrigation and Drainage Paper 56.
//
//   J      day of the year, 1 to 366          phi    latitude, north positive
//   dr     inverse relative distance          delta  declination
//   ws     sunset hour angle                  N      day length, h
//   Ra     extraterrestrial radiation         Rs     radiation at the ground
//
//   Ra = (1440/pi) 0.0820 dr (ws sin phi sin delta + cos phi cos delta sin ws)  (21)
//   dr = 1 + 0.033 cos(2 pi J / 365)                                            (23)
//   delta = 0.409 sin(2 pi J / 365 - 1.39)                                      (24)
//   ws = arccos(-tan phi tan delta)                                             (25)
//   N = 24 ws / pi                                                              (34)
//   Rs = (as + bs n/N) Ra                                                       (35)
//   Rso = (as + bs) Ra = (0.75 + 2e-5 z) Ra                                 (36, 37)
//
// The numbers are those of that paper. source: Allen, Pereira, Raes and Smith
// 1998, Crop evapotranspiration, FAO Irrigation and Drainage Paper 56, chapter 3.
#pragma once

#include <numbers>
#include <slowdawn/light/quantity.hpp>

namespace slowdawn {

class Angle : public Quantity<Angle> {
 public:
  constexpr Angle() = default;
  static constexpr Angle degrees(double value) {
    return Angle{checked(value) * std::numbers::pi / 180.0};
  }
  static constexpr Angle radians(double value) { return Angle{checked(value)}; }
  constexpr double degrees() const { return value_ * 180.0 / std::numbers::pi; }
  constexpr double radians() const { return value_; }

 private:
  friend class Quantity<Angle>;
  using Quantity::Quantity;
};

/// A place between the poles, positive in the north; kept in degrees, as maps have it.
class Latitude : public Quantity<Latitude> {
 public:
  constexpr Latitude() = default;
  static constexpr Latitude degrees(double value) { return Latitude{checked(value)}; }
  constexpr double degrees() const { return value_; }
  constexpr Angle angle() const { return Angle::degrees(value_); }

 private:
  friend class Quantity<Latitude>;
  using Quantity::Quantity;
};

/// Energy of the sun's rays on a level surface over one day, all wavelengths.
class DailyRadiation : public Quantity<DailyRadiation> {
 public:
  constexpr DailyRadiation() = default;
  static constexpr DailyRadiation mj_m2_d(double value) { return DailyRadiation{checked(value)}; }
  constexpr double mj_m2_d() const { return value_; }

 private:
  friend class Quantity<DailyRadiation>;
  using Quantity::Quantity;
};

/// How a sky lets the rays through: `overcast` under full cloud, and so much more
/// under a clear sky. source: equation (35), the values that FAO-56 recommends
/// where none are calibrated (as = 0.25, bs = 0.50).
struct SkyModel {
  double overcast = 0.25;
  double added_by_sun = 0.50;
};

/// A day's sun over a level surface; nothing of it depends on longitude.
/// Accuracy: the sun's centre at height 0 ends the day, without the air's bending;
///   almanacs, whose sun sets at -0.833 degrees, have days longer by 0.12 h near
///   the equator and by 0.2 to 0.3 h at 50 degrees.
class SunDay {
 public:
  /// latitude: -90 to 90 degrees; day_of_year: 1 to 366.
  SunDay(Latitude latitude, int day_of_year);

  /// Equation (23), dimensionless.
  double inverse_distance() const { return inverse_distance_; }
  /// Equation (24).
  Angle declination() const { return declination_; }
  /// Equation (25); 0 where the sun stays down and pi where it stays up.
  Angle sunset_hour_angle() const { return sunset_; }
  /// Equation (34), 0 to 24 h.
  Hours day_length() const;
  /// Equation (21); 0 in a polar night.
  DailyRadiation extraterrestrial() const;

  /// Sine of the sun's height so far before or after noon; under 0 at night.
  /// hour_angle: -180 to 180 degrees, 15 to an hour.
  double sine_of_height(Angle hour_angle) const;
  /// The same at noon.
  double sine_of_noon_height() const { return sine_of_height(Angle{}); }
  /// The sine of the height added up over the day while the sun is up: as long
  /// would a sun in the zenith take for the same rays.
  Hours zenith_hours() const;

 private:
  /// ws sin phi sin delta + cos phi cos delta sin ws.
  double day_integral() const;

  double inverse_distance_;
  Angle declination_;
  Angle sunset_;
  double sine_product_;
  double cosine_product_;
};

/// Equation (35): what reaches the ground. sunlit_share: n/N, the share of the
/// day without cloud before the sun, [0, 1].
DailyRadiation solar_radiation(DailyRadiation extraterrestrial, double sunlit_share,
                               const SkyModel& sky = {});

/// Equation (36): under a clear sky, near sea level.
DailyRadiation clear_sky_radiation(DailyRadiation extraterrestrial, const SkyModel& sky = {});

/// Equation (37): under a clear sky. elevation: above sea level.
DailyRadiation clear_sky_radiation_at(DailyRadiation extraterrestrial, Length elevation);

}  // namespace slowdawn
