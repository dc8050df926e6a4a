#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <slowdawn/present/phrases.hpp>
#include <slowdawn/present/text.hpp>

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

std::string bare_text(Percent percent) { return trimmed(percent.percent(), 2); }
std::string to_text(Percent percent) { return bare_text(percent) + " %"; }

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

std::string channels_text(const TankLight& light, Percent dial) {
  if (dial.percent() <= 0.0) return "";
  std::string text;
  for (const ChannelDial& channel : light.channel_dials(dial)) {
    if (!text.empty()) text += ", ";
    text += to_safe_text(channel.name) + " " + bare_text(channel.dial);
  }
  return text;
}

std::string dial_text(const TankLight& light, Percent dial) {
  const std::string channels = channels_text(light, dial);
  return to_text(dial) + (channels.empty() ? "" : ": " + channels);
}

namespace {

std::string separator_of(const Tank& tank) {
  const bool has_channels =
      std::any_of(tank.lights.begin(), tank.lights.end(),
                  [](const TankLight& light) { return !light.channels.empty(); });
  return has_channels ? "; " : ", ";
}

}  // namespace

std::string setting_text(const PlannedRamp& ramp, const Setting& setting) {
  std::map<std::size_t, Percent> dials;
  for (std::size_t j = 0; j < setting.size(); ++j) dials[ramp.setup.path_lights[j]] = setting[j];
  return dials_text(ramp.tank, dials);
}

std::string list_changes(const PlannedRamp& ramp, const std::vector<std::string>& changes) {
  return list_words(changes, separator_of(ramp.tank));
}

std::string plain_dials_text(const Tank& tank, const std::map<std::size_t, Percent>& dials) {
  std::string text;
  for (const auto& [light, dial] : dials) {
    if (!text.empty()) text += ", ";
    text += to_safe_text(tank.lights[light].name) + " " + to_text(dial);
  }
  return text.empty() ? "no light" : text;
}

std::string dials_text(const Tank& tank, const std::map<std::size_t, Percent>& dials) {
  std::string text;
  for (const auto& [light, dial] : dials) {
    if (!text.empty()) text += separator_of(tank);
    text += to_safe_text(tank.lights[light].name) + " " + dial_text(tank.lights[light], dial);
  }
  return text.empty() ? "no light" : text;
}

std::string step_text(const PlannedRamp& ramp, const Step& step) {
  const auto first = ramp.dials(step.first_day);
  if (!step.is_even()) return dials_text(ramp.tank, first);
  const auto last = ramp.dials(step.reached_day);
  std::string text;
  for (const auto& [light_number, dial] : first) {
    const TankLight& light = ramp.tank.lights[light_number];
    const Percent reached = last.at(light_number);
    if (!text.empty()) text += separator_of(ramp.tank);
    text += to_safe_text(light.name);
    text += dial == reached ? " " + dial_text(light, dial)
                            : " from " + to_text(dial) + " evenly to " + dial_text(light, reached);
  }
  return text + fmt::format(" on {} ({})", to_iso(ramp.date(step.reached_day)),
                            days_text(step.reached_day - step.first_day));
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
    changes.push_back(fmt::format("{} from {} to {}", name(light), to_text(old),
                                  dial_text(ramp.tank.lights[light], dial)));
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
    if (!ramp.is_there(day, g)) continue;
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

bool has_better_spot(const SpotRoom& room, std::size_t group, const GoalFit& fit) {
  switch (fit.verdict) {
    case GoalVerdict::too_bright: return room.has_dimmer_spot(group, 0);
    case GoalVerdict::too_dim: return room.has_brighter_spot(group, 0);
    case GoalVerdict::right: break;
  }
  return false;
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

std::string verdict_text(const RampGroup& group, const GoalFit& fit, bool has_better_spot) {
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
      return why + (has_better_spot ? ". Give it a dimmer spot or lower the goal."
                                    : ". Lower the goal, or shade it.");
    }
    case GoalVerdict::too_dim:
      return fmt::format("its dose would be {:.0f} % of the low end of its band. {} the goal.",
                         100.0 * fit.dose_ratio,
                         has_better_spot ? "Give it a brighter spot or raise" : "Raise");
    case GoalVerdict::right:
      return fit.outranked_by_history
                 ? "over the figures of its kind, but no brighter than the light it comes from."
                 : "within its band and under its ceiling.";
  }
  return "";
}

}  // namespace slowdawn
