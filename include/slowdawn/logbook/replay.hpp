// What happened, and the plan from there on.
//
// The state of a followed plan is a pure function of the plan and its entries.
// Past days are lived through as they were dialled, with each group where it
// was; check-ins tighten the group's own caps; the planner does the rest.
//
// On a day, in this order: moves; groups without a look for over a week hold;
// the planner looks ahead for moves (from today on as if they will be made, until
// today they are made where an entry says so) and chooses; the day's check-ins,
// which can only take the dial back; a dial turned by hand; the groups live
// through it.
#pragma once

#include <slowdawn/logbook/entry.hpp>
#include <slowdawn/ramp/planner.hpp>
#include <slowdawn/tank/ramp_setup.hpp>

namespace slowdawn {

/// What a check-in did.
struct ReplayEvent {
  std::size_t day;
  std::size_t group;
  Condition::Outcome outcome;
  /// With it, every group has reacted within a day of the others.
  bool all_at_once = false;
  /// The limit that the group has from then on; empty where it is free.
  std::optional<DailyDose> dose_limit = {};
};

/// How a group stands on the day that is asked for.
struct GroupStanding {
  Condition::Mode mode;
  std::optional<DailyDose> dose_limit;
  /// Empty where there was no look yet.
  std::optional<int> last_look_day;
  int next_look_day;
  /// The day of the last look that had a sign.
  std::optional<int> last_sign_day;
  /// Held because nobody looked for over a week.
  bool held_for_want_of_a_look;
  /// The learned tau_up, and the weekly rise in force.
  Days tau_up;
  Percent weekly_rise;
};

struct Replay {
  Tank tank;
  RampSetup setup;
  Plan plan;
  Date start;
  /// By day: the lights as they really stood, where that was not the plan's
  /// setting.
  std::map<std::size_t, std::map<std::size_t, Percent>> dialled;
  /// In the order of their days.
  std::vector<ReplayEvent> events;
  /// One for each group.
  std::vector<GroupStanding> standings;
  /// The moves of the plan that entries say were made; the others are proposed.
  std::vector<Move> logged_moves = {};

  /// The lights of a day, by light of the tank.
  std::map<std::size_t, Percent> dials_of_day(std::size_t day) const;
};

/// Replays the entries after `followed` and plans on from `today`.
/// tank: of the follow entry, with its ramp.
/// entries: all of the logbook; those before `followed` and those that are
///   taken back do not count, nor do groups, spots and lights that the tank
///   does not have.
/// today: days up to it need a look at each group every week, later ones are
///   planned as if there had been one.
Replay replay(Tank tank, const std::vector<Entry>& entries, const Entry& followed,
              const Date& today);

/// The plan of a replay from a date on, as the JSON that is kept with an entry:
/// a list of {"date", "dials", "moves"}, one for each change; with "even": true
/// where an even ramp goes on by itself.
std::string plan_steps_json(const Replay& replayed, const Date& from);

}  // namespace slowdawn
