#include <fmt/format.h>

#include <slowdawn/present/phrases.hpp>
#include <slowdawn/present/present.hpp>

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
  std::string sentences;
  std::size_t right = 0;
  for (const RampGroup& group : setup.problem.groups) {
    const GoalFit fit = judge_goal(setup.problem, group);
    const Tolerance& tolerance = group.tolerance;
    table.add({to_safe_text(group.name), to_text(group.before.dose), to_text(group.before.peak),
               to_text(fit.goal.dose), to_text(fit.goal.peak), band_text(tolerance.dose_band),
               to_text(tolerance.peak_ceiling), verdict_word(fit.verdict)});
    if (fit.verdict == GoalVerdict::right) ++right;
    if (fit.verdict == GoalVerdict::right && !fit.outranked_by_history) continue;
    sentences += wrap(to_safe_text(group.name) + ", " + verdict_word(fit.verdict) + ": " +
                          verdict_text(group, fit),
                      style, "  ", "    ");
  }

  std::string text =
      wrap(fmt::format("{}: the file is good; the goal is right for {} of {} groups.",
                       to_safe_text(tank.name), right, tank.groups.size()),
           style);
  text += fmt::format("\n  before  {}\n  goal    {}\n\n", dials_text(tank, tank.ramp.from),
                      dials_text(tank, tank.ramp.to));
  text += "Dose in mol m-2 d-1, peak in umol m-2 s-1; before -> at the goal\n\n";
  text += table.to_text(style);
  if (!sentences.empty()) text += "\n" + sentences;
  text += "\nNext: slowdawn plan\n";
  return text;
}

}  // namespace slowdawn
