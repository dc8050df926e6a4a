#include <algorithm>
#include <cmath>
#include <slowdawn/ramp/advice.hpp>
#include <slowdawn/ramp/explanation.hpp>
#include <slowdawn/ramp/moves.hpp>

namespace slowdawn {
namespace {

/// So many groups that hold the plan up are looked at.
constexpr std::size_t most_groups = 2;
/// And so many days of a group are planned for it, about a second's work.
constexpr std::size_t most_group_days = 6'000'000;

class Adviser {
 public:
  Adviser(const RampProblem& problem, const Plan& plan, std::span<const int> capacity)
      : problem_(problem), plan_(plan), capacity_(capacity) {
    for (std::size_t g = 0; g < problem.groups.size(); ++g) {
      spots_ = std::max(spots_, problem.groups[g].spot + 1);
    }
    spots_ = std::max(spots_, problem.readings.size());
  }

  std::optional<Advice> find(const std::vector<bool>& may_move) {
    if (problem_.every_days > 1) try_daily_steps();
    std::vector<std::size_t> groups;
    for (const Hold& hold : summarize_holds(plan_)) {
      const std::size_t g = hold.group;
      const bool is_known = std::find(groups.begin(), groups.end(), g) != groups.end();
      const bool can_move = may_move[g] && !problem_.groups[g].wish;
      if (can_move && !is_known && groups.size() < most_groups) groups.push_back(g);
    }
    for (const std::size_t g : groups) {
      for (const std::size_t spot : spots_to_try(g, groups.size())) try_spot(g, spot);
    }
    return best_;
  }

 private:
  void try_daily_steps() {
    RampProblem daily = problem_;
    daily.every_days = 1;
    consider(compute_dial(daily), {.kind = Advice::Kind::daily_steps});
  }

  /// Those dimmer than its own at the goal; of a farm's only so many, spread evenly
  /// from the dimmest to the brightest, as the work allows.
  std::vector<std::size_t> spots_to_try(std::size_t g, std::size_t groups) const {
    const auto dose_at = [&](std::size_t spot) {
      return problem_.exposures.at(problem_.path.goal, spot).dose;
    };
    std::vector<std::size_t> dimmer;
    for (std::size_t spot = 0; spot < spots_; ++spot) {
      const bool is_dimmer = problem_.knows(problem_.groups[g], spot) &&
                             dose_at(spot) < dose_at(problem_.groups[g].spot);
      if (is_dimmer && !is_full_for_good(spot, g)) dimmer.push_back(spot);
    }
    const std::size_t days_of_trial = plan_.days.size() * problem_.groups.size();
    const std::size_t most = std::max<std::size_t>(3, most_group_days / (groups * days_of_trial));
    if (dimmer.size() <= most) return dimmer;
    std::stable_sort(dimmer.begin(), dimmer.end(),
                     [&](std::size_t a, std::size_t b) { return dose_at(a) < dose_at(b); });
    std::vector<std::size_t> some;
    for (std::size_t i = 0; i < most; ++i) {
      some.push_back(dimmer[i * (dimmer.size() - 1) / (most - 1)]);
    }
    return some;
  }

  std::size_t place(std::size_t spot) const { return problem_.readings[spot].spot; }

  /// Whether the groups that are never to move fill a spot.
  bool is_full_for_good(std::size_t spot, std::size_t g) const {
    if (capacity_.empty()) return false;
    int living = 0;
    for (std::size_t other = 0; other < problem_.groups.size(); ++other) {
      const RampGroup& group = problem_.groups[other];
      if (other != g && !group.wish && place(group.spot) == place(spot)) ++living;
    }
    return living >= capacity_[place(spot)];
  }

  /// Whether there is room for a group at a spot on every day that it waits there.
  bool has_room(const Plan& changed, const Advice& advice) const {
    if (capacity_.empty()) return true;
    const std::size_t end = advice.until.value_or(changed.days.size());
    for (std::size_t day = 0; day < std::min(end, changed.days.size()); ++day) {
      int living = 0;
      const GroupDays& groups = changed.days[day].groups;
      for (std::size_t g = 0; g < groups.size(); ++g) {
        if (place(groups.spot(g)) == place(advice.spot)) ++living;
      }
      if (living > capacity_[place(advice.spot)]) return false;
    }
    return true;
  }

  void try_spot(std::size_t g, std::size_t spot) {
    RampProblem changed = problem_;
    wait_at(changed, g, spot);
    consider(compute_dial(changed), {.kind = Advice::Kind::other_spot, .group = g, .spot = spot});
  }

  /// The group goes to a spot on the first day, and comes back when it is ready.
  static void wait_at(RampProblem& problem, std::size_t g, std::size_t spot) {
    RampGroup& group = problem.groups[g];
    const double doubt = doubt_at(problem, group, spot);
    const double change = doubt_factor(doubt) / doubt_factor(group.doubt);
    group.wish = MoveWish{.to = group.spot};
    // Nothing is moved there for a day or two.
    group.wish->not_before = group.wish->min_stay_days;
    group.spot = spot;
    group.used_to = {change * group.used_to.dose, change * group.used_to.peak};
    group.doubt = doubt;
  }

  /// Under light that is new to it, what it has is compared with other readings at another
  /// spot: those in place of these. Else the spots' readings are compared.
  static double doubt_at(const RampProblem& problem, const RampGroup& group, std::size_t spot) {
    if (group.doubt == 0.0 || problem.readings.empty()) {
      return move_doubt(problem, group.spot, spot);
    }
    const double here = problem.readings[group.spot].error;
    const double before = std::max(0.0, group.doubt * group.doubt - here * here);
    return std::sqrt(before + std::pow(problem.readings[spot].error, 2));
  }

  void consider(const Plan& changed, Advice advice) {
    if (!changed.goal_day) return;
    const bool moves = advice.kind != Advice::Kind::daily_steps;
    // Other groups may have moves of their own.
    for (const Move& move : changed.moves) {
      if (moves && move.group == advice.group) advice.until = move.day;
    }
    // A group that never comes back must at least be right where it stays.
    const bool is_right = changed.groups[advice.group].fit == BandFit::within_band;
    if (moves && !advice.until && !is_right) return;
    if (moves && !has_room(changed, advice)) return;
    advice.goal_day = *changed.goal_day;
    if (plan_.goal_day) {
      if (*changed.goal_day + days_worth_advice > *plan_.goal_day) return;
      advice.days_sooner = *plan_.goal_day - *changed.goal_day;
    }
    if (!best_ || advice.goal_day < best_->goal_day) best_ = advice;
  }

  const RampProblem& problem_;
  const Plan& plan_;
  std::span<const int> capacity_;
  std::size_t spots_ = 0;
  std::optional<Advice> best_;
};

}  // namespace

std::optional<Advice> find_advice(const RampProblem& problem, const Plan& plan,
                                  const std::vector<bool>& may_move,
                                  std::span<const int> capacity) {
  if (plan.days.empty()) return std::nullopt;
  return Adviser{problem, plan, capacity}.find(may_move);
}

}  // namespace slowdawn
