#include <algorithm>
#include <cmath>
#include <slowdawn/tank/tank.hpp>

#include "tank/built_in.hpp"
#include "tank/group_start.hpp"
#include "tank/json_reader.hpp"

namespace slowdawn {

std::optional<Position> Spot::position() const {
  if (!x || !y || !depth) return std::nullopt;
  return Position{*x, *y, *depth};
}

std::optional<LuxPerPpfd> TankLight::lux_factor() const {
  if (lux_per_ppfd || !spectrum) return lux_per_ppfd;
  return spectrum->figures.lux_per_ppfd;
}

bool Ramp::lights_change() const {
  if (from.size() != to.size()) return true;
  for (const auto& [light, dial] : from) {
    if (!to.contains(light)) return true;
  }
  return false;
}

namespace {

enum class When { before, ahead };
enum class Light { measured, usable };

Exposure exposure_of(const Tank& tank, std::size_t spot,
                     const std::map<std::size_t, Percent>& dials, When when, Light kind) {
  std::vector<LightCourse> courses;
  std::vector<Percent> settings;
  std::vector<Ppfd> outputs;
  for (const auto& [number, dial] : dials) {
    const TankLight& light = tank.lights[number];
    courses.push_back(when == When::before ? light.course_before() : light.course);
    settings.push_back(dial);
    const double weight = kind == Light::usable ? light.usable_weight : 1.0;
    outputs.push_back(weight * tank.full_output[spot][number].value_or(FullOutput{}).ppfd);
  }
  return LitDay{courses, settings}.at(outputs);
}

}  // namespace

Exposure Tank::exposure(std::size_t spot, const std::map<std::size_t, Percent>& dials) const {
  return exposure_of(*this, spot, dials, When::ahead, Light::measured);
}

Exposure Tank::usable_exposure(std::size_t spot,
                               const std::map<std::size_t, Percent>& dials) const {
  return exposure_of(*this, spot, dials, When::ahead, Light::usable);
}

Exposure Tank::exposure_before(std::size_t spot,
                               const std::map<std::size_t, Percent>& dials) const {
  return exposure_of(*this, spot, dials, When::before, Light::measured);
}

Exposure Tank::usable_exposure_before(std::size_t spot,
                                      const std::map<std::size_t, Percent>& dials) const {
  return exposure_of(*this, spot, dials, When::before, Light::usable);
}

Exposure Tank::before(const Group& group) const {
  if (group.history && days_here(group) == 0) return usable_history(*this, *group.history);
  return usable_exposure_before(group.spot, ramp.from);
}

Exposure Tank::measured_before(const Group& group) const {
  if (!group.history || days_here(group) > 0) return exposure_before(group.spot, ramp.from);
  return group.history->light;
}

std::size_t Tank::days_here(const Group& group) const {
  if (!group.history || !group.history->since || !ramp.start) return 0;
  return static_cast<std::size_t>(std::max(0L, (*ramp.start - *group.history->since).days()));
}

bool Tank::has_sun() const {
  return std::any_of(lights.begin(), lights.end(),
                     [](const TankLight& light) { return light.sun.has_value(); });
}

bool Tank::has_weights() const {
  return std::any_of(lights.begin(), lights.end(),
                     [](const TankLight& light) { return light.usable_weight != 1.0; });
}

bool Tank::is_estimated(std::size_t spot, const std::map<std::size_t, Percent>& dials) const {
  for (const auto& [light, dial] : dials) {
    const auto& output = full_output[spot][light];
    if (dial.percent() > 0.0 && output && output->log_error) return true;
  }
  return false;
}

double Tank::reading_error(std::size_t spot, const std::map<std::size_t, Percent>& dials) const {
  const double repeat = meter.accuracy.repeat.fraction();
  if (!is_estimated(spot, dials)) return repeat;
  const DailyDose whole = usable_exposure(spot, dials).dose;
  double variance = repeat * repeat;
  for (const auto& [light, dial] : dials) {
    const auto& output = full_output[spot][light];
    if (!output || !output->log_error) continue;
    const DailyDose part =
        lights[light].usable_weight * output->ppfd * full_output_hours(lights[light].course, dial);
    const double error = part / whole * *output->log_error;
    variance += error * error;
  }
  return std::sqrt(variance);
}

std::string cloths_hint(const DialRange& range) {
  std::string list;
  for (const Percent cloth : range.listed) {
    if (cloth == range.highest) continue;
    list += (list.empty() ? "" : ", ") + number_text(cloth.percent());
  }
  return list.empty() ? "it has no \"shade_cloths\": it is at 100, or away at 0"
                      : "its \"shade_cloths\" let through " + list +
                            " %; without one it is at 100, and away at 0";
}

std::string_view tank_schema() { return built_in_schema(); }

}  // namespace slowdawn
