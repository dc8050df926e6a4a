// What happened, and the plan from there on.
//
// The state of a followed plan is a pure function of its logbook. Past days are lived
// through under the light that was shown on them (record.hpp), or that was dialled by
// hand, with each group where it was; looks tighten a group's own caps from then on;
// from the first day without a record the planner chooses. So nothing that is logged
// late, taken back or followed anew changes what was shown.
//
// On a day, in this order: groups that showed a sign, or were not looked at for over a
// week, hold; the planner looks ahead for moves (from today on as if they will be made,
// until today they are made where an entry says so) and chooses; the day's looks, which
// can only take the dial back; its moves, after which the dial may come back to what
// was chosen; a dial turned by hand; the groups live through it.
//
// Light by accident teaches nothing: with q the largest breach among a group's caps of
// dose on a day, it counts as D / q for A and L; likewise with the peak for B and M.
#pragma once

#include <memory>
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
  /// The entry that it comes from.
  std::int64_t seq = 0;
};

/// Light that was more than a group's caps of that day.
struct Accident {
  std::size_t day;
  std::size_t group;
  /// Dose or peak to its cap.
  double ratio;
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
  /// The day from which the week without a look is counted: of the last good look, or
  /// the first that could have been.
  int looked_at_until = 0;
  /// Waits for a look after light by accident, of that day.
  std::optional<std::size_t> accident_day = {};
  /// The first day on which it may be free again; empty while it is free, or needs a
  /// restart.
  std::optional<int> earliest_release = {};
  int good_looks_to_come = 0;
};

/// What a plan waits for before it goes on.
struct Wait {
  enum class For { good_looks, restart, any_look, look_after_accident };
  std::size_t group;
  For what;
  /// How many good looks are still to come.
  int looks = 1;
  /// The first day on which the dial can rise, and where to; empty where no look alone
  /// brings it on.
  std::optional<std::size_t> earliest = {};
  std::map<std::size_t, Percent> dials = {};
};

/// The life of a logbook on the morning of the day that is asked for; ways.hpp lives
/// on from it.
class Life;

struct Replay {
  /// Of the newest leg, with the lights, spots and groups of the legs before that it
  /// does not name.
  Tank tank;
  RampSetup setup;
  /// From the first day of the life on; settings are of the newest leg's path, from its
  /// first day on.
  Plan plan;
  Date start;
  /// By day: the lights as they really stood, where that was not the plan's
  /// setting.
  std::map<std::size_t, std::map<std::size_t, Percent>> dialled = {};
  /// In the order of their days.
  std::vector<ReplayEvent> events = {};
  /// One for each group.
  std::vector<GroupStanding> standings = {};
  /// The moves of the plan that entries say were made; the others are proposed.
  std::vector<Move> logged_moves = {};
  /// The days on which a leg began, after the first.
  std::vector<std::size_t> leg_days = {};
  /// By group: the days on which it came and on which it was gone; it is there on all
  /// days from the first to before the second.
  std::vector<std::size_t> came_on = {};
  std::vector<std::optional<std::size_t>> gone_on = {};
  std::vector<Accident> accidents = {};
  /// Every day up to the one before today, as it is to be kept.
  Record record = {};
  /// What today began with, where a look or a move has changed it since.
  std::optional<std::map<std::size_t, Percent>> first_today = {};
  /// What the plan waits for, each group once (ways.hpp).
  std::vector<Wait> waits = {};
  /// The life on the morning of today; empty for a plan that is only proposed.
  std::shared_ptr<const Life> morning = {};
  /// Where the file of the newest leg puts a group elsewhere than it lives: the group, and
  /// the spot of the file. The logbook outranks it.
  std::vector<std::pair<std::size_t, std::size_t>> spots_of_file = {};
  /// The file's "from" is not how the lights stood when the newest leg began.
  bool from_differs = false;
  /// Today, as a day of the plan; 0 before it begins.
  std::size_t today = 0;
  /// What would come if it were followed again today, and is not.
  bool is_proposal = false;

  /// The lights of a day, by light of the tank.
  std::map<std::size_t, Percent> dials_of_day(std::size_t day) const;
  bool is_there(std::size_t group, std::size_t day) const {
    return (came_on.empty() || came_on[group] <= day) &&
           (gone_on.empty() || !gone_on[group] || day < *gone_on[group]);
  }
  bool is_gone(std::size_t group, std::size_t day) const {
    return !gone_on.empty() && gone_on[group] && *gone_on[group] <= day;
  }
};

/// Lives through a logbook and plans on from `today`.
/// tank_file: for messages.
/// today: days up to it need a good look at each group every week, later ones are
///   planned as if there had been one.
/// Result: empty where no plan is followed.
/// Errors: content, as followed_tank; and a light that was lit where a group lives and
///   has no reading there.
ReadResult<std::optional<Replay>> replay(const std::string& tank_file, Log log, const Date& today);

/// The days that a write on `today` stores before its entries: those since the last
/// write, as `today` gave them with the entries there were. Of the first follow entry,
/// which may begin in the past: the days that it says were lit already.
Record days_to_store(const Log& before, const std::optional<Replay>& replayed);

/// The plan of a replay from a date on, as the JSON that is kept with an entry:
/// a list of {"date", "dials", "moves"}, one for each change; with "even": true
/// where an even ramp goes on by itself.
std::string plan_steps_json(const Replay& replayed, const Date& from);

}  // namespace slowdawn
