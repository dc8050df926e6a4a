// Single answers as a keeper types them: to a question, behind an option, into a
// cell of a table.
//
// Errors of all of them: what is wrong with the text, and what was expected.
#pragma once

#include <slowdawn/tank/history.hpp>
#include <slowdawn/tank/tank_draft.hpp>
#include <string>
#include <string_view>
#include <vector>

namespace slowdawn {

/// A name: any valid UTF-8 that is not empty.
Result<std::string> parse_name(std::string_view text);

/// A number in an inclusive range.
/// kind: what it is, as in "... is no PPFD".
Result<double> parse_amount(std::string_view text, double low, double high, std::string_view kind);

/// A percentage, 0 to 100, with or without its sign.
Result<Percent> parse_percent(std::string_view text);

/// A percentage at which a light is on: over 0.
Result<Percent> parse_lit_percent(std::string_view text);

/// Readings of one spot, separated by blanks, 0 to 3000: as the meter showed them, so
/// no Ppfd before the immersion factor.
Result<std::vector<double>> parse_repeats(std::string_view text);

/// So many numbers, separated by blanks or commas, in an inclusive range.
/// example: as they might stand there.
Result<std::vector<double>> parse_numbers(std::string_view text, std::size_t count, double low,
                                          double high, std::string_view example);

/// Numbers of a list of so many, "1 3", as they count from 0; each once, rising.
Result<std::vector<std::size_t>> parse_choice(std::string_view text, std::size_t count);

/// Channels with their percentages, each over 0: "royal 100, violet 80, red 8".
Result<std::vector<Channel>> parse_channels(std::string_view text);

/// A light's day: "09:00 to 20:00, 90 min rise and fall", "9:00-20:00, rise 90
/// min, fall 60 min".
Result<DraftDay> parse_day(std::string_view text);

/// Whether a day can be: as Photoperiod::between.
Result<DraftDay> check_day(const DraftDay& day);

/// Lowest, highest and step of a dial, "5 100 1".
Result<DialRange> parse_dial(std::string_view text);

/// Measured drive and output, "25:21 50:47".
Result<std::vector<std::pair<Percent, Percent>>> parse_dimming(std::string_view text);

/// The light that corals had elsewhere: "120 for 10 h", a PPFD and its hours, from
/// which dose = 0.0036 x PPFD x hours, as if it stood still all the while; or
/// "dose 6.2 peak 190", as measured; or "unknown".
Result<History> parse_earlier_light(std::string_view text);

/// Dose and peak that can be: the dose needs no more than 24 h at the peak.
Result<Exposure> make_earlier_light(DailyDose dose, Ppfd peak);

Result<Pace> parse_pace(std::string_view text);

}  // namespace slowdawn
