#include "tank/untold_light.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <slowdawn/light/full_output.hpp>
#include <slowdawn/tank/known_light.hpp>

#include "tank/reading_check.hpp"

namespace slowdawn {

namespace {

bool was_lit(const FullOutputFit& fit, std::size_t light) {
  return light < fit.full_output.size() && fit.full_output[light];
}

bool tells(const Tank& tank, std::size_t spot, const std::vector<Outputs>& outputs) {
  const FullOutputFit& fit = tank.fits[spot];
  const auto is_told = [&](Outputs moment, bool weighted) {
    for (std::size_t light = 0; light < moment.size(); ++light) {
      // What was never lit there has to be read in any case.
      if (!was_lit(fit, light)) moment[light] = 0.0;
      if (weighted) moment[light] *= tank.lights[light].usable_weight;
    }
    return fit.covariance.tells(moment);
  };
  return std::all_of(outputs.begin(), outputs.end(), [&](const Outputs& moment) {
    return is_told(moment, false) && (!tank.has_weights() || is_told(moment, true));
  });
}

}  // namespace

UntoldLight::UntoldLight(const Tank& tank) : tank_(tank) {}

const std::vector<Outputs>& UntoldLight::path() {
  if (!path_) path_ = list_path_outputs(tank_);
  return *path_;
}

const std::vector<Outputs>& UntoldLight::before() {
  if (!before_) before_ = list_outputs(tank_, tank_.ramp.from, OutputsWhen::before);
  return *before_;
}

std::vector<Outputs> UntoldLight::only(const std::set<std::size_t>& lights,
                                       const std::vector<Outputs>& outputs) {
  std::vector<Outputs> parts = outputs;
  for (Outputs& part : parts) {
    for (std::size_t light = 0; light < part.size(); ++light) {
      if (!lights.contains(light)) part[light] = 0.0;
    }
  }
  return parts;
}

bool UntoldLight::tells_ramp(std::size_t spot) {
  if (!tells(tank_, spot, path()) || !tells(tank_, spot, before())) return false;
  bool is_lived_at = false;
  for (const Group& group : tank_.groups) {
    for (const LightUse& use : list_light_uses(tank_, group)) {
      if (use.spot != spot) continue;
      is_lived_at = true;
      if (use.history != nullptr &&
          !tells(tank_, spot, list_outputs(tank_, *use.history, OutputsWhen::before))) {
        return false;
      }
    }
  }
  // Any group may move to a spot where none lives.
  return is_lived_at ||
         std::all_of(tank_.groups.begin(), tank_.groups.end(),
                     [&](const Group& group) { return tells_new_light(spot, group); });
}

bool UntoldLight::tells_new_light(std::size_t spot, const Group& group) {
  return tells(tank_, spot, only(lights_new_to(tank_, group), path()));
}

bool tells_dials(const Tank& tank, std::size_t spot, const std::map<std::size_t, Percent>& dials) {
  return tank.fits[spot].inseparable.empty() ||
         tells(tank, spot, list_outputs(tank, dials, OutputsWhen::ahead));
}

bool tells_dials_nearly(const Tank& tank, std::size_t spot,
                        const std::map<std::size_t, Percent>& dials) {
  // A spot that a later tank file no longer names has outputs and no readings.
  if (spot >= tank.fits.size() || tank.fits[spot].inseparable.empty()) return true;
  const FullOutputFit& fit = tank.fits[spot];
  Outputs outputs(tank.lights.size());
  double step_squared = 0.0;
  for (const auto& [light, dial] : dials) {
    if (!was_lit(fit, light)) continue;
    outputs[light] = tank.lights[light].course.dimming.output(dial);
    const double step = tank.lights[light].dial.step.fraction();
    step_squared += step * step;
  }
  const std::vector<double> rest = fit.covariance.untold_part(outputs);
  const double rest_squared = std::inner_product(rest.begin(), rest.end(), rest.begin(), 0.0);
  return rest_squared <= step_squared;
}

std::vector<std::size_t> lights_to_read_alone(const Tank& tank, std::size_t spot) {
  std::vector<SpotReading> readings = list_spot_readings(tank, spot);
  std::vector<std::size_t> alone;
  while (true) {
    const FullOutputFit fit = fit_full_output(readings, tank.lights.size());
    if (fit.inseparable.empty()) return alone;
    const auto in_goal =
        std::find_if(fit.inseparable.begin(), fit.inseparable.end(), [&](std::size_t light) {
          const auto goal = tank.ramp.to.find(light);
          return goal != tank.ramp.to.end() && goal->second.percent() > 0.0;
        });
    const std::size_t next = in_goal == fit.inseparable.end() ? fit.inseparable.front() : *in_goal;
    alone.push_back(next);
    // Each such reading tells one direction more, since the light itself was not told.
    SpotReading reading{std::vector<double>(tank.lights.size()), {}};
    reading.outputs[next] = 1.0;
    readings.push_back(std::move(reading));
  }
}

BadReading judge_reading(const Tank& tank, std::size_t spot, std::size_t light) {
  const FullOutputFit& fit = tank.fits[spot];
  const auto& output = tank.full_output[spot][light];
  const auto goal = tank.ramp.to.find(light);
  const bool is_lit = goal != tank.ramp.to.end() && goal->second.percent() > 0.0;
  if (!is_lit || !output || output->log_error || fit.is_inseparable(light)) {
    return BadReading::none;
  }
  const double full = output->ppfd.umol_m2_s();
  const double error = std::sqrt(fit.covariance.at(light, light));
  const bool is_held = fit.is_held_at_zero(light);
  if (!is_held && !exceeds(error, worst_error_of_a_light * full)) return BadReading::none;
  // The one-sided 95 % bound, as in coral/acclimation.hpp.
  const Ppfd bound = Ppfd::umol_m2_s(full + 1.645 * error);
  const TankLight& lamp = tank.lights[light];
  const DailyDose most = lamp.usable_weight * bound * full_output_hours(lamp.course, goal->second);
  const DailyDose dose = tank.usable_exposure(spot, tank.ramp.to).dose;
  if (most <= share_that_matters * dose) return BadReading::none;
  return is_held ? BadReading::held_at_zero : BadReading::badly_known;
}

}  // namespace slowdawn
