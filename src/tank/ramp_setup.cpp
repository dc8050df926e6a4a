#include <slowdawn/tank/ramp_setup.hpp>

namespace slowdawn {
namespace {

Readings readings_of(const Group& group, bool lights_change) {
  if (group.history) return Readings::two_meters;
  const bool moves = group.to_spot && *group.to_spot != group.spot;
  return lights_change || moves ? Readings::one_meter : Readings::same;
}

RampGroup make_group(const Tank& tank, const Group& group, std::size_t column) {
  const bool lights_change = tank.ramp.lights_change();
  const Exposure before = tank.before(group);
  const Tolerance& tolerance = group.profile.tolerance;
  const bool is_new_light = lights_change || group.history.has_value();
  const double carryover = is_new_light ? tolerance.carryover : 1.0;
  const double uncertainty =
      ratio_uncertainty(readings_of(group, lights_change), tank.meter.accuracy);
  return {group.name, column, before, at_start(before, carryover, uncertainty),
          at_pace(tolerance, tank.ramp.pace)};
}

}  // namespace

RampSetup make_ramp_setup(const Tank& tank, std::span<const std::size_t> more_spots) {
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
  std::map<std::size_t, std::size_t> column_of_spot;
  const auto column_of = [&](std::size_t spot) {
    const auto [column, is_new] = column_of_spot.try_emplace(spot, setup.spots.size());
    if (is_new) setup.spots.push_back(spot);
    return column->second;
  };
  for (const Group& group : tank.groups) {
    setup.problem.groups.push_back(make_group(tank, group, column_of(group.spot_of_ramp())));
  }
  for (const std::size_t spot : more_spots) column_of(spot);

  std::vector<std::vector<Ppfd>> full_outputs;
  for (const std::size_t spot : setup.spots) {
    std::vector<Ppfd> outputs;
    for (const std::size_t light : setup.path_lights) {
      outputs.push_back(tank.full_output[spot][light].value_or(Ppfd{}));
    }
    full_outputs.push_back(std::move(outputs));
  }
  const std::vector<Setting>& settings = setup.problem.path.settings;
  setup.problem.exposures = ExposureTable{settings.size(), setup.spots.size()};
  for (std::size_t i = 0; i < settings.size(); ++i) {
    const LitDay day{courses, settings[i]};
    for (std::size_t column = 0; column < setup.spots.size(); ++column) {
      setup.problem.exposures.at(i, column) = day.at(full_outputs[column]);
    }
  }
  return setup;
}

}  // namespace slowdawn
