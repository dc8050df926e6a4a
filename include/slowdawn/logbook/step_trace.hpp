// The steps of every plan that a logbook has held, one after the other.
//
// Each entry keeps the plan from its day on. Laid over one another in the order of
// the entries they say, for every date, what was to be dialled then, how often
// that changed, and whether it still stands. So a calendar can cancel what is no
// longer planned also where the file that it was first written to is gone.
#pragma once

#include <map>
#include <slowdawn/light/quantity.hpp>
#include <slowdawn/logbook/logbook_file.hpp>
#include <string>
#include <vector>

namespace slowdawn {

/// A plan as `plan_steps_json` gives it, and the first day that it speaks of.
struct DatedPlan {
  Date from;
  std::string steps;
};

/// The step of a date through all plans.
struct StepTrace {
  /// By light, as last planned.
  std::map<std::string, Percent> dials;
  /// How often it became another, fell away or came back.
  int changes = 0;
  /// Whether the last plan has it.
  bool is_planned = true;
};

using StepTraces = std::map<Date, StepTrace>;

/// The plans of a logbook's entries. A follow entry speaks from the day on which it
/// was made, for it does away with what was planned before; the others speak from
/// the day that they are about.
std::vector<DatedPlan> list_plans(const std::vector<LogEntry>& stored);

/// Lays plans over one another.
/// file: the logbook, for messages.
/// plans: oldest first.
/// Days on which an even ramp goes on by itself are no steps. Nor is the first day
/// of a plan that only says how the lights stand already.
/// Errors (access): a plan that another program has written.
ReadResult<StepTraces> trace_steps(const std::string& file, const std::vector<DatedPlan>& plans);

}  // namespace slowdawn
