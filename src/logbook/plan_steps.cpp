#include <algorithm>
#include <nlohmann/json.hpp>
#include <slowdawn/logbook/replay.hpp>
#include <slowdawn/ramp/explanation.hpp>

namespace slowdawn {
namespace {

using Json = nlohmann::ordered_json;

/// Whether an even ramp goes on to a day by itself.
bool is_within_even_step(const std::vector<Step>& steps, std::size_t day) {
  return std::any_of(steps.begin(), steps.end(), [&](const Step& step) {
    return step.first_day < day && day <= step.reached_day;
  });
}

}  // namespace

std::string plan_steps_json(const Replay& replayed, const Date& from) {
  Json steps = Json::array();
  const std::vector<PlanDay>& days = replayed.plan.days;
  const std::vector<Step> stretches = list_steps(replayed.plan);
  for (std::size_t day = 0; day < days.size(); ++day) {
    Json moves = Json::array();
    for (const Move& move : replayed.plan.moves) {
      if (move.day != day) continue;
      const Seat& seat = replayed.setup.seats[move.spot];
      moves.push_back({{"group", replayed.tank.groups[move.group].name},
                       {"spot", replayed.tank.spots[seat.spot].name}});
    }
    const Date date = days_after(replayed.start, day);
    const bool is_change = steps.empty() || !moves.empty() || !days[day].is_lit_like(days[day - 1]);
    if (date < from || !is_change) continue;
    Json dials = Json::object();
    for (const auto& [light, dial] : replayed.dials_of_day(day)) {
      dials[replayed.tank.lights[light].name] = dial.percent();
    }
    Json step{{"date", to_iso(date)}, {"dials", std::move(dials)}};
    if (!moves.empty()) step["moves"] = std::move(moves);
    if (is_within_even_step(stretches, day)) step["even"] = true;
    steps.push_back(std::move(step));
  }
  return steps.dump();
}

}  // namespace slowdawn
