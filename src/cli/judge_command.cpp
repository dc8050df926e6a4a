#include <memory>
#include <ostream>
#include <slowdawn/present/log_phrases.hpp>
#include <slowdawn/present/present.hpp>
#include <slowdawn/tank/even_setup.hpp>
#include <slowdawn/tank/schedule_reader.hpp>

#include "cli/commands.hpp"
#include "cli/follow_session.hpp"

namespace slowdawn {
namespace {

struct JudgeArguments {
  CommonArguments common;
  std::string dials;
  /// Its `even` says how the schedule is meant and is none of the plan's.
  RampOptions ramp;
  bool even = false;
};

/// What a schedule is judged against: a plan that is followed from one of its days
/// on, or the ramp of the tank file from the schedule's own first day on.
struct JudgedRamp {
  Tank tank;
  RampSetup setup;
  ScheduleStart start;
};

OrExit<Schedule> load_schedule(const Console& console, const JudgeArguments& arguments,
                               const Tank& tank) {
  const bool json = arguments.common.json;
  std::vector<std::size_t> lights;
  for (const auto& [light, goal] : tank.ramp.to) lights.push_back(light);
  if (arguments.dials.ends_with(".csv")) {
    auto read = read_schedule(tank, lights, arguments.dials);
    if (read) return std::move(*read);
    return tl::make_unexpected(report_failure(console, json, read.error()));
  }
  auto parsed = parse_schedule(tank, lights, arguments.dials);
  if (parsed) return std::move(*parsed);
  return tl::make_unexpected(
      report_usage(console, json, "--dials: " + parsed.error().what, parsed.error().hint));
}

/// The state that a followed plan is in on a date.
OrExit<JudgedRamp> judge_followed(const Console& console, bool json, LoadedRamp followed,
                                  const Date& first) {
  const long day = (first - followed.ramp.start).days();
  const std::vector<PlanDay>& days = followed.ramp.plan.days;
  if (day < 0 || day >= static_cast<long>(days.size())) {
    return tl::make_unexpected(
        report_usage(console, json,
                     "--dials: " + to_iso(first) + " is no day of the plan that is followed, " +
                         to_iso(followed.ramp.start) + " to " +
                         to_iso(days_after(followed.ramp.start, days.size() - 1)),
                     "begin the schedule on one of its days"));
  }
  ScheduleStart start{static_cast<std::size_t>(day), {}, {}, {}};
  for (std::size_t g = 0; g < followed.ramp.tank.groups.size(); ++g) {
    start.groups.push_back(
        group_on_day(followed.ramp.setup.problem, followed.ramp.plan, start.day, g));
    start.states.push_back(days[start.day].groups[g].state);
  }
  // The seats as they are numbered there, and the path that can be dialled.
  RampSetup setup = make_ramp_setup(followed.ramp.tank, followed.ramp.setup.seats);
  if (day > 0) {
    start.before.emplace();
    const auto before = followed.ramp.dials_of_day(start.day - 1);
    for (const std::size_t light : setup.path_lights) {
      const auto found = before.find(light);
      start.before->push_back(found == before.end() ? Percent{} : found->second);
    }
  } else {
    start.before = schedule_start(setup.problem).before;
  }
  return JudgedRamp{std::move(followed.ramp.tank), std::move(setup), std::move(start)};
}

OrExit<JudgedRamp> judge_proposed(const Console& console, const JudgeArguments& arguments,
                                  Tank tank, const Date& first) {
  const bool json = arguments.common.json;
  RampOptions options = arguments.ramp;
  options.start = to_iso(first);
  auto varied = with_options(console, json, std::move(tank), options);
  if (!varied) return tl::make_unexpected(varied.error());
  RampSetup setup = make_ramp_setup(*varied);
  ScheduleStart start = schedule_start(setup.problem);
  return JudgedRamp{std::move(*varied), std::move(setup), std::move(start)};
}

}  // namespace

RunCommand add_judge_command(CLI::App& command) {
  auto arguments = std::make_shared<JudgeArguments>();
  add_common_arguments(command, arguments->common);
  command
      .add_option("--dials", arguments->dials,
                  "The schedule: \"DATE PERCENT, DATE PERCENT, ...\",\nwith several lights \"DATE "
                  "LIGHT PERCENT LIGHT\nPERCENT, ...\"; or a CSV file")
      ->type_name("TEXT")
      ->required();
  command.add_flag("--even", arguments->even,
                   "Straight lines from one date to the next; else\neach dial is held");
  command.add_option("--pace", arguments->ramp.pace, "How fast the light may rise")
      ->type_name("gentle|standard|brisk");
  add_goal_option(command, arguments->ramp);
  command.footer(
      "Example: slowdawn judge --dials \"2026-12-01 front bar 30 rear bar 24\"\n"
      "  ...\n"
      "  on 2026-12-01 to front bar 30 %, rear bar 24 % on 2026-12-01.\n"
      "  Closest to a cap: plating montipora on 2026-12-01, pace of its peak: 97 of 119\n"
      "  ...");
  return [arguments](const Console& console) {
    const bool json = arguments->common.json;
    auto tank = load_tank(console, arguments->common);
    if (!tank) return tank.error();
    if (arguments->even && !can_run_evenly(*tank)) return refuse_even(console, json);
    auto followed = load_followed(console, json, *tank);
    if (!followed) return followed.error();
    if (*followed && arguments->ramp.is_given()) {
      auto proposed = propose_again(console, arguments->common, *tank, **followed, arguments->ramp);
      if (!proposed) return proposed.error();
      *followed = std::move(*proposed);
    } else if (!*followed) {
      tank = require_plannable(
          console, json, with_goal_option(console, arguments->common, *tank, arguments->ramp));
      if (!tank) return tank.error();
    }
    const TextStyle style = style_of(console, arguments->common);
    const std::string proposal = *followed ? proposal_text((*followed)->view(), style) : "";
    const auto schedule =
        load_schedule(console, *arguments, *followed ? (*followed)->ramp.tank : *tank);
    if (!schedule) return schedule.error();
    const Date first = schedule->front().date;
    const bool is_proposal = *followed && (*followed)->is_proposal;
    const auto judged = *followed ? judge_followed(console, json, std::move(**followed), first)
                                  : judge_proposed(console, *arguments, std::move(*tank), first);
    if (!judged) return judged.error();

    const RampProblem& problem = judged->setup.problem;
    const ExposeSetting expose = expose_seats(judged->tank, judged->setup);
    std::vector<DialRange> ranges;
    for (const std::size_t light : judged->setup.path_lights) {
      ranges.push_back(judged->tank.lights[light].dial);
    }
    ScheduleView view{first, daily_settings(*schedule, arguments->even), {}, {}, is_proposal};
    view.verdict = judge_schedule(problem, judged->start, view.days, ranges, expose);
    if (arguments->even && schedule->size() == 2 && !view.verdict.breaks.empty()) {
      const EvenLine line{view.days.front(), view.days.back(), view.days.size() - 1};
      view.slower_days = find_slower_line(problem, judged->start, line, expose);
    }
    console.out << (json ? judge_json(judged->tank, judged->setup, view)
                         : proposal + judge_text(judged->tank, judged->setup, view, style));
    return view.verdict.breaks.empty() ? done : no_safe_answer;
  };
}

}  // namespace slowdawn
