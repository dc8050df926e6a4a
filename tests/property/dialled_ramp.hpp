// Random ramps of which the light under any dials is known, also between the
// settings that can be dialled.
#pragma once

#include <cmath>
#include <slowdawn/ramp/even_ramp.hpp>
#include <vector>

#include "property/dice.hpp"
#include "property/random_ramp.hpp"

namespace slowdawn::testing {

struct DialledRamp {
  RampProblem problem;
  /// The path by whole percents.
  Path whole;
  std::vector<PathLight> lights;
  ExposeSetting expose;

  std::vector<DialRange> ranges() const {
    std::vector<DialRange> ranges;
    for (const PathLight& light : lights) ranges.push_back(light.range);
    return ranges;
  }
};

/// One or two lights of which each gives `full` of a spot at 100 %, bent by a power
/// of its dial; the dials go up, down, or one up and one down.
inline DialledRamp draw_dialled_ramp(Dice& dice, int light_count, double lowest_dial,
                                     double highest_dial) {
  DialledRamp ramp;
  const bool lights_change = dice.chance(0.5);
  const bool goes_up = dice.chance(0.75);
  std::vector<double> bends;
  std::vector<double> hours;
  for (int j = 0; j < light_count; ++j) {
    constexpr double steps[] = {1.0, 1.0, 2.0, 5.0};
    double base = std::round(dice.real(lowest_dial, highest_dial));
    double goal = std::round(dice.real(lowest_dial, highest_dial));
    if ((goal < base) == goes_up) std::swap(base, goal);
    if (lights_change && goes_up) base = 0.0;
    ramp.lights.push_back({percent(base), percent(goal), {.step = percent(dice.one_of(steps))}});
    bends.push_back(dice.chance(0.5) ? 1.0 : dice.real(0.8, 1.3));
    hours.push_back(dice.real(6.0, 11.0));
  }
  ramp.problem.path = make_path(ramp.lights);
  std::vector<PathLight> by_percents = ramp.lights;
  for (PathLight& light : by_percents) light.range.step = percent(1.0);
  ramp.whole = make_path(by_percents);

  const int groups = dice.whole(1, 3);
  std::vector<std::vector<double>> full(static_cast<std::size_t>(groups));
  for (auto& spot : full) {
    for (int j = 0; j < light_count; ++j) spot.push_back(std::exp(dice.real(5.0, 7.0)));
  }
  ramp.expose = [=](const Setting& setting) {
    std::vector<Exposure> there(full.size());
    for (std::size_t spot = 0; spot < full.size(); ++spot) {
      for (std::size_t j = 0; j < setting.size(); ++j) {
        const Ppfd ppfd =
            Ppfd::umol_m2_s(full[spot][j] * std::pow(setting[j].fraction(), bends[j]));
        there[spot].dose += ppfd * Hours::h(hours[j]);
        there[spot].peak += ppfd;
      }
    }
    return there;
  };
  ramp.problem.lights_change = lights_change || !ramp.problem.path.base;
  const std::vector<Setting>& settings = ramp.problem.path.settings;
  ramp.problem.exposures = ExposureTable{settings.size(), full.size()};
  for (std::size_t i = 0; i < settings.size(); ++i) {
    const std::vector<Exposure> there = ramp.expose(settings[i]);
    for (std::size_t spot = 0; spot < full.size(); ++spot) {
      ramp.problem.exposures.at(i, spot) = there[spot];
    }
  }
  for (std::size_t spot = 0; spot < full.size(); ++spot) {
    Tolerance tolerance = draw_tolerance(dice);
    const auto like =
        static_cast<std::size_t>(dice.whole(0, static_cast<int>(settings.size()) - 1));
    const std::size_t home = ramp.problem.lights_change ? like : *ramp.problem.path.base;
    Exposure before = ramp.problem.exposures.at(home, spot);
    if (ramp.problem.lights_change || dice.chance(0.3)) {
      const double factor = dice.real(0.8, 1.4);
      before = {before.dose * factor, before.peak * factor};
    }
    ramp.problem.groups.push_back(
        {"corals", spot, before, {before.dose * 0.95, before.peak * 0.95}, tolerance});
  }
  return ramp;
}

/// Equation (4)'s next brighter setting, found from the dials.
inline std::size_t naive_brighter(const Path& path, const Setting& dials) {
  std::size_t below = path.settings.size();
  for (std::size_t i = 0; i < path.settings.size(); ++i) {
    bool fits = true;
    for (std::size_t j = 0; j < dials.size(); ++j) {
      if (path.settings[i][j].percent() > dials[j].percent()) fits = false;
    }
    if (fits) below = i;
  }
  if (below == path.settings.size()) return 0;
  return below + 1 < path.settings.size() ? below + 1 : below;
}

}  // namespace slowdawn::testing
