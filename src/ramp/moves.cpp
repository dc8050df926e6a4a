#include <algorithm>
#include <cmath>
#include <slowdawn/ramp/moves.hpp>

#include "ramp/move_search.hpp"

namespace slowdawn {

double move_doubt(const RampProblem& problem, std::size_t from, std::size_t to) {
  if (problem.readings.empty() || from == to) return 0.0;
  const SpotReadings& before = problem.readings[from];
  const SpotReadings& after = problem.readings[to];
  // Under one mesh or another the light of a spot is the same, however little is
  // known of it; what the mesh lets through was read twice.
  if (before.spot == after.spot) return std::hypot(before.repeat_error, after.repeat_error);
  return std::hypot(before.error, after.error);
}

GroupState after_move(const GroupState& state, double doubt) {
  const double factor = doubt_factor(std::max(0.0, doubt));
  const Exposure allowance{std::max(state.allowance.dose, state.move_allowance.dose),
                           std::max(state.allowance.peak, state.move_allowance.peak)};
  return {{factor * state.used_to.dose, factor * state.used_to.peak}, allowance, allowance};
}

double reach_of_move(const RampProblem& problem, const RampGroup& group, std::size_t to) {
  return (1.0 + group.tolerance.headroom.fraction()) *
         doubt_factor(move_doubt(problem, group.spot, to));
}

RampGroup moved(const RampGroup& group, std::size_t spot, std::size_t day) {
  RampGroup there = group;
  there.spot = spot;
  if (!there.wish) return there;
  if (spot == there.wish->to) {
    there.wish.reset();
    return there;
  }
  MoveWish& wish = *there.wish;
  const auto passed = std::find(wish.via.begin(), wish.via.end(), spot);
  if (passed != wish.via.end()) {
    wish.next_via = static_cast<std::size_t>(passed - wish.via.begin()) + 1;
  }
  wish.not_before = day + wish.min_stay_days;
  return there;
}

Exposure brightest_stop(const RampProblem& problem, const RampGroup& group, std::size_t spot,
                        const MoveWish& wish, std::size_t setting) {
  const Exposure here = problem.light(setting, group, spot).effective;
  Exposure next;
  const auto consider = [&](std::size_t stop) {
    const Exposure there = problem.light(setting, group, stop).effective;
    const auto take = [](auto value, auto now, auto& most) {
      if (exceeds(value, now)) most = std::max(most, value);
    };
    take(there.dose, here.dose, next.dose);
    take(there.peak, here.peak, next.peak);
  };
  for (const std::size_t stop : wish.via) consider(stop);
  consider(wish.to);
  return next;
}

namespace {

/// The dial of the groups that hold it, from a day on.
struct DialRun {
  /// False where no setting is safe on the first day.
  bool is_open = true;
  std::vector<std::size_t> settings = {};
  /// What those with certain moves are used to after each of these.
  std::vector<GroupState> after_moves = {};
};

class MovePlanner {
 public:
  MovePlanner(const RampWalk& walk, std::size_t day) : walk_(walk), day_(day) {
    for (const RampGroup& group : walk.problem().groups) {
      holds_dial_.push_back(!group.wish);
    }
  }

  MovePlan plan() {
    if (std::find(holds_dial_.begin(), holds_dial_.end(), false) == holds_dial_.end()) {
      return {{}, holds_dial_, {}};
    }
    joined_.assign(holds_dial_.size(), false);
    for (;;) {
      const DialRun run = run_dial();
      if (!run.is_open) return {certain_, holds_dial_, {}};
      std::vector<Move> found = certain_;
      if (goes_on(run, found)) continue;
      std::stable_sort(found.begin(), found.end(),
                       [](const Move& a, const Move& b) { return a.day < b.day; });
      return {std::move(found), holds_dial_, day_ + run.settings.size() - 1};
    }
  }

 private:
  DialRun run_dial() const {
    RampWalk walk = walk_;
    walk.watch_holders_alone();
    walk.forget_states();
    const MovePlan known{certain_, holds_dial_, {}};
    walk.expect(known);
    DialRun run{.after_moves = std::vector<GroupState>(certain_.size())};
    for (std::size_t day = day_;; ++day) {
      walk.make_moves(known, day);
      for (std::size_t i = 0; i < certain_.size(); ++i) {
        if (certain_[i].day == day) run.after_moves[i] = walk.states()[certain_[i].group];
      }
      if (day == 0 && !walk.open()) {
        run.is_open = false;
        return run;
      }
      walk.choose(day);
      walk.record(day);
      run.settings.push_back(walk.setting());
      if (walk.is_over(day)) break;
      walk.live_through();
    }
    return run;
  }

  /// Searches the moves of every group under a run. True if the rounds must go
  /// on: a group has joined, or one that has joined has its next move.
  bool goes_on(const DialRun& run, std::vector<Move>& found) {
    std::optional<Move> earliest;
    for (std::size_t g = 0; g < holds_dial_.size(); ++g) {
      const auto outlook = outlook_of(run, g);
      if (!outlook) continue;
      const MoveSearch search = find_moves(*outlook);
      if (!search.moves && !search.can_stay && !joined_[g]) {
        joined_[g] = true;
        holds_dial_[g] = true;
        certain_.clear();
        return true;
      }
      if (!search.moves) continue;
      if (!joined_[g]) {
        found.insert(found.end(), search.moves->begin(), search.moves->end());
      } else if (!earliest || search.moves->front().day < earliest->day) {
        earliest = search.moves->front();
      }
    }
    if (earliest) certain_.push_back(*earliest);
    return earliest.has_value();
  }

  /// Empty for a group that is where it is to live.
  std::optional<MoveOutlook> outlook_of(const DialRun& run, std::size_t g) const {
    RampGroup now = walk_.problem().groups[g];
    GroupState state = walk_.states()[g];
    std::size_t day = day_;
    for (std::size_t i = 0; i < certain_.size(); ++i) {
      const Move& move = certain_[i];
      if (move.group != g) continue;
      now = moved(now, move.spot, move.day);
      // With the doubt of the move in it.
      state = run.after_moves[i];
      day = move.day;
    }
    if (!now.wish) return std::nullopt;
    MoveOutlook outlook{walk_.problem(), g, now, state, day, {}, {}};
    const std::size_t ahead = day - day_;
    outlook.settings.assign(run.settings.begin() + static_cast<std::ptrdiff_t>(ahead),
                            run.settings.end());
    if (day > 0) outlook.setting_before = ahead > 0 ? run.settings[ahead - 1] : walk_.setting();
    return outlook;
  }

  const RampWalk& walk_;
  std::size_t day_;
  std::vector<bool> holds_dial_;
  /// Groups with a wish that the dial has to wait for.
  std::vector<bool> joined_;
  /// Moves of groups that have joined.
  std::vector<Move> certain_;
};

}  // namespace

MovePlan plan_moves(const RampWalk& walk, std::size_t day) { return MovePlanner{walk, day}.plan(); }

}  // namespace slowdawn
