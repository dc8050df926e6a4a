#include <fmt/format.h>

#include <slowdawn/present/phrases.hpp>
#include <slowdawn/present/present.hpp>

#include "present/json_parts.hpp"

namespace slowdawn {

std::string even_text(const PlannedRamp& ramp, const Plan& by_steps, const TextStyle& style) {
  if (!ramp.setup.even) return "";
  const std::size_t days = ramp.setup.even->days;
  const bool ends_at_goal = ramp.setup.even->to == ramp.setting(ramp.setup.problem.path.goal);
  std::string text = "Evenly: " + step_text(ramp, list_steps(ramp.plan).front()) + ". ";
  text += ends_at_goal ? "That is the shortest straight ramp that breaks no cap on any day. "
                       : "No straight ramp gets further without breaking a cap. ";
  if (by_steps.goal_day && ends_at_goal) {
    const std::size_t steps = *by_steps.goal_day;
    text += fmt::format("Turned step by step the goal comes on {} ({})", to_iso(ramp.date(steps)),
                        days_text(steps));
    text += steps < days    ? fmt::format(": the even ramp costs {}.", days_text(days - steps))
            : steps == days ? std::string{": the even ramp costs nothing."}
                            : fmt::format(": the even ramp, by finer steps, is {} shorter.",
                                          days_text(steps - days));
  }
  return "\n" + wrap(text, style) +
         wrap(
             "The light must really go evenly, at least a step a day; set it, and let it run. "
             "If a coral pales or closes, stop it there.",
             style);
}

std::string even_plan_json(const PlannedRamp& ramp, const Plan& by_steps) {
  Json json = Json::parse(plan_json(ramp));
  if (!ramp.setup.even) return print(json);
  const auto dials = [&](const Setting& setting) {
    std::map<std::size_t, Percent> by_light;
    for (std::size_t j = 0; j < setting.size(); ++j) {
      by_light[ramp.setup.path_lights[j]] = setting[j];
    }
    return dials_json(ramp.tank, by_light);
  };
  json["even"] = {{"from", dials(ramp.setup.even->from)},
                  {"to", dials(ramp.setup.even->to)},
                  {"days", ramp.setup.even->days},
                  {"days_by_steps", by_steps.goal_day ? Json(*by_steps.goal_day) : Json(nullptr)}};
  return print(json);
}

}  // namespace slowdawn
