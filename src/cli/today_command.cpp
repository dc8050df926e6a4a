#include <memory>
#include <ostream>
#include <slowdawn/present/present.hpp>

#include "cli/commands.hpp"
#include "cli/ramp_options.hpp"

namespace slowdawn {
namespace {

struct TodayArguments {
  CommonArguments common;
  RampOptions ramp;
  std::string date;
};

TodayView view_of(const LoadedRamp& loaded, const Date& date) {
  using Phase = TodayView::Phase;
  const long days = (date - loaded.start).days();
  const auto last = loaded.plan.days.size() - 1;
  if (days < 0) return {date, Phase::before_start, 0};
  if (static_cast<std::size_t>(days) > last) return {date, Phase::after_end, last};
  return {date, Phase::in_plan, static_cast<std::size_t>(days)};
}

}  // namespace

RunCommand add_today_command(CLI::App& command) {
  auto arguments = std::make_shared<TodayArguments>();
  add_common_arguments(command, arguments->common);
  add_ramp_options(command, arguments->ramp);
  command.add_option("--date", arguments->date, "Another day than today, YYYY-MM-DD")
      ->type_name("DATE");
  command.footer("Example: slowdawn today reef.tank.json");
  return [arguments](const Console& console) {
    const bool json = arguments->common.json;
    Date date = console.today;
    if (!arguments->date.empty()) {
      const auto given = parse_date_option(console, json, "--date", arguments->date);
      if (!given) return given.error();
      date = *given;
    }
    auto tank = load_tank(console, arguments->common);
    if (!tank) return tank.error();
    auto varied = with_options(console, json, std::move(*tank), arguments->ramp);
    if (!varied) return varied.error();
    const auto loaded = plan_tank(console, json, std::move(*varied));
    if (!loaded) return loaded.error();
    const PlannedRamp ramp = loaded->view();
    if (loaded->plan.days.empty()) {
      console.out << (json ? plan_json(ramp)
                           : plan_text(ramp, style_of(console, arguments->common)));
      return no_safe_answer;
    }
    const TodayView view = view_of(*loaded, date);
    console.out << (json ? today_json(ramp, view)
                         : today_text(ramp, view, style_of(console, arguments->common)));
    return done;
  };
}

}  // namespace slowdawn
