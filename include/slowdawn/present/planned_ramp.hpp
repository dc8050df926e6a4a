// A planned ramp, as every output takes it.
#pragma once

#include <slowdawn/ramp/explanation.hpp>
#include <slowdawn/tank/ramp_setup.hpp>
#include <slowdawn/tank/tank.hpp>

namespace slowdawn {

/// The referred-to values must outlive it.
struct PlannedRamp {
  const Tank& tank;
  const RampSetup& setup;
  const Plan& plan;
  /// Day 0.
  Date start;

  Date date(std::size_t day) const { return days_after(start, day); }
  const Setting& setting(std::size_t number) const { return setup.problem.path.settings[number]; }
  const Setting& setting_of_day(std::size_t day) const { return setting(plan.days[day].setting); }
  const std::string& light_name(std::size_t column) const {
    return tank.lights[setup.path_lights[column]].name;
  }
};

}  // namespace slowdawn
