#include <slowdawn/tank/tank.hpp>

#include "tank/built_in.hpp"

namespace slowdawn {

bool Ramp::lights_change() const {
  if (from.size() != to.size()) return true;
  for (const auto& [light, dial] : from) {
    if (!to.contains(light)) return true;
  }
  return false;
}

Exposure Tank::exposure(std::size_t spot, const std::map<std::size_t, Percent>& dials) const {
  std::vector<LightCourse> courses;
  std::vector<Percent> settings;
  std::vector<Ppfd> outputs;
  for (const auto& [light, dial] : dials) {
    courses.push_back(lights[light].course);
    settings.push_back(dial);
    outputs.push_back(full_output[spot][light].value_or(Ppfd{}));
  }
  return LitDay{courses, settings}.at(outputs);
}

Exposure Tank::before(const Group& group) const {
  return group.history ? *group.history : exposure(group.spot, ramp.from);
}

std::string_view tank_schema() { return built_in_schema(); }

}  // namespace slowdawn
