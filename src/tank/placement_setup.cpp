#include <algorithm>
#include <slowdawn/tank/placement_setup.hpp>

namespace slowdawn {
namespace {

/// How far the lights can be turned up together until one is at its highest.
double reach_of(const Tank& tank) {
  double reach = 100.0;
  for (const auto& [light, goal] : tank.ramp.to) {
    if (goal.percent() > 0.0) reach = std::min(reach, tank.lights[light].dial.highest / goal);
  }
  return std::max(reach, 1.0);
}

std::vector<PathLight> path_lights(const Tank& tank, double reach) {
  std::vector<PathLight> lights;
  for (const auto& [light, goal] : tank.ramp.to) {
    lights.push_back({Percent{}, reach * goal, tank.lights[light].dial});
  }
  return lights;
}

}  // namespace

PlacementSetup make_placement_setup(const Tank& tank, double move_price) {
  PlacementSetup setup;
  Setting goal;
  std::vector<LightCourse> courses;
  for (const auto& [light, dial] : tank.ramp.to) {
    setup.lights.push_back(light);
    courses.push_back(tank.lights[light].course);
    goal.push_back(dial);
  }
  // Up to the goal, which is then a setting as it is given, and beyond it.
  setup.settings = make_path(path_lights(tank, 1.0)).settings;
  setup.goal = setup.settings.size() - 1;
  for (Setting& setting : make_path(path_lights(tank, reach_of(tank))).settings) {
    bool is_beyond = false;
    for (std::size_t j = 0; j < goal.size(); ++j) is_beyond = is_beyond || setting[j] > goal[j];
    if (is_beyond) setup.settings.push_back(std::move(setting));
  }

  std::vector<bool> is_known;
  for (std::size_t spot = 0; spot < tank.spots.size(); ++spot) {
    const bool known = std::all_of(setup.lights.begin(), setup.lights.end(), [&](auto light) {
      return tank.full_output[spot][light].has_value();
    });
    const bool is_lived_in = std::any_of(tank.groups.begin(), tank.groups.end(),
                                         [&](const Group& group) { return group.spot == spot; });
    if (!known && !is_lived_in) continue;
    setup.spots.push_back(spot);
    is_known.push_back(known);
    // No group is sent to a spot whose light is not known.
    setup.problem.capacity.push_back(known ? static_cast<std::size_t>(tank.spots[spot].capacity)
                                           : 0);
  }
  setup.problem.spots = setup.spots.size();
  setup.problem.move_price = move_price;
  for (const Group& group : tank.groups) {
    const auto spot = std::find(setup.spots.begin(), setup.spots.end(), group.spot);
    setup.problem.groups.push_back({static_cast<std::size_t>(spot - setup.spots.begin()),
                                    tank.before(group), group.profile.tolerance, group.is_fixed});
  }

  setup.problem.exposures = ExposureTable{setup.settings.size(), setup.spots.size()};
  for (std::size_t s = 0; s < setup.settings.size(); ++s) {
    const LitDay day{courses, setup.settings[s]};
    for (std::size_t i = 0; i < setup.spots.size(); ++i) {
      if (!is_known[i]) continue;
      std::vector<Ppfd> outputs;
      for (const std::size_t light : setup.lights) {
        outputs.push_back(tank.lights[light].usable_weight *
                          tank.full_output[setup.spots[i]][light]->ppfd);
      }
      setup.problem.exposures.at(s, i) = day.at(outputs);
    }
  }
  return setup;
}

}  // namespace slowdawn
