// Daily light integrals of steady days and of days with a shape.
#include <gtest/gtest.h>

#include <cmath>
#include <numbers>
#include <slowdawn/light/exposure.hpp>
#include <vector>

#include "published/published_case.hpp"

namespace slowdawn {
namespace {

ClockTime at(double minute) { return ClockTime::minute(minute); }

using published::describe;
using published::expect_sourced;
using published::expect_value;
using published::half_of_last_digit;
using published::rounding;
using published::Within;

struct SteadyDay {
  const char* name;
  double ppfd_umol_m2_s;
  double hours;
  /// mol m-2 d-1.
  double value;
  Within within;
  const char* source;
};

const SteadyDay steady_days[] = {
    {"one umol all day", 1.0, 24.0, 0.0864, rounding(1e-15),
     "CALC: PPFD * h * 0.0036, definition in Runkle 2006, Daily light integral defined, MSU "
     "Extension"},
    {"printed example", 38.1, 12.0, 1.6, half_of_last_digit(0.1),
     "READ second-hand: example credited to J. Faust, Light Management I"},
    {"printed example, unrounded", 38.1, 12.0, 1.64592, rounding(1e-14),
     "CALC: from the example credited to J. Faust, Light Management I"},
    {"100 umol for 12 h", 100.0, 12.0, 4.32, rounding(1e-14), "CALC: PPFD * h * 0.0036"},
    {"200 umol for 10 h", 200.0, 10.0, 7.20, rounding(1e-14),
     "CALC: GNU units, 200 micromol/m^2/s * 10 hour in mol/m^2"},
    {"250 umol for 8 h", 250.0, 8.0, 7.20, rounding(1e-14),
     "CALC: PPFD * h * 0.0036, the dose of 200 umol for 10 h"},
    {"300 umol for 9 h", 300.0, 9.0, 9.72, rounding(1e-14), "CALC: PPFD * h * 0.0036"},
    {"500 umol for 12 h", 500.0, 12.0, 21.6, rounding(1e-13), "CALC: PPFD * h * 0.0036"},
    {"1000 umol for 12 h", 1000.0, 12.0, 43.2, rounding(1e-13), "CALC: PPFD * h * 0.0036"},
};

/// One light of this full output at dial 100.
Exposure expose(const Photoperiod& photoperiod, double ppfd_umol_m2_s) {
  const LightCourse lights[] = {{photoperiod, {}}};
  const Percent dials[] = {Percent::of_full(100.0)};
  const Ppfd full_output[] = {Ppfd::umol_m2_s(ppfd_umol_m2_s)};
  return LitDay{lights, dials}.at(full_output);
}

TEST(PublishedSteadyDay, EveryRowHasASource) { expect_sourced(steady_days); }

TEST(PublishedSteadyDay, IsPpfdOverHours) {
  for (const SteadyDay& row : steady_days) {
    expect_value(row, (Ppfd::umol_m2_s(row.ppfd_umol_m2_s) * Hours::h(row.hours)).mol_m2_d());
  }
}

TEST(PublishedSteadyDay, IsTheDoseOfASquareDay) {
  for (const SteadyDay& row : steady_days) {
    if (Hours::h(row.hours) > longest_lit_day) continue;
    const Photoperiod day =
        Photoperiod::between(at(480.0), at(480.0 + 60.0 * row.hours), {}, {}).value();
    const Exposure exposure = expose(day, row.ppfd_umol_m2_s);
    expect_value(row, exposure.dose.mol_m2_d());
    EXPECT_DOUBLE_EQ(exposure.peak.umol_m2_s(), row.ppfd_umol_m2_s) << describe(row);
  }
}

enum class Shape { half_sine, sine_squared };

struct ShapedDay {
  const char* name;
  Shape shape;
  double peak_umol_m2_s;
  double hours;
  /// Minutes between the points of the course.
  double sampling_minutes;
  /// mol m-2 d-1.
  double value;
  Within within;
  const char* source;
};

// Straight lines between points lie under a half-sine by (pi^2 / 12) (step /
// day)^2: 7e-9 mol at 0.02 minutes, far less than half of the last digit.
const ShapedDay shaped_days[] = {
    {"half-sine", Shape::half_sine, 400.0, 12.0, 0.02, 11.000790, half_of_last_digit(1e-6),
     "CALC: 0.0036 P h 2 / pi"},
    {"half-sine of 10 h", Shape::half_sine, 200.0, 10.0, 0.02, 4.58, half_of_last_digit(0.01),
     "CALC: 0.0036 P h 2 / pi"},
    {"half-sine sampled hourly", Shape::half_sine, 400.0, 12.0, 60.0, 10.937886,
     half_of_last_digit(1e-6), "CALC: trapezoid rule over 12 intervals"},
    {"half-sine sampled at 30 min", Shape::half_sine, 400.0, 12.0, 30.0, 10.985077,
     half_of_last_digit(1e-6), "CALC: trapezoid rule over 24 intervals"},
    {"half-sine sampled at 5 min", Shape::half_sine, 400.0, 12.0, 5.0, 11.000353,
     half_of_last_digit(1e-6), "CALC: trapezoid rule over 144 intervals"},
    {"sine squared", Shape::sine_squared, 400.0, 12.0, 1.0, 8.64, rounding(1e-12),
     "CALC: 0.0036 P h / 2, exact for the trapezoid rule"},
    {"sine squared, hourly", Shape::sine_squared, 400.0, 12.0, 60.0, 8.64, rounding(1e-12),
     "CALC: 0.0036 P h / 2, exact for the trapezoid rule"},
};

Photoperiod sample(const ShapedDay& row) {
  const double on_minute = 360.0;
  const double length = 60.0 * row.hours;
  const int intervals = static_cast<int>(std::lround(length / row.sampling_minutes));
  std::vector<Photoperiod::Point> points{{at(on_minute), 0.0}};
  for (int i = 1; i < intervals; ++i) {
    const double sine = std::sin(std::numbers::pi * i / intervals);
    points.push_back({at(on_minute + length * i / intervals),
                      row.shape == Shape::half_sine ? sine : sine * sine});
  }
  points.push_back({at(on_minute + length), 0.0});
  return Photoperiod::through(std::move(points)).value();
}

TEST(PublishedShapedDay, EveryRowHasASource) { expect_sourced(shaped_days); }

TEST(PublishedShapedDay, HasTheDoseOfItsClosedForm) {
  for (const ShapedDay& row : shaped_days) {
    const Exposure exposure = expose(sample(row), row.peak_umol_m2_s);
    expect_value(row, exposure.dose.mol_m2_d());
    EXPECT_NEAR(exposure.peak.umol_m2_s(), row.peak_umol_m2_s, 1e-12) << describe(row);
  }
}

struct SamplingError {
  const char* name;
  double sampling_minutes;
  /// Percent of the closed form.
  double value;
  Within within;
  const char* source;
};

const SamplingError sampling_errors[] = {
    {"hourly", 60.0, -0.57, half_of_last_digit(0.01),
     "CALC: trapezoid rule against 0.0036 P h 2 / pi"},
};

TEST(PublishedSamplingError, EveryRowHasASource) { expect_sourced(sampling_errors); }

TEST(PublishedSamplingError, IsThatOfTheTrapezoidRule) {
  const double exact = 0.0036 * 400.0 * 12.0 * 2.0 / std::numbers::pi;
  for (const SamplingError& row : sampling_errors) {
    const ShapedDay day{row.name, Shape::half_sine, 400.0,     12.0, row.sampling_minutes,
                        exact,    row.within,       row.source};
    expect_value(row, 100.0 * (expose(sample(day), 400.0).dose.mol_m2_d() / exact - 1.0));
  }
}

struct Trapezoid {
  const char* name;
  double peak_umol_m2_s;
  double rise_minutes;
  double flat_minutes;
  double fall_minutes;
  /// mol m-2 d-1.
  double value;
  Within within;
  const char* source;
};

const Trapezoid trapezoids[] = {
    {"1 h up, 8 h flat, 1 h down", 250.0, 60.0, 480.0, 60.0, 8.1, rounding(1e-14),
     "CALC: 0.0036 P (flat + (up + down) / 2)"},
    {"triangle", 250.0, 300.0, 0.0, 300.0, 4.5, rounding(1e-14),
     "CALC: 0.0036 P (flat + (up + down) / 2)"},
    {"lopsided", 400.0, 30.0, 420.0, 150.0, 12.24, rounding(1e-13),
     "CALC: 0.0036 P (flat + (up + down) / 2)"},
};

TEST(PublishedTrapezoid, EveryRowHasASource) { expect_sourced(trapezoids); }

TEST(PublishedTrapezoid, HasTheDoseOfItsClosedForm) {
  for (const Trapezoid& row : trapezoids) {
    const double length = row.rise_minutes + row.flat_minutes + row.fall_minutes;
    const Photoperiod day =
        Photoperiod::between(at(540.0), at(540.0 + length), Minutes::min(row.rise_minutes),
                             Minutes::min(row.fall_minutes))
            .value();
    expect_value(row, expose(day, row.peak_umol_m2_s).dose.mol_m2_d());
  }
}

}  // namespace
}  // namespace slowdawn
