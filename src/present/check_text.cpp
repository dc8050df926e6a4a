#include <fmt/format.h>

#include <algorithm>
#include <slowdawn/present/excitation_phrases.hpp>
#include <slowdawn/present/history_phrases.hpp>
#include <slowdawn/present/phrases.hpp>
#include <slowdawn/present/present.hpp>
#include <slowdawn/present/seat_phrases.hpp>

#include "present/known_light_text.hpp"
#include "present/spectrum_text.hpp"

namespace slowdawn {
namespace {

std::string verdict_word(GoalVerdict verdict) {
  switch (verdict) {
    case GoalVerdict::too_dim: return "too dim";
    case GoalVerdict::right: return "right";
    case GoalVerdict::too_bright: return "too bright";
  }
  return "";
}

/// All groups, or of many the `most_rows` whose light at the goal is furthest off
/// what they bear or need.
std::vector<std::size_t> groups_to_show(const RampSetup& setup) {
  const std::vector<RampGroup>& groups = setup.problem.groups;
  std::vector<double> off;
  for (const RampGroup& group : groups) {
    const GoalFit fit = judge_goal(setup.problem, group);
    const double over = std::max({fit.dose_ratio, fit.peak_ratio, fit.excitation_ratio, 0.0});
    off.push_back(fit.verdict == GoalVerdict::too_dim ? 1.0 / fit.dose_ratio : over);
  }
  return rows_to_show(off);
}

}  // namespace

std::string check_text(const Tank& tank, const RampSetup& setup, const TextStyle& style) {
  using Align = TextTable::Align;
  TextTable table{{{"group", Align::left},
                   {"dose", Align::right},
                   {"peak", Align::right},
                   {"-> dose", Align::right},
                   {"peak", Align::right},
                   {"band", Align::right},
                   {"ceiling", Align::right},
                   {"the goal is", Align::left}}};
  const Plan no_days{};
  const SpotRoom room{tank, setup, no_days};
  std::string sentences;
  std::string histories;
  std::size_t right = 0;
  TextTable usable{{{"usable light", Align::left},
                    {"dose", Align::right},
                    {"peak", Align::right},
                    {"-> dose", Align::right},
                    {"peak", Align::right}}};
  std::vector<bool> is_shown(tank.groups.size());
  for (const std::size_t g : groups_to_show(setup)) is_shown[g] = true;
  for (std::size_t g = 0; g < tank.groups.size(); ++g) {
    const RampGroup& group = setup.problem.groups[g];
    if (!is_shown[g]) {
      if (judge_goal(setup.problem, group).verdict == GoalVerdict::right) ++right;
      continue;
    }
    if (tank.groups[g].history) {
      histories += wrap(history_words(tank, tank.groups[g], group), style, "  ", "    ");
    }
    const GoalFit fit = judge_goal(setup.problem, group);
    const Tolerance& tolerance = group.tolerance;
    const Exposure before = tank.measured_before(tank.groups[g]);
    const Exposure goal = measured_goal(tank, setup, group);
    usable.add({to_safe_text(group.name), to_text(group.before.dose), to_text(group.before.peak),
                to_text(fit.goal.dose), to_text(fit.goal.peak)});
    table.add({to_safe_text(group.name), to_text(before.dose), to_text(before.peak),
               to_text(goal.dose), to_text(goal.peak), band_cell(tank, tolerance),
               ceiling_cell(tank, tolerance),
               tank.meter.is_relative ? "-" : verdict_word(fit.verdict)});
    if (fit.verdict == GoalVerdict::right) ++right;
    if (fit.verdict == GoalVerdict::right && !fit.outranked_by_history) continue;
    sentences += wrap(to_safe_text(group.name) + ", " + verdict_word(fit.verdict) + ": " +
                          verdict_text(group, fit, has_better_spot(room, g, fit)),
                      style, "  ", "    ");
  }

  std::string headline = to_safe_text(tank.name) + ": the file is good";
  if (!tank.meter.is_relative) {
    headline += fmt::format("; the goal is right for {} of {} groups", right, tank.groups.size());
  }
  std::string text;
  if (const std::string dim_start = dim_start_text(setup.problem); !dim_start.empty()) {
    text += emphasise(wrap(dim_start, style), style) + "\n";
  }
  text += wrap(headline + ".", style);
  text += fmt::format("\n  before  {}\n  goal    {}\n\n", dials_text(tank, tank.ramp.from),
                      dials_text(tank, tank.ramp.to));
  text += wrap(units_text(tank) + "; before -> at the goal", style) + "\n";
  text += table.to_text(style);
  if (tank.groups.size() > most_rows) {
    text += wrap(fmt::format("These are the {} groups that the goal is furthest off for; {} more "
                             "stand in slowdawn check --json.",
                             most_rows, tank.groups.size() - most_rows),
                 style);
  }
  if (tank.has_weights()) text += "\n" + usable.to_text(style);
  if (!sentences.empty()) text += "\n" + sentences;
  text += "\n" + group_doubts_text(tank, groups_to_show(setup), style);
  if (!histories.empty()) text += "\nThe light before, and what of it counts:\n" + histories;
  const std::string excitation = excitation_of_goal(setup, style);
  if (!excitation.empty()) text += "\n" + excitation;
  const std::string spectra = spectra_text(tank, style);
  if (!spectra.empty()) text += "\n" + spectra;
  const std::string remarks = light_remarks(tank, setup, style);
  if (!remarks.empty()) text += "\n" + remarks;
  text += "\nNext: slowdawn plan\n";
  return text;
}

}  // namespace slowdawn
