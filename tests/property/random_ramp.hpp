// Random ramps: paths from make_path, exposures that never fall as a dial rises,
// groups of every temper.
#pragma once

#include <algorithm>
#include <cmath>
#include <optional>
#include <slowdawn/coral/profile.hpp>
#include <slowdawn/ramp/planner.hpp>
#include <string>
#include <vector>

#include "property/dice.hpp"

namespace slowdawn::testing {

inline Percent percent(double value) { return Percent::of_full(value); }

/// Figures around those of the installed profiles, and well beyond them.
inline Tolerance draw_tolerance(Dice& dice) {
  const double band_low = dice.real(0.5, 6.0);
  Tolerance tolerance{.dose_band = {DailyDose::mol_m2_d(band_low),
                                    DailyDose::mol_m2_d(band_low * dice.real(2.0, 8.0))},
                      .peak_ceiling = Ppfd::umol_m2_s(dice.real(150.0, 1200.0)),
                      .headroom = percent(dice.real(8.0, 50.0)),
                      .weekly_rise = percent(dice.real(4.0, 40.0)),
                      .tau_up = Days::d(dice.real(2.0, 20.0)),
                      .tau_down = Days::d(dice.real(2.0, 15.0)),
                      .carryover = dice.real(0.5, 1.0),
                      .floor = percent(dice.real(15.0, 70.0))};
  if (dice.chance(0.4)) {
    std::optional<double> cap;
    if (dice.chance(0.8)) cap = dice.real(0.05, 0.7);
    tolerance.excitation = Excitation{Ppfd::umol_m2_s(dice.real(40.0, 600.0)), cap};
  }
  constexpr Pace paces[] = {Pace::gentle, Pace::standard, Pace::brisk};
  return at_pace(tolerance, dice.one_of(paces));
}

/// What one light at 100 % brings to a spot, and how its output follows its
/// dial: output = (dial / 100)^bend.
struct RandomLight {
  double bend;
  double hours;
};

enum class Direction { up, down, mixed, still };

/// Draws ramps one after another from one seed.
class RampDraw {
 public:
  explicit RampDraw(std::uint64_t seed) : dice_(seed) {}

  RampProblem any() {
    constexpr Direction directions[] = {Direction::up, Direction::up, Direction::down,
                                        Direction::mixed, Direction::still};
    return with(dice_.whole(1, 3), dice_.one_of(directions), dice_.chance(0.5));
  }

  RampProblem one_light_up() { return with(1, Direction::up, dice_.chance(0.5)); }

  Dice& dice() { return dice_; }

 private:
  RampProblem with(int light_count, Direction direction, bool lights_change) {
    RampProblem problem;
    problem.lights_change = lights_change;
    constexpr int waits[] = {1, 1, 1, 2, 3, 5, 7, 14, 28};
    problem.every_days = dice_.one_of(waits);
    problem.path = draw_path(light_count, direction, lights_change);

    const std::size_t settings = problem.path.settings.size();
    const auto spots = static_cast<std::size_t>(dice_.whole(1, 4));
    problem.exposures = ExposureTable{settings, spots};
    add_exposures(problem, spots);

    const int groups = dice_.whole(1, 6);
    for (int g = 0; g < groups; ++g) {
      const auto spot = static_cast<std::size_t>(dice_.whole(0, static_cast<int>(spots) - 1));
      problem.groups.push_back(draw_group(problem, spot));
    }
    return problem;
  }

  Path draw_path(int light_count, Direction direction, bool lights_change) {
    std::vector<PathLight> lights;
    for (int j = 0; j < light_count; ++j) {
      constexpr double steps[] = {0.5, 1.0, 1.0, 2.0, 5.0, 10.0};
      constexpr double lowests[] = {0.0, 0.0, 5.0, 10.0};
      const DialRange range{.lowest = percent(dice_.one_of(lowests)),
                            .highest = percent(100.0),
                            .step = percent(dice_.one_of(steps))};
      double base = dice_.whole(20, 80);
      double goal = dice_.whole(20, 100);
      if (direction == Direction::up && goal < base) std::swap(base, goal);
      if (direction == Direction::down && goal > base) std::swap(base, goal);
      if (direction == Direction::still) goal = base;
      // A light that is new, or that another takes the place of.
      if (lights_change && dice_.chance(0.6)) base = 0.0;
      if (direction == Direction::mixed && j > 0 && dice_.chance(0.2)) goal = 0.0;
      lights.push_back({percent(base), percent(goal), range});
    }
    return make_path(lights);
  }

  void add_exposures(RampProblem& problem, std::size_t spots) {
    const std::size_t light_count = problem.path.settings.front().size();
    std::vector<RandomLight> lights;
    for (std::size_t j = 0; j < light_count; ++j) {
      lights.push_back({dice_.chance(0.5) ? 1.0 : dice_.real(0.7, 1.5), dice_.real(5.0, 11.0)});
    }
    for (std::size_t spot = 0; spot < spots; ++spot) {
      for (std::size_t j = 0; j < light_count; ++j) {
        const double full = std::exp(dice_.real(std::log(40.0), std::log(900.0)));
        for (std::size_t i = 0; i < problem.path.settings.size(); ++i) {
          const double dial = problem.path.settings[i][j].fraction();
          const Ppfd ppfd = Ppfd::umol_m2_s(full * std::pow(dial, lights[j].bend));
          Exposure& cell = problem.exposures.at(i, spot);
          cell.dose += ppfd * Hours::h(lights[j].hours);
          cell.peak += ppfd;
        }
      }
    }
  }

  RampGroup draw_group(const RampProblem& problem, std::size_t spot) {
    const Tolerance tolerance = draw_tolerance(dice_);
    const bool has_history = dice_.chance(0.25);
    const bool is_new_light = problem.lights_change || has_history || !problem.path.base;
    const int last = static_cast<int>(problem.path.settings.size()) - 1;
    const std::size_t like =
        is_new_light ? static_cast<std::size_t>(dice_.whole(0, last)) : *problem.path.base;
    Exposure before = problem.exposures.at(like, spot);
    if (is_new_light) {
      before.dose = before.dose * dice_.real(0.5, 1.6);
      before.peak = before.peak * dice_.real(0.5, 1.6);
    }
    const double carryover = is_new_light ? tolerance.carryover : 1.0;
    const double uncertainty = is_new_light ? dice_.real(0.0, 0.15) : 0.0;
    const double counts = carryover * doubt_factor(uncertainty);
    return {"corals", spot, before, {counts * before.dose, counts * before.peak}, tolerance};
  }

  Dice dice_;
};

}  // namespace slowdawn::testing
