#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <slowdawn/present/phrases.hpp>
#include <slowdawn/present/text.hpp>
#include <slowdawn/ramp/moves.hpp>

namespace slowdawn {
namespace {

/// At most so many digits after the point, without zeros at the end.
std::string trimmed(double value, int digits) {
  std::string text = fmt::format("{:.{}f}", value, digits);
  if (text.find('.') == std::string::npos) return text;
  text.erase(text.find_last_not_of('0') + 1);
  if (text.back() == '.') text.pop_back();
  return text == "-0" ? "0" : text;
}

}  // namespace

std::string to_text(DailyDose dose) {
  const double value = dose.mol_m2_d();
  return fmt::format("{:.{}f}", value, value < 0.995 ? 2 : 1);
}

std::string to_text(Ppfd peak) {
  const double value = peak.umol_m2_s();
  return fmt::format("{:.{}f}", value, value < 9.95 ? 1 : 0);
}

std::string to_text(Percent percent) { return trimmed(percent.percent(), 2) + " %"; }

std::string ratio_text(double ratio) {
  if (!std::isfinite(ratio)) return "many";
  return fmt::format("{:.2f}", ratio);
}

std::string cap_key(Cap cap) {
  switch (cap) {
    case Cap::dose_pace: return "dose_pace";
    case Cap::dose_headroom: return "dose_headroom";
    case Cap::peak_pace: return "peak_pace";
    case Cap::peak_headroom: return "peak_headroom";
    case Cap::dose_band: return "dose_band";
    case Cap::peak_ceiling: return "peak_ceiling";
    case Cap::dose_floor: return "dose_floor";
    case Cap::check_in: return "check_in";
    case Cap::excitation: return "excitation";
  }
  return "";
}

std::string cap_phrase(Cap cap) {
  switch (cap) {
    case Cap::dose_pace: return "pace of its dose";
    case Cap::dose_headroom: return "headroom of its dose";
    case Cap::peak_pace: return "pace of its peak";
    case Cap::peak_headroom: return "headroom of its peak";
    case Cap::dose_band: return "high end of its dose band";
    case Cap::peak_ceiling: return "ceiling of its peak";
    case Cap::dose_floor: return "floor of its dose";
    case Cap::check_in: return "limit of its check-ins";
    case Cap::excitation: return "peak at its excitation cap";
  }
  return "";
}

namespace {

std::string excitation_reason(const RampGroup& group, const std::string& its) {
  const auto& excitation = group.tolerance.excitation;
  if (!excitation || !excitation->peak_at_cap()) return "";
  return its + fmt::format(
                   "peak may not pass {}, where its excitation proxy comes to {} at an Ek of {}, "
                   "or what it "
                   "had before",
                   to_text(std::max(*excitation->peak_at_cap(), group.before.peak)),
                   trimmed(*excitation->cap(), 3), to_text(excitation->ek()));
}

}  // namespace

std::string cap_reason(Cap cap, const RampGroup& group, bool is_weighed) {
  const std::string its = is_weighed ? "its usable " : "its ";
  const Tolerance& t = group.tolerance;
  switch (cap) {
    case Cap::dose_pace:
      return its + "dose may rise by " + to_text(t.weekly_rise) + " in a week at the most";
    case Cap::peak_pace:
      return its + "peak may rise by " + to_text(t.weekly_rise) + " in a week at the most";
    case Cap::dose_headroom:
      return its + "dose may lie " + to_text(t.headroom) + " over what it is used to at the most";
    case Cap::peak_headroom:
      return its + "peak may lie " + to_text(t.headroom) + " over what it is used to at the most";
    case Cap::dose_band:
      return its +
             fmt::format("dose may not pass {}, the high end of its band or what it had before",
                         to_text(std::max(t.dose_band.high, group.before.dose)));
    case Cap::peak_ceiling:
      return its + fmt::format("peak may not pass {}, its ceiling or what it had before",
                               to_text(std::max(t.peak_ceiling, group.before.peak)));
    case Cap::dose_floor:
      return "one step may not take more than " + to_text(t.floor) + " off what it is used to";
    case Cap::check_in: return "its check-ins ask for patience";
    case Cap::excitation: return excitation_reason(group, its);
  }
  return "";
}

std::string over_text(double ratio) {
  if (!std::isfinite(ratio)) return "over the";
  if (ratio < 2.0) return trimmed(100.0 * (ratio - 1.0), ratio < 1.001 ? 3 : 1) + " % over the";
  return ratio_text(ratio) + " times the";
}

std::string days_text(std::size_t days) {
  return days == 1 ? "1 day" : fmt::format("{} days", days);
}

std::string setting_text(const PlannedRamp& ramp, const Setting& setting) {
  std::string text;
  for (std::size_t j = 0; j < setting.size(); ++j) {
    if (j > 0) text += ", ";
    text += to_safe_text(ramp.light_name(j)) + " " + to_text(setting[j]);
  }
  return text;
}

std::string dials_text(const Tank& tank, const std::map<std::size_t, Percent>& dials) {
  std::string text;
  for (const auto& [light, dial] : dials) {
    if (!text.empty()) text += ", ";
    text += to_safe_text(tank.lights[light].name) + " " + to_text(dial);
  }
  return text.empty() ? "no light" : text;
}

std::string step_text(const PlannedRamp& ramp, const Step& step) {
  const auto first = ramp.dials(step.first_day);
  if (!step.is_even()) return dials_text(ramp.tank, first);
  const auto last = ramp.dials(step.reached_day);
  std::string text;
  for (const auto& [light, dial] : first) {
    if (!text.empty()) text += ", ";
    text += to_safe_text(ramp.tank.lights[light].name);
    text += dial == last.at(light)
                ? " " + to_text(dial)
                : " from " + to_text(dial) + " evenly to " + to_text(last.at(light));
  }
  return text + fmt::format(" on {} ({})", to_iso(ramp.date(step.reached_day)),
                            days_text(step.reached_day - step.first_day));
}

std::string held_by_text(const PlannedRamp& ramp, const HeldBy& held_by) {
  if (!held_by.by) return "waits for the next step day";
  return to_safe_text(ramp.setup.problem.groups[held_by.by->group].name) + " (" +
         cap_phrase(held_by.by->breach.cap) + ")";
}

std::vector<std::string> changes_since_yesterday(const PlannedRamp& ramp, std::size_t day) {
  const auto before = day == 0 ? ramp.tank.ramp.from : ramp.dials(day - 1);
  const auto today = ramp.dials(day);
  const auto name = [&](std::size_t light) { return to_safe_text(ramp.tank.lights[light].name); };
  std::vector<std::string> changes;
  for (const auto& [light, dial] : today) {
    const auto stood = before.find(light);
    const Percent old = stood == before.end() ? Percent{} : stood->second;
    if (old == dial) continue;
    changes.push_back(fmt::format("{} from {} to {}", name(light), to_text(old), to_text(dial)));
  }
  for (const auto& [light, dial] : before) {
    if (today.contains(light)) continue;
    changes.push_back(fmt::format("{} from {} to off", name(light), to_text(dial)));
  }
  return changes;
}

std::vector<std::string> groups_due(const PlannedRamp& ramp, std::size_t day) {
  std::vector<std::string> due;
  for (std::size_t g = 0; g < ramp.tank.groups.size(); ++g) {
    const bool is_due = ramp.followed == nullptr
                            ? is_day_to_look(day)
                            : ramp.followed->standings[g].next_look_day <= static_cast<int>(day);
    if (is_due) due.push_back(ramp.tank.groups[g].name);
  }
  return due;
}

std::string band_text(const DoseBand& band) {
  return trimmed(band.low.mol_m2_d(), 2) + " to " + trimmed(band.high.mol_m2_d(), 2);
}

std::string fit_text(BandFit fit) {
  switch (fit) {
    case BandFit::below_band: return "below";
    case BandFit::within_band: return "within";
    case BandFit::above_band: return "above";
  }
  return "";
}

namespace {

/// Whether the next setting of a day has another shade cloth.
bool waits_for_a_cloth(const PlannedRamp& ramp, std::size_t day) {
  const std::size_t here = ramp.plan.days[day].setting;
  const std::vector<Setting>& settings = ramp.setup.problem.path.settings;
  if (here + 1 >= settings.size()) return false;
  for (std::size_t j = 0; j < ramp.setup.path_lights.size(); ++j) {
    const bool is_sun = ramp.tank.lights[ramp.setup.path_lights[j]].sun.has_value();
    if (is_sun && settings[here][j] != settings[here + 1][j]) return true;
  }
  return false;
}

}  // namespace

std::string note_text(const PlannedRamp& ramp, const PlanNote& note) {
  const std::string group =
      ramp.plan.groups.empty() ? "" : to_safe_text(ramp.setup.problem.groups[note.group].name);
  const std::string over = over_text(note.breach.ratio);
  const std::string first = setting_text(ramp, ramp.setting(0));
  switch (note.kind) {
    case PlanNote::Kind::no_safe_opening:
      if (ramp.tank.has_sun()) {
        return fmt::format(
            "No setting is safe on the first day: even with {}, {} would be {} {}. Start it in a "
            "dimmer spot or under a mesh of its own, or add a darker shade cloth; two cloths over "
            "each other let through the product of what each does.",
            first, group, over, cap_phrase(note.breach.cap));
      }
      return fmt::format(
          "No setting is safe on the first day: even with {}, {} would be {} {}. Start it in a "
          "dimmer spot or under a shade, mount the light higher, or dial lower if the light can.",
          first, group, over, cap_phrase(note.breach.cap));
    case PlanNote::Kind::stays_at_first_setting:
      return fmt::format(
          "From {} on even {} is more than {} bears ({}); the plan stays there. A dimmer spot or a "
          "shade would help.",
          to_iso(ramp.date(note.day)), first, group, cap_phrase(note.breach.cap));
    case PlanNote::Kind::held_by_limit:
      return fmt::format(
          "Held short of the goal for good by {}: the next setting would be {} {}. It goes on with "
          "{} in a dimmer spot, or with a lower goal.",
          group, over, cap_phrase(note.breach.cap), group);
    case PlanNote::Kind::dial_too_coarse:
      if (waits_for_a_cloth(ramp, note.day)) {
        return fmt::format(
            "Held because the shade cloths lie too far apart here: for {} the next one is {} "
            "headroom above the present one. A cloth in between would help, or two over each "
            "other, which let through the product of what each does: add it to "
            "\"shade_cloths\".",
            group, over);
      }
      return fmt::format(
          "Held because the dial is too coarse here: for {} the next setting is {} headroom above "
          "the present one. A finer \"step\", a higher mounting of the light or a shade would "
          "help.",
          group, over);
    case PlanNote::Kind::held_by_check_in:
      return fmt::format(
          "Held by {} until it has looked well twice, 3 days apart; log its looks with `slowdawn "
          "checkin`.",
          group);
    case PlanNote::Kind::ran_out_of_days:
      return ramp.plan.goal_day
                 ? "The goal is reached, but not every group is used to it by day 365, the last "
                   "of a plan."
                 : "The goal is not reached by day 365, the last of a plan.";
    case PlanNote::Kind::starved:
      return fmt::format(
          "{} falls to {:.0f} % of its old dose on the way. Growth may stop and colour darken; a "
          "brighter spot meanwhile would spare it that.",
          group, 100.0 * note.breach.ratio);
    case PlanNote::Kind::very_high_dose:
      return fmt::format(
          "{} ends over 32 mol m-2 d-1, which has been called potentially photoinhibiting.", group);
    case PlanNote::Kind::very_high_peak:
      return fmt::format("{} ends at a peak of over 1000 umol m-2 s-1; few reef tanks need that.",
                         group);
    case PlanNote::Kind::never_ready: {
      const Group& moving = ramp.tank.groups[note.group];
      const bool only_shaded = moving.spot_of_start() == moving.spot_of_ramp();
      const RampGroup& now = ramp.setup.problem.groups[note.group];
      const std::size_t to = now.wish ? now.wish->to : now.spot;
      const std::string most =
          note.breach.cap == Cap::dose_floor
              ? "take at most " + to_text(now.tolerance.floor) + " off what it is used to"
              : fmt::format("bring it at most {} times the light it is used to",
                            ratio_text(reach_of_move(ramp.setup.problem, now, to)));
      return fmt::format(
          "{} is never ready {}: on the day after the plan it would be {} {} there. One move may "
          "{}, so it needs {} in between.",
          group,
          only_shaded ? "to lose its mesh"
                      : "for " + to_safe_text(ramp.tank.spots[moving.spot_of_ramp()].name),
          over, cap_phrase(note.breach.cap), most,
          only_shaded ? "more meshes (\"transmission\": a list)" : "more stops (\"via\")");
    }
  }
  return "";
}

std::string dim_start_text(const RampProblem& problem) {
  std::vector<std::string> groups;
  for (const DimStart& dim : list_dim_starts(problem)) {
    // Rounded away from each other, so that what is too little also looks it.
    groups.push_back(fmt::format(
        "{} {:.0f} % (its minimum is {:.0f} %)", to_safe_text(problem.groups[dim.group].name),
        std::floor(100.0 * dim.share + 1e-9), std::ceil(100.0 * dim.least_share - 1e-9)));
  }
  if (groups.empty()) return "";
  return "The goal is too dim for the first day. Of the light that a group is used to, it leaves " +
         list_words(groups) +
         ". No plan can avoid that, because the lights change on that day: choose a brighter spot "
         "for " +
         (groups.size() == 1 ? "this group" : "these groups") + ", or a higher goal.";
}

std::string verdict_text(const RampGroup& group, const GoalFit& fit) {
  const Tolerance& tolerance = group.tolerance;
  switch (fit.verdict) {
    case GoalVerdict::too_bright: {
      std::string why;
      if (fit.dose_ratio > 1.0) {
        why = fmt::format("its dose would be {} times the high end of its band",
                          ratio_text(fit.dose_ratio));
      }
      if (fit.peak_ratio > 1.0) {
        why += why.empty() ? "" : ", and ";
        why += fmt::format("its peak would be {} times its ceiling of {}",
                           ratio_text(fit.peak_ratio), to_text(tolerance.peak_ceiling));
      }
      if (fit.excitation_ratio > 1.0) {
        why += why.empty() ? "" : ", and ";
        why += fmt::format("its peak would be {} times the {} at its excitation cap of {}",
                           ratio_text(fit.excitation_ratio),
                           to_text(*tolerance.excitation->peak_at_cap()),
                           trimmed(*tolerance.excitation->cap(), 3));
      }
      return why + ". Give it a dimmer spot or lower the goal.";
    }
    case GoalVerdict::too_dim:
      return fmt::format(
          "its dose would be {:.0f} % of the low end of its band. Give it a brighter spot or raise "
          "the goal.",
          100.0 * fit.dose_ratio);
    case GoalVerdict::right:
      return fit.outranked_by_history
                 ? "over the figures of its kind, but no brighter than the light it comes from."
                 : "within its band and under its ceiling.";
  }
  return "";
}

}  // namespace slowdawn
