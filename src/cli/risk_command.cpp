#include <memory>
#include <ostream>
#include <slowdawn/present/present.hpp>
#include <slowdawn/tank/risk_setup.hpp>

#include "cli/commands.hpp"
#include "cli/log_session.hpp"
#include "cli/progress_line.hpp"

namespace slowdawn {
namespace {

struct RiskArguments {
  CommonArguments common;
  RampOptions ramp;
  std::uint32_t seed = 1;
};

RiskCourse course_of(const LoadedRamp& loaded, std::size_t from) {
  const PlannedRamp ramp = loaded.view();
  LivedPlan lived{ramp.tank, ramp.setup, ramp.plan, {}};
  for (std::size_t day = 0; day < ramp.plan.days.size(); ++day) {
    lived.dials.push_back(ramp.dials(day));
  }
  if (ramp.followed != nullptr) {
    lived.came_on = ramp.followed->came_on;
    lived.gone_on = ramp.followed->gone_on;
  }
  return make_risk_course(lived, from);
}

/// At another pace: a proposal from its first day, a followed plan as if it were followed
/// again today.
OrExit<PaceRisk> risk_at_pace(const Console& console, const CommonArguments& common,
                              const LoadedRamp& loaded, const RiskArguments& arguments, Pace pace,
                              std::size_t draws) {
  static const char* const names[] = {"gentle", "standard", "brisk"};
  RampOptions options = arguments.ramp;
  options.pace = names[static_cast<int>(pace)];
  options.even = options.even || loaded.ramp.setup.problem.even.has_value();
  const auto planned = load_ramp(console, common, options);
  if (!planned) return tl::make_unexpected(planned.error());
  PaceRisk made{{}, planned->ramp.plan.settled_day};
  if (planned->ramp.plan.days.empty()) return made;
  const std::size_t from = planned->is_followed ? planned->ramp.today : 0;
  made.risk = with_progress(console, "Drawing", [&] {
    return compute_risk(course_of(*planned, from), arguments.seed, draws);
  });
  return made;
}

}  // namespace

RunCommand add_risk_command(CLI::App& command) {
  auto arguments = std::make_shared<RiskArguments>();
  add_common_arguments(command, arguments->common);
  add_ramp_options(command, arguments->ramp);
  command.add_option("--seed", arguments->seed, "Other draws: a whole number, else 1")
      ->type_name("NUMBER");
  command.footer(
      "Example: slowdawn risk reef.tank.json\n"
      "  elephant ear: 26.2 % (+-0.4) that it meets more than it bears, most likely on\n"
      "  2026-12-30. That any of the 6 groups does: 67.3 % (+-0.5).\n"
      "  ...\n"
      "  any group           21.8 % (+-0.4)  67.3 % (+-0.5)  92.4 % (+-0.3)\n"
      "  ...");
  return [arguments](const Console& console) {
    const bool json = arguments->common.json;
    const TextStyle style = style_of(console, arguments->common);
    const auto loaded = load_ramp(console, arguments->common, arguments->ramp);
    if (!loaded) return loaded.error();
    const PlannedRamp ramp = loaded->view();
    if (ramp.plan.days.empty()) {
      console.out << (json ? plan_json(ramp) : plan_text(ramp, style));
      return no_safe_answer;
    }
    RiskView view{.seed = arguments->seed};
    // A proposal is asked about whole, a followed plan from today on.
    if (loaded->is_followed) view.from = view_of(*loaded, loaded->today).day;
    view.risk = with_progress(
        console, "Drawing", [&] { return compute_risk(course_of(*loaded, view.from), view.seed); });
    for (const Pace pace : {Pace::gentle, Pace::standard, Pace::brisk}) {
      auto risk =
          risk_at_pace(console, arguments->common, *loaded, *arguments, pace, view.risk.draws);
      if (!risk) return risk.error();
      view.paces.push_back(std::move(*risk));
    }
    console.out << (json ? risk_json(ramp, view) : risk_text(ramp, view, style));
    return done;
  };
}

}  // namespace slowdawn
