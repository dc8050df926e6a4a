// The sun by FAO-56 against its own examples and tables, against an almanac, and
// against an independent library.
#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <cstdio>
#include <memory>
#include <slowdawn/light/sunlight.hpp>
#include <string>

#include "published/published_case.hpp"

namespace slowdawn {
namespace {

using published::describe;
using published::expect_sourced;
using published::expect_value;
using published::half_of_last_digit;
using published::Within;

SunDay sun_day(double latitude, int day) { return {Latitude::degrees(latitude), day}; }
double ra(double latitude, int day) { return sun_day(latitude, day).extraterrestrial().mj_m2_d(); }
double hours(double latitude, int day) { return sun_day(latitude, day).day_length().h(); }
double sunset(double latitude, int day) {
  return sun_day(latitude, day).sunset_hour_angle().radians();
}

struct FaoExample {
  const char* name;
  double computed;
  double value;
  Within within;
  const char* source;
};

constexpr const char* fao_8 =
    "READ: FAO-56 (Allen et al. 1998) example 8, 20 S, 3 September, in woodcrafty/PyETo "
    "tests/test_fao.py";
constexpr const char* fao_8_calc = "CALC: FAO-56 example 8 to more digits, plain Python";
constexpr const char* fao_9 =
    "READ: FAO-56 example 9, 20 S, 3 September, in PyETo tests/test_fao.py";
constexpr const char* fao_10 =
    "READ: FAO-56 example 10, 22.9 S, 15 May, in PyETo tests/test_fao.py";
constexpr const char* fao_18 =
    "READ: FAO-56 example 18, 50.8 N, 6 July, 100 m, in PyETo tests/test_fao.py";

const FaoExample fao_examples[] = {
    {"8: dr", sun_day(-20, 246).inverse_distance(), 0.985, half_of_last_digit(1e-3), fao_8},
    {"8: declination", sun_day(-20, 246).declination().radians(), 0.120, half_of_last_digit(1e-3),
     fao_8},
    {"8: sunset angle", sunset(-20, 246), 1.527, half_of_last_digit(1e-3), fao_8},
    {"8: Ra", ra(-20, 246), 32.2, half_of_last_digit(0.1), fao_8},
    {"8: dr, more digits", sun_day(-20, 246).inverse_distance(), 0.984829, half_of_last_digit(1e-6),
     fao_8_calc},
    {"8: declination, more digits", sun_day(-20, 246).declination().radians(), 0.119655,
     half_of_last_digit(1e-6), fao_8_calc},
    {"8: sunset angle, more digits", sunset(-20, 246), 1.527022, half_of_last_digit(1e-6),
     fao_8_calc},
    {"8: Ra, more digits", ra(-20, 246), 32.1940, half_of_last_digit(1e-4), fao_8_calc},
    {"9: N", hours(-20, 246), 11.7, half_of_last_digit(0.1), fao_9},
    {"9: N, more digits", hours(-20, 246), 11.66559, half_of_last_digit(1e-5),
     "READ: printed with the function daylight_fao56 at ncl.ucar.edu, the same day"},
    {"10: Ra", ra(-22.9, 135), 25.1, half_of_last_digit(0.1), fao_10},
    {"10: Ra, more digits", ra(-22.9, 135), 25.111, half_of_last_digit(1e-3),
     "READ: printed with the function radext_fao56 at ncl.ucar.edu, the same day"},
    {"10: N", hours(-22.9, 135), 10.9, half_of_last_digit(0.1), fao_10},
    {"10: Rs with 7.1 h of sun",
     solar_radiation(DailyRadiation::mj_m2_d(25.1), 7.1 / 10.9).mj_m2_d(),
     14.45,
     {0.01, "the example goes on with 0.65 for n/N, rounded"},
     fao_10},
    {"11: Rso", clear_sky_radiation(DailyRadiation::mj_m2_d(25.1)).mj_m2_d(), 18.8,
     half_of_last_digit(0.1), "READ: FAO-56 example 11, Ra 25.1, in PyETo tests/test_fao.py"},
    // Its Rs is from temperatures, which is not computed here.
    {"15: Ra", ra(45.72, 196), 40.6, half_of_last_digit(0.1),
     "READ: FAO-56 example 15, in PyETo tests/test_fao.py; MEM: its place and day, 45.72 N, 15 "
     "July"},
    {"18: Ra", ra(50.8, 187), 41.09, half_of_last_digit(0.01), fao_18},
    {"18: N", hours(50.8, 187), 16.1, half_of_last_digit(0.1), "CALC: FAO-56 example 18, eq. 34"},
    {"18: Rso", clear_sky_radiation_at(DailyRadiation::mj_m2_d(41.09), Length::m(100)).mj_m2_d(),
     30.90, half_of_last_digit(0.01), fao_18},
};

TEST(PublishedSun, EveryFaoExampleHasASource) { expect_sourced(fao_examples); }

TEST(PublishedSun, AgreesWithTheExamplesOfFao56) {
  for (const FaoExample& row : fao_examples) expect_value(row, row.computed);
}

/// Middles of months.
constexpr std::array<int, 12> mid_months{15, 46, 74, 105, 135, 166, 196, 227, 258, 288, 319, 349};

struct MonthRow {
  const char* name;
  double latitude;
  std::array<double, 12> months;
  Within within;
  const char* source;
};

constexpr const char* table_2_7 =
    "CALC: FAO-56 table 2.7 (mean daylight hours), its row from eqs. 24, 25 and 34; the printed "
    "table was not to be had";

const MonthRow day_lengths[] = {
    {"equator",
     0,
     {12, 12, 12, 12, 12, 12, 12, 12, 12, 12, 12, 12},
     half_of_last_digit(0.01),
     table_2_7},
    {"10 N",
     10,
     {11.48, 11.68, 11.94, 12.23, 12.46, 12.58, 12.53, 12.33, 12.05, 11.77, 11.53, 11.42},
     half_of_last_digit(0.01),
     table_2_7},
    {"20 N",
     20,
     {10.92, 11.35, 11.87, 12.47, 12.95, 13.20, 13.10, 12.68, 12.10, 11.53, 11.03, 10.80},
     half_of_last_digit(0.01),
     table_2_7},
    {"30 N",
     30,
     {10.27, 10.96, 11.79, 12.74, 13.51, 13.92, 13.75, 13.08, 12.16, 11.25, 10.45, 10.08},
     half_of_last_digit(0.01),
     table_2_7},
    {"40 N",
     40,
     {9.47, 10.49, 11.70, 13.08, 14.22, 14.83, 14.57, 13.57, 12.24, 10.90, 9.74, 9.17},
     half_of_last_digit(0.01),
     table_2_7},
    {"50 N",
     50,
     {8.33, 9.84, 11.57, 13.53, 15.20, 16.12, 15.73, 14.25, 12.34, 10.44, 8.73, 7.88},
     half_of_last_digit(0.01),
     table_2_7},
    {"20 S",
     -20,
     {13.08, 12.65, 12.13, 11.53, 11.05, 10.80, 10.90, 11.32, 11.90, 12.47, 12.97, 13.20},
     half_of_last_digit(0.01),
     table_2_7},
};

const MonthRow radiations[] = {
    {"equator",
     0,
     {36.2, 37.4, 37.9, 36.8, 34.8, 33.4, 33.9, 35.6, 37.2, 37.3, 36.3, 35.6},
     half_of_last_digit(0.1),
     "CALC: FAO-56 eq. 21"},
    {"20 N",
     20,
     {26.8, 30.6, 34.7, 37.9, 39.3, 39.5, 39.3, 38.3, 35.7, 31.7, 27.6, 25.6},
     half_of_last_digit(0.1),
     "CALC: FAO-56 eq. 21"},
};

TEST(PublishedSun, EveryMonthRowHasASource) {
  expect_sourced(day_lengths);
  expect_sourced(radiations);
}

TEST(PublishedSun, DaysAreAsLongAsInTheTableOfFao56) {
  for (const MonthRow& row : day_lengths) {
    for (std::size_t month = 0; month < mid_months.size(); ++month) {
      EXPECT_NEAR(hours(row.latitude, mid_months[month]), row.months[month],
                  row.within.value * (1 + 1e-6))
          << describe(row) << ", month " << month + 1;
    }
  }
}

TEST(PublishedSun, RadiationOutsideTheAirFollowsTheMonths) {
  for (const MonthRow& row : radiations) {
    for (std::size_t month = 0; month < mid_months.size(); ++month) {
      EXPECT_NEAR(ra(row.latitude, mid_months[month]), row.months[month],
                  row.within.value * (1 + 1e-6))
          << describe(row) << ", month " << month + 1;
    }
  }
}

/// An almanac's day, which begins and ends with the sun's upper edge on the horizon, its
/// rays bent by the air: centre at -0.833 degrees.
double almanac_hours(double latitude, Angle declination) {
  const double phi = Angle::degrees(latitude).radians();
  const double delta = declination.radians();
  const double height = Angle::degrees(-0.833).radians();
  return 24.0 / std::numbers::pi *
         std::acos((std::sin(height) - std::sin(phi) * std::sin(delta)) /
                   (std::cos(phi) * std::cos(delta)));
}

struct RiseAndSet {
  const char* name;
  double latitude;
  int day;
  double value;
  Within within;
  const char* source;
};

constexpr const char* usno =
    "READ: United States Naval Observatory, rise and set of 2026 to the minute, in mourner/suncalc "
    "test/fixtures.json";
constexpr Within solstice{0.04, "minutes rounded at both ends (0.017 h), and eq. 24"};
// Eq. 24 is up to 1.1 degrees off in September and October (below), which makes
// 0.15 h tan(latitude).
constexpr Within equinox_low{0.03, "minutes rounded, and eq. 24, low latitude"};
constexpr Within equinox_high{0.26, "eq. 24 in September, times tan(59.3 degrees)"};

const RiseAndSet rises_and_sets[] = {
    {"4.6 N, 20 March", 4.610, 79, 12.117, equinox_low, usno},
    {"4.6 N, 21 June", 4.610, 172, 12.383, solstice, usno},
    {"12 S, 21 June", -12.043, 172, 11.433, solstice, usno},
    {"12 S, 21 December", -12.043, 355, 12.833, solstice, usno},
    {"31 N, 21 June", 31.222, 172, 14.167, solstice, usno},
    {"41 N, 21 December", 41.014, 355, 9.217, solstice, usno},
    {"50 N, 21 June", 50.455, 172, 16.450, solstice, usno},
    {"38 S, 21 December", -37.814, 355, 14.783, solstice, usno},
    {"59 N, 23 September", 59.329, 266, 12.183, equinox_high, usno},
};

TEST(PublishedSun, EveryRiseAndSetHasASource) { expect_sourced(rises_and_sets); }

TEST(PublishedSun, AgreesWithTheAlmanacButForTheHorizon) {
  for (const RiseAndSet& row : rises_and_sets) {
    expect_value(row, almanac_hours(row.latitude, sun_day(row.latitude, row.day).declination()));
    // The day by FAO-56 is shorter, by what check values have for it.
    const double shorter = row.value - hours(row.latitude, row.day);
    EXPECT_GT(shorter, 0.1) << describe(row);
    EXPECT_LT(shorter, std::abs(row.latitude) < 55 ? 0.25 : 0.45) << describe(row);
  }
}

TEST(PublishedSun, PolarNightsAndDaysAreClamped) {
  // READ: the same fixture has "continuously below the horizon" for polar places.
  EXPECT_EQ(hours(69.65, 355), 0.0);
  EXPECT_EQ(ra(69.65, 355), 0.0);
  EXPECT_EQ(hours(69.65, 172), 24.0);
  EXPECT_EQ(hours(-90, 355), 24.0);
  EXPECT_EQ(hours(90, 355), 0.0);
  EXPECT_GT(ra(-90, 355), 40.0);
}

std::string output_of(const std::string& command) {
  std::string text;
  const std::unique_ptr<FILE, int (*)(FILE*)> pipe{popen(command.c_str(), "r"), &pclose};
  if (!pipe) return text;
  std::array<char, 256> part{};
  while (std::fgets(part.data(), static_cast<int>(part.size()), pipe.get())) text += part.data();
  return text;
}

/// Rows "LATITUDE DAY HOURS DECLINATION" of the year 2026: from rise to set of the sun's
/// upper edge at -34 minutes without air, as almanacs have it; and degrees at noon.
constexpr const char* ask_ephem =
    "import ephem\n"
    "for latitude in (-35, -20, -5, 0, 10, 24, 40):\n"
    "  for day in range(5, 366, 12):\n"
    "    place = ephem.Observer()\n"
    "    place.lat, place.lon, place.pressure, place.horizon = str(latitude), '0', 0, '-0:34'\n"
    "    place.date = ephem.Date('2026/1/1 12:00') + day - 1\n"
    "    rise = place.previous_rising(ephem.Sun())\n"
    "    hours = 24 * (place.next_setting(ephem.Sun()) - rise)\n"
    "    sun = ephem.Sun(place)\n"
    "    print(latitude, day, hours, sun.dec * 57.29577951308232)\n";

TEST(PublishedSun, AgreesWithAnIndependentLibraryOverTheYear) {
  const std::string python = std::string{SLOWDAWN_PYTHON} + " -B -c ";
  if (output_of(python + "\"import ephem; print('there')\" 2>/dev/null") != "there\n") {
    GTEST_SKIP() << "the package python3-ephem is not installed, so this could not be checked";
  }
  const std::string text = output_of(python + "\"" + ask_ephem + "\"");
  int rows = 0;
  double latitude = 0.0;
  int day = 0;
  double value = 0.0;
  double declination = 0.0;
  for (const char* at = text.c_str(); *at != '\0'; ++rows) {
    int length = 0;
    ASSERT_EQ(std::sscanf(at, "%lf %d %lf %lf\n%n", &latitude, &day, &value, &declination, &length),
              4)
        << at;
    at += length;
    SCOPED_TRACE(std::to_string(latitude) + " degrees, day " + std::to_string(day));
    // With the library's own declination: the way from declination to hours. The sun's
    // apparent size (0.002 h) and its move within the day are left.
    EXPECT_NEAR(almanac_hours(latitude, Angle::degrees(declination)), value, 0.012);
    // Eq. 24 is a plain sine; the true course is not.
    const SunDay sun = sun_day(latitude, day);
    EXPECT_NEAR(sun.declination().degrees(), declination, 1.1);
    // So the day of FAO-56 is short by the offset of the horizon, give or take that.
    const double by_declination =
        1.1 * 2.0 / 15.0 * std::abs(std::tan(Angle::degrees(latitude).radians())) * 1.1;
    const double offset = value - sun.day_length().h();
    EXPECT_NEAR(offset, almanac_hours(latitude, sun.declination()) - sun.day_length().h(),
                0.012 + by_declination);
  }
  EXPECT_EQ(rows, 7 * 31);
}

TEST(PublishedSun, PhotonsForEnergyAreThoseOfTheSource) {
  // READ: Logan, Sams and Faust 2016, AMS paper 289816: 7.058 mol for each kWh, which
  // is 1.9606 mol for each MJ.
  const double mol_per_mj = par_photons(DailyRadiation::mj_m2_d(1.0)).mol_m2_d();
  EXPECT_NEAR(mol_per_mj, 1.9606, 0.00005);
  const Sunlight clear = compute_sunlight(Latitude::degrees(-20), 246, 0.0);
  EXPECT_NEAR(clear.dose.mol_m2_d(), 0.75 * 32.1940 * 1.9606, 0.01);
  // CALC: the spectrum of ASTM G173 has 1977.87 umol m-2 s-1 for 1000.371 W m-2.
  EXPECT_NEAR(1.97787 / 1.000371 / mol_per_mj, 1.0, 0.01);
}

}  // namespace
}  // namespace slowdawn
