#include "logbook/life.hpp"

#include <algorithm>

#include "logbook/find_named.hpp"

namespace slowdawn {
namespace {

constexpr std::size_t days_of_late = 7;

std::map<std::string, Baselines> find_baselines(const std::vector<Entry>& entries,
                                                std::int64_t first_seq, const Date& start) {
  std::map<std::string, BaselineFinder> finders;
  for (const Entry& entry : entries) {
    const auto* look = std::get_if<CheckInEntry>(entry.body.get());
    if (look == nullptr || entry.undone || entry.seq < first_seq) continue;
    CheckIn seen = look->seen;
    seen.day = static_cast<int>((entry.date - start).days());
    finders[look->group].take(seen);
  }
  std::map<std::string, Baselines> baselines;
  for (const auto& [group, finder] : finders) baselines[group] = finder.found();
  return baselines;
}

/// The first entry of the life that goes on now: that of the newest plan that begins
/// afresh, or the first that is followed.
std::int64_t first_seq_of(const std::vector<Entry>& entries) {
  std::int64_t first = 0;
  for (const Entry& entry : entries) {
    const auto* followed = std::get_if<FollowEntry>(entry.body.get());
    if (followed == nullptr || entry.undone) continue;
    if (first == 0 || followed->afresh) first = entry.seq;
  }
  return first;
}

}  // namespace

LifeStory::LifeStory(Log given, std::vector<Leg> its_legs, const Date& its_today)
    : log(std::move(given)),
      legs(std::move(its_legs)),
      start(legs.front().start),
      today((its_today - start).days()) {
  const std::int64_t first_seq = first_seq_of(log.entries);
  for (const Entry& entry : log.entries) {
    const bool is_event = !std::holds_alternative<FollowEntry>(*entry.body) &&
                          !std::holds_alternative<UndoEntry>(*entry.body);
    if (is_event && entry.seq > first_seq && !entry.undone) {
      by_day[day_of(entry.date)].push_back(&entry);
    }
  }
  for (const RecordedDay& row : log.record) {
    const long day = day_of(row.date);
    if (day >= 0 && day < today) record[day] = &row;
  }
  baselines = find_baselines(log.entries, first_seq, start);
}

Life::Life(std::shared_ptr<const LifeStory> story) : story_(std::move(story)) {}

Replay Life::live(bool keep_morning) {
  if (!walk_) begin_first_leg();
  for (;; ++day_) {
    if (keep_morning && static_cast<long>(day_) == std::max(story_->today, 0L)) {
      morning_ = std::make_shared<const Life>(*this);
    }
    live_day(day_);
    if (!is_open_) break;
    const bool is_past = static_cast<long>(day_) < story_->today;
    const bool is_waiting = is_in_power_cut(day_) || lacks_a_look(day_) ||
                            awaits_assumed_looks(day_) || leg_ + 1 < story_->legs.size();
    if (!is_past && !is_waiting && walk_->is_over(day_)) break;
    const std::vector<Exposure> credited = credit(day_, light_of_today());
    walk_->live_through(credited, next_brighter());
    if (by_hand_ || off_path_) walk_->restart_pace();
  }
  if (standings_.empty()) note_standings(day_);
  Replay made{tank_, {}, walk_->finish(), story_->start};
  made.setup = setup_;
  made.events = events_;
  made.standings = standings_;
  made.logged_moves = logged_moves_;
  made.leg_days = leg_days_;
  made.spots_of_file = spots_of_file_;
  made.from_differs = from_differs_;
  for (const auto& [day, dials] : dialled_) made.dialled[day] = by_number(dials);
  for (const GroupLife& group : groups_) {
    made.came_on.push_back(group.came_on);
    made.gone_on.push_back(group.gone_on);
  }
  made.accidents = accidents_;
  made.record = record_;
  made.first_today = first_today_;
  made.morning = morning_;
  made.today = static_cast<std::size_t>(std::max(story_->today, 0L));
  return made;
}

void Life::add(EntryBody body) {
  const Date today = days_after(story_->start, day_);
  extra_.push_back({std::numeric_limits<std::int64_t>::max(), today, today,
                    std::make_shared<const EntryBody>(std::move(body))});
}

void Life::leave_out(std::size_t group) { walk_->set_gone(day_, group, true); }

bool Life::has_entry(std::size_t day) const {
  return story_->by_day.contains(static_cast<long>(day)) ||
         (!extra_.empty() && static_cast<long>(day) == std::max(story_->today, 0L));
}

std::optional<std::size_t> Life::find_group(const std::string& name) const {
  return find_named(tank_.groups, name);
}

bool Life::is_step_day(std::size_t day) const {
  return walk_->problem().is_step_day(day - walk_->first_day());
}

const RecordedDay* Life::row_of(std::size_t day) const {
  const auto found = story_->record.find(static_cast<long>(day));
  return found == story_->record.end() ? nullptr : found->second;
}

void Life::live_day(std::size_t day) {
  if (leg_ + 1 < story_->legs.size() &&
      static_cast<long>(day) == story_->day_of(story_->legs[leg_ + 1].start)) {
    go_on_with(story_->legs[leg_ + 1], day);
  }
  begin_day(day);
  const RecordedDay* row = row_of(day);
  const bool goes_on = goes_on_by_hand(day, row);
  Choice choice{walk_->setting(), walk_->setting()};
  if (row != nullptr) {
    stand_as_recorded(day, *row);
    choice = {walk_->setting(), walk_->setting()};
    if (!goes_on) is_dark_ = false;
  } else if (!goes_on) {
    choice = choose(day);
    if (!is_open_) return;
  } else {
    has_changed_ = true;
  }
  if (row == nullptr) {
    first_setting_ = choice.with_step;
    low_setting_ = walk_->problem().path.settings.size();
  }
  take_dials(day);
  const bool puts_off = take_looks(day);
  if (row != nullptr) {
    take_moves(day);
    take_gone(day);
    const bool is_put_off = puts_off && row->first && (owed_step_ || is_step_day(day));
    if (is_put_off && !owed_step_) owed_step_ = find_setting(*row->first, walk_->setting());
    if (!is_put_off) owed_step_.reset();
    tighten(day);
    // For the note that even the first setting is too much.
    if (walk_->setting() == 0 && !off_path_) walk_->go_back(day);
    // Nothing was planned ahead on it.
    has_changed_ = true;
  } else {
    const std::size_t target = puts_off ? choice.without_step : choice.with_step;
    if (!puts_off) owed_step_.reset();
    if (puts_off && !owed_step_ && choice.with_step != choice.without_step) {
      owed_step_ = choice.with_step;
    }
    if (!goes_on) {
      settle_dial(day, target);
    } else {
      tighten(day);
    }
    const bool has_moved = take_moves(day);
    const bool has_lost = take_gone(day);
    if (!goes_on && (has_moved || has_lost)) {
      walk_->stand_at(target);
      settle_dial(day, target);
    }
    if (!goes_on && !puts_off && choice.with_step != choice.without_step) last_step_day_ = day;
  }
  finish_day(day, row);
}

void Life::begin_day(std::size_t day) {
  use_outputs_of(day);
  off_path_.reset();
  first_light_.reset();
  low_light_.reset();
  hand_is_new_ = false;
  sign_group_.reset();
  for (GroupLife& group : groups_) {
    group.condition.begin_day(static_cast<int>(day));
    if (static_cast<long>(day) > group.pending_until) {
      group.known_limit = group.condition.dose_limit();
    }
  }
  tighten(day);
}

/// Puts what the looks have taught, and asked for, into the walk's groups.
void Life::tighten(std::size_t day) {
  for (std::size_t g = 0; g < groups_.size(); ++g) {
    const GroupLife& group = groups_[g];
    RampGroup changed = walk_->problem().groups[g];
    changed.tolerance = group.condition.tolerance();
    changed.check_in_limit = group.condition.dose_limit();
    const bool asks = group.condition.mode() != Condition::Mode::free && !group.moved_since_sign;
    changed.holds = asks || wants_a_look(day, g) || group.accident_day.has_value();
    if (changed == walk_->problem().groups[g]) continue;
    walk_->change_group(day, g, changed);
    has_changed_ = true;
  }
}

/// The setting of a recorded day; where the path has none like it, the furthest that is
/// nowhere brighter.
void Life::stand_as_recorded(std::size_t day, const RecordedDay& row) {
  const std::size_t before = walk_->setting();
  const auto place = [&](const NamedDials& dials) { return find_setting(dials, row.at); };
  const auto setting = place(row.dials);
  if (setting) {
    walk_->stand_at(*setting);
  } else {
    off_path_ = by_number(row.dials);
    Setting dials;
    for (const std::size_t light : setup_.path_lights) dials.push_back((*off_path_)[light]);
    walk_->stand_at(find_setting_below(walk_->problem().path, dials).value_or(0));
  }
  first_setting_ = walk_->setting();
  if (row.first) first_light_ = by_number(*row.first);
  if (row.low) low_light_ = by_number(*row.low);
  const std::size_t goal = walk_->problem().path.goal;
  const std::size_t now = walk_->setting();
  const bool is_step = day > walk_->first_day() &&
                       (goal >= before ? now > before && now <= goal : now < before && now >= goal);
  if (is_step) last_step_day_ = day;
}

std::optional<std::size_t> Life::find_setting(const NamedDials& dials, std::size_t hint) const {
  const LightDials wanted = by_number(dials);
  const std::vector<Setting>& settings = walk_->problem().path.settings;
  for (const auto& [light, dial] : wanted) {
    const auto& lights = setup_.path_lights;
    const bool is_planned = std::find(lights.begin(), lights.end(), light) != lights.end();
    if (!is_planned && dial.percent() > 0.0) return std::nullopt;
  }
  const auto is_it = [&](std::size_t number) {
    for (std::size_t j = 0; j < setup_.path_lights.size(); ++j) {
      const auto found = wanted.find(setup_.path_lights[j]);
      const double dial = found == wanted.end() ? 0.0 : found->second.percent();
      if (std::abs(settings[number][j].percent() - dial) > 1e-9) return false;
    }
    return true;
  };
  if (hint < settings.size() && is_it(hint)) return hint;
  std::optional<std::size_t> nearest;
  const auto gap = [&](std::size_t number) {
    return std::abs(static_cast<long>(number) - static_cast<long>(walk_->setting()));
  };
  for (std::size_t number = 0; number < settings.size(); ++number) {
    if (is_it(number) && (!nearest || gap(number) < gap(*nearest))) nearest = number;
  }
  return nearest;
}

/// As it is said on the day itself: with the moves that are planned for it as if they
/// will be made. Until today they are made where an entry says so alone.
Life::Choice Life::choose(std::size_t day) {
  if (is_dark_) walk_->reopen(hand_setting_);
  look_ahead(day);
  const bool has_move = std::any_of(outlook_.moves.begin(), outlook_.moves.end(),
                                    [&](const Move& move) { return move.day == day; });
  if (!has_move || static_cast<long>(day) >= story_->today) return choose_with(*walk_, day);
  RampWalk as_planned = *walk_;
  const Choice choice = choose_with(as_planned, day);
  walk_->stand_at(choice.with_step);
  return choice;
}

Life::Choice Life::choose_with(RampWalk& walk, std::size_t day) {
  walk.make_moves(outlook_, day);
  if (day == 0 && !walk.open()) {
    is_open_ = false;
    return {};
  }
  if (!is_dark_) walk.go_back(day);
  is_dark_ = false;
  const std::size_t without_step = walk.setting();
  if (outlook_.may_turn_dial(day)) {
    if (is_step_day(day)) {
      walk.choose(day, true);
    } else if (owed_step_) {
      walk.choose(day, true, *owed_step_);
    }
  }
  if (by_hand_ && walk.setting() != hand_setting_) by_hand_.reset();
  return {without_step, walk.setting()};
}

/// Plans the moves to come, where something has changed since they were planned last.
void Life::look_ahead(std::size_t day) {
  const auto& groups = walk_->problem().groups;
  const bool has_wish = std::any_of(groups.begin(), groups.end(), [](const RampGroup& group) {
    return group.wish.has_value() && !group.is_gone;
  });
  const bool is_news =
      day == walk_->first_day() || has_entry(day) || has_changed_ || is_overdue(day);
  // Once all have arrived nothing rests on the dial that was foreseen.
  if (!has_wish) outlook_ = {};
  if (!has_wish || !is_news || by_hand_) return;
  outlook_ = plan_moves(*walk_, day);
  walk_->expect(outlook_);
  has_changed_ = false;
}

/// A move that was planned for a day that is past, and not logged.
bool Life::is_overdue(std::size_t day) const {
  return static_cast<long>(day) <= story_->today &&
         std::any_of(outlook_.moves.begin(), outlook_.moves.end(),
                     [&](const Move& move) { return move.day < day; });
}

/// Back toward dark from what was chosen, as far as the groups of now ask for.
void Life::settle_dial(std::size_t day, std::size_t target) {
  walk_->stand_at(target);
  tighten(day);
  walk_->go_back(day);
  low_setting_ = std::min(low_setting_, walk_->setting());
}

void Life::finish_day(std::size_t day, const RecordedDay* row) {
  const std::size_t planned = walk_->setting();
  if (row != nullptr) {
    record_.push_back(*row);
  } else if (static_cast<long>(day) < story_->today) {
    keep_record(day, planned);
  }
  if (row == nullptr && !by_hand_) {
    if (first_setting_ != planned) first_light_ = dials_of_setting(first_setting_);
    if (low_setting_ < planned) low_light_ = dials_of_setting(low_setting_);
  }
  LightDials light = off_path_.value_or(dials_of_setting(planned));
  if (by_hand_) {
    light = *by_hand_;
    low_light_.reset();
    first_light_.reset();
  }
  const bool is_special = by_hand_ || off_path_;
  if (off_path_ && !by_hand_ && (lit_.empty() || lit_.back() != by_name(light))) ++hand_number_;
  const std::vector<GroupLight> there = lights_of(light);
  const std::vector<GroupLight> at_first = first_light_ ? lights_of(*first_light_) : there;
  if (is_special) {
    walk_->record(day, there, hand_number_);
    dialled_[day] = by_name(light);
  } else {
    walk_->record(day);
  }
  if (off_path_ && !by_hand_) walk_->say_as_recorded();
  if (sign_group_) walk_->say_held_by(*sign_group_);
  for (std::size_t g = 0; g < groups_.size(); ++g) {
    groups_[g].given.resize(day);
    groups_[g].given.push_back(std::max(there[g].effective.dose, at_first[g].effective.dose));
  }
  lit_.push_back(by_name(light));
  if (static_cast<long>(day) != std::max(story_->today, 0L)) return;
  first_today_ = first_light_;
  note_standings(day);
}

void Life::keep_record(std::size_t day, std::size_t setting) {
  const auto named = [&](std::size_t number) { return by_name(dials_of_setting(number)); };
  RecordedDay row{days_after(story_->start, day), named(setting), setting, {}, {}};
  if (low_setting_ < setting) row.low = named(low_setting_);
  if (first_setting_ != setting) row.first = named(first_setting_);
  record_.push_back(std::move(row));
}

/// The dimmest that the last recorded day came to.
std::vector<GroupLight> Life::light_of_today() const {
  if (low_light_) return lights_of(*low_light_);
  const GroupDays& today = walk_->days().back().groups;
  std::vector<GroupLight> light;
  light.reserve(today.size());
  for (std::size_t g = 0; g < today.size(); ++g) light.push_back(today.light_of(g));
  return light;
}

/// The dials of the furthest setting that is nowhere over those by hand.
NamedDials Life::below_hand() const {
  Setting dials;
  for (const std::size_t light : setup_.path_lights) dials.push_back(by_hand_->at(light));
  const auto below = find_setting_below(walk_->problem().path, dials);
  return below ? by_name(dials_of_setting(*below)) : NamedDials{};
}

/// The setting after the light of the last day, where that was none of the walk's.
std::optional<std::size_t> Life::next_brighter() const {
  const std::optional<LightDials> light = by_hand_ ? by_hand_ : low_light_ ? low_light_ : off_path_;
  if (!light) return std::nullopt;
  Setting dials;
  for (const std::size_t number : setup_.path_lights) {
    const auto found = light->find(number);
    dials.push_back(found == light->end() ? Percent{} : found->second);
  }
  return find_next_brighter(walk_->problem().path, dials);
}

/// The effective light that counts as had: of light over the caps no more than they allow.
std::vector<Exposure> Life::credit(std::size_t day, const std::vector<GroupLight>& lights) {
  const bool stands_first = walk_->setting() == 0 && !by_hand_;
  std::vector<Exposure> credited;
  credited.reserve(lights.size());
  for (const GroupLight& light : lights) credited.push_back(light.effective);
  bool is_accident = false;
  for (std::size_t g = 0; g < groups_.size(); ++g) {
    const RampGroup& group = walk_->problem().groups[g];
    if (group.is_gone) continue;
    const Limits limits = compute_limits(group, walk_->states()[g]);
    DailyDose most =
        std::min({limits.dose_pace, limits.dose_headroom, lights[g].counted(limits.dose_band)});
    if (groups_[g].known_limit) most = std::min(most, *groups_[g].known_limit);
    const Ppfd shown_limit =
        std::min(limits.peak_ceiling, limits.excitation.value_or(limits.peak_ceiling));
    const Ppfd brightest =
        std::min({limits.peak_pace, limits.peak_headroom, lights[g].counted(shown_limit)});
    Exposure& light = credited[g];
    const bool is_over = exceeds(light.dose, most) || exceeds(light.peak, brightest);
    if (!is_over) continue;
    const double ratio = std::max(light.dose / most, light.peak / brightest);
    light = {std::min(light.dose, most), std::min(light.peak, brightest)};
    if (stands_first || !is_unforeseen(day, g) || static_cast<long>(day) > story_->today) continue;
    accidents_.push_back({day, g, ratio});
    groups_[g].accident_day = static_cast<long>(day);
    is_accident = true;
  }
  if (hand_is_new_ && !is_accident && !row_of(day + 1)) stand_below_hand();
  if (!is_accident && !off_path_) {
    const NamedDials& lit = lit_.back();
    const bool is_lit = std::any_of(lit.begin(), lit.end(),
                                    [](const auto& each) { return each.second.percent() > 0.0; });
    if (is_lit) last_lit_ = lit;
  }
  return credited;
}

/// Whether a day's light of a group is not what the plan said on that day: it was
/// dialled by hand, or the group had been moved.
bool Life::is_unforeseen(std::size_t day, std::size_t g) const {
  const auto number = static_cast<long>(day);
  const GroupLife& group = groups_[g];
  return by_hand_ || group.moved_on == number || group.move_made > number;
}

bool Life::wants_a_look(std::size_t day, std::size_t g) const {
  const GroupLife& group = groups_[g];
  // An even ramp runs by itself until somebody stops it.
  if (group.gone_on || walk_->problem().even) return false;
  const long looked =
      std::max(group.count_from, static_cast<long>(group.condition.last_good_day().value_or(0)));
  const auto number = static_cast<long>(day);
  return number <= story_->today && number - looked > days_without_look_that_hold;
}

/// Whether assumed looks are still to end a hold: all may be used to the light before.
bool Life::awaits_assumed_looks(std::size_t day) const {
  const bool is_too_late =
      static_cast<long>(day) > story_->today + static_cast<long>(last_plan_day);
  if (!assumes_good_looks_ || is_too_late) return false;
  return std::any_of(groups_.begin(), groups_.end(), [](const GroupLife& group) {
    const bool is_free = group.condition.mode() == Condition::Mode::free && !group.accident_day;
    return !group.gone_on && !is_free;
  });
}

bool Life::lacks_a_look(std::size_t day) const {
  for (std::size_t g = 0; g < groups_.size(); ++g) {
    if (wants_a_look(day, g)) return true;
  }
  return false;
}

/// Whether the light is known to come back later; for a year at the most.
bool Life::is_in_power_cut(std::size_t day) const {
  const auto number = static_cast<long>(day);
  const bool has_end = hand_until_ && number <= *hand_until_;
  return by_hand_ && (is_dark_ || has_end) &&
         number <= story_->today + static_cast<long>(last_plan_day);
}

/// Whether the dial still stands where it was turned by hand, for certain.
bool Life::goes_on_by_hand(std::size_t day, const RecordedDay* row) {
  if (!by_hand_) return false;
  const auto number = static_cast<long>(day);
  if (hand_until_ && number <= *hand_until_) return true;
  const bool has_ended = hand_until_ || is_dark_ || (hand_ends_ && number >= *hand_ends_);
  const bool is_step = row != nullptr && !record_.empty() && row->dials != record_.back().dials &&
                       row->dials != below_hand();
  if (has_ended || is_step) {
    by_hand_.reset();
    return false;
  }
  return row != nullptr;
}

}  // namespace slowdawn
