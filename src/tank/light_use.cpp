#include "tank/light_use.hpp"

namespace slowdawn {
namespace {

/// A light that is at 0 before and at the goal is never lit.
std::set<std::size_t> lights_on_path(const Ramp& ramp) {
  std::set<std::size_t> lights = lit_in(ramp.to);
  for (const std::size_t light : lit_in(ramp.from)) {
    if (ramp.to.contains(light)) lights.insert(light);
  }
  return lights;
}

}  // namespace

std::set<std::size_t> lit_in(const std::map<std::size_t, Percent>& dials) {
  std::set<std::size_t> lights;
  for (const auto& [light, dial] : dials) {
    if (dial.percent() > 0.0) lights.insert(light);
  }
  return lights;
}

bool comes_from_ramp(const Group& group) { return !group.history || group.history->since; }

std::vector<LightUse> list_light_uses(const Tank& tank, const Group& group) {
  std::vector<LightUse> uses;
  if (group.history && group.history->basis == History::Basis::spot_here) {
    const auto& dials = group.history->dials;
    uses.push_back({.spot = group.history->spot, .lights = lit_in(dials), .history = &dials});
  }
  const std::set<std::size_t> on_path = lights_on_path(tank.ramp);
  LightUse home{.spot = group.spot, .lights = {}};
  if (comes_from_ramp(group)) {
    home.is_before = true;
    home.lights = lit_in(tank.ramp.from);
  }
  if (group.spot == group.spot_of_start()) {
    home.is_on_path = true;
    home.lights.insert(on_path.begin(), on_path.end());
  }
  uses.push_back(std::move(home));
  if (group.spot_of_ramp() != group.spot) {
    uses.push_back({.spot = group.spot_of_ramp(), .lights = on_path, .is_on_path = true});
  }
  for (const std::size_t spot : group.via) {
    uses.push_back({.spot = spot, .lights = on_path, .is_on_path = true});
  }
  return uses;
}

std::set<std::size_t> lights_new_to(const Tank& tank, const Group& group) {
  std::set<std::size_t> had;
  if (comes_from_ramp(group)) {
    had = lit_in(tank.ramp.from);
  } else if (group.history->basis == History::Basis::spot_here) {
    had = lit_in(group.history->dials);
  }
  std::set<std::size_t> fresh;
  for (const std::size_t light : lit_in(tank.ramp.to)) {
    if (!had.contains(light)) fresh.insert(light);
  }
  return fresh;
}

}  // namespace slowdawn
