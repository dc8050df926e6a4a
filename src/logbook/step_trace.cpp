#include <algorithm>
#include <nlohmann/json.hpp>
#include <slowdawn/logbook/step_trace.hpp>

namespace slowdawn {
namespace {

using Json = nlohmann::ordered_json;
using DialsByName = std::map<std::string, Percent>;

/// A day that stands in a plan's JSON.
struct PlannedDay {
  DialsByName dials;
  /// As JSON text; empty for none.
  std::string moves;
  /// Whether an even ramp goes on to it by itself.
  bool is_even = false;
};
using PlannedDays = std::map<Date, PlannedDay>;

/// A step, with the end of the even ramp that begins on it.
struct PlannedStep {
  DialsByName dials;
  std::string moves;
  Date reached;
  DialsByName reached_dials;
  bool operator==(const PlannedStep&) const = default;
};

/// Puts a plan in place of everything from its first day on.
void lay_over(PlannedDays& days, const DatedPlan& plan) {
  days.erase(days.lower_bound(plan.from), days.end());
  if (plan.steps.empty()) return;
  for (const Json& step : Json::parse(plan.steps)) {
    const Date date = parse_date(step.at("date").get<std::string>()).value();
    PlannedDay day;
    for (const auto& [light, dial] : step.at("dials").items()) {
      day.dials[light] = Percent::of_full(dial.get<double>());
    }
    if (step.contains("moves")) day.moves = step["moves"].dump();
    day.is_even = step.value("even", false);
    const bool only_repeats = date == plan.from && day.moves.empty() && !day.is_even &&
                              !days.empty() && days.rbegin()->second.dials == day.dials;
    if (!only_repeats) days[date] = std::move(day);
  }
}

std::map<Date, PlannedStep> to_steps(const PlannedDays& days) {
  std::map<Date, PlannedStep> steps;
  for (const auto& [date, day] : days) {
    if (day.is_even && !steps.empty()) {
      steps.rbegin()->second.reached = date;
      steps.rbegin()->second.reached_dials = day.dials;
    } else {
      steps[date] = {day.dials, day.moves, date, day.dials};
    }
  }
  return steps;
}

}  // namespace

std::vector<DatedPlan> list_plans(const std::vector<LogEntry>& stored) {
  std::vector<DatedPlan> plans;
  plans.reserve(stored.size());
  for (const LogEntry& entry : stored) {
    const Date from = entry.kind == "follow" ? std::min(entry.made, entry.date) : entry.date;
    plans.push_back({from, entry.plan});
  }
  return plans;
}

ReadResult<StepTraces> trace_steps(const std::string& file, const std::vector<DatedPlan>& plans) {
  StepTraces traces;
  PlannedDays days;
  std::map<Date, PlannedStep> before;
  try {
    for (const DatedPlan& plan : plans) {
      lay_over(days, plan);
      std::map<Date, PlannedStep> now = to_steps(days);
      for (const auto& [date, step] : now) {
        const auto known = traces.find(date);
        const auto old = before.find(date);
        if (known == traces.end()) {
          traces[date] = {step.dials};
        } else if (old == before.end() || !(old->second == step)) {
          known->second = {step.dials, known->second.changes + 1, true};
        }
      }
      for (const auto& [date, step] : before) {
        if (now.contains(date)) continue;
        ++traces[date].changes;
        traces[date].is_planned = false;
      }
      before = std::move(now);
    }
  } catch (const std::exception& problem) {
    return tl::make_unexpected(
        ReadFailure{ReadFailure::Kind::access,
                    {{{file, 0, 0, ""},
                      std::string{"a plan in it is not one of this program's: "} + problem.what(),
                      "keep the file as it is; it may be from a newer version of slowdawn"}}});
  }
  return traces;
}

}  // namespace slowdawn
