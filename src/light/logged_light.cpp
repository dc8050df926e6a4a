#include <algorithm>
#include <cmath>
#include <optional>
#include <slowdawn/light/logged_light.hpp>
#include <slowdawn/light/photoperiod.hpp>
#include <string>

namespace slowdawn {
namespace {

using Faulty = std::optional<LogFault>;

/// The day that a moment lies in, from 0; midnight belongs to the day it begins.
/// The quotient of a day's last moment is never rounded up (tested).
std::size_t day_number(ClockTime moment) {
  return static_cast<std::size_t>((moment - ClockTime{}) / whole_day);
}

ClockTime midnight_before(std::size_t day) {
  return ClockTime{} + whole_day * static_cast<double>(day);
}

/// By the clock of the day that begins with this midnight.
ClockTime on_day(ClockTime moment, ClockTime midnight) { return ClockTime{} + (moment - midnight); }

std::string two_digits(long number) { return (number < 10 ? "0" : "") + std::to_string(number); }

/// "12:05 on day 1".
std::string moment_text(ClockTime moment) {
  const std::size_t day = day_number(moment);
  const auto whole = static_cast<long>((moment - midnight_before(day)).min());
  return two_digits(whole / 60) + ":" + two_digits(whole % 60) + " on day " +
         std::to_string(day + 1);
}

/// "1 h 35 min".
std::string length_text(Minutes length) {
  const long whole = std::lround(length.min());
  return std::to_string(whole / 60) + " h " + std::to_string(whole % 60) + " min";
}

/// The straight line from one sample to the next.
struct Piece {
  const LightSample& from;
  const LightSample& to;

  Hours length() const { return (to.time - from.time).hours(); }

  bool is_dark(Ppfd dark) const { return from.ppfd <= dark && to.ppfd <= dark; }

  bool is_gap() const { return exceeds(length(), longest_even_step); }

  bool is_too_long(Ppfd dark) const {
    return exceeds(length(), is_dark(dark) ? longest_dark_gap : longest_lit_gap);
  }

  Ppfd at(ClockTime time) const {
    if (time == to.time) return to.ppfd;
    const double share = (time - from.time) / (to.time - from.time);
    return from.ppfd + (to.ppfd - from.ppfd) * share;
  }
};

LogFault log_fault(std::size_t sample, std::string what, std::string hint) {
  return {{std::move(what), std::move(hint)}, sample};
}

Faulty find_bad_span(std::span<const LightSample> samples) {
  if (samples.size() < 2) {
    return log_fault(0, "a log needs at least two samples",
                     "log a whole day, at least every 10 minutes");
  }
  const ClockTime first = samples.front().time;
  if (first < ClockTime{} || first >= ClockTime{} + whole_day) {
    return log_fault(0, "the first sample is not on the first day",
                     "count minutes from the midnight before the first sample");
  }
  if (samples.back().time > midnight_before(most_logged_days)) {
    return log_fault(samples.size() - 1,
                     "the log spans over " + std::to_string(most_logged_days) + " days",
                     "look for a slip in the year of its first or last sample");
  }
  return std::nullopt;
}

Faulty find_bad_sample(std::span<const LightSample> samples) {
  for (std::size_t i = 0; i < samples.size(); ++i) {
    const std::string number = std::to_string(i + 1);
    if (samples[i].ppfd < Ppfd{}) {
      return log_fault(i, "the PPFD of sample " + number + " is negative", "PPFD is 0 or more");
    }
    if (i > 0 && samples[i].time <= samples[i - 1].time) {
      return log_fault(i, "the time of sample " + number + " is not after the one before",
                       "give the samples in the order of time, and each time once");
    }
  }
  return std::nullopt;
}

Faulty find_long_gap(std::span<const LightSample> samples, Ppfd dark) {
  std::size_t count = 0;
  std::size_t first = 0;
  for (std::size_t i = 1; i < samples.size(); ++i) {
    if (!Piece{samples[i - 1], samples[i]}.is_too_long(dark)) continue;
    if (++count == 1) first = i;
  }
  if (count == 0) return std::nullopt;
  const Piece gap{samples[first - 1], samples[first]};
  std::string what = "there is no sample for " + length_text(gap.to.time - gap.from.time) +
                     ", from " + moment_text(gap.from.time) + " to " + moment_text(gap.to.time);
  if (count > 1) what += " (the first of " + std::to_string(count) + " gaps that are too long)";
  return log_fault(first, std::move(what),
                   gap.is_dark(dark)
                       ? "all of it would be taken for dark, a lit day too; allow gaps if it was"
                       : "log until it is dark, at least every 10 minutes; or allow gaps, which "
                         "takes the straight line across");
}

/// Equation (1) for the part of a piece that lies in one day.
void add_part(LoggedDay& day, const Piece& piece, ClockTime start, ClockTime end) {
  const Ppfd first = piece.at(start);
  const Ppfd last = piece.at(end);
  day.dose += 0.5 * (first + last) * (end - start).hours();
  day.peak = std::max({day.peak, first, last});
}

void add_piece(std::vector<LoggedDay>& days, const Piece& piece, Ppfd dark) {
  const bool is_dark = piece.is_dark(dark);
  ClockTime start = piece.from.time;
  for (std::size_t number = day_number(start); start < piece.to.time; ++number) {
    const ClockTime midnight = midnight_before(number);
    const ClockTime end = std::min(piece.to.time, midnight + whole_day);
    if (number == days.size()) {
      days.push_back({.dose = {},
                      .peak = {},
                      .lit = {},
                      .first = on_day(start, midnight),
                      .last = on_day(start, midnight),
                      .is_incomplete = false,
                      .gaps = {}});
    }
    LoggedDay& day = days[number];
    add_part(day, piece, start, end);
    if (!is_dark) day.lit += (end - start).hours();
    if (piece.is_gap())
      day.gaps.push_back({on_day(start, midnight), on_day(end, midnight), is_dark});
    day.last = on_day(end, midnight);
    start = end;
  }
}

/// Days between the first and the last are covered whole.
void mark_incomplete(std::vector<LoggedDay>& days, std::span<const LightSample> samples,
                     Ppfd dark) {
  LoggedDay& first = days.front();
  LoggedDay& last = days.back();
  const bool starts_late = first.first > ClockTime{};
  const bool ends_early = last.last < ClockTime{} + whole_day;
  // A log that begins after dusk has no light in its first day, but the day had.
  if (starts_late && (samples.front().ppfd > dark || first.lit == Hours{})) {
    first.is_incomplete = true;
  }
  if (ends_early && (samples.back().ppfd > dark || last.lit == Hours{})) {
    last.is_incomplete = true;
  }
}

}  // namespace

tl::expected<std::vector<LoggedDay>, LogFault> integrate_logged_light(
    std::span<const LightSample> samples, const LogRules& rules) {
  Faulty problem = find_bad_span(samples);
  if (!problem) problem = find_bad_sample(samples);
  if (!problem && !rules.allow_gaps) problem = find_long_gap(samples, rules.dark);
  if (problem) return tl::make_unexpected(*std::move(problem));
  std::vector<LoggedDay> days;
  for (std::size_t i = 1; i < samples.size(); ++i) {
    add_piece(days, {samples[i - 1], samples[i]}, rules.dark);
  }
  mark_incomplete(days, samples, rules.dark);
  return days;
}

}  // namespace slowdawn
