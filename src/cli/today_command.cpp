#include <memory>
#include <ostream>
#include <slowdawn/present/present.hpp>

#include "cli/commands.hpp"
#include "cli/log_session.hpp"

namespace slowdawn {
namespace {

struct TodayArguments {
  CommonArguments common;
  RampOptions ramp;
  std::string date;
};

}  // namespace

RunCommand add_today_command(CLI::App& command) {
  auto arguments = std::make_shared<TodayArguments>();
  add_common_arguments(command, arguments->common);
  add_ramp_options(command, arguments->ramp);
  command.add_option("--date", arguments->date, "Another day than today, YYYY-MM-DD")
      ->type_name("DATE");
  command.footer(
      "Example: slowdawn today reef.tank.json --date 2026-12-24\n"
      "  42 %  front bar\n"
      "  46 %  rear bar\n"
      "  ...\n"
      "  Next: front bar 43 %, rear bar 47 % on 2026-12-25; the goal on 2027-02-01.\n"
      "  ...");
  return [arguments](const Console& console) {
    const bool json = arguments->common.json;
    const auto loaded = load_ramp(console, arguments->common, arguments->ramp);
    if (!loaded) return loaded.error();
    const auto date = asked_date(console, json, *loaded, arguments->date);
    if (!date) return date.error();
    const PlannedRamp ramp = loaded->view();
    if (ramp.plan.days.empty()) {
      console.out << (json ? plan_json(ramp)
                           : plan_text(ramp, style_of(console, arguments->common)));
      return no_safe_answer;
    }
    const TodayView view = view_of(*loaded, *date);
    console.out << (json ? today_json(ramp, view)
                         : today_text(ramp, view, style_of(console, arguments->common)));
    return done;
  };
}

}  // namespace slowdawn
