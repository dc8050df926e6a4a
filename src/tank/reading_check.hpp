// From the surveys to full outputs, and whether every group can be planned.
#pragma once

#include <slowdawn/light/full_output.hpp>
#include <slowdawn/tank/tank.hpp>
#include <vector>

#include "tank/json_reader.hpp"

namespace slowdawn {

/// One spot's repeats of a survey as a row of the least squares, in PPFD.
SpotReading to_spot_reading(const Tank& tank, const Survey& survey,
                            const std::vector<double>& repeats);

/// Fills tank.full_output, with estimates where a light of the ramp was not read
/// but has a map, and adds an error at a group for each light that its
/// plan needs and that was not read, or cannot be told apart, at its spot.
/// groups: the nodes of tank.groups, in the same order.
void fit_readings(JsonReader& reader, Tank& tank, const std::vector<JsonNode>& groups);

}  // namespace slowdawn
