#include <fmt/format.h>

#include <slowdawn/present/draft_text.hpp>
#include <slowdawn/present/phrases.hpp>
#include <slowdawn/tank/ramp_setup.hpp>

#include "cli/new_steps.hpp"

namespace slowdawn {
namespace {

// The ramp

/// The tank of the answers so far; what is wrong with them, as one fault.
Result<Tank> try_tank(const NewTank& state) {
  auto tank = make_new_tank(state.draft, state.file(), state.setting->shelf);
  if (tank) return std::move(*tank);
  const Finding& first = tank.error().findings.front();
  return fault("the answers do not make a tank: " + first.what, first.hint);
}

Question ask_goal(const NewTank& state) {
  const std::string read_at = is_same_light(state) && state.draft.new_dial
                                  ? fmt::format("{:.6g}", state.draft.new_dial->percent())
                                  : "";
  return {"goal",
          "Where the ramp is to end; highest will do. Nothing is fixed yet: undo, and try others.",
          fmt::format("Goal for {} in %", safe_name(state.draft.new_light)), read_at};
}

Said say_goal(const NewTank& state) {
  const auto tank = try_tank(state);
  if (!tank) return tl::make_unexpected(tank.error());
  return draft_goal_text(*tank, make_ramp_setup(*tank), state.style());
}

Said take_goal(NewTank& state, const std::string& answer) {
  const DialRange dial = state.draft.new_light.dial.value_or(DialRange{});
  const auto goal = answer == "highest" ? Result<Percent>{dial.highest} : parse_lit_percent(answer);
  if (!goal) return tl::make_unexpected(goal.error());
  if (*goal < dial.lowest || *goal > dial.highest) {
    return fault("the dial does not go to " + to_text(*goal),
                 "it goes from " + to_text(dial.lowest) + " to " + to_text(dial.highest));
  }
  state.draft.goal = *goal;
  return state.draft.added ? Said{""} : say_goal(state);
}

bool has_added_channel(const NewTank& state) { return state.draft.added.has_value(); }

Question ask_added_goal(const NewTank& state) {
  const DraftAddedChannel& added = *state.draft.added;
  return {"added goal", "", fmt::format("Goal for {} in %", to_safe_text(added.name)),
          fmt::format("{:.6g}", added.dial.percent())};
}

Said take_added_goal(NewTank& state, const std::string& answer) {
  Said kept = keep(parse_lit_percent(answer), state.draft.added->goal);
  return kept ? say_goal(state) : kept;
}

Question ask_start(const NewTank& state) {
  return {"start", "", "First day of the ramp", to_iso(state.draft.start)};
}

Said take_start(NewTank& state, const std::string& answer) {
  return keep(parse_date(answer), state.draft.start);
}

Question ask_pace(const NewTank&) {
  return {"pace", "For most kinds gentle is 10 % a week, standard 15, brisk 20.",
          "Pace: gentle, standard or brisk", "standard"};
}

Said take_pace(NewTank& state, const std::string& answer) {
  Said kept = keep(parse_pace(answer), state.draft.pace);
  if (!kept) return kept;
  const auto tank = try_tank(state);
  if (!tank) return tl::make_unexpected(tank.error());
  const RampSetup setup = make_ramp_setup(*tank);
  const Plan plan = compute_plan(setup.problem);
  return draft_plan_text({*tank, setup, plan, state.draft.start}, state.style());
}

// The file

Question ask_write(const NewTank& state) {
  return {"write", "", "Write " + to_safe_text(state.file()) + ": yes or no", "yes",
          tank_draft_json(state.draft, state.style().width)};
}

Said take_write(NewTank& state, const std::string& answer) {
  return keep(parse_yes_or_no(answer), state.is_wanted);
}

}  // namespace

std::vector<NewTankStep> ramp_steps() {
  return {
      {"goal", "The ramp", false, always, ask_goal, take_goal},
      {"added goal", "The ramp", false, has_added_channel, ask_added_goal, take_added_goal},
      {"start", "The ramp", false, always, ask_start, take_start},
      {"pace", "The ramp", false, always, ask_pace, take_pace},
      {"write", "The file", false, always, ask_write, take_write},
  };
}

}  // namespace slowdawn
