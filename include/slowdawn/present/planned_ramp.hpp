// A planned ramp, as every output takes it.
#pragma once

#include <algorithm>
#include <slowdawn/logbook/plan_change.hpp>
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
  /// Of a followed plan: what happened.
  const Replay* followed = nullptr;
  /// What was logged last that changed the plan; empty for none.
  const PlanChange* change = nullptr;
  /// That the newest entry lies after the clock; empty where it does not.
  std::string clock_notice = {};

  /// Whether it is not followed, and only what would come if it were followed again so.
  bool is_proposal() const { return followed != nullptr && followed->is_proposal; }
  /// Whether a group is there on a day, and not to come or gone.
  bool is_there(std::size_t day, std::size_t group) const {
    return followed == nullptr || followed->is_there(group, day);
  }
  /// Which leg a day belongs to; 1 is the first.
  std::size_t leg(std::size_t day) const {
    if (followed == nullptr) return 1;
    const auto& days = followed->leg_days;
    return 1 +
           static_cast<std::size_t>(std::upper_bound(days.begin(), days.end(), day) - days.begin());
  }
  /// Whether a leg after the first began on a day.
  bool begins_leg(std::size_t day) const { return day > 0 && leg(day) != leg(day - 1); }
  Date date(std::size_t day) const { return days_after(start, day); }
  const Setting& setting(std::size_t number) const { return setup.problem.path.settings[number]; }
  const std::string& light_name(std::size_t column) const {
    return tank.lights[setup.path_lights[column]].name;
  }
  /// The lights of a day, by light of the tank.
  std::map<std::size_t, Percent> dials(std::size_t day) const {
    if (followed != nullptr) return followed->dials_of_day(day);
    std::map<std::size_t, Percent> dials;
    const Setting& today = setting(plan.days[day].setting);
    for (std::size_t j = 0; j < today.size(); ++j) dials[setup.path_lights[j]] = today[j];
    return dials;
  }
  /// Where a group is on a day.
  const Seat& seat(std::size_t day, std::size_t group) const {
    return setup.seats[plan.days[day].groups.spot(group)];
  }
  /// What a meter shows a group on a day; the plan itself goes by usable light.
  Exposure measured(std::size_t day, std::size_t group) const {
    if (!tank.has_weights()) return plan.days[day].groups.exposure(group);
    return measured_exposure(tank, seat(day, group), dials(day));
  }
  /// The same at the goal, where the group then is.
  Exposure measured_goal(std::size_t group) const {
    if (!tank.has_weights()) return plan.groups[group].goal;
    const std::size_t first = setup.problem.groups[group].spot;
    const Seat& there = plan.days.empty() ? setup.seats[first] : seat(plan.days.size() - 1, group);
    return measured_exposure(tank, there, tank.ramp.to);
  }
  const std::string& spot_name(std::size_t day, std::size_t group) const {
    return tank.spots[seat(day, group).spot].name;
  }
};

}  // namespace slowdawn
