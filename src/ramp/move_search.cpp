#include "ramp/move_search.hpp"

#include <algorithm>
#include <cmath>
#include <map>

namespace slowdawn {

MoverDays::MoverDays(const MoveOutlook& outlook)
    : outlook_(outlook), rates_(outlook.now.tolerance) {}

std::size_t MoverDays::setting(std::size_t day) const {
  return outlook_.settings[std::min(day - outlook_.day, outlook_.settings.size() - 1)];
}

GroupState MoverDays::moved(const GroupState& state, std::size_t from, std::size_t to,
                            std::size_t day) const {
  const double known = day == 0 ? outlook_.now.doubt : 0.0;
  return after_move(state, move_doubt(outlook_.problem, from, to) - known);
}

bool MoverDays::bears(std::size_t day, std::size_t spot, const GroupState& state,
                      std::size_t left) const {
  const Limits limits = compute_limits(outlook_.now, state);
  const Path& path = outlook_.problem.path;
  const std::size_t today = setting(day);
  const bool opens = day == outlook_.day && !outlook_.setting_before;
  const bool opens_in_the_dark = opens && (outlook_.problem.lights_change || !path.base);
  std::size_t first = opens_in_the_dark     ? 0
                      : opens               ? *path.base
                      : day == outlook_.day ? *outlook_.setting_before
                                            : setting(day - 1);
  const bool is_forward = first <= today ? today <= path.goal : today >= path.goal;
  if (!is_forward && !opens_in_the_dark) first = today;
  for (std::size_t s = first;;) {
    const std::size_t next = s < today ? s + 1 : s - 1;
    if (worst_breach(limits, light(s, spot), {})) return false;
    if (s == today) break;
    const bool is_too_dark = !opens_in_the_dark &&
                             exceeds(effective(s, spot).dose, effective(next, spot).dose) &&
                             exceeds(limits.dose_floor, effective(next, spot).dose);
    if (is_too_dark) return false;
    s = next;
  }
  return spot == left || !worst_breach(limits, light(today, spot), light(today, left));
}

GroupState MoverDays::after(std::size_t day, std::size_t spot, const GroupState& state) const {
  const std::size_t today = setting(day);
  const MoveWish& wish = *outlook_.now.wish;
  const RampProblem& problem = outlook_.problem;
  const Exposure& next = problem.next_brighter(today, problem.column(outlook_.now, spot));
  if (spot == wish.to) return after_day(state, effective(today, spot), next, rates_);
  return after_day(state, effective(today, spot), next,
                   brightest_stop(problem, outlook_.now, spot, wish, today), rates_);
}

bool MoverDays::bears_from(std::size_t day, std::size_t spot, GroupState state) const {
  for (; day <= last_day(); ++day) {
    if (!bears(day, spot, state, spot)) return false;
    state = after(day, spot, state);
  }
  return true;
}

namespace {

/// Where a group may be on a day, and how it got there.
struct Label {
  std::size_t spot;
  /// The first of the wish's `via` that is still before it.
  std::size_t next_via = 0;
  /// It may leave its spot from this day on.
  std::size_t free_day = 0;
  GroupState state = {};
  std::vector<Move> moves = {};
};

bool is_alike(double a, double b) { return std::abs(a - b) <= relative_slack * std::abs(b); }

bool is_alike(const GroupState& a, const GroupState& b) {
  return is_alike(a.used_to.dose / b.used_to.dose, 1.0) &&
         is_alike(a.used_to.peak / b.used_to.peak, 1.0) &&
         is_alike(a.allowance.dose / b.allowance.dose, 1.0) &&
         is_alike(a.allowance.peak / b.allowance.peak, 1.0) &&
         is_alike(a.move_allowance.dose / b.move_allowance.dose, 1.0) &&
         is_alike(a.move_allowance.peak / b.move_allowance.peak, 1.0);
}

class Search {
 public:
  explicit Search(const MoveOutlook& outlook)
      : outlook_(outlook), wish_(*outlook.now.wish), days_(outlook) {}

  MoveSearch run() {
    MoveSearch found{{}, days_.bears_from(outlook_.day, outlook_.now.spot, outlook_.state)};
    std::vector<Label> labels{
        {outlook_.now.spot, wish_.next_via, wish_.not_before, outlook_.state, {}}};
    for (std::size_t day = outlook_.day; day <= last_plan_day && !labels.empty(); ++day) {
      std::vector<Label> later;
      const Label* best = nullptr;
      std::vector<Label> arrived;
      for (const Label& label : labels) {
        const std::size_t known = later.size() + arrived.size();
        if (day >= label.free_day) go(label, day, later, arrived);
        const bool has_gone = later.size() + arrived.size() > known;
        stay(label, day, has_gone, later);
      }
      for (const Label& label : arrived) {
        if (best == nullptr || label.moves.size() < best->moves.size()) best = &label;
      }
      if (best != nullptr) {
        found.moves = best->moves;
        return found;
      }
      labels = without_dominated(std::move(later));
    }
    return found;
  }

 private:
  void stay(const Label& label, std::size_t day, bool has_gone, std::vector<Label>& later) const {
    if (!days_.bears(day, label.spot, label.state, label.spot)) return;
    const GroupState state = days_.after(day, label.spot, label.state);
    // Nothing will change for it any more, and it can go nowhere.
    const bool is_stuck = day > days_.last_day() && day >= label.free_day && !has_gone &&
                          is_alike(state, label.state);
    if (is_stuck) return;
    later.push_back(label);
    later.back().state = state;
  }

  void go(const Label& label, std::size_t day, std::vector<Label>& later,
          std::vector<Label>& arrived) const {
    if (auto there = try_move(label, day, wish_.to)) {
      const std::size_t tomorrow = day + 1;
      if (days_.bears_from(tomorrow, wish_.to, there->state)) arrived.push_back(std::move(*there));
    }
    for (std::size_t i = label.next_via; i < wish_.via.size(); ++i) {
      auto there = try_move(label, day, wish_.via[i]);
      if (!there) continue;
      there->next_via = i + 1;
      there->free_day = day + wish_.min_stay_days;
      later.push_back(std::move(*there));
    }
  }

  std::optional<Label> try_move(const Label& label, std::size_t day, std::size_t spot) const {
    const GroupState state = days_.moved(label.state, label.spot, spot, day);
    if (!days_.bears(day, spot, state, label.spot)) return std::nullopt;
    Label there = label;
    there.spot = spot;
    there.state = days_.after(day, spot, state);
    there.moves.push_back({day, outlook_.group, spot});
    return there;
  }

  /// Whether a label is nowhere behind another of the same spot, so that
  /// whatever the other may still do, it may do as well.
  static bool is_ahead(const Label& a, const Label& b, bool is_free_of_floors) {
    const DailyDose dose_a = a.state.used_to.dose;
    const DailyDose dose_b = b.state.used_to.dose;
    return a.free_day <= b.free_day && a.moves.size() <= b.moves.size() &&
           a.next_via <= b.next_via && a.state.used_to.peak >= b.state.used_to.peak &&
           a.state.allowance.dose >= b.state.allowance.dose &&
           a.state.allowance.peak >= b.state.allowance.peak &&
           a.state.move_allowance.dose >= b.state.move_allowance.dose &&
           a.state.move_allowance.peak >= b.state.move_allowance.peak &&
           (is_free_of_floors ? dose_a >= dose_b : is_alike(dose_a / dose_b, 1.0));
  }

  std::vector<Label> without_dominated(std::vector<Label> labels) {
    // By spot, and those that are ahead first.
    std::stable_sort(labels.begin(), labels.end(), [](const Label& a, const Label& b) {
      if (a.spot != b.spot) return a.spot < b.spot;
      return a.state.used_to.dose > b.state.used_to.dose;
    });
    std::vector<Label> kept;
    for (Label& label : labels) {
      bool is_behind = false;
      for (auto other = kept.rbegin(); other != kept.rend() && !is_behind; ++other) {
        if (other->spot != label.spot) break;
        const bool is_free = is_free_of_floors(*other);
        const bool is_near = is_alike(other->state.used_to.dose / label.state.used_to.dose, 1.0);
        // Those before it are further off still, and as little free.
        if (!is_free && !is_near) break;
        is_behind = is_ahead(*other, label, is_free);
      }
      if (!is_behind) kept.push_back(std::move(label));
    }
    return kept;
  }

  /// Whether no later step of this label could meet a floor, however much light
  /// the group gets used to on the way.
  bool is_free_of_floors(const Label& label) {
    const auto [known, is_new] =
        floors_.try_emplace(std::pair{label.spot, label.next_via}, FloorRange{});
    if (is_new) known->second = floor_range(label);
    const FloorRange& range = known->second;
    if (!range.falls) return true;
    const double kept = 1.0 - outlook_.now.tolerance.floor.fraction();
    return !exceeds(kept * std::max(label.state.used_to.dose, range.highest), range.lowest);
  }

  /// The lowest dose that a step down could lead to, and the highest dose that
  /// the group could have had before.
  struct FloorRange {
    bool falls = false;
    DailyDose lowest = {};
    DailyDose highest = {};
  };

  FloorRange floor_range(const Label& label) const {
    std::vector<std::size_t> spots{label.spot};
    for (std::size_t i = label.next_via; i < wish_.via.size(); ++i) spots.push_back(wish_.via[i]);
    spots.push_back(wish_.to);
    const auto [first, last] =
        std::minmax_element(outlook_.settings.begin(), outlook_.settings.end());
    const std::size_t goal = outlook_.problem.path.goal;
    FloorRange range;
    for (std::size_t a = 0; a < spots.size(); ++a) {
      for (std::size_t s = *first; s <= *last; ++s) {
        const DailyDose dose = outlook_.problem.light(s, outlook_.now, spots[a]).effective.dose;
        range.highest = std::max(range.highest, dose);
        const auto consider = [&](std::size_t setting, std::size_t spot) {
          const DailyDose next = outlook_.problem.light(setting, outlook_.now, spot).effective.dose;
          if (!exceeds(dose, next)) return;
          if (!range.falls || next < range.lowest) range.lowest = next;
          range.falls = true;
        };
        // Only steps toward the goal mind the floor.
        if (s < *last && s < goal) consider(s + 1, spots[a]);
        if (s > *first && s > goal) consider(s - 1, spots[a]);
        for (std::size_t b = a + 1; b < spots.size(); ++b) consider(s, spots[b]);
      }
    }
    return range;
  }

  const MoveOutlook& outlook_;
  const MoveWish& wish_;
  MoverDays days_;
  std::map<std::pair<std::size_t, std::size_t>, FloorRange> floors_;
};

}  // namespace

MoveSearch find_moves(const MoveOutlook& outlook) { return Search{outlook}.run(); }

}  // namespace slowdawn
