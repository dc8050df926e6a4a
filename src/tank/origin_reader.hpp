// Reads where a coral comes from: a depth on a reef.
#pragma once

#include <optional>
#include <slowdawn/tank/origin_days.hpp>

#include "tank/json_reader.hpp"

namespace slowdawn {

/// A place as it was described, and its light.
struct ReadOrigin {
  Origin origin;
  OriginLight light;
};

/// {"latitude": -20, "date": "2026-09-03", "depth_m": 3, "water": "II"}, where "season"
/// may stand for "date" (which "until" may follow), "kd" for "water", and "cloud" is
/// optional. Empty, with errors added, where it is not as it should be or the sun
/// does not rise.
std::optional<ReadOrigin> read_origin(JsonReader& reader, const JsonNode& node);

}  // namespace slowdawn
