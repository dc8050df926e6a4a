// From the surveys to full outputs, and whether every group can be planned.
#pragma once

#include <slowdawn/tank/tank.hpp>
#include <vector>

#include "tank/json_reader.hpp"

namespace slowdawn {

/// Fills tank.full_output, and adds an error at a group for each light that its
/// plan needs and that was not read, or cannot be told apart, at its spot.
/// groups: the nodes of tank.groups, in the same order.
void fit_readings(JsonReader& reader, Tank& tank, const std::vector<JsonNode>& groups);

}  // namespace slowdawn
