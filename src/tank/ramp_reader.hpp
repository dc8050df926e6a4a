// Reads the ramp of a tank file.
#pragma once

#include <slowdawn/tank/tank.hpp>

#include "tank/json_reader.hpp"
#include "tank/tank_names.hpp"

namespace slowdawn {

/// lights: those of the file; empty where one of them could not be read, and
///   what rests on their dials is then left unchecked.
/// names: of the file's lights.
Ramp read_ramp(JsonReader& reader, const JsonNode& node, const std::vector<TankLight>& lights,
               const Names& names);

}  // namespace slowdawn
