// Logged light: the doses and peaks of the days that a sensor has recorded.
//
// Between two samples (t0, E0) and (t1, E1) the light is the straight line, so
// that a piece adds, by the trapezoid rule,
//
//   dose += 0.0036 (E0 + E1) / 2 (t1 - t0),  t in h, E in umol m-2 s-1      (1)
//
// A piece that crosses midnight is split there, at the line's value; so the
// days add up to the whole. Dark is a PPFD at or below a threshold, since
// sensors read noise in the dark.
//
// What lies between two samples nobody has seen. How that is judged (times are
// compared with the relative slack of quantity.hpp):
//
//   over 10 min             a gap: named, and crossed by the straight line
//   dark at both ends       a gap like another, but taken for a night, since
//                           many loggers rest in the dark; no error
//   over 60 min otherwise   an error, unless gaps are allowed
//   over 24 h in the dark   an error, unless gaps are allowed: it holds every
//                           hour of the clock, so a whole lit day may be lost
//
// A log with an hour's gap in the light may miss the whole peak; one whose
// night begins and ends lit would have a straight line of light through it.
#pragma once

#include <cstddef>
#include <slowdawn/light/clock_time.hpp>
#include <slowdawn/light/quantity.hpp>
#include <slowdawn/light/result.hpp>
#include <span>
#include <vector>

namespace slowdawn {

/// source: Runkle 2006, Daily light integral defined, MSU Extension: measure at
///   least every 10 minutes.
inline constexpr Hours longest_even_step = Hours::minutes(10.0);
/// Design choice: an hour is under a tenth of a usual lit day.
inline constexpr Hours longest_lit_gap = Hours::minutes(60.0);
/// Own reasoning: anything longer holds every hour of the clock.
inline constexpr Hours longest_dark_gap = Hours::h(24.0);
/// Design choice: over a night of 14 h it adds up to 0.03 mol m-2.
inline constexpr Ppfd default_dark = Ppfd::umol_m2_s(0.5);
/// Design choice: what spans more is a slip in a year.
inline constexpr std::size_t most_logged_days = 3660;

struct LightSample {
  /// From the midnight before the first sample.
  ClockTime time;
  Ppfd ppfd;
};

/// A stretch of one day without samples, by that day's clock up to 24:00; a gap
/// across midnight is a stretch of either day.
struct LogGap {
  ClockTime start;
  ClockTime end;
  /// Dark at both ends of the gap, so taken for dark.
  bool is_dark;
  bool operator==(const LogGap&) const = default;
};

/// One calendar day of a log.
struct LoggedDay {
  DailyDose dose;
  /// The highest PPFD of the straight lines.
  Ppfd peak;
  /// Time of the pieces with light over the threshold at either end, as
  /// Photoperiod::lit has it; up to a sample's step too long at dawn and dusk.
  Hours lit;
  /// What the log covers, by this day's clock up to 24:00.
  ClockTime first;
  ClockTime last;
  /// The day is not covered from midnight to midnight, and the log begins or
  /// ends lit in it, or has no light in it at all: dose, peak and lit are only
  /// what was logged. (What is not covered is else taken for dark.)
  bool is_incomplete;
  /// Over 10 minutes each, in order; hourly samples make 24 a day.
  std::vector<LogGap> gaps;
};

struct LogRules {
  /// PPFD up to this is dark; >= 0.
  Ppfd dark = default_dark;
  /// Whether a gap that is too long is crossed by the straight line as well.
  bool allow_gaps = false;
};

/// What is wrong with a log; days in the text count from 1.
struct LogFault : Fault {
  /// Number of the sample, from 0; the later one where two disagree.
  std::size_t sample;
};

/// Integrates equation (1) over every day of a log.
/// samples: at least two; times finite and strictly rising, the first in
///   the first 24 h, the last within 3660 days; PPFD >= 0.
/// Returns: one entry for every day from the first, without a last day of which
///   only the midnight was logged.
/// Errors: samples that are not so; a gap that is too long, as said above.
/// accuracy: exact to rounding for straight lines. A half-sine day of 12 h comes
///   out 0.57 % low with hourly samples (own arithmetic, see the tests).
tl::expected<std::vector<LoggedDay>, LogFault> integrate_logged_light(
    std::span<const LightSample> samples, const LogRules& rules = {});

}  // namespace slowdawn
