#include <slowdawn/tank/ramp_setup.hpp>

namespace slowdawn {
namespace {

Readings readings_of(const Group& group, bool lights_change) {
  if (group.history) return Readings::two_meters;
  const bool moves = group.to_spot && *group.to_spot != group.spot;
  return lights_change || moves ? Readings::one_meter : Readings::same;
}

RampGroup make_group(const Tank& tank, const Group& group, std::size_t row) {
  const bool lights_change = tank.ramp.lights_change();
  const Exposure before = tank.before(group);
  const Tolerance& tolerance = group.profile.tolerance;
  const bool is_new_light = lights_change || group.history.has_value();
  const double carryover = is_new_light ? tolerance.carryover : 1.0;
  const double uncertainty =
      ratio_uncertainty(readings_of(group, lights_change), tank.meter.accuracy);
  return {group.name, row, before, at_start(before, carryover, uncertainty),
          at_pace(tolerance, tank.ramp.pace)};
}

}  // namespace

RampSetup make_ramp_setup(const Tank& tank) {
  RampSetup setup;
  setup.problem.lights_change = tank.ramp.lights_change();
  setup.problem.every_days = tank.ramp.every_days;

  std::vector<PathLight> path_lights;
  std::vector<LightCourse> courses;
  for (const auto& [light, goal] : tank.ramp.to) {
    const auto from = tank.ramp.from.find(light);
    const Percent base = from == tank.ramp.from.end() ? Percent{} : from->second;
    path_lights.push_back({base, goal, tank.lights[light].dial});
    courses.push_back(tank.lights[light].course);
    setup.path_lights.push_back(light);
  }
  setup.problem.path = make_path(path_lights);

  // Groups that share a spot share a column of the table.
  std::vector<std::size_t> used_spots;
  std::map<std::size_t, std::size_t> row_of_spot;
  for (const Group& group : tank.groups) {
    const std::size_t spot = group.spot_of_ramp();
    const auto [row, is_new] = row_of_spot.try_emplace(spot, used_spots.size());
    if (is_new) used_spots.push_back(spot);
    setup.problem.groups.push_back(make_group(tank, group, row->second));
  }

  std::vector<std::vector<Ppfd>> full_outputs;
  for (const std::size_t spot : used_spots) {
    std::vector<Ppfd> outputs;
    for (const std::size_t light : setup.path_lights) {
      outputs.push_back(tank.full_output[spot][light].value_or(Ppfd{}));
    }
    full_outputs.push_back(std::move(outputs));
  }
  const std::vector<Setting>& settings = setup.problem.path.settings;
  setup.problem.exposures = ExposureTable{settings.size(), used_spots.size()};
  for (std::size_t i = 0; i < settings.size(); ++i) {
    const LitDay day{courses, settings[i]};
    for (std::size_t row = 0; row < used_spots.size(); ++row) {
      setup.problem.exposures.at(i, row) = day.at(full_outputs[row]);
    }
  }
  return setup;
}

}  // namespace slowdawn
