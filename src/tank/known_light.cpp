#include <algorithm>
#include <cmath>
#include <numeric>
#include <slowdawn/tank/group_start.hpp>
#include <slowdawn/tank/known_light.hpp>

#include "tank/light_use.hpp"
#include "tank/ratio_error.hpp"
#include "tank/reading_check.hpp"
#include "tank/untold_light.hpp"

namespace slowdawn {
namespace {

/// Of the goal's light the part that is new to a group; all of it where none is.
LightPart goal_of(const Tank& tank, const Group& group, const GroupStart& start) {
  LightPart goal{group.spot_of_start(), tank.ramp.to};
  if (!start.new_light_error) return goal;
  const std::set<std::size_t> fresh = lights_new_to(tank, group);
  goal.lights.assign(fresh.begin(), fresh.end());
  return goal;
}

/// The light it had; empty where it was not read in this tank.
std::optional<LightPart> light_before(const Tank& tank, const Group& group) {
  if (!group.history || tank.days_here(group) > 0) return LightPart{group.spot, tank.ramp.from};
  if (group.history->basis != History::Basis::spot_here) return std::nullopt;
  return LightPart{group.history->spot, group.history->dials};
}

double own_error_of(const Tank& tank, const History& history) {
  return history.error.value_or(tank.meter.accuracy.repeat.fraction());
}

/// The u that its plan counts with.
double ratio_error_of(const GroupStart& start) {
  return start.new_light_error.value_or(start.old_light_error.value_or(0.0));
}

double ratio_error_of(const Tank& tank, const Group& group) {
  return ratio_error_of(compute_group_start(tank, group, group.profile.tolerance));
}

class ReadingSearch {
 public:
  explicit ReadingSearch(const Tank& tank) : tank_(tank), trial_(tank) {
    for (const Group& group : tank.groups) now_.push_back(ratio_error_of(tank, group));
  }

  std::optional<ReadingToTake> find() {
    if (auto needed = find_needed()) return needed;
    for (const Group& group : tank_.groups) {
      try_lights(group.spot_of_start(), tank_.ramp.to);
      if (const auto before = light_before(tank_, group)) try_lights(before->spot, before->dials);
    }
    return best_;
  }

 private:
  std::optional<ReadingToTake> find_needed() const {
    for (const Group& group : tank_.groups) {
      for (const LightUse& use : list_light_uses(tank_, group)) {
        for (const std::size_t light : use.lights) {
          const auto& output = tank_.full_output[use.spot][light];
          if (!output && tank_.fits[use.spot].is_inseparable(light)) {
            return alone(use.spot, lights_to_read_alone(tank_, use.spot).front());
          }
          if (use.is_on_path && judge_reading(tank_, use.spot, light) != BadReading::none) {
            return alone(use.spot, light);
          }
        }
      }
    }
    return std::nullopt;
  }

  /// As bright as the goal has it.
  ReadingToTake alone(std::size_t spot, std::size_t light) const {
    const auto goal = tank_.ramp.to.find(light);
    const bool is_lit = goal != tank_.ramp.to.end() && goal->second.percent() > 0.0;
    return {spot, {{light, is_lit ? goal->second : tank_.lights[light].dial.highest}}};
  }

  void try_lights(std::size_t spot, const Dials& dials) {
    Dials mix;
    for (const auto& [light, dial] : dials) {
      const auto& output = tank_.full_output[spot][light];
      // An estimate is not read better but for the first time: find_spot_to_read.
      if (dial.percent() <= 0.0 || !output || output->log_error) continue;
      mix[light] = dial;
      if (!tank_.lights[light].sun) try_reading(spot, {{light, dial}});
    }
    if (mix.size() > 1) try_reading(spot, mix);
  }

  /// The row that the reading would be, if it showed what the others foretell.
  SpotReading foretell(std::size_t spot, const Dials& dials) const {
    SpotReading reading{std::vector<double>(tank_.lights.size()), {}};
    for (const auto& [light, dial] : dials) {
      reading.outputs[light] = tank_.lights[light].course.dimming.output(dial);
      reading.ppfd += reading.outputs[light] * tank_.full_output[spot][light]->ppfd;
    }
    reading.error = mean_error(tank_.meter, {reading.ppfd.umol_m2_s()}, reading.ppfd);
    return reading;
  }

  void try_reading(std::size_t spot, const Dials& dials) {
    std::vector<SpotReading> readings = list_spot_readings(tank_, spot);
    readings.push_back(foretell(spot, dials));
    trial_.fits[spot] = fit_full_output(readings, tank_.lights.size());
    double gain = 0.0;
    ReadingToTake::Gain most{0, 0.0, 0.0};
    for (std::size_t g = 0; g < tank_.groups.size(); ++g) {
      const double then = ratio_error_of(trial_, tank_.groups[g]);
      gain += now_[g] * now_[g] - then * then;
      if (now_[g] - then > most.now - most.then) most = {g, now_[g], then};
    }
    trial_.fits[spot] = tank_.fits[spot];
    if (gain <= best_gain_ * (1.0 + relative_slack) || most.now <= most.then) return;
    best_gain_ = gain;
    best_ = ReadingToTake{spot, dials, most};
  }

  const Tank& tank_;
  /// With a reading more at one spot.
  Tank trial_;
  std::vector<double> now_;
  double best_gain_ = 1e-12;
  std::optional<ReadingToTake> best_;
};

}  // namespace

std::vector<KnownLight> list_known_lights(const Tank& tank) {
  std::vector<KnownLight> known;
  for (std::size_t spot = 0; spot < tank.spots.size(); ++spot) {
    const FullOutputFit& fit = tank.fits[spot];
    for (std::size_t light = 0; light < tank.lights.size(); ++light) {
      if (!fit.full_output[light]) continue;
      KnownLight one{spot,
                     light,
                     *fit.full_output[light],
                     {},
                     fit.is_held_at_zero(light),
                     fit.is_inseparable(light)};
      const double full = one.full_output.umol_m2_s();
      if (!one.is_in_combination_only && full > 0.0) {
        one.error = std::sqrt(fit.covariance.at(light, light)) / full;
      }
      known.push_back(one);
    }
  }
  return known;
}

GroupDoubt compute_group_doubt(const Tank& tank, const Group& group) {
  const GroupStart start = compute_group_start(tank, group, group.profile.tolerance);
  GroupDoubt doubt{
      ratio_error_of(start), {}, {}, {}, compute_part_error(tank, goal_of(tank, group, start))};
  doubt.is_moved = !start.new_light_error && start.old_light_error;
  doubt.is_same_light = !start.new_light_error && !start.old_light_error;
  if (const auto before = light_before(tank, group)) {
    doubt.before = compute_part_error(tank, *before, SunDays::before);
  } else {
    doubt.history = own_error_of(tank, *group.history);
    doubt.calibration = tank.meter.accuracy.calibration.fraction();
  }
  return doubt;
}

std::optional<ReadingToTake> find_reading_to_take(const Tank& tank) {
  return ReadingSearch{tank}.find();
}

}  // namespace slowdawn
