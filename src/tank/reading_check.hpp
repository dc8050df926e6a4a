// From the surveys to full outputs, and whether every group can be planned.
#pragma once

#include <slowdawn/light/full_output.hpp>
#include <slowdawn/tank/tank.hpp>
#include <vector>

#include "tank/json_reader.hpp"

namespace slowdawn {

/// s_i of light/full_output.hpp, the standard error of the mean of some repeats:
///   s_i^2 = (r_i c E_i)^2 / n + 0.25 umol^2
/// c E_i the reading in PPFD, also of one in lux; r_i the meter's repeatability, or with
/// three repeats or more the larger of it and their own scatter (sample standard deviation
/// over mean); n how many they are, to 4 at most, since repeats share what is wrong with all
/// of them; 0.25 half a digit of a display of whole numbers, squared, which a relative meter
/// has not. What was read in the open beside it counts as known.
/// reading: c E_i.
/// source: own derivation; that n ends at 4 and the half digit are design choices.
Ppfd mean_error(const Meter& meter, const std::vector<double>& repeats, Ppfd reading);

/// One spot's repeats of a survey as a row of the least squares, in PPFD.
SpotReading to_spot_reading(const Tank& tank, const Survey& survey,
                            const std::vector<double>& repeats);

/// All readings of a spot.
std::vector<SpotReading> list_spot_readings(const Tank& tank, std::size_t spot);

/// Fills tank.fits and tank.full_output, with estimates where a light of the ramp was not
/// read but has a map, and adds an error at a group for each light that its plan needs
/// and that was not read at its spot. Of what was read and is no ground for a plan, since
/// the readings do not tell it, or not well enough, it adds an error of plans.
/// groups: the nodes of tank.groups, in the same order.
void fit_readings(JsonReader& reader, Tank& tank, const std::vector<JsonNode>& groups);

}  // namespace slowdawn
