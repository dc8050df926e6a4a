#include <algorithm>
#include <cmath>
#include <slowdawn/light/sun.hpp>
#include <stdexcept>

namespace slowdawn {
namespace {

constexpr double pi = std::numbers::pi;
/// MJ m-2 min-1. source: FAO-56, equation (21).
constexpr double solar_constant = 0.0820;

double angle_of_year(int day_of_year) { return 2.0 * pi * day_of_year / 365.0; }

}  // namespace

SunDay::SunDay(Latitude latitude, int day_of_year)
    : inverse_distance_(1.0 + 0.033 * std::cos(angle_of_year(day_of_year))),               // (23)
      declination_(Angle::radians(0.409 * std::sin(angle_of_year(day_of_year) - 1.39))) {  // (24)
  if (day_of_year < 1 || day_of_year > 366 || std::abs(latitude.degrees()) > 90.0) {
    throw std::invalid_argument("a day of the year is 1 to 366, a latitude -90 to 90 degrees");
  }
  sine_product_ = std::sin(latitude.angle().radians()) * std::sin(declination_.radians());
  cosine_product_ = std::cos(latitude.angle().radians()) * std::cos(declination_.radians());
  // -tan phi tan delta, written so that it also holds at the poles.
  const double cosine =
      cosine_product_ > 0.0 ? -sine_product_ / cosine_product_ : (sine_product_ > 0.0 ? -1.0 : 1.0);
  sunset_ = Angle::radians(std::acos(std::clamp(cosine, -1.0, 1.0)));  // (25)
}

Hours SunDay::day_length() const { return Hours::h(24.0 * sunset_.radians() / pi); }  // (34)

double SunDay::day_integral() const {
  return sunset_.radians() * sine_product_ + cosine_product_ * std::sin(sunset_.radians());
}

DailyRadiation SunDay::extraterrestrial() const {
  const double ra = 1440.0 / pi * solar_constant * inverse_distance_ * day_integral();  // (21)
  return DailyRadiation::mj_m2_d(std::max(ra, 0.0));
}

double SunDay::sine_of_height(Angle hour_angle) const {
  return sine_product_ + cosine_product_ * std::cos(hour_angle.radians());
}

Hours SunDay::zenith_hours() const {
  // Both halves of the day, 24 h to a turn of 2 pi.
  return Hours::h(std::max(24.0 / pi * day_integral(), 0.0));
}

DailyRadiation solar_radiation(DailyRadiation extraterrestrial, double sunlit_share,
                               const SkyModel& sky) {
  return extraterrestrial * (sky.overcast + sky.added_by_sun * sunlit_share);  // (35)
}

DailyRadiation clear_sky_radiation(DailyRadiation extraterrestrial, const SkyModel& sky) {
  return solar_radiation(extraterrestrial, 1.0, sky);  // (36)
}

DailyRadiation clear_sky_radiation_at(DailyRadiation extraterrestrial, Length elevation) {
  return extraterrestrial * (0.75 + 2e-5 * elevation.m());  // (37)
}

}  // namespace slowdawn
