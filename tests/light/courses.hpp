// Lights of made-up days and dimming curves, and their courses worked out a
// second time from the definition.
#pragma once

#include <algorithm>
#include <cmath>
#include <initializer_list>
#include <random>
#include <slowdawn/light/exposure.hpp>
#include <stdexcept>
#include <utility>
#include <vector>

namespace slowdawn::courses {

/// Measured pairs of a dimming curve, drive % and output %.
using Pairs = std::vector<std::pair<double, double>>;

inline Result<DimmingCurve> try_curve(const Pairs& pairs) {
  std::vector<std::pair<Percent, Percent>> quantities;
  for (const auto& [drive, output] : pairs) {
    quantities.emplace_back(Percent::of_full(drive), Percent::of_full(output));
  }
  return DimmingCurve::through(quantities);
}

/// A curve that must be allowed.
inline DimmingCurve make_curve(const Pairs& pairs) { return try_curve(pairs).value(); }

/// Strictly rising pairs, at least 1 % of drive and 0.1 % of output apart.
inline Pairs random_pairs(std::mt19937& random, std::size_t count) {
  const auto rising = [&](double gap) {
    std::uniform_real_distribution<double> weight(0.0, 1.0);
    std::vector<double> widths(count + 1);
    double sum = 0.0;
    // The cube makes some gaps far wider than others.
    for (double& width : widths) sum += width = std::pow(weight(random), 3.0) + 1e-9;
    const double spare = 100.0 - gap * static_cast<double>(count + 1);
    std::vector<double> values;
    double at = 0.0;
    for (std::size_t i = 0; i < count; ++i) values.push_back(at += gap + spare * widths[i] / sum);
    return values;
  };
  const std::vector<double> drives = rising(1.0);
  const std::vector<double> outputs = rising(0.1);
  Pairs pairs;
  for (std::size_t i = 0; i < count; ++i) pairs.emplace_back(drives[i], outputs[i]);
  return pairs;
}

inline constexpr double minutes_per_day = whole_day.min();

/// A day with a rise and a fall, in minutes.
struct Day {
  double on;
  double off;
  double rise;
  double fall;

  Photoperiod photoperiod() const {
    return Photoperiod::between(ClockTime::minute(on), ClockTime::minute(off), Minutes::min(rise),
                                Minutes::min(fall))
        .value();
  }
  double length() const { return off > on ? off - on : off - on + minutes_per_day; }

  /// f just after a minute of the day, from the definition.
  double after(double minute) const {
    const double since_on = std::fmod(minute - on + 2.0 * minutes_per_day, minutes_per_day);
    if (since_on >= length()) return 0.0;
    if (since_on < rise) return since_on / rise;
    if (since_on > length() - fall) return (length() - since_on) / fall;
    return 1.0;
  }
  /// f just before a minute of the day, from the definition.
  double before(double minute) const {
    const double since_on = std::fmod(minute - on + 2.0 * minutes_per_day, minutes_per_day);
    if (since_on == 0.0 || since_on > length()) return 0.0;
    if (since_on <= rise) return since_on / rise;
    if (since_on > length() - fall) return (length() - since_on) / fall;
    return 1.0;
  }
};

/// Corners on whole minutes; about every fourth day has steps, every fourth
/// runs past midnight.
inline Day random_day(std::mt19937& random) {
  const auto whole = [&](int low, int high) {
    return static_cast<double>(std::uniform_int_distribution<int>(low, high)(random));
  };
  Day day{whole(0, 1439), 0.0, 0.0, 0.0};
  const double length = whole(10, 840);
  day.off = std::fmod(day.on + length, minutes_per_day);
  if (whole(0, 3) > 0) {
    day.rise = whole(0, static_cast<int>(length));
    day.fall = whole(0, static_cast<int>(length - day.rise));
  }
  return day;
}

}  // namespace slowdawn::courses
