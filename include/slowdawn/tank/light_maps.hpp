// The readings of a tank as maps: one a light.
#pragma once

#include <slowdawn/light/light_map.hpp>
#include <slowdawn/tank/tank.hpp>
#include <vector>

namespace slowdawn {

/// The spots that a light's map rests on: read apart from others, brighter than 0, with
/// coordinates; ascending numbers.
std::vector<std::size_t> mapped_spots(const Tank& tank, std::size_t light);

/// The map of what a light gives at 100 %, from `mapped_spots` in that order.
/// Errors: as LightMap::fit, above all too few readings.
Result<LightMap> fit_light_map(const Tank& tank, std::size_t light);

/// The spot whose reading would tell most: the one with the largest error among
/// those where some group could live (its estimated dose under `ramp.to` lies
/// within some group's band); empty where every spot was read.
struct SpotToRead {
  std::size_t spot;
  std::size_t light;
  double log_error;
};
std::optional<SpotToRead> find_spot_to_read(const Tank& tank);

}  // namespace slowdawn
