// Which lights of a tank its ramp needs to know, and where.
#pragma once

#include <set>
#include <slowdawn/tank/tank.hpp>
#include <vector>

namespace slowdawn {

/// What a group needs to know of the light at a spot.
struct LightUse {
  std::size_t spot;
  /// Every light of it.
  std::set<std::size_t> lights;
  /// Whether it lived there under `ramp.from`.
  bool is_before = false;
  /// Whether it lives there on some day of the ramp.
  bool is_on_path = false;
  /// The dials of its history there; null without one.
  const std::map<std::size_t, Percent>* history = nullptr;
};

/// The lights of some dials that are not at 0.
std::set<std::size_t> lit_in(const std::map<std::size_t, Percent>& dials);

/// Whether the light that a group comes from is that of `ramp.from` at its spot.
bool comes_from_ramp(const Group& group);

/// The uses of a group, each spot once for each of its kinds.
std::vector<LightUse> list_light_uses(const Tank& tank, const Group& group);

/// The lights of the goal that a group has not had: those that count as new to it.
std::set<std::size_t> lights_new_to(const Tank& tank, const Group& group);

}  // namespace slowdawn
