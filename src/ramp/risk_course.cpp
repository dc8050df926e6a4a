#include <algorithm>
#include <cmath>
#include <slowdawn/ramp/moves.hpp>
#include <slowdawn/ramp/risk.hpp>

namespace slowdawn {
namespace {

RiskCourse::Stretch stretch_from(std::size_t day, const AdaptationRates& rates) {
  return {day, std::log1p(-rates.up), std::log1p(-rates.down)};
}

/// The stretch that begins on a day; a new one where none does yet.
RiskCourse::Stretch& begin_stretch(std::vector<RiskCourse::Stretch>& stretches, std::size_t day,
                                   const AdaptationRates& rates) {
  if (stretches.back().first_day < day) {
    stretches.push_back(stretch_from(day, rates));
  } else {
    stretches.back().log_up = std::log1p(-rates.up);
    stretches.back().log_down = std::log1p(-rates.down);
  }
  return stretches.back();
}

/// Puts a change of a group into its stretches.
void add_change(const RampProblem& problem, const GroupChange& change, const RampGroup& before,
                std::vector<RiskCourse::Stretch>& stretches) {
  const AdaptationRates rates{change.changed.tolerance};
  RiskCourse::Stretch& stretch = begin_stretch(stretches, change.day, rates);
  const double doubt = move_doubt(problem, before.spot, change.changed.spot);
  // On the first day the start's own doubt is in the level already, as for the plan.
  const double known = change.day == 0 ? before.doubt : 0.0;
  if (doubt <= known) return;
  stretch.doubt += doubt - known;
  if (change.day == 0) return;
  stretch.read_before = before.spot;
  stretch.read_after = change.changed.spot;
}

std::vector<RiskCourse::Stretch> list_stretches(const RampProblem& problem, const Plan& plan,
                                                std::size_t g) {
  RampGroup group = problem.groups[g];
  std::vector<RiskCourse::Stretch> stretches{stretch_from(0, group.tolerance)};
  stretches.front().doubt = group.doubt;
  // No move has the same readings before and after.
  const std::size_t read =
      problem.readings.empty() ? group.spot : problem.readings[group.spot].spot;
  stretches.front().read_before = read;
  stretches.front().read_after = read;
  for (const GroupChange& change : plan.changes) {
    if (change.group != g) continue;
    add_change(problem, change, group, stretches);
    group = change.changed;
  }
  return stretches;
}

}  // namespace

RiskCourse::RiskCourse(const RampProblem& problem, const Plan& plan,
                       const std::vector<Percent>& headrooms, std::size_t from)
    : days_(plan.days.size()) {
  const auto none = static_cast<double>(days_);
  groups_.reserve(problem.groups.size());
  for (std::size_t g = 0; g < problem.groups.size(); ++g) {
    const RampGroup& group = problem.groups[g];
    const double known = doubt_factor(group.doubt);
    Group made{{group.used_to.dose / known, group.used_to.peak / known},
               headrooms[g].fraction(),
               {},
               list_stretches(problem, plan, g)};
    made.days.reserve(days_);
    for (std::size_t day = 0; day < days_; ++day) {
      const Exposure& light = plan.days[day].groups.light_of(g).effective;
      made.days.push_back({light.dose, light.peak, day < from ? none : static_cast<double>(day)});
    }
    groups_.push_back(std::move(made));
  }
}

}  // namespace slowdawn
