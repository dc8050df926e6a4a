// A replay as text, every number to its last digit, so that two can be compared.
#pragma once

#include <ios>
#include <slowdawn/logbook/replay.hpp>
#include <sstream>
#include <string>

namespace slowdawn::testing {

inline void print_limit(std::ostream& out, const std::optional<DailyDose>& limit) {
  if (limit) out << " limit " << limit->mol_m2_d();
}

inline void print_by(std::ostream& out, std::size_t group, const Breach& breach) {
  out << " group " << group << " cap " << static_cast<int>(breach.cap) << " by " << breach.ratio;
}

/// The first so many days of a plan.
inline std::string days_text(const Plan& plan, std::size_t count) {
  std::ostringstream out;
  out << std::hexfloat;
  for (std::size_t day = 0; day < std::min(count, plan.days.size()); ++day) {
    const PlanDay& each = plan.days[day];
    out << "day " << day << " setting " << each.setting << (each.by_hand ? " by hand" : "");
    if (each.held_by) out << " held";
    if (each.held_by && each.held_by->by) {
      print_by(out, each.held_by->by->group, each.held_by->by->breach);
    }
    for (std::size_t g = 0; g < each.groups.size(); ++g) {
      const GroupDay group = each.groups[g];
      out << " | " << group.light.real.dose.mol_m2_d() << " " << group.light.real.peak.umol_m2_s()
          << " " << group.state.used_to.dose.mol_m2_d() << " "
          << group.state.used_to.peak.umol_m2_s() << " " << group.state.allowance.dose.mol_m2_d()
          << " " << group.state.allowance.peak.umol_m2_s();
    }
    out << "\n";
  }
  return out.str();
}

inline std::string plan_text(const Plan& plan) {
  std::ostringstream out;
  out << std::hexfloat << "status " << static_cast<int>(plan.status);
  if (plan.goal_day) out << " goal " << *plan.goal_day;
  if (plan.settled_day) out << " settled " << *plan.settled_day;
  out << "\n" << days_text(plan, plan.days.size());
  for (const GroupOutcome& group : plan.groups) {
    out << "outcome " << group.goal.dose.mol_m2_d() << " " << group.goal.peak.umol_m2_s() << " "
        << group.days_below_band;
    if (group.fit) out << " fit " << static_cast<int>(*group.fit);
    if (group.lowest_share) out << " share " << *group.lowest_share;
    out << "\n";
  }
  for (const PlanNote& note : plan.notes) {
    out << "note " << static_cast<int>(note.kind) << " day " << note.day;
    print_by(out, note.group, note.breach);
    out << "\n";
  }
  for (const GroupChange& change : plan.changes) {
    const Tolerance& tolerance = change.changed.tolerance;
    out << "change day " << change.day << " group " << change.group << " spot "
        << change.changed.spot << " " << tolerance.tau_up.d() << " "
        << tolerance.weekly_rise.percent();
    print_limit(out, change.changed.check_in_limit);
    out << "\n";
  }
  return out.str();
}

inline std::string replay_text(const Replay& replayed) {
  std::ostringstream out;
  out << std::hexfloat << plan_text(replayed.plan);
  for (const ReplayEvent& event : replayed.events) {
    out << "event day " << event.day << " group " << event.group << " judged "
        << static_cast<int>(event.outcome.judgement) << " by "
        << static_cast<int>(event.outcome.sign) << " from "
        << static_cast<int>(event.outcome.before) << " to " << static_cast<int>(event.outcome.after)
        << (event.all_at_once ? " all" : "");
    print_limit(out, event.dose_limit);
    out << "\n";
  }
  for (const GroupStanding& standing : replayed.standings) {
    out << "standing " << static_cast<int>(standing.mode) << " look "
        << standing.last_look_day.value_or(-999) << " next " << standing.next_look_day << " sign "
        << standing.last_sign_day.value_or(-999)
        << (standing.held_for_want_of_a_look ? " held" : "") << " " << standing.tau_up.d() << " "
        << standing.weekly_rise.percent();
    print_limit(out, standing.dose_limit);
    out << "\n";
  }
  for (const auto& [day, dials] : replayed.dialled) {
    out << "dialled day " << day;
    for (const auto& [light, dial] : dials) out << " " << light << " at " << dial.percent();
    out << "\n";
  }
  return out.str();
}

}  // namespace slowdawn::testing
