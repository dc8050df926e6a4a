#include <algorithm>
#include <cmath>
#include <slowdawn/tank/tank.hpp>

#include <slowdawn/tank/group_start.hpp>
#include "tank/built_in.hpp"
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

std::vector<ChannelDial> TankLight::channel_dials(Percent of_mix) const {
  std::vector<ChannelDial> dials;
  for (const Channel& channel : channels) {
    const double exact = of_mix.percent() * channel.share.fraction();
    // A hair more, so that 12.5 is a half whatever the product's last bit.
    const double steps = std::floor(exact / dial.step.percent() + 0.5 + 1e-9);
    dials.push_back({channel.name, Percent::of_full(steps * dial.step.percent())});
  }
  return dials;
}

double TankLight::rounding_error(Percent of_mix) const {
  double all = 0.0;
  std::size_t rounded = 0;
  for (const Channel& channel : channels) {
    all += of_mix.percent() * channel.share.fraction();
    if (channel.share < Percent::of_full(100.0)) ++rounded;
  }
  if (all <= 0.0) return 0.0;
  return 0.5 * dial.step.percent() * std::sqrt(static_cast<double>(rounded)) / all;
}

bool Ramp::lights_change() const {
  const auto was_lit = [&](std::size_t light) {
    const auto found = from.find(light);
    return found != from.end() && found->second.percent() > 0.0;
  };
  return std::any_of(to.begin(), to.end(),
                     [&](const auto& entry) {
                       return entry.second.percent() > 0.0 && !was_lit(entry.first);
                     }) ||
         std::any_of(from.begin(), from.end(), [&](const auto& entry) {
           return was_lit(entry.first) && !to.contains(entry.first);
         });
}

namespace {

enum class When { before, ahead };

/// weight: by light, what of its full output counts.
template <class Weight>
Exposure exposure_of(const Tank& tank, std::size_t spot,
                     const std::map<std::size_t, Percent>& dials, When when, const Weight& weight) {
  std::vector<LightCourse> courses;
  std::vector<Percent> settings;
  std::vector<Ppfd> outputs;
  for (const auto& [number, dial] : dials) {
    const TankLight& light = tank.lights[number];
    courses.push_back(when == When::before ? light.course_before() : light.course);
    settings.push_back(dial);
    outputs.push_back(weight(number) * tank.full_output[spot][number].value_or(FullOutput{}).ppfd);
  }
  return LitDay{courses, settings}.at(outputs);
}

double measured(std::size_t) { return 1.0; }

auto usable(const Tank& tank) {
  return [&tank](std::size_t light) { return tank.lights[light].usable_weight; };
}

auto effective(const Tank& tank, std::span<const double> weights) {
  return [&tank, weights](std::size_t light) {
    const double weight = weights[light] > 0.0 ? weights[light] : 1.0;
    return weight * tank.lights[light].usable_weight;
  };
}

}  // namespace

Exposure Tank::exposure(std::size_t spot, const std::map<std::size_t, Percent>& dials) const {
  return exposure_of(*this, spot, dials, When::ahead, measured);
}

Exposure Tank::usable_exposure(std::size_t spot,
                               const std::map<std::size_t, Percent>& dials) const {
  return exposure_of(*this, spot, dials, When::ahead, usable(*this));
}

Exposure Tank::exposure_before(std::size_t spot,
                               const std::map<std::size_t, Percent>& dials) const {
  return exposure_of(*this, spot, dials, When::before, measured);
}

Exposure Tank::usable_exposure_before(std::size_t spot,
                                      const std::map<std::size_t, Percent>& dials) const {
  return exposure_of(*this, spot, dials, When::before, usable(*this));
}

Exposure Tank::effective_exposure(std::size_t spot, const std::map<std::size_t, Percent>& dials,
                                  std::span<const double> weights) const {
  return exposure_of(*this, spot, dials, When::ahead, effective(*this, weights));
}

Exposure Tank::effective_exposure_before(std::size_t spot,
                                         const std::map<std::size_t, Percent>& dials,
                                         std::span<const double> weights) const {
  return exposure_of(*this, spot, dials, When::before, effective(*this, weights));
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
