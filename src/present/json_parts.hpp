// What the JSON of all answers is made of.
#pragma once

#include <cmath>
#include <map>
#include <nlohmann/json.hpp>
#include <slowdawn/present/planned_ramp.hpp>
#include <slowdawn/tank/ramp_setup.hpp>
#include <string>

namespace slowdawn {

/// Numbers go out by shortest round trip; keys keep the order in which they are
/// put in.
using Json = nlohmann::ordered_json;

/// Without a line end. A file's name may hold bytes that are no UTF-8, which come out as
/// U+FFFD; what must be spelled out is escaped.
std::string dump_json(const Json& json);

inline std::string print(const Json& json) { return dump_json(json) + "\n"; }

/// Whole numbers without a decimal point, as people write percentages.
inline Json to_json(Percent percent) {
  const double value = percent.percent();
  if (value == std::floor(value)) return static_cast<int>(value);
  return value;
}

inline Json to_json(const Exposure& exposure) {
  return {{"dose", exposure.dose.mol_m2_d()}, {"peak", exposure.peak.umol_m2_s()}};
}

/// Light as a meter shows it, and beside it as the caps see it where that differs.
Json light_json(const Tank& tank, const Exposure& measured, const Exposure& usable);

/// Dials by the name of their light.
Json dials_json(const Tank& tank, const std::map<std::size_t, Percent>& by_light);

/// Beside every "dials" within, "channels": how those of each light with channels stand.
/// Nothing where no light has any.
void add_channels(const Tank& tank, Json& json);

std::string status_key(PlanStatus status);

/// A day as it stands in the plan's JSON.
Json day_json(const PlannedRamp& ramp, std::size_t day);

/// Who holds the dial on a day, and who bars the goal for good; null where nobody does.
Json held_by_json(const PlannedRamp& ramp, std::size_t day);
Json held_for_good_json(const PlannedRamp& ramp);

/// What the plan waits for first; null where it waits for nothing.
Json waits_for_json(const PlannedRamp& ramp);

inline Json date_or_null(const PlannedRamp& ramp, const std::optional<std::size_t>& day) {
  if (!day) return nullptr;
  return to_iso(ramp.date(*day));
}

template <class Value>
Json value_or_null(const std::optional<Value>& value) {
  if (!value) return nullptr;
  return *value;
}

/// Adds "guessed": the groups whose light before is a guess, where there are any.
void add_guesses(Json& json, const Tank& tank);

/// Adds what must be said of a tank's light figures: "relative", "estimated", "guessed",
/// "usable_weights".
void add_light_remarks(Json& json, const Tank& tank, const RampSetup& setup);

}  // namespace slowdawn
