#include <memory>
#include <ostream>
#include <slowdawn/present/present.hpp>

#include "cli/commands.hpp"
#include "cli/farm_session.hpp"
#include "cli/log_session.hpp"

namespace slowdawn {
namespace {

struct PlanArguments {
  CommonArguments common;
  std::vector<std::string> files;
  RampOptions ramp;
  bool csv = false;
  bool summary = false;
};

/// Several tanks, or one in a line.
ExitCode summarize(const Console& console, const PlanArguments& arguments) {
  std::vector<std::string> files = arguments.files;
  if (files.empty()) {
    auto chosen = choose_tank_file("");
    if (!chosen) {
      report(console, arguments.common.json, {chosen.error()});
      return wrong_input;
    }
    files.push_back(std::move(*chosen));
  }
  const FarmForm form = arguments.common.json ? FarmForm::json
                        : arguments.csv       ? FarmForm::csv
                                              : FarmForm::text;
  return run_farm(console, arguments.common, files, arguments.ramp, form);
}

}  // namespace

RunCommand add_plan_command(CLI::App& command) {
  auto arguments = std::make_shared<PlanArguments>();
  command
      .add_option("TANK", arguments->files,
                  "Tank file, or several; else SLOWDAWN_TANK, else\nthe one *.tank.json in this "
                  "folder")
      ->type_name(" ");
  add_output_arguments(command, arguments->common);
  add_ramp_options(command, arguments->ramp);
  command.add_flag("--csv", arguments->csv, "One row a day and group (RFC 4180)")
      ->excludes("--json");
  command.add_flag("--summary", arguments->summary, "One line a tank; several tanks get it anyway");
  command.footer(
      "Example: slowdawn plan reef.tank.json --start 2026-12-01 --pace gentle\n"
      "  Stairwell reef: front bar 30 %, rear bar 33 % on 2026-12-01, front bar 70 %,\n"
      "  rear bar 75 % on 2027-03-06 (day 95).\n"
      "  ...\n"
      "    settled       2027-03-15: every group is then used to its light\n"
      "  ...\n"
      "Of a farm, one line a tank: slowdawn plan farm/*.tank.json");
  return [arguments](const Console& console) {
    if (arguments->summary || arguments->files.size() > 1) return summarize(console, *arguments);
    if (!arguments->files.empty()) arguments->common.tank = arguments->files.front();
    const bool json = arguments->common.json;
    const auto loaded = load_ramp(console, arguments->common, arguments->ramp);
    if (!loaded) return loaded.error();
    const PlannedRamp ramp = loaded->view();
    std::optional<Plan> by_steps;
    if (!loaded->is_followed && ramp.setup.even) {
      by_steps = compute_plan(make_ramp_setup(ramp.tank).problem);
    }
    if (json) {
      if (by_steps) {
        console.out << even_plan_json(ramp, *by_steps);
      } else {
        write_plan_json(console.out, ramp);
      }
    } else if (arguments->csv) {
      write_plan_csv(console.out, ramp);
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
