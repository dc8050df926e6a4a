#include <algorithm>
#include <slowdawn/logbook/replay.hpp>
#include <slowdawn/ramp/moves.hpp>
#include <slowdawn/tank/even_setup.hpp>

namespace slowdawn {
namespace {

using Dials = std::map<std::size_t, Percent>;

template <class Named>
std::optional<std::size_t> find_named(const std::vector<Named>& list, const std::string& name) {
  const auto found =
      std::find_if(list.begin(), list.end(), [&](const Named& item) { return item.name == name; });
  if (found == list.end()) return std::nullopt;
  return static_cast<std::size_t>(found - list.begin());
}

/// The entries that count, in the order of their days; those of one day in the
/// order in which they were written.
std::vector<const Entry*> list_live(const std::vector<Entry>& entries, const Entry& followed) {
  std::vector<const Entry*> live;
  for (const Entry& entry : entries) {
    const bool is_event = !std::holds_alternative<FollowEntry>(entry.body) &&
                          !std::holds_alternative<UndoEntry>(entry.body);
    if (is_event && entry.seq > followed.seq && !entry.undone) live.push_back(&entry);
  }
  std::stable_sort(live.begin(), live.end(),
                   [](const Entry* a, const Entry* b) { return a->date < b->date; });
  return live;
}

class Replayer {
 public:
  Replayer(Tank tank, const std::vector<Entry>& entries, const Entry& followed, const Date& today)
      : live_(list_live(entries, followed)),
        start_(*tank.ramp.start),
        today_((today - start_).days()),
        setup_(set_up(tank, live_, std::get<FollowEntry>(followed.body))),
        walk_(setup_.problem),
        result_{std::move(tank), {}, {}, start_, {}, {}, {}} {}

  Replay run() {
    take_moves(0);
    look_ahead(0);
    make_planned_moves(0);
    if (walk_.open()) {
      meet_groups();
      std::size_t day = 0;
      for (;; ++day) {
        live_day(day);
        const bool is_past = static_cast<long>(day) < today_;
        // A plan is not over because nobody has looked, nor in a power cut.
        const bool is_open = is_in_power_cut(day) || lacks_a_look(day);
        if (!is_past && !is_open && walk_.is_over(day)) break;
        if (by_hand_ && is_dark_) {
          walk_.live_through(0);
        } else {
          walk_.live_through();
        }
        if (by_hand_) walk_.restart_pace();
      }
      if (result_.standings.empty()) note_standings(static_cast<long>(day));
    }
    result_.plan = walk_.finish();
    result_.setup = std::move(setup_);
    return std::move(result_);
  }

 private:
  static RampSetup set_up(const Tank& tank, const std::vector<const Entry*>& live,
                          const FollowEntry& followed) {
    std::vector<Seat> seats;
    for (const Entry* entry : live) {
      const auto* moved = std::get_if<MovedEntry>(&entry->body);
      if (moved == nullptr) continue;
      const auto spot = find_named(tank.spots, moved->spot);
      const auto group = find_named(tank.groups, moved->group);
      if (!spot || !group) continue;
      seats.push_back({*spot});
      // A mesh goes with its group until it is taken off.
      for (const double shade : tank.groups[*group].shades) seats.push_back({*spot, shade});
    }
    RampSetup setup = make_ramp_setup(tank, seats);
    const auto line = followed_line(tank, followed);
    return line ? with_even_line(tank, std::move(setup), *line) : setup;
  }

  /// The entries of a day; day 0 takes those before it as well.
  template <class Body, class Do>
  void for_each_of_day(std::size_t day, const Do& act) {
    for (const Entry* entry : live_) {
      const long entry_day = (entry->date - start_).days();
      const bool is_of_day = day == 0 ? entry_day <= 0 : entry_day == static_cast<long>(day);
      const auto* body = std::get_if<Body>(&entry->body);
      if (is_of_day && body != nullptr) act(*body, static_cast<int>(entry_day));
    }
  }

  bool has_entry(std::size_t day) const {
    return std::any_of(live_.begin(), live_.end(), [&](const Entry* entry) {
      return (entry->date - start_).days() == static_cast<long>(day);
    });
  }

  void take_moves(std::size_t day) {
    for_each_of_day<MovedEntry>(day, [&](const MovedEntry& moved, int) {
      const auto g = find_named(result_.tank.groups, moved.group);
      const auto spot = find_named(result_.tank.spots, moved.spot);
      if (!g || !spot) return;
      const Seat& now = setup_.seats[walk_.problem().groups[*g].spot];
      const auto there = setup_.find_seat({*spot, moved.mesh.value_or(now.transmission)});
      if (!there) return;
      const Move move{day, *g, *there};
      walk_.move_group(move);
      result_.logged_moves.push_back(move);
    });
  }

  /// Plans the moves to come, where something has changed since they were
  /// planned last.
  void look_ahead(std::size_t day) {
    const auto& groups = walk_.problem().groups;
    const bool has_wish = std::any_of(groups.begin(), groups.end(), [](const RampGroup& group) {
      return group.wish.has_value();
    });
    const bool is_news = day == 0 || has_entry(day) || has_changed_ || is_overdue(day);
    // Once all have arrived nothing rests on the dial that was foreseen.
    if (!has_wish) outlook_ = {};
    if (!has_wish || !is_news || by_hand_) return;
    outlook_ = plan_moves(walk_, day);
    walk_.expect(outlook_);
    has_changed_ = false;
  }

  /// A move that was planned for a day that is past, and not logged.
  bool is_overdue(std::size_t day) const {
    return static_cast<long>(day) <= today_ &&
           std::any_of(outlook_.moves.begin(), outlook_.moves.end(),
                       [&](const Move& move) { return move.day < day; });
  }

  /// From today on as if they will be made; until today they are made where an
  /// entry says so.
  void make_planned_moves(std::size_t day) {
    if (static_cast<long>(day) >= today_) walk_.make_moves(outlook_, day);
  }

  void meet_groups() {
    for (const RampGroup& group : walk_.problem().groups) {
      conditions_.emplace_back(group.tolerance,
                               walk_.problem().exposure(walk_.setting(), group).dose);
    }
    has_looks_.resize(conditions_.size());
  }

  void live_day(std::size_t day) {
    if (day > 0) take_moves(day);
    tighten(day);
    const bool is_by_hand = goes_on_by_hand(day);
    if (is_by_hand) {
      has_changed_ = true;
    } else {
      if (is_dark_) walk_.reopen();
      is_dark_ = false;
      if (day > 0) look_ahead(day);
      if (day > 0) make_planned_moves(day);
      if (outlook_.may_turn_dial(day)) walk_.choose(day);
      if (by_hand_ && walk_.setting() != hand_setting_) by_hand_.reset();
    }
    chosen_.push_back(walk_.setting());
    take_check_ins(day);
    take_dials(day);
    record(day);
    if (static_cast<long>(day) == std::max(today_, 0L)) note_standings(static_cast<long>(day));
  }

  /// Puts what the looks have taught, and asked for, into the walk's groups.
  void tighten(std::size_t day) {
    for (std::size_t g = 0; g < conditions_.size(); ++g) {
      RampGroup changed = walk_.problem().groups[g];
      changed.tolerance = conditions_[g].tolerance();
      changed.check_in_limit = conditions_[g].dose_limit();
      if (wants_a_look(day, g)) {
        const DailyDose yesterday = walk_.problem().exposure(walk_.setting(), changed).dose;
        changed.check_in_limit = std::min(changed.check_in_limit.value_or(yesterday), yesterday);
      }
      if (changed == walk_.problem().groups[g]) continue;
      walk_.change_group(day, g, changed);
      has_changed_ = true;
    }
  }

  bool wants_a_look(std::size_t day, std::size_t g) const {
    const long without = static_cast<long>(day) - std::max(conditions_[g].last_look_day(), 0);
    return static_cast<long>(day) <= today_ && without > days_without_look_that_hold;
  }

  /// Whether the light is known to come back later; for a year at the most.
  bool is_in_power_cut(std::size_t day) const {
    const bool has_end = hand_until_ && static_cast<long>(day) <= *hand_until_;
    return by_hand_ && (is_dark_ || has_end) &&
           static_cast<long>(day) <= today_ + static_cast<long>(last_plan_day);
  }

  bool lacks_a_look(std::size_t day) const {
    for (std::size_t g = 0; g < conditions_.size(); ++g) {
      if (wants_a_look(day, g)) return true;
    }
    return false;
  }

  /// Whether the dial still stands where it was turned by hand, for certain.
  bool goes_on_by_hand(std::size_t day) {
    if (!by_hand_) return false;
    if (hand_until_ && static_cast<long>(day) <= *hand_until_) return true;
    if (hand_until_ || is_dark_ || has_entry(day)) by_hand_.reset();
    return false;
  }

  void take_check_ins(std::size_t day) {
    bool has_sign = false;
    for_each_of_day<CheckInEntry>(day, [&](const CheckInEntry& entry, int entry_day) {
      const auto g = find_named(result_.tank.groups, entry.group);
      if (!g) return;
      if (entry.restart && conditions_[*g].may_restart(entry_day)) conditions_[*g].restart();
      const bool is_before = entry_day < 0;
      const RampGroup& group = walk_.problem().groups[*g];
      CheckIn seen = entry.seen;
      seen.day = entry_day;
      const DailyDose dose = is_before ? group.before.dose : dose_of_look(*g);
      const DailyDose highest = is_before ? dose : std::max(dose, highest_of_late(*g));
      const Condition::Outcome outcome =
          conditions_[*g].take(seen, dose, highest, walk_.states()[*g].used_to);
      has_looks_[*g] = true;
      has_sign = has_sign || conditions_[*g].reacts();
      result_.events.push_back({day, *g, outcome, false, conditions_[*g].dose_limit()});
    });
    if (has_sign && all_react()) {
      for (std::size_t g = 0; g < conditions_.size(); ++g) {
        conditions_[g].hold(static_cast<int>(day), dose_of_look(g));
      }
      result_.events.back().all_at_once = true;
    }
    tighten(day);
    if (!by_hand_) walk_.go_back(day);
  }

  /// The dose that a look speaks of. In a power cut that is not the dark, which
  /// would hold the group there, but what it is used to, up to its setting.
  DailyDose dose_of_look(std::size_t g) const {
    const DailyDose now = exposures_now()[g].dose;
    if (!by_hand_) return now;
    const DailyDose set = walk_.problem().exposure(walk_.setting(), walk_.problem().groups[g]).dose;
    return std::max(now, std::min(set, walk_.states()[g].used_to.dose));
  }

  /// The highest dose that the chosen settings of the last 7 days bring a group
  /// where it is now.
  DailyDose highest_of_late(std::size_t g) const {
    DailyDose highest;
    const std::size_t first = chosen_.size() - std::min<std::size_t>(chosen_.size(), 7);
    for (std::size_t i = first; i < chosen_.size(); ++i) {
      highest =
          std::max(highest, walk_.problem().exposure(chosen_[i], walk_.problem().groups[g]).dose);
    }
    return highest;
  }

  bool all_react() const {
    if (conditions_.size() < 2) return false;
    int first = conditions_.front().last_look_day();
    int last = first;
    for (const Condition& condition : conditions_) {
      if (!condition.reacts()) return false;
      first = std::min(first, condition.last_look_day());
      last = std::max(last, condition.last_look_day());
    }
    return last - first <= 1;
  }

  void take_dials(std::size_t day) {
    // Entries of one day for different lights add up.
    bool is_first = true;
    for_each_of_day<DialedEntry>(day, [&](const DialedEntry& entry, int entry_day) {
      if (entry_day < 0) return;
      if (is_first) by_hand_ = setting_dials();
      is_first = false;
      ++hand_number_;
      for (const auto& [name, dial] : entry.dials) {
        if (const auto light = find_named(result_.tank.lights, name)) (*by_hand_)[*light] = dial;
      }
      hand_until_.reset();
      if (entry.until) hand_until_ = (*entry.until - start_).days();
      stand_below_hand();
    });
  }

  Dials setting_dials() const {
    Dials dials;
    const Setting& setting = walk_.problem().path.settings[walk_.setting()];
    for (std::size_t j = 0; j < setting.size(); ++j) dials[setup_.path_lights[j]] = setting[j];
    return dials;
  }

  /// Puts the walk at the furthest setting that is nowhere over the dials by
  /// hand; where there is none, the light has to come back as from the dark.
  void stand_below_hand() {
    Setting dials;
    for (const std::size_t light : setup_.path_lights) dials.push_back(by_hand_->at(light));
    const auto below = find_setting_below(walk_.problem().path, dials);
    is_dark_ = !below;
    if (below) walk_.stand_at(*below);
    hand_setting_ = walk_.setting();
  }

  std::vector<Exposure> exposures_now() const {
    std::vector<Exposure> exposures;
    for (const RampGroup& group : walk_.problem().groups) {
      exposures.push_back(by_hand_
                              ? usable_exposure(result_.tank, setup_.seats[group.spot], *by_hand_)
                              : walk_.problem().exposure(walk_.setting(), group));
    }
    return exposures;
  }

  void record(std::size_t day) {
    walk_.record(day, exposures_now(), by_hand_ ? std::optional{hand_number_} : std::nullopt);
    if (by_hand_) result_.dialled[day] = *by_hand_;
  }

  void note_standings(long day) {
    result_.standings.clear();
    for (std::size_t g = 0; g < conditions_.size(); ++g) {
      const Condition& condition = conditions_[g];
      std::optional<int> last_look;
      if (has_looks_[g]) last_look = condition.last_look_day();
      result_.standings.push_back(
          {condition.mode(), condition.dose_limit(), last_look,
           has_looks_[g] ? condition.next_look_day() : 0, condition.last_sign_day(),
           wants_a_look(static_cast<std::size_t>(day), g), condition.tolerance().tau_up,
           condition.tolerance().weekly_rise});
    }
  }

  std::vector<const Entry*> live_;
  Date start_;
  long today_;
  RampSetup setup_;
  RampWalk walk_;
  Replay result_;
  MovePlan outlook_;
  /// Something was learned since the moves were planned.
  bool has_changed_ = false;
  std::vector<Condition> conditions_;
  std::vector<bool> has_looks_;
  /// The setting of every day, before its check-ins took it back.
  std::vector<std::size_t> chosen_;
  /// The lights as they stand where they were turned by hand.
  std::optional<Dials> by_hand_;
  std::optional<long> hand_until_;
  std::size_t hand_setting_ = 0;
  std::size_t hand_number_ = 0;
  bool is_dark_ = false;
};

}  // namespace

std::map<std::size_t, Percent> Replay::dials_of_day(std::size_t day) const {
  if (const auto by_hand = dialled.find(day); by_hand != dialled.end()) return by_hand->second;
  std::map<std::size_t, Percent> dials;
  const Setting& setting = setup.problem.path.settings[plan.days[day].setting];
  for (std::size_t j = 0; j < setting.size(); ++j) dials[setup.path_lights[j]] = setting[j];
  return dials;
}

Replay replay(Tank tank, const std::vector<Entry>& entries, const Entry& followed,
              const Date& today) {
  return Replayer{std::move(tank), entries, followed, today}.run();
}

}  // namespace slowdawn
