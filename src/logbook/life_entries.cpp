#include <algorithm>

#include "logbook/find_named.hpp"
#include "logbook/life.hpp"

namespace slowdawn {

template <class Body, class Do>
void Life::for_each_of_day(std::size_t day, const Do& act) const {
  const auto consider = [&](const Entry& entry) {
    const auto* body = std::get_if<Body>(entry.body.get());
    if (body != nullptr) act(*body, entry);
  };
  const auto last = static_cast<long>(day);
  // Day 0 takes those before it as well.
  auto found = day == 0 ? story_->by_day.begin() : story_->by_day.find(last);
  for (; found != story_->by_day.end() && found->first <= last; ++found) {
    for (const Entry* entry : found->second) consider(*entry);
  }
  if (last != std::max(story_->today, 0L)) return;
  for (const Entry& entry : extra_) consider(entry);
}

void Life::take_earlier_moves() {
  for_each_of_day<MovedEntry>(0, [&](const MovedEntry& moved, const Entry& entry) {
    if (story_->day_of(entry.date) < 0) take_move(0, moved, entry);
  });
}

bool Life::take_moves(std::size_t day) {
  bool has_moved = false;
  for_each_of_day<MovedEntry>(day, [&](const MovedEntry& moved, const Entry& entry) {
    if (story_->day_of(entry.date) < 0) return;
    take_move(day, moved, entry);
    has_moved = true;
  });
  return has_moved;
}

void Life::take_move(std::size_t day, const MovedEntry& moved, const Entry& entry) {
  const auto g = find_group(moved.group);
  const auto spot = find_named(tank_.spots, moved.spot);
  if (!g || !spot || walk_->problem().groups[*g].is_gone) return;
  const Seat& now = setup_.seats[walk_->problem().groups[*g].spot];
  const auto there = setup_.find_seat({*spot, moved.mesh.value_or(now.transmission)});
  if (!there) return;
  const Move move{day, *g, *there};
  // One that was planned for today stands as made already.
  if (walk_->problem().groups[*g].spot != *there) walk_->move_group(move);
  logged_moves_.push_back(move);
  GroupLife& group = groups_[*g];
  group.moved_since_sign = true;
  group.moved_on = static_cast<long>(day);
  group.move_made = story_->day_of(entry.made);
  has_changed_ = true;
}

bool Life::take_gone(std::size_t day) {
  bool has_lost = false;
  for_each_of_day<GoneEntry>(day, [&](const GoneEntry& gone, const Entry&) {
    const auto g = find_group(gone.group);
    if (!g || groups_[*g].gone_on) return;
    groups_[*g].gone_on = day;
    groups_[*g].accident_day.reset();
    walk_->set_gone(day, *g, true);
    has_lost = true;
    has_changed_ = true;
  });
  return has_lost;
}

/// True where a step of this day is put off: a look had a sign.
bool Life::take_looks(std::size_t day) {
  bool has_sign = false;
  for_each_of_day<CheckInEntry>(day, [&](const CheckInEntry& look, const Entry& entry) {
    take_look(day, look, entry, has_sign);
  });
  if (assumes_good_looks_ && static_cast<long>(day) >= story_->today) take_assumed_looks(day);
  if (!has_sign || !all_react()) return has_sign;
  for (std::size_t g = 0; g < groups_.size(); ++g) {
    if (groups_[g].gone_on) continue;
    groups_[g].condition.hold(static_cast<int>(day), light_of_look(day, g));
    groups_[g].moved_since_sign = false;
  }
  events_.back().all_at_once = true;
  return true;
}

void Life::take_look(std::size_t day, const CheckInEntry& look, const Entry& entry,
                     bool& has_sign) {
  const auto g = find_group(look.group);
  if (!g || groups_[*g].gone_on) return;
  GroupLife& group = groups_[*g];
  CheckIn seen = look.seen;
  seen.day = static_cast<int>(story_->day_of(entry.date));
  const auto made = static_cast<int>(story_->day_of(entry.made));
  LookLight light = light_of_look(day, *g);
  if (seen.day < 0) {
    light.dose = counted_before(*g);
    light.most_of_late = light.dose;
  }
  Condition::Outcome outcome = group.condition.take(seen, made, light);
  if (look.restart && group.condition.may_restart(seen.day)) {
    group.condition.restart();
    outcome.after = group.condition.mode();
  }
  if (made > seen.day) group.pending_until = std::max(group.pending_until, long{made});
  if (group.condition.reacts()) {
    has_sign = true;
    sign_group_ = *g;
    group.moved_since_sign = false;
    lower_what_it_had(day, *g);
  } else if (group.accident_day &&
             seen.day - *group.accident_day >= days_from_accident_to_good_look) {
    group.accident_day.reset();
  }
  events_.push_back({day, *g, outcome, false, shown_limit(*g), entry.seq});
}

/// What counts of the dose that a group had before the plan: where some lights of the
/// plan are new to it, no more than of those that it has had.
DailyDose Life::counted_before(std::size_t g) const {
  const LightWeights& weights = setup_.starts[g].weights;
  double least = 1.0;
  for (const std::size_t light : setup_.path_lights) {
    if (weights[light] > 0.0) least = std::min(least, weights[light]);
  }
  return least * walk_->problem().groups[g].before.dose;
}

/// What its check-ins allow, as a meter would show it in the light of now.
std::optional<DailyDose> Life::shown_limit(std::size_t g) const {
  const auto limit = groups_[g].condition.dose_limit();
  if (!limit) return std::nullopt;
  const RampProblem& problem = walk_->problem();
  return problem.light(walk_->setting(), problem.groups[g]).shown(*limit);
}

/// A strain takes D0 and P0 down to its limit: the light of before is no witness any
/// more that it bears so much.
void Life::lower_what_it_had(std::size_t day, std::size_t g) {
  using Mode = Condition::Mode;
  const Condition& condition = groups_[g].condition;
  if (condition.mode() != Mode::strained && condition.mode() != Mode::hurt) return;
  RampGroup lowered = walk_->problem().groups[g];
  const GroupLight light = walk_->problem().light(walk_->setting(), lowered);
  const double share = light.shown(*condition.dose_limit()) / lowered.before.dose;
  if (!(share < 1.0)) return;
  if (!lowered.first_dose) lowered.first_dose = lowered.before.dose;
  lowered.before = {share * lowered.before.dose, share * lowered.before.peak};
  walk_->change_group(day, g, lowered);
}

/// For whoever waits: a first good look at once, a second one 3 days later.
void Life::take_assumed_looks(std::size_t day) {
  const auto number = static_cast<int>(day);
  for (std::size_t g = 0; g < groups_.size(); ++g) {
    GroupLife& group = groups_[g];
    const bool is_free = group.condition.mode() == Condition::Mode::free && !group.accident_day;
    const bool has_sign_today =
        group.condition.reacts() && group.condition.last_look_day() == number;
    if (group.gone_on || is_free || has_sign_today) continue;
    group.condition.take(CheckIn{.day = number}, number, light_of_look(day, g));
    if (group.condition.may_restart(number)) group.condition.restart();
    if (group.accident_day && number - *group.accident_day >= days_from_accident_to_good_look) {
      group.accident_day.reset();
    }
  }
}

bool Life::all_react() const {
  std::optional<int> first;
  std::optional<int> last;
  std::size_t count = 0;
  for (const GroupLife& group : groups_) {
    if (group.gone_on) continue;
    if (!group.condition.reacts()) return false;
    const int day = *group.condition.last_look_day();
    first = std::min(first.value_or(day), day);
    last = std::max(last.value_or(day), day);
    ++count;
  }
  return count > 1 && *last - *first <= 1;
}

/// What a group was given on a day and of late, wherever it was. In a power cut that is
/// not the dark, which would hold the group there, but what it is used to, up to the
/// light of its setting.
LookLight Life::light_of_look(std::size_t day, std::size_t g) const {
  const GroupLife& group = groups_[g];
  const RampProblem& problem = walk_->problem();
  const GroupLight of_setting = problem.light(walk_->setting(), problem.groups[g]);
  const auto dose_under = [&](const LightDials& dials) {
    return light_of(g, dials).effective.dose;
  };
  const DailyDose planned = first_light_ ? dose_under(*first_light_) : of_setting.effective.dose;
  LookLight light{{},
                  {},
                  walk_->states()[g].used_to,
                  !group.accident_day || *group.accident_day < static_cast<long>(day)};
  if (by_hand_) {
    const DailyDose now = dose_under(*by_hand_);
    light.dose = std::max(now, std::min(planned, light.used_to.dose));
    light.teaches = light.teaches && !exceeds(now, planned);
  } else if (first_light_ || off_path_) {
    light.dose = dose_under(first_light_ ? *first_light_ : *off_path_);
  } else {
    light.dose = planned;
  }
  light.most_of_late = light.dose;
  const std::size_t first = day >= 6 ? day - 6 : 0;
  for (std::size_t past = first; past < std::min(day, group.given.size()); ++past) {
    light.most_of_late = std::max(light.most_of_late, group.given[past]);
  }
  return light;
}

void Life::take_dials(std::size_t day) {
  for_each_of_day<DialedEntry>(day, [&](const DialedEntry& entry, const Entry& written) {
    if (story_->day_of(written.date) < 0) return;
    // Entries for different lights add up.
    if (!by_hand_) {
      by_hand_ = off_path_ ? *off_path_ : dials_of_setting(walk_->setting());
      hand_until_.reset();
    }
    ++hand_number_;
    hand_is_new_ = true;
    hand_setting_ = walk_->setting();
    for (const auto& [name, dial] : entry.dials) {
      if (const auto light = find_named(tank_.lights, name)) (*by_hand_)[*light] = dial;
    }
    hand_until_.reset();
    if (entry.until) hand_until_ = story_->day_of(*entry.until);
    hand_ends_.reset();
    for (const Entry& later : story_->log.entries) {
      const bool is_undo = std::holds_alternative<UndoEntry>(*later.body);
      const long made = story_->day_of(later.made);
      if (later.seq <= written.seq || later.undone || is_undo || made <= static_cast<long>(day)) {
        continue;
      }
      hand_ends_ = std::min(hand_ends_.value_or(made), made);
    }
    is_dark_ = std::all_of(by_hand_->begin(), by_hand_->end(),
                           [](const auto& each) { return each.second.percent() == 0.0; });
  });
}

/// Puts the walk at the furthest setting that is nowhere over the dials by hand; where
/// there is none, the light has to come back as from the dark.
void Life::stand_below_hand() {
  Setting dials;
  for (const std::size_t light : setup_.path_lights) dials.push_back((*by_hand_)[light]);
  const auto below = find_setting_below(walk_->problem().path, dials);
  is_dark_ = !below;
  if (below) {
    walk_->stand_at(*below);
    hand_setting_ = *below;
  }
}

void Life::note_standings(std::size_t day) {
  standings_.clear();
  for (std::size_t g = 0; g < groups_.size(); ++g) {
    const GroupLife& group = groups_[g];
    const Condition& condition = group.condition;
    const auto count_from = static_cast<int>(group.count_from);
    GroupStanding standing{condition.mode(),
                           shown_limit(g),
                           condition.last_look_day(),
                           condition.next_look_day(count_from),
                           condition.last_sign_day(),
                           wants_a_look(day, g),
                           condition.tolerance().tau_up,
                           condition.tolerance().weekly_rise};
    standing.looked_at_until = std::max(count_from, condition.last_good_day().value_or(count_from));
    if (group.accident_day) {
      standing.accident_day = static_cast<std::size_t>(*group.accident_day);
      standing.next_look_day =
          std::max(static_cast<int>(day),
                   static_cast<int>(*group.accident_day) + days_from_accident_to_good_look);
    }
    standing.earliest_release = condition.earliest_release(static_cast<int>(day));
    standing.good_looks_to_come = condition.good_looks_to_come();
    standings_.push_back(standing);
  }
}

}  // namespace slowdawn
