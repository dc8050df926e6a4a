// The day-by-day life of a followed tank: the one place where its rules are in order
// (replay.hpp says which).
#pragma once

#include <limits>
#include <map>
#include <memory>
#include <slowdawn/logbook/replay.hpp>
#include <slowdawn/ramp/moves.hpp>

#include "logbook/legs.hpp"

namespace slowdawn {

using NamedDials = std::map<std::string, Percent>;
using LightDials = std::map<std::size_t, Percent>;

/// What a life is made from; it does not change while it is lived.
struct LifeStory {
  LifeStory(Log log, std::vector<Leg> legs, const Date& today);
  LifeStory(const LifeStory&) = delete;
  LifeStory& operator=(const LifeStory&) = delete;

  Log log;
  std::vector<Leg> legs;
  Date start;
  /// In days from the start; negative before it.
  long today;
  /// The entries that count, by their day; those of one day in the order of writing.
  std::map<long, std::vector<const Entry*>> by_day;
  std::map<long, const RecordedDay*> record;
  std::map<std::string, Baselines> baselines;

  long day_of(const Date& date) const { return (date - start).days(); }
};

/// What a group takes from day to day, and from leg to leg, besides its state.
struct GroupLife {
  Condition condition;
  /// By day of the life, the most that it was given, as it counts.
  std::vector<DailyDose> given = {};
  /// It was put elsewhere, or under another mesh, since its last sign: its limit is then
  /// all that it asks for.
  bool moved_since_sign = false;
  std::optional<long> accident_day = {};
  /// The limit as far as it was known on a day: a late look's counts from the day after
  /// it was written.
  std::optional<DailyDose> known_limit = {};
  long pending_until = std::numeric_limits<long>::min();
  /// From which the week without a look is counted where there was no good one.
  long count_from = 0;
  std::size_t came_on = 0;
  std::optional<std::size_t> gone_on = {};
  /// Of its last move: the day that it speaks of and the day on which it was written.
  long moved_on = std::numeric_limits<long>::min();
  long move_made = std::numeric_limits<long>::min();
};

class Life {
 public:
  explicit Life(std::shared_ptr<const LifeStory> story);

  /// Lives all days up to the end of the plan; false where no day begins safely.
  /// keep_morning: with a copy of the life on the morning of today.
  Replay live(bool keep_morning);

  /// From the morning of today on: the same with one more entry of today.
  void add(EntryBody body);
  /// Seats that nobody has had so far.
  void know_seats(std::span<const Seat> seats);
  /// Every group that waits for a look is looked at in time, and nothing is seen.
  void assume_good_looks() { assumes_good_looks_ = true; }
  /// A group is left out of the caps from now on, as if nothing waited for it.
  void leave_out(std::size_t group);

  const LifeStory& story() const { return *story_; }
  const RampSetup& setup() const { return setup_; }
  const RampWalk& walk() const { return *walk_; }
  const std::vector<GroupLife>& groups() const { return groups_; }

 private:
  // Legs.
  void begin_first_leg();
  void go_on_with(const Leg& leg, std::size_t day);
  std::vector<Seat> list_seats(const Tank& tank, std::size_t leg) const;
  RampGroup carried(const RampGroup& made, std::size_t from) const;
  std::vector<LightWeights> list_weights() const;
  std::vector<GroupStart> starts_of_leg(const RampSetup& old_setup, const Tank& old_tank,
                                        const std::vector<std::optional<std::size_t>>& from,
                                        const std::vector<Seat>& there) const;
  void weigh_new_lights(GroupStart& start, std::size_t g, const Seat& there) const;
  void run_evenly(const FollowEntry& followed);
  struct Newcomer;
  Newcomer live_since_record(std::size_t group) const;
  Plan in_new_frame(Plan plan, const RampSetup& old_setup, const Tank& old_tank,
                    const std::vector<std::optional<std::size_t>>& from,
                    const std::map<std::size_t, Newcomer>& newcomers) const;

  // Entries.
  template <class Body, class Do>
  void for_each_of_day(std::size_t day, const Do& act) const;
  bool has_entry(std::size_t day) const;
  void take_earlier_moves();
  bool take_moves(std::size_t day);
  void take_move(std::size_t day, const MovedEntry& moved, const Entry& entry);
  bool take_gone(std::size_t day);
  bool take_looks(std::size_t day);
  void take_look(std::size_t day, const CheckInEntry& look, const Entry& entry, bool& has_sign);
  void take_assumed_looks(std::size_t day);
  DailyDose counted_before(std::size_t g) const;
  std::optional<DailyDose> shown_limit(std::size_t g) const;
  void lower_what_it_had(std::size_t day, std::size_t g);
  void take_dials(std::size_t day);

  // A day.
  void live_day(std::size_t day);
  void begin_day(std::size_t day);
  void tighten(std::size_t day);
  void stand_as_recorded(std::size_t day, const RecordedDay& row);
  std::optional<std::size_t> find_setting(const NamedDials& dials, std::size_t hint) const;
  struct Choice {
    std::size_t without_step;
    std::size_t with_step;
  };
  Choice choose(std::size_t day);
  Choice choose_with(RampWalk& walk, std::size_t day);
  void look_ahead(std::size_t day);
  bool is_overdue(std::size_t day) const;
  void settle_dial(std::size_t day, std::size_t target);
  void stand_below_hand();
  bool goes_on_by_hand(std::size_t day, const RecordedDay* row);
  void finish_day(std::size_t day, const RecordedDay* row);
  void keep_record(std::size_t day, std::size_t setting);
  std::vector<GroupLight> light_of_today() const;
  std::optional<std::size_t> next_brighter() const;
  NamedDials below_hand() const;
  std::vector<Exposure> credit(std::size_t day, const std::vector<GroupLight>& light);

  // Questions.
  const RecordedDay* row_of(std::size_t day) const;
  bool is_step_day(std::size_t day) const;
  bool wants_a_look(std::size_t day, std::size_t g) const;
  bool awaits_assumed_looks(std::size_t day) const;
  bool lacks_a_look(std::size_t day) const;
  bool is_in_power_cut(std::size_t day) const;
  bool all_react() const;
  LookLight light_of_look(std::size_t day, std::size_t g) const;
  bool is_unforeseen(std::size_t day, std::size_t g) const;
  std::optional<std::size_t> find_group(const std::string& name) const;

  // Light.
  GroupLight light_of(std::size_t g, const LightDials& dials) const;
  std::vector<GroupLight> lights_of(const LightDials& dials) const;
  LightDials dials_of_setting(std::size_t setting) const;
  NamedDials by_name(const LightDials& dials) const;
  LightDials by_number(const NamedDials& dials) const;
  void use_outputs_of(std::size_t day);

  void note_standings(std::size_t day);

  std::shared_ptr<const LifeStory> story_;
  std::size_t leg_ = 0;
  Tank tank_;
  RampSetup setup_;
  std::optional<RampWalk> walk_;
  std::vector<GroupLife> groups_;
  std::vector<Entry> extra_;
  bool assumes_good_looks_ = false;
  bool is_open_ = true;
  std::optional<EvenLine> line_;
  /// The day that is lived next.
  std::size_t day_ = 0;

  MovePlan outlook_;
  /// Something was learned since the moves were planned.
  bool has_changed_ = false;
  /// A step that was put off is made on the first day without a sign, and goes no further
  /// than it would have gone.
  std::optional<std::size_t> owed_step_;
  std::optional<std::size_t> sign_group_;
  std::size_t last_step_day_ = 0;
  /// The last dials that were not dark, by plan or by hand, and not by accident.
  NamedDials last_lit_;

  /// The lights as they stand where they were turned by hand.
  std::optional<LightDials> by_hand_;
  std::optional<long> hand_until_;
  /// The first day on which an entry was written after that.
  std::optional<long> hand_ends_;
  bool hand_is_new_ = false;
  std::size_t hand_setting_ = 0;
  std::size_t hand_number_ = 0;
  bool is_dark_ = false;
  /// The day is lit as the record says, by no setting of the path.
  std::optional<LightDials> off_path_;
  /// What the day began with, and the dimmest that it came to, in settings.
  std::size_t first_setting_ = 0;
  std::size_t low_setting_ = 0;
  std::optional<LightDials> first_light_;
  std::optional<LightDials> low_light_;

  /// By day: what was really lit, by name.
  std::vector<NamedDials> lit_;
  std::map<std::size_t, NamedDials> dialled_;
  Record record_;
  std::vector<ReplayEvent> events_;
  std::vector<Move> logged_moves_;
  std::vector<std::size_t> leg_days_;
  std::vector<std::pair<std::size_t, std::size_t>> spots_of_file_;
  bool from_differs_ = false;
  std::vector<Accident> accidents_;
  std::vector<GroupStanding> standings_;
  std::optional<LightDials> first_today_;
  std::shared_ptr<const Life> morning_;
};

}  // namespace slowdawn
