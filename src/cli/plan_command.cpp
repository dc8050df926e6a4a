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
  command.footer("Example: slowdawn plan reef.tank.json --start 2026-12-01 --pace gentle");
  return [arguments](const Console& console) {
    const bool json = arguments->common.json;
    const auto loaded = load_ramp(console, arguments->common, arguments->ramp, console.today);
    if (!loaded) return loaded.error();
    const PlannedRamp ramp = loaded->view();
    if (json) {
      console.out << plan_json(ramp);
    } else if (arguments->csv) {
      console.out << plan_csv(ramp);
    } else {
      console.err << findings_text(ramp.tank.warnings, "warning");
      console.out << plan_text(ramp, style_of(console, arguments->common));
      if (!loaded->is_followed) {
        console.out << advice_text(ramp.tank, advise(ramp.tank),
                                   style_of(console, arguments->common));
      }
    }
    return ramp.plan.status == PlanStatus::no_safe_opening ? no_safe_answer : done;
  };
}

}  // namespace slowdawn
