// A tank file: reading it, and what is made of one that is good.
#include <slowdawn/present/present.hpp>
#include <slowdawn/tank/ramp_setup.hpp>

#include "fuzz.hpp"
#include "tank/json_document.hpp"

namespace slowdawn {
namespace {

/// A tank with more days and readings than this is planned by other tests.
constexpr std::size_t most_groups = 20;

ReadResult<std::string> no_files(const std::string& name) {
  return tl::make_unexpected(
      ReadFailure{ReadFailure::Kind::access, {{{name, 0, 0, ""}, "there are no files here", ""}}});
}

/// No day of a plan is more than a group bears that stays where it is, unless there
/// is nothing dimmer to set.
void require_caps(const RampProblem& problem, const Plan& plan) {
  for (const PlanDay& day : plan.days) {
    if (day.setting == 0) continue;
    for (std::size_t g = 0; g < day.groups.size(); ++g) {
      const RampGroup& group = problem.groups[g];
      if (group.wish) continue;
      const Limits limits = compute_limits(group, day.groups[g].state);
      require(!worst_breach(limits, day.groups[g].light, {}), "a day keeps to the caps");
    }
  }
}

void try_tank(const std::string& text) {
  const auto tank = parse_tank("fuzz.tank.json", text, built_in_shelf(), no_files);
  require_findings(tank, "fuzz.tank.json");
  if (!tank || !tank->ramp.start || tank->groups.size() > most_groups) return;
  const RampSetup setup = make_ramp_setup(*tank);
  const Plan plan = compute_plan(setup.problem);
  require_caps(setup.problem, plan);
  const PlannedRamp ramp{*tank, setup, plan, *tank->ramp.start, nullptr};
  require(JsonDocument::parse("plan", plan_json(ramp)).has_value(), "a plan's JSON is JSON");
  require(!plan_text(ramp, {}).empty(), "a plan has a text");
  require(JsonDocument::parse("check", check_json(*tank, setup)).has_value(),
          "a check's JSON is JSON");
}

}  // namespace
}  // namespace slowdawn

int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  slowdawn::try_tank(slowdawn::text_of(data, size));
  return 0;
}
