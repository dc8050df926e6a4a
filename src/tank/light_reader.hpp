// Reads one light of a tank file.
#pragma once

#include <optional>
#include <slowdawn/tank/tank.hpp>

#include "tank/json_reader.hpp"

namespace slowdawn {

/// Empty, with errors added, where the course is not as it should be.
std::optional<Photoperiod> read_photoperiod(JsonReader& reader, const JsonNode& node);

/// Empty, with errors added, where the light is not as it should be.
/// start: of the ramp, which a sun needs.
std::optional<TankLight> read_light(JsonReader& reader, const JsonNode& node,
                                    const std::optional<Date>& start);

}  // namespace slowdawn
