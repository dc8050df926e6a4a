#include <nlohmann/json.hpp>
#include <slowdawn/logbook/plan_change.hpp>

#include "logbook/find_named.hpp"

namespace slowdawn {
namespace {

/// The first day of the stretch at the goal that a stored plan ends with.
std::optional<Date> goal_of(const std::string& plan, const Tank& tank) {
  const auto steps = nlohmann::json::parse(plan, nullptr, false);
  if (!steps.is_array()) return std::nullopt;
  const auto is_goal = [&](const nlohmann::json& dials) {
    for (const auto& [light, goal] : tank.ramp.to) {
      const auto found = dials.find(tank.lights[light].name);
      const double dial = found == dials.end() ? 0.0 : found->get<double>();
      if (std::abs(dial - goal.percent()) > 1e-9) return false;
    }
    return true;
  };
  std::optional<Date> reached;
  for (const auto& step : steps) {
    if (!is_goal(step.at("dials"))) {
      reached.reset();
    } else if (!reached) {
      reached = parse_date(step.at("date").get<std::string>()).value();
    }
  }
  return reached;
}

std::map<std::size_t, Percent> by_number(const Tank& tank,
                                         const std::map<std::string, Percent>& dials) {
  std::map<std::size_t, Percent> numbered;
  for (const auto& [name, dial] : dials) {
    if (const auto light = find_named(tank.lights, name)) numbered[*light] = dial;
  }
  return numbered;
}

/// How a day began, and how it stood at its end.
std::pair<std::map<std::size_t, Percent>, std::map<std::size_t, Percent>> light_of(
    const Replay& replayed, std::size_t day) {
  const auto end = replayed.dials_of_day(day);
  if (day == replayed.today) return {replayed.first_today.value_or(end), end};
  if (day >= replayed.record.size() || !replayed.record[day].first) return {end, end};
  return {by_number(replayed.tank, *replayed.record[day].first), end};
}

}  // namespace

std::optional<PlanChange> find_plan_change(const std::vector<LogEntry>& stored,
                                           const Replay& replayed, const Date& today) {
  for (std::size_t i = stored.size(); i-- > 1;) {
    const LogEntry& entry = stored[i];
    if ((today - entry.made).days() >= days_a_change_is_news) break;
    const LogEntry& before = stored[i - 1];
    const long day = (entry.made - replayed.start).days();
    const bool is_of_plan = day >= 0 && day < static_cast<long>(replayed.plan.days.size());
    if (!is_of_plan || entry.plan == before.plan || before.plan.empty() || entry.plan.empty()) {
      continue;
    }
    PlanChange change{entry.made,
                      entry.seq,
                      entry.kind,
                      {},
                      {},
                      goal_of(before.plan, replayed.tank),
                      goal_of(entry.plan, replayed.tank)};
    std::tie(change.from, change.to) = light_of(replayed, static_cast<std::size_t>(day));
    if (change.from != change.to || change.goal_before != change.goal_after) return change;
  }
  return std::nullopt;
}

}  // namespace slowdawn
