#include <fmt/format.h>

#include <slowdawn/present/draft_text.hpp>
#include <slowdawn/present/phrases.hpp>

namespace slowdawn {
namespace {

/// The answer to an answer stands out from the questions.
std::string answer_line(const std::string& words, const TextStyle& style) {
  return wrap(words, style, "  = ", "    ");
}

/// "212 at 100 % of tubes, dose 7.6": the mean of the repeats is the peak.
std::string reading_text(const TankDraft& draft, const DraftLight& light, Percent dial,
                         const std::vector<double>& repeats) {
  const Exposure exposure = exposure_of_reading(draft, light, dial, repeats);
  return fmt::format("{} at {} of {}, dose {}", to_text(exposure.peak), to_text(dial),
                     to_safe_text(light.name), to_text(exposure.dose));
}

}  // namespace

std::string draft_day_text(const DraftLight& light, const TextStyle& style) {
  const LightCourse course = make_course(light).value();
  const double lit = course.photoperiod.lit().h();
  const double full = full_output_hours(course, Percent::of_full(100.0)).h();
  std::string text = fmt::format("{:.3g} h of light", lit);
  if (full < lit) text += fmt::format(", worth {:.3g} h of full output", full);
  if (exceeds(course.photoperiod.lit(), lit_day_worth_a_warning)) {
    text += "; over 12 h is long, the days of the tropics last 10.6 to 13.4 h";
  }
  return answer_line(text, style);
}

std::string draft_spot_text(const TankDraft& draft, const DraftSpot& spot, const TextStyle& style) {
  std::string text = to_safe_text(spot.name) + ": ";
  if (!spot.before.empty() && draft.old_light) {
    const DraftLight& light = draft.keeps_light() ? draft.new_light : *draft.old_light;
    text += reading_text(draft, light, draft.old_dial, spot.before);
  }
  if (!spot.after.empty() && draft.new_dial) {
    text += spot.before.empty() ? "" : "; ";
    text += reading_text(draft, draft.new_light, *draft.new_dial, spot.after);
  }
  return answer_line(text, style);
}

std::string draft_history_text(const DraftGroup& group, const TextStyle& style) {
  const std::string name = to_safe_text(group.name);
  if (group.history->is_guess()) {
    return answer_line(name + ": the low end of the band of its kind, which is a guess", style);
  }
  const Exposure& light = group.history->light;
  return answer_line(
      fmt::format("{}: dose {}, peak {}{}", name, to_text(light.dose), to_text(light.peak),
                  group.history->basis == History::Basis::told
                      ? fmt::format(", taken as {:.0f} % uncertain", 100.0 * error_of_told_light)
                      : std::string{}),
      style);
}

std::string draft_goal_text(const Tank& tank, const RampSetup& setup, const TextStyle& style) {
  const Plan no_days{};
  const SpotRoom room{tank, setup, no_days};
  std::string text;
  for (std::size_t g = 0; g < tank.groups.size(); ++g) {
    const RampGroup& group = setup.problem.groups[g];
    const GoalFit fit = judge_goal(setup.problem, group);
    std::string words = fmt::format("{}: dose {} now, {} at the goal", to_safe_text(group.name),
                                    to_text(group.before.dose), to_text(fit.goal.dose));
    words += fit.verdict == GoalVerdict::right && !fit.outranked_by_history
                 ? fmt::format(", right for it (band {})", band_text(group.tolerance.dose_band))
                 : "; " + verdict_text(group, fit, has_better_spot(room, g, fit));
    text += answer_line(words, style);
  }
  return text;
}

std::string draft_plan_text(const PlannedRamp& ramp, const TextStyle& style) {
  const Plan& plan = ramp.plan;
  std::string text;
  if (!plan.days.empty()) {
    const std::string last = dials_text(ramp.tank, ramp.dials(plan.days.size() - 1));
    std::string words = fmt::format("The plan: {} on {}, ", dials_text(ramp.tank, ramp.dials(0)),
                                    to_iso(ramp.date(0)));
    words += plan.goal_day ? fmt::format("{} on {} (day {}).", last,
                                         to_iso(ramp.date(*plan.goal_day)), *plan.goal_day)
                           : fmt::format("then up to {}, and no further.", last);
    const std::vector<Hold> holds = summarize_holds(plan);
    if (!holds.empty()) {
      words += fmt::format(" Held up longest by {}, {}.",
                           to_safe_text(ramp.setup.problem.groups[holds.front().group].name),
                           cap_phrase(holds.front().cap));
    }
    text += answer_line(words, style);
  }
  if (plan.goal_day) return text;
  for (const std::string& note : note_texts(ramp)) text += answer_line(note, style);
  return text;
}

}  // namespace slowdawn
