// The words for a group's excitation at the peak. Where no group has an Ek there
// are none, and every output is as if there were no such thing.
#pragma once

#include <optional>
#include <slowdawn/present/planned_ramp.hpp>
#include <slowdawn/present/text.hpp>
#include <string>
#include <string_view>

namespace slowdawn {

/// What the number is and how far to trust it; stands wherever it does.
inline constexpr std::string_view excitation_title =
    "Excitation proxy (unvalidated): 1 - tanh(x)/x with x = peak / Ek";

/// "0.32".
std::string proxy_text(double proxy);

/// Whether the Ek of some group is known.
bool knows_an_ek(const RampSetup& setup);

/// The proxy of a group at a peak; empty where its Ek is not known.
std::optional<double> proxy_of(const RampSetup& setup, std::size_t group, Ppfd peak);

/// "Ek 400", "Ek 400, cap 0.4 (a peak of 663)"; the Ek must be known.
std::string ek_text(const Tolerance& tolerance);

/// "at the most 0.32, on 2027-01-14 (day 44); Ek 400"; empty where its Ek is not
/// known or the plan has no day.
std::string highest_excitation_text(const PlannedRamp& ramp, std::size_t group);

/// The highest of every group of a plan, under a title; empty where there is none.
std::string excitation_of_plan(const PlannedRamp& ramp, const TextStyle& style);

/// Every group's before the ramp and at the goal, likewise.
std::string excitation_of_goal(const RampSetup& setup, const TextStyle& style);

}  // namespace slowdawn
