#include <algorithm>
#include <functional>
#include <slowdawn/tank/spot_room.hpp>

namespace slowdawn {
namespace {

std::optional<DailyDose> dose_at_goal(const Tank& tank, std::size_t spot) {
  const bool is_known = std::all_of(
      tank.ramp.to.begin(), tank.ramp.to.end(),
      [&](const auto& entry) { return tank.full_output[spot][entry.first].has_value(); });
  if (!is_known) return std::nullopt;
  return tank.usable_exposure(spot, tank.ramp.to).dose;
}

/// Where groups live that have no day of a plan yet.
std::vector<int> count_without_plan(const Tank& tank) {
  std::vector<int> living(tank.spots.size());
  for (const Group& group : tank.groups) {
    ++living[group.spot_of_start()];
    if (group.spot_of_ramp() != group.spot_of_start()) ++living[group.spot_of_ramp()];
  }
  return living;
}

std::vector<int> count_on(const Tank& tank, const RampSetup& setup, const PlanDay& day) {
  std::vector<int> living(tank.spots.size());
  for (std::size_t g = 0; g < day.groups.size(); ++g) {
    ++living[setup.seats[day.groups.spot(g)].spot];
  }
  return living;
}

}  // namespace

SpotRoom::SpotRoom(const Tank& tank, const RampSetup& setup, const Plan& plan)
    : tank_(tank), setup_(setup), plan_(plan) {
  for (std::size_t spot = 0; spot < tank.spots.size(); ++spot) {
    doses_at_goal_.push_back(dose_at_goal(tank, spot));
  }
  first_days_.push_back(0);
  for (const Move& move : plan.moves) {
    if (move.day < plan.days.size() && move.day != first_days_.back()) {
      first_days_.push_back(move.day);
    }
  }
  for (const std::size_t day : first_days_) {
    most_from_.push_back(plan.days.empty() ? count_without_plan(tank)
                                           : count_on(tank, setup, plan.days[day]));
  }
  for (std::size_t i = most_from_.size() - 1; i > 0; --i) {
    for (std::size_t spot = 0; spot < tank.spots.size(); ++spot) {
      most_from_[i - 1][spot] = std::max(most_from_[i - 1][spot], most_from_[i][spot]);
    }
  }
}

bool SpotRoom::has_room(std::size_t spot, std::size_t day) const {
  const auto after = std::upper_bound(first_days_.begin(), first_days_.end(), day);
  const auto stretch = static_cast<std::size_t>(after - first_days_.begin()) - 1;
  return most_from_[stretch][spot] < tank_.spots[spot].capacity;
}

std::size_t SpotRoom::spot_of(std::size_t group, std::size_t day) const {
  if (plan_.days.empty()) return tank_.groups[group].spot_of_start();
  return setup_.seats[plan_.days[day].groups.spot(group)].spot;
}

template <class Compare>
bool SpotRoom::has_spot(std::size_t group, std::size_t day, const Compare& is_better) const {
  const auto& own = doses_at_goal_[spot_of(group, day)];
  if (tank_.groups[group].is_fixed || !own) return false;
  for (std::size_t spot = 0; spot < tank_.spots.size(); ++spot) {
    const auto& there = doses_at_goal_[spot];
    if (there && is_better(*there, *own) && has_room(spot, day)) return true;
  }
  return false;
}

bool SpotRoom::has_dimmer_spot(std::size_t group, std::size_t day) const {
  return has_spot(group, day, std::less<DailyDose>{});
}

bool SpotRoom::has_brighter_spot(std::size_t group, std::size_t day) const {
  return has_spot(group, day, std::greater<DailyDose>{});
}

}  // namespace slowdawn
