#include <slowdawn/ramp/planner.hpp>
#include <slowdawn/tank/light_maps.hpp>

namespace slowdawn {

std::vector<std::size_t> mapped_spots(const Tank& tank, std::size_t light) {
  std::vector<std::size_t> spots;
  for (std::size_t spot = 0; spot < tank.spots.size(); ++spot) {
    const auto& output = tank.full_output[spot][light];
    // What is known in combination only is no reading of this light.
    const bool is_read = output && !output->log_error && output->ppfd.umol_m2_s() > 0.0 &&
                         spot < tank.fits.size() && !tank.fits[spot].is_inseparable(light);
    if (is_read && tank.spots[spot].position()) spots.push_back(spot);
  }
  return spots;
}

Result<LightMap> fit_light_map(const Tank& tank, std::size_t light) {
  std::vector<MapReading> readings;
  for (const std::size_t spot : mapped_spots(tank, light)) {
    readings.push_back({*tank.spots[spot].position(), tank.full_output[spot][light]->ppfd});
  }
  return LightMap::fit(std::move(readings), tank.meter.accuracy.repeat.fraction());
}

std::optional<SpotToRead> find_spot_to_read(const Tank& tank) {
  std::optional<SpotToRead> best;
  for (std::size_t spot = 0; spot < tank.spots.size(); ++spot) {
    if (!tank.is_estimated(spot, tank.ramp.to)) continue;
    bool could_be_used = tank.meter.is_relative;
    const DailyDose dose = tank.exposure(spot, tank.ramp.to).dose;
    for (const Group& group : tank.groups) {
      could_be_used = could_be_used ||
                      compute_fit(dose, group.profile.tolerance.dose_band) == BandFit::within_band;
    }
    if (!could_be_used) continue;
    for (const auto& [light, dial] : tank.ramp.to) {
      const auto& output = tank.full_output[spot][light];
      if (dial.percent() == 0.0 || !output || !output->log_error) continue;
      if (!best || *output->log_error > best->log_error) {
        best = SpotToRead{spot, light, *output->log_error};
      }
    }
  }
  return best;
}

}  // namespace slowdawn
