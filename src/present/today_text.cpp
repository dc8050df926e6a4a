#include <fmt/format.h>

#include <slowdawn/present/phrases.hpp>
#include <slowdawn/present/present.hpp>

namespace slowdawn {
namespace {

using Phase = TodayView::Phase;

/// One line a light, the percentage first.
std::string dial_lines(const std::vector<std::pair<Percent, std::string>>& dials,
                       const TextStyle& style) {
  std::string text;
  for (const auto& [dial, name] : dials) {
    text += emphasise(fit_right(to_text(dial), 1), style) + "  " + to_safe_text(name) + "\n";
  }
  return text;
}

std::string dial_lines(const PlannedRamp& ramp, std::size_t day, const TextStyle& style) {
  std::vector<std::pair<Percent, std::string>> dials;
  const Setting& setting = ramp.setting_of_day(day);
  for (std::size_t j = 0; j < setting.size(); ++j) {
    dials.emplace_back(setting[j], ramp.light_name(j));
  }
  return dial_lines(dials, style);
}

std::string next_step(const PlannedRamp& ramp, std::size_t day) {
  const auto next = find_next_change(ramp.plan, day);
  if (!next) return "Next: nothing changes any more.";
  std::string text = fmt::format("Next: {} on {}", setting_text(ramp, ramp.setting_of_day(*next)),
                                 to_iso(ramp.date(*next)));
  if (ramp.plan.goal_day && *ramp.plan.goal_day >= *next) {
    text += fmt::format("; the goal on {}", to_iso(ramp.date(*ramp.plan.goal_day)));
  }
  return text + ".";
}

std::string before_start(const PlannedRamp& ramp, const TextStyle& style) {
  std::vector<std::pair<Percent, std::string>> dials;
  for (const auto& [light, dial] : ramp.tank.ramp.from) {
    dials.emplace_back(dial, ramp.tank.lights[light].name);
  }
  std::string text = dial_lines(dials, style) + "\n";
  text += wrap(fmt::format("The ramp of {} begins on {} with {}. Leave the light as it is until "
                           "then.",
                           to_safe_text(ramp.tank.name), to_iso(ramp.start),
                           setting_text(ramp, ramp.setting_of_day(0))),
               style);
  return text;
}

std::string in_plan(const PlannedRamp& ramp, const TodayView& view, const TextStyle& style) {
  std::string text = dial_lines(ramp, view.day, style) + "\n";
  text += fmt::format("{}, {}, day {} of the ramp\n", to_safe_text(ramp.tank.name),
                      to_iso(view.date), view.day);
  const auto changes = changes_since_yesterday(ramp, view.day);
  if (!changes.empty()) {
    std::string list;
    for (const std::string& change : changes) list += (list.empty() ? "" : ", ") + change;
    text +=
        wrap((view.day == 0 ? "Changed from before: " : "Changed since yesterday: ") + list + ".",
             style);
  }
  text += wrap(next_step(ramp, view.day), style);
  const auto& held_by = ramp.plan.days[view.day].held_by;
  if (held_by) text += wrap("Not further today: " + held_by_text(ramp, *held_by) + ".", style);
  if (is_day_to_look(view.day)) {
    std::string names;
    for (const Group& group : ramp.tank.groups) {
      names += (names.empty() ? "" : ", ") + to_safe_text(group.name);
    }
    text += "\n" + wrap(
                       "Look at each group today, at the same hour as last time and with the "
                       "polyps out: " +
                           names + ".",
                       style);
  }
  text += wrap(
      "If one pales, closes or slimes more than is its habit, do not step up. Before you "
      "blame the light, check temperature, salinity, alkalinity, flow and pests.",
      style);
  return text;
}

}  // namespace

std::string today_text(const PlannedRamp& ramp, const TodayView& view, const TextStyle& style) {
  switch (view.phase) {
    case Phase::before_start: return before_start(ramp, style);
    case Phase::in_plan: return in_plan(ramp, view, style);
    case Phase::after_end: break;
  }
  std::string text = dial_lines(ramp, view.day, style) + "\n";
  const std::string end = to_iso(ramp.date(view.day));
  text += wrap(
      ramp.plan.goal_day
          ? fmt::format("The ramp of {} is done: the goal was reached on {}, and the plan "
                        "ended on {}.",
                        to_safe_text(ramp.tank.name), to_iso(ramp.date(*ramp.plan.goal_day)), end)
          : fmt::format("The plan of {} ended on {} short of its goal; `slowdawn plan` "
                        "says why.",
                        to_safe_text(ramp.tank.name), end),
      style);
  return text;
}

}  // namespace slowdawn
