#include <algorithm>
#include <slowdawn/logbook/ways.hpp>

#include "logbook/life.hpp"

namespace slowdawn {
namespace {

constexpr std::size_t most_spots = 3;

class WayFinder {
 public:
  WayFinder(const Replay& now, std::size_t group) : now_(now), group_(group), day_(now.today) {}

  std::vector<Way> find() {
    Life without = *now_.morning;
    without.assume_good_looks();
    without.leave_out(group_);
    free_ = without.live(false);
    if (!holds_others()) return {};
    std::vector<Way> ways;
    for (int tenth = 9; tenth >= 2; --tenth) {
      const double mesh = tenth / 10.0;
      if (mesh >= seat().transmission) continue;
      if (auto way = try_seat({seat().spot, mesh})) {
        ways.push_back(std::move(*way));
        break;
      }
    }
    for (const std::size_t spot : spots_with_room()) {
      if (ways.size() > most_spots) break;
      if (auto way = try_seat({spot, seat().transmission})) ways.push_back(std::move(*way));
    }
    return ways;
  }

 private:
  const Seat& seat() const { return now_.setup.seats[now_.plan.days[day_].groups.spot(group_)]; }

  /// The first day on which the group's limit can have ended.
  std::size_t end_of_limit() const {
    const GroupStanding& standing = now_.standings[group_];
    const int last_sign = standing.last_sign_day.value_or(static_cast<int>(day_));
    const int end = standing.earliest_release.value_or(last_sign + steady_days_before_restart);
    return static_cast<std::size_t>(std::max(end, static_cast<int>(day_)));
  }

  static std::size_t setting_of(const Replay& replayed, std::size_t day) {
    return replayed.plan.days[std::min(day, replayed.plan.days.size() - 1)].setting;
  }

  bool holds_others() const {
    for (std::size_t day = day_; day <= end_of_limit(); ++day) {
      if (setting_of(free_, day) > setting_of(now_, day)) return true;
    }
    return false;
  }

  /// Whether the group is among those that bar the next setting on a day.
  bool bars_next(const Replay& then, std::size_t number) const {
    const RampProblem& problem = then.setup.problem;
    const PlanDay& day = then.plan.days[std::min(number, then.plan.days.size() - 1)];
    if (day.setting == problem.path.goal) return false;
    const std::size_t next = day.setting < problem.path.goal ? day.setting + 1 : day.setting - 1;
    const RampGroup group = group_on_day(problem, then.plan, number, group_);
    const GroupDay now = day.groups[group_];
    return worst_breach(compute_limits(group, now.state), problem.light(next, group), now.light)
        .has_value();
  }

  std::optional<Way> try_seat(const Seat& there) const {
    Life life = *now_.morning;
    life.know_seats(std::vector{there});
    life.assume_good_looks();
    const Tank& tank = now_.tank;
    life.add(MovedEntry{tank.groups[group_].name, tank.spots[there.spot].name, there.transmission});
    const Replay then = life.live(false);
    for (std::size_t day = day_; day < end_of_limit(); ++day) {
      if (bars_next(then, day)) return std::nullopt;
    }
    const GroupDay today = then.plan.days[day_].groups[group_];
    const Tolerance& tolerance = now_.setup.problem.groups[group_].tolerance;
    const DailyDose floor =
        (1.0 - tolerance.floor.fraction()) * now_.plan.days[day_].groups[group_].state.used_to.dose;
    if (exceeds(floor, today.light.effective.dose)) return std::nullopt;
    Way way{there.spot == seat().spot ? Way::Kind::mesh : Way::Kind::spot, group_};
    way.transmission = there.transmission;
    way.spot = there.spot;
    way.dials_today = then.dials_of_day(day_);
    way.goal_day = then.plan.goal_day;
    return way;
  }

  /// With every light of the plan known there, by their dose at the goal.
  std::vector<std::size_t> spots_with_room() const {
    const Tank& tank = now_.tank;
    std::vector<int> living(tank.spots.size(), 0);
    for (std::size_t g = 0; g < tank.groups.size(); ++g) {
      if (now_.is_gone(g, day_)) continue;
      ++living[now_.setup.seats[now_.plan.days[day_].groups.spot(g)].spot];
    }
    std::vector<std::size_t> spots;
    for (std::size_t spot = 0; spot < tank.spots.size(); ++spot) {
      const bool is_known = std::all_of(
          tank.ramp.to.begin(), tank.ramp.to.end(),
          [&](const auto& entry) { return tank.full_output[spot][entry.first].has_value(); });
      if (spot == seat().spot || !is_known || living[spot] >= tank.spots[spot].capacity) continue;
      spots.push_back(spot);
    }
    std::stable_sort(spots.begin(), spots.end(), [&](std::size_t a, std::size_t b) {
      return tank.usable_exposure(a, tank.ramp.to).dose >
             tank.usable_exposure(b, tank.ramp.to).dose;
    });
    return spots;
  }

  const Replay& now_;
  std::size_t group_;
  std::size_t day_;
  /// As if nothing waited for the group.
  Replay free_{};
};

bool is_held_by_looks(const GroupStanding& standing) {
  return standing.mode != Condition::Mode::free;
}

bool is_answered(const Replay& replayed) {
  return replayed.morning && replayed.today < replayed.plan.days.size() &&
         !replayed.standings.empty();
}

std::optional<Wait> wait_of(const GroupStanding& standing, std::size_t group) {
  using Mode = Condition::Mode;
  if (standing.mode == Mode::hurt) return Wait{group, Wait::For::restart};
  if (standing.mode != Mode::free) {
    return Wait{group, Wait::For::good_looks, standing.good_looks_to_come};
  }
  if (standing.accident_day) return Wait{group, Wait::For::look_after_accident};
  if (standing.held_for_want_of_a_look) return Wait{group, Wait::For::any_look};
  return std::nullopt;
}

}  // namespace

std::vector<Way> find_ways_to_spare(const Replay& replayed) {
  std::vector<Way> ways;
  if (!is_answered(replayed)) return ways;
  for (std::size_t g = 0; g < replayed.standings.size(); ++g) {
    if (!is_held_by_looks(replayed.standings[g]) || replayed.is_gone(g, replayed.today)) continue;
    std::vector<Way> found = WayFinder{replayed, g}.find();
    ways.insert(ways.end(), found.begin(), found.end());
  }
  return ways;
}

std::vector<Wait> find_waits(const Replay& replayed) {
  std::vector<Wait> waits;
  if (!is_answered(replayed)) return waits;
  for (std::size_t g = 0; g < replayed.standings.size(); ++g) {
    if (replayed.is_gone(g, replayed.today)) continue;
    if (const auto wait = wait_of(replayed.standings[g], g)) waits.push_back(*wait);
  }
  if (waits.empty()) return waits;
  Life life = *replayed.morning;
  life.assume_good_looks();
  const Replay then = life.live(false);
  const std::size_t goal = then.setup.problem.path.goal;
  const std::size_t now = replayed.plan.days[replayed.today].setting;
  for (std::size_t day = replayed.today + 1; day < then.plan.days.size(); ++day) {
    const std::size_t setting = then.plan.days[day].setting;
    const bool goes_on = goal >= now ? setting > now : setting < now;
    if (!goes_on) continue;
    for (Wait& wait : waits) {
      wait.earliest = day;
      wait.dials = then.dials_of_day(day);
    }
    break;
  }
  return waits;
}

}  // namespace slowdawn
