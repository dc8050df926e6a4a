#include <algorithm>
#include <slowdawn/ramp/breaks.hpp>

namespace slowdawn {
namespace {

std::size_t toward_goal(const RampProblem& problem, std::size_t setting) {
  return setting < problem.path.goal ? setting + 1 : setting - 1;
}

/// What a group has, what the next setting would bring, and its caps on a day.
class NextStep {
 public:
  NextStep(const RampProblem& problem, const Plan& plan, std::size_t day, std::size_t number)
      : number_(number),
        group_(group_on_day(problem, plan, day, number)),
        next_(problem.light(toward_goal(problem, plan.days[day].setting), group_)),
        here_(next_.shown(problem.light(plan.days[day].setting, group_).effective)),
        today_(next_.shown(plan.days[day].groups.light_of(number).effective)),
        there_(next_.real),
        limits_(shown(compute_limits(group_, plan.days[day].groups[number].state), next_)) {}

  std::vector<BrokenCap> list() {
    const double headroom = 1.0 + group_.tolerance.headroom.fraction();
    const auto waits = [&](bool is_too_coarse) {
      return is_too_coarse ? Healing::never : Healing::time;
    };
    const Healing dose = waits(exceeds(there_.dose, headroom * here_.dose));
    const Healing peak = waits(exceeds(there_.peak, headroom * here_.peak));
    over(Cap::dose_pace, there_.dose, limits_.dose_pace, dose);
    over(Cap::dose_headroom, there_.dose, limits_.dose_headroom, dose);
    over(Cap::peak_pace, there_.peak, limits_.peak_pace, peak);
    over(Cap::peak_headroom, there_.peak, limits_.peak_headroom, peak);
    over(Cap::dose_band, there_.dose, limits_.dose_band, Healing::never);
    over(Cap::peak_ceiling, there_.peak, limits_.peak_ceiling, Healing::never);
    under_floor();
    if (limits_.check_in) {
      over(Cap::check_in, there_.dose, *limits_.check_in, Healing::good_looks);
    }
    held();
    if (limits_.excitation) {
      over(Cap::excitation, there_.peak, *limits_.excitation, Healing::never);
    }
    return std::move(breaks_);
  }

 private:
  static double in_unit(DailyDose dose) { return dose.mol_m2_d(); }
  static double in_unit(Ppfd peak) { return peak.umol_m2_s(); }

  template <class Kind>
  void over(Cap cap, Kind value, Kind limit, Healing heals) {
    if (exceeds(value, limit)) {
      breaks_.push_back({number_, cap, in_unit(value), in_unit(limit), heals});
    }
  }

  /// Waiting brings what it is used to down to the present dose, and no lower.
  void under_floor() {
    if (!exceeds(today_.dose, there_.dose) || !exceeds(limits_.dose_floor, there_.dose)) return;
    const DailyDose lowest = (1.0 - group_.tolerance.floor.fraction()) * here_.dose;
    breaks_.push_back({number_, Cap::dose_floor, in_unit(there_.dose), in_unit(limits_.dose_floor),
                       exceeds(lowest, there_.dose) ? Healing::never : Healing::time});
  }

  /// A group that holds bears no more than it has today, whatever its limit.
  void held() {
    const bool is_said = !breaks_.empty() && breaks_.back().cap == Cap::check_in;
    if (group_.holds && !is_said) {
      over(Cap::check_in, there_.dose, today_.dose, Healing::good_looks);
    }
  }

  std::size_t number_;
  RampGroup group_;
  /// All amounts are as a meter would show them in the light of the next setting.
  GroupLight next_;
  /// At the setting where the plan stands, and by whatever hand the day was lit.
  Exposure here_;
  Exposure today_;
  Exposure there_;
  Limits limits_;
  std::vector<BrokenCap> breaks_;
};

bool is_at_goal(const RampProblem& problem, const Plan& plan, std::size_t day) {
  return plan.days[day].setting == problem.path.goal;
}

}  // namespace

std::vector<BrokenCap> list_breaks(const RampProblem& problem, const Plan& plan, std::size_t day,
                                   std::size_t group) {
  if (is_at_goal(problem, plan, day)) return {};
  return NextStep{problem, plan, day, group}.list();
}

std::vector<BrokenCap> list_breaks(const RampProblem& problem, const Plan& plan, std::size_t day) {
  std::vector<BrokenCap> all;
  if (is_at_goal(problem, plan, day)) return all;
  const auto& held_by = plan.days[day].held_by;
  for (std::size_t g = 0; g < problem.groups.size(); ++g) {
    const bool holds = held_by && held_by->by && held_by->by->group == g;
    if (!holds && group_on_day(problem, plan, day, g).wish) continue;
    const std::vector<BrokenCap> own = NextStep{problem, plan, day, g}.list();
    all.insert(all.end(), own.begin(), own.end());
  }
  return all;
}

const BrokenCap& worst_of(const std::vector<BrokenCap>& breaks) {
  const BrokenCap* worst = &breaks.front();
  for (const BrokenCap& broken : breaks) {
    if (exceeds(broken.ratio(), worst->ratio())) worst = &broken;
  }
  return *worst;
}

}  // namespace slowdawn
