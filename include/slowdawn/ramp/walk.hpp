// The walk along the path, a day at a time: what the planner does by itself,
// open to whoever knows what really happened on some days.
//
// A day is: choose, record, live_through. Groups may change between days (what
// was learned, a limit after a check-in, another spot), and a day may bring
// other exposures than its setting (a dial turned by hand, a power cut).
#pragma once

#include <slowdawn/ramp/planner.hpp>

namespace slowdawn {

/// What is known ahead of the moves to come (moves.hpp).
struct MovePlan {
  /// In the order of their days.
  std::vector<Move> moves = {};
  /// By group: whether the dial waits for it.
  std::vector<bool> holds_dial = {};
  /// From the day after on the dial is left as it is; empty where it is not.
  std::optional<std::size_t> last_dial_day = {};

  bool may_turn_dial(std::size_t day) const { return !last_dial_day || day <= *last_dial_day; }
};

class RampWalk {
 public:
  explicit RampWalk(RampProblem problem);

  const RampProblem& problem() const { return problem_; }
  const std::vector<GroupState>& states() const { return states_; }
  /// The days that are recorded.
  const std::vector<PlanDay>& days() const { return plan_.days; }
  std::size_t setting() const { return setting_; }

  /// Finds where day 0 begins; false if no setting is safe, the walk is then
  /// finished.
  bool open();

  /// Finds where the light comes back after it was dark: the furthest setting
  /// not past the goal, nor past `most`, such that it and every one before it break
  /// no cap; the first setting if that is none.
  void reopen(std::optional<std::size_t> most = {});

  /// The day's setting: back while the present one breaks a cap, then, on a
  /// step day, on toward the goal while the next one breaks none.
  void choose(std::size_t day) { choose(day, problem_.is_step_day(day - first_day_)); }
  /// The same where it is said whether this is a step day, and no further than `most`.
  void choose(std::size_t day, bool is_step_day, std::optional<std::size_t> most = {});

  /// Back toward dark while the present setting breaks a cap.
  void go_back(std::size_t day);

  /// Lets the walk go on from days that were lived before, on `day`, the first of its
  /// own: they are the first days of its plan.
  void go_on_from(Plan before, std::size_t day);
  /// The first day of its own.
  std::size_t first_day() const { return first_day_; }

  /// Takes a group out, or back: nothing waits for one that is gone.
  void set_gone(std::size_t day, std::size_t group, bool is_gone);

  /// Says of the last recorded day that it was lit as a record has it.
  void say_as_recorded() { plan_.days.back().is_as_recorded = true; }
  /// The days, changes and moves so far; the walk must not go on.
  Plan take_plan() { return std::move(plan_); }
  const std::vector<Move>& moves() const { return plan_.moves; }
  /// The light of another problem of the same settings, at the same spots and more.
  void use_light(const RampProblem& other);

  /// Says, of the last recorded day, that a group's check-in held the dial.
  void say_held_by(std::size_t group);

  /// Puts the walk at a setting, whatever the caps say.
  void stand_at(std::size_t setting) { setting_ = setting; }

  /// Puts another group in the place of one, from a day on.
  void change_group(std::size_t day, std::size_t group, const RampGroup& changed);

  /// Moves a group to another spot, before a day's light. What it is used to
  /// counts for less by the doubt of the ratio of the two spots' readings.
  void move_group(const Move& move);

  /// Says which groups the dial waits for, and until when moves are to come.
  void expect(const MovePlan& moves);

  /// The plan of the groups that hold the dial alone: it ends when they have
  /// settled, whatever the others do.
  void watch_holders_alone() { watches_holders_alone_ = true; }

  /// Keeps of days past no longer what the groups were used to then: for whoever
  /// wants the dial and the outcome alone, and has many groups.
  void forget_states() { forgets_states_ = true; }

  /// Makes the moves of a day.
  void make_moves(const MovePlan& moves, std::size_t day);

  /// Notes the day in the plan, with what its setting brings to each group.
  void record(std::size_t day);
  /// The same with other light, one for each group.
  void record(std::size_t day, std::vector<GroupLight> lights, std::optional<std::size_t> by_hand);

  /// True if the plan ends with this day, which must be recorded.
  bool is_over(std::size_t day);

  /// The groups live through the last recorded day.
  void live_through();
  /// The same where the day was not lit by the walk's setting.
  /// credited: by group, the effective light that counts as had.
  /// brighter: the first setting of the path that is brighter than the day was; empty
  ///   where that is the walk's own next one.
  void live_through(const std::vector<Exposure>& credited, std::optional<std::size_t> brighter);

  /// Lets the pace begin anew at what the groups are used to, where the
  /// allowance has fallen below it. A day that was dimmer than planned, or dark,
  /// drags the allowance down to its own light, from where it would take months
  /// to come back to what the groups bear already.
  void restart_pace();

  /// The plan of all recorded days.
  Plan finish();

 private:
  /// Whether a setting breaks no cap; present: the one that a step would leave, or
  /// none where no step is meant.
  bool is_safe(std::size_t setting, std::optional<std::size_t> present = {}) const;
  GroupLight light_of(std::size_t group, std::size_t setting) const;
  /// Whether a setting breaks any cap of a group.
  bool is_broken(std::size_t group, std::size_t setting, std::optional<std::size_t> present) const;
  std::optional<HeldBy::Group> find_worst(std::size_t setting, std::optional<std::size_t> present);
  std::shared_ptr<const DayLight> light_of_setting() const;
  void record(std::size_t day, std::shared_ptr<const DayLight> light,
              std::optional<std::size_t> by_hand);
  template <class Light, class NextBrighter>
  void live_through_with(const Light& light, const NextBrighter& next_brighter);
  /// Whether the dial waits for a group.
  bool counts(std::size_t group) const {
    return holds_dial_[group] && !problem_.groups[group].is_gone;
  }
  bool at_goal() const { return setting_ == problem_.path.goal; }
  std::size_t toward_goal() const;
  bool is_settled() const;
  bool is_barred_for_good();
  bool is_first_setting_over();
  void hold_for_good(PlanNote::Kind kind, const HeldBy::Group& by);
  void note(PlanNote::Kind kind, const std::optional<HeldBy::Group>& by, std::size_t day = 0);
  void note_first_setting(std::size_t day);
  void note_extremes(std::size_t group, const GroupOutcome& outcome);
  void note_never_ready(std::size_t group);
  GroupOutcome outcome_of(std::size_t group) const;
  std::size_t last_day_of(std::size_t group) const;
  void note_dark_days();

  RampProblem problem_;
  std::vector<GroupState> states_;
  std::vector<DailyRates> rates_;
  std::vector<DailyCaps> caps_;
  /// Of find_worst; kept so that no day has to ask for the room.
  std::vector<std::optional<Breach>> breaches_;
  /// By group: whether the dial waits for it.
  std::vector<bool> holds_dial_;
  bool watches_holders_alone_ = false;
  bool forgets_states_ = false;
  /// The plan goes on at least until the last of the moves to come.
  std::size_t last_move_day_ = 0;
  std::size_t first_day_ = 0;
  std::size_t setting_ = 0;
  Plan plan_{};
};

}  // namespace slowdawn
