#include <fmt/format.h>

#include <algorithm>
#include <slowdawn/present/excitation_phrases.hpp>
#include <slowdawn/present/phrases.hpp>

namespace slowdawn {

std::string proxy_text(double proxy) { return fmt::format("{:.2f}", proxy); }

bool knows_an_ek(const RampSetup& setup) {
  const auto& groups = setup.problem.groups;
  return std::any_of(groups.begin(), groups.end(),
                     [](const RampGroup& group) { return group.tolerance.excitation.has_value(); });
}

std::optional<double> proxy_of(const RampSetup& setup, std::size_t group, Ppfd peak) {
  const auto& excitation = setup.problem.groups[group].tolerance.excitation;
  if (!excitation) return std::nullopt;
  return excitation->proxy_at(peak);
}

std::string ek_text(const Tolerance& tolerance) {
  const Excitation& excitation = *tolerance.excitation;
  std::string text = "Ek " + to_text(excitation.ek());
  if (!excitation.cap()) return text;
  return text + fmt::format(", cap {} (a peak of {})", *excitation.cap(),
                            to_text(*excitation.peak_at_cap()));
}

std::string highest_excitation_text(const PlannedRamp& ramp, std::size_t group) {
  const auto highest = find_highest_excitation(ramp.setup.problem, ramp.plan, group);
  if (!highest) return "";
  return fmt::format("at the most {}, on {} (day {}); {}", proxy_text(highest->proxy),
                     to_iso(ramp.date(highest->day)), highest->day,
                     ek_text(ramp.setup.problem.groups[group].tolerance));
}

namespace {

std::string excitation_line(const RampGroup& group, const std::string& words,
                            const TextStyle& style) {
  return wrap(to_safe_text(group.name) + ": " + words, style, "  ", "    ");
}

}  // namespace

std::string excitation_of_plan(const PlannedRamp& ramp, const TextStyle& style) {
  std::string lines;
  for (std::size_t g = 0; g < ramp.setup.problem.groups.size(); ++g) {
    const std::string words = highest_excitation_text(ramp, g);
    if (!words.empty()) lines += excitation_line(ramp.setup.problem.groups[g], words, style);
  }
  return lines.empty() ? lines : wrap(std::string{excitation_title}, style) + lines;
}

std::string excitation_of_goal(const RampSetup& setup, const TextStyle& style) {
  std::string lines;
  for (const RampGroup& group : setup.problem.groups) {
    if (!group.tolerance.excitation) continue;
    const Excitation& excitation = *group.tolerance.excitation;
    const Ppfd goal = judge_goal(setup.problem, group).goal.peak;
    lines += excitation_line(
        group,
        fmt::format("before {}, at the goal {}; {}",
                    proxy_text(excitation.proxy_at(group.before.peak)),
                    proxy_text(excitation.proxy_at(goal)), ek_text(group.tolerance)),
        style);
  }
  return lines.empty() ? lines : wrap(std::string{excitation_title}, style) + lines;
}

}  // namespace slowdawn
