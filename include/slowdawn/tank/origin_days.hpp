// Which days of the year an origin's light is computed for.
#pragma once

#include <array>
#include <slowdawn/light/origin.hpp>
#include <slowdawn/tank/date.hpp>
#include <string_view>
#include <vector>

namespace slowdawn {

enum class Season { spring, summer, autumn, winter, year };

struct NamedSeason {
  Season season;
  std::string_view name;
};

inline constexpr std::array<NamedSeason, 5> seasons{{{Season::spring, "spring"},
                                                     {Season::summer, "summer"},
                                                     {Season::autumn, "autumn"},
                                                     {Season::winter, "winter"},
                                                     {Season::year, "year"}}};

/// Reefs lie within so many degrees of the equator (design choice: those of the
/// highest latitude lie near 35).
inline constexpr Latitude reef_latitude = Latitude::degrees(40.0);
inline constexpr Depth deepest_origin = Depth::m(100.0);
/// What a Kd of PAR may be: clearer than any sea, and murkier than any reef.
inline constexpr Attenuation clearest_kd = Attenuation::per_m(0.02);
inline constexpr Attenuation murkiest_kd = Attenuation::per_m(3.0);

/// The days of a season where its latitude has it, as days of the year, 1 to 365:
/// three whole months, spring from March in the north and from September in the
/// south, as meteorology has them. The equator counts as north.
std::vector<int> season_days(Season season, Latitude latitude);

/// The day of the year, 1 to 366.
int day_of_year(const Date& date);

/// Every day from one date to another, both included, as days of the year.
/// Errors: `last` before `first`; over a year.
Result<std::vector<int>> days_between(const Date& first, const Date& last);

}  // namespace slowdawn
