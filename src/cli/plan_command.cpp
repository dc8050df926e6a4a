#include <memory>
#include <ostream>
#include <slowdawn/present/present.hpp>

#include "cli/commands.hpp"
#include "cli/log_session.hpp"

namespace slowdawn {
namespace {

struct PlanArguments {
  CommonArguments common;
  RampOptions ramp;
  bool csv = false;
};

}  // namespace

RunCommand add_plan_command(CLI::App& command) {
  auto arguments = std::make_shared<PlanArguments>();
  add_common_arguments(command, arguments->common);
  add_ramp_options(command, arguments->ramp);
  command.add_flag("--csv", arguments->csv, "One row a day and group (RFC 4180)")
      ->excludes("--json");
  command.footer(
      "Example: slowdawn plan reef.tank.json --start 2026-12-01 --pace gentle\n"
      "  Stairwell reef: front bar 29 %, rear bar 32 % on 2026-12-01, front bar 70 %,\n"
      "  rear bar 75 % on 2027-03-11 (day 100).\n"
      "  ...\n"
      "    settled       2027-03-20: every group is then used to its light\n"
      "  ...");
  return [arguments](const Console& console) {
    const bool json = arguments->common.json;
    const auto loaded = load_ramp(console, arguments->common, arguments->ramp, console.today);
    if (!loaded) return loaded.error();
    const PlannedRamp ramp = loaded->view();
    std::optional<Plan> by_steps;
    if (!loaded->is_followed && ramp.setup.even) {
      by_steps = compute_plan(make_ramp_setup(ramp.tank).problem);
    }
    if (json) {
      console.out << (by_steps ? even_plan_json(ramp, *by_steps) : plan_json(ramp));
    } else if (arguments->csv) {
      console.out << plan_csv(ramp);
    } else {
      const TextStyle style = style_of(console, arguments->common);
      const std::string advice =
          by_steps ? even_text(ramp, *by_steps, style) : make_advice(console, *loaded, style);
      console.err << findings_text(ramp.tank.warnings, "warning");
      console.out << plan_text(ramp, style) << advice;
    }
    return ramp.plan.status == PlanStatus::no_safe_opening ? no_safe_answer : done;
  };
}

}  // namespace slowdawn
