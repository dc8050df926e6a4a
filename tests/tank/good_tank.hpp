// A tank file that reads, to be changed in one place by a test.
#pragma once

#include <nlohmann/json.hpp>
#include <slowdawn/tank/tank.hpp>
#include <stdexcept>
#include <string>

namespace slowdawn::testing {

using Json = nlohmann::ordered_json;

/// The numbers of its lights and spots.
inline constexpr std::size_t tubes = 0;
inline constexpr std::size_t bars = 1;
inline constexpr std::size_t crest = 0;
inline constexpr std::size_t sand = 1;

/// Two lights with straight dimming, so that full outputs are round numbers:
///   tubes  crest 212, sand 74       umol m-2 s-1 at 100 %
///   bars   crest 400, sand 100
inline Json good_tank() {
  return Json::parse(R"({
    "format": "slowdawn-tank/1",
    "name": "Stairwell reef",
    "water": {"length_cm": 150, "width_cm": 60, "depth_cm": 55},
    "meter": {"immersion_factor": 1, "calibration_percent": 10, "repeat_percent": 5},
    "lights": [
      {"name": "tubes", "photoperiod": {"on": "09:30", "off": "19:30"}},
      {"name": "bars",
       "photoperiod": {"on": "09:00", "off": "20:00", "rise_minutes": 90, "fall_minutes": 90},
       "dial": {"lowest": 5, "highest": 90, "step": 2}}
    ],
    "spots": [
      {"name": "crest", "x_cm": 70, "y_cm": 30, "depth_cm": 15},
      {"name": "sand", "x_cm": 40, "y_cm": 20, "depth_cm": 50}
    ],
    "surveys": [
      {"taken": "2026-11-18", "dials": {"tubes": 100}, "ppfd": {"crest": [212, 208, 216], "sand": 74}},
      {"taken": "2026-11-21", "dials": {"bars": 40}, "ppfd": {"crest": 160, "sand": 40}}
    ],
    "groups": [
      {"name": "staghorn thicket", "profile": "acropora", "spot": "crest"},
      {"name": "elephant ear", "profile": "corallimorph", "spot": "sand"}
    ],
    "ramp": {"from": {"tubes": 100}, "to": {"bars": 80}, "start": "2026-12-01"}
  })");
}

inline Json good_profile_in_place() {
  return Json::parse(R"({"dose_band": [2, 13], "peak_ceiling": 350, "headroom_percent": 25,
    "weekly_rise_percent": 12, "tau_up_days": 9, "tau_down_days": 4, "carryover": 0.7,
    "floor_percent": 60})");
}

/// A tank to plan with.
inline ReadResult<Tank> parse(const Json& tank) {
  auto parsed = parse_tank("reef.tank.json", tank.dump(2), ProfileShelf::built_in());
  if (!parsed || parsed->plan_errors.empty()) return parsed;
  return tl::make_unexpected(ReadFailure{ReadFailure::Kind::content, parsed->plan_errors});
}

/// A tank that must read.
inline Tank read(const Json& tank) {
  auto parsed = parse(tank);
  if (parsed) return std::move(*parsed);
  const Finding& finding = parsed.error().findings.front();
  throw std::runtime_error(finding.place.pointer + ": " + finding.what);
}

/// "POINTER: WHAT", a line for each.
inline std::string to_text(const Findings& findings) {
  std::string text;
  for (const Finding& finding : findings)
    text += finding.place.pointer + ": " + finding.what + "\n";
  return text;
}

/// What is wrong with a tank, or "".
inline std::string refusal(const Json& tank) {
  const auto parsed = parse(tank);
  return parsed ? "" : to_text(parsed.error().findings);
}

/// The good tank with another value at a JSON pointer.
inline Json with(const std::string& pointer, const Json& value, Json tank = good_tank()) {
  tank[Json::json_pointer{pointer}] = value;
  return tank;
}

/// The good tank without the value at a JSON pointer.
inline Json without(const std::string& pointer, Json tank = good_tank()) {
  const Json::json_pointer place{pointer};
  Json& parent = tank[place.parent_pointer()];
  if (parent.is_array()) {
    parent.erase(std::stoul(place.back()));
  } else {
    parent.erase(place.back());
  }
  return tank;
}

}  // namespace slowdawn::testing
