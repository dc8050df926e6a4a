#include <algorithm>
#include <slowdawn/tank/even_setup.hpp>

namespace slowdawn {
namespace {

/// The path as if every dial went by whole percents.
Path path_by_whole_percents(const Tank& tank) {
  std::vector<PathLight> lights = list_path_lights(tank);
  for (PathLight& light : lights) light.range.step = Percent::of_full(1.0);
  return make_path(lights);
}

}  // namespace

ExposeSetting expose_seats(const Tank& tank, const RampSetup& setup) {
  return
      [light = ColumnLight{tank, setup}](const Setting& setting) { return light.under(setting); };
}

std::optional<EvenLine> find_even_line(const Tank& tank, const RampSetup& setup) {
  return find_even_line(setup.problem, path_by_whole_percents(tank), expose_seats(tank, setup));
}

bool can_run_evenly(const Tank& tank) {
  return std::none_of(tank.ramp.to.begin(), tank.ramp.to.end(),
                      [&](const auto& entry) { return tank.lights[entry.first].sun.has_value(); });
}

bool is_line_of(const Tank& tank, const EvenLine& line) {
  if (!can_run_evenly(tank)) return false;
  const Path whole = path_by_whole_percents(tank);
  const auto find = [&](const Setting& setting) {
    return std::find(whole.settings.begin(), whole.settings.end(), setting);
  };
  const auto from = find(line.from);
  const auto to = find(line.to);
  if (from == whole.settings.end() || to == whole.settings.end()) return false;
  const auto goal = whole.settings.begin() + static_cast<std::ptrdiff_t>(whole.goal);
  const bool goes_on = (from <= to && to <= goal) || (from >= to && to >= goal);
  return goes_on && (from == to) == (line.days == 0);
}

RampSetup with_even_line(const Tank& tank, RampSetup setup, const EvenLine& line) {
  setup.problem =
      with_line(setup.problem, path_by_whole_percents(tank), line, expose_seats(tank, setup));
  setup.even = line;
  return setup;
}

}  // namespace slowdawn
