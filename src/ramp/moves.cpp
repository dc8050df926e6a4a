#include <algorithm>
#include <cmath>
#include <slowdawn/ramp/moves.hpp>

#include "ramp/move_search.hpp"

namespace slowdawn {

double move_doubt(const RampProblem& problem, std::size_t from, std::size_t to) {
  if (problem.reading_errors.empty() || from == to) return 0.0;
  return std::hypot(problem.reading_errors[from], problem.reading_errors[to]);
}

GroupState scaled(const GroupState& state, double factor) {
  return {{factor * state.used_to.dose, factor * state.used_to.peak},
          {factor * state.allowance.dose, factor * state.allowance.peak}};
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

Exposure next_brighter(const RampProblem& problem, std::size_t spot,
                       const std::optional<MoveWish>& wish, std::size_t setting) {
  const std::size_t last = problem.path.settings.size() - 1;
  Exposure next = problem.exposures.at(std::min(setting + 1, last), spot);
  if (!wish || spot == wish->to) return next;
  const Exposure& here = problem.exposures.at(setting, spot);
  std::optional<DailyDose> dose;
  std::optional<Ppfd> peak;
  const auto consider = [&](std::size_t stop) {
    const Exposure& there = problem.exposures.at(setting, stop);
    if (exceeds(there.dose, here.dose)) dose = std::min(dose.value_or(there.dose), there.dose);
    if (exceeds(there.peak, here.peak)) peak = std::min(peak.value_or(there.peak), there.peak);
  };
  for (const std::size_t stop : wish->via) consider(stop);
  consider(wish->to);
  if (dose) next.dose = std::max(next.dose, *dose);
  if (peak) next.peak = std::max(next.peak, *peak);
  return next;
}

namespace {

/// The dial of the groups that hold it, from a day on.
struct DialRun {
  /// False where no setting is safe on the first day.
  bool is_open = true;
  std::size_t first_day = 0;
  std::vector<std::size_t> settings = {};
  /// Every day of it, with what each group is used to.
  std::vector<PlanDay> days = {};
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
      return {{}, holds_dial_, last_plan_day};
    }
    joined_.assign(holds_dial_.size(), false);
    for (;;) {
      const DialRun run = run_dial();
      if (!run.is_open) return {certain_, holds_dial_, last_plan_day};
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
    const MovePlan known{certain_, holds_dial_, last_plan_day};
    walk.expect(known);
    DialRun run{.first_day = day_};
    for (std::size_t day = day_;; ++day) {
      walk.make_moves(known, day);
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
    run.days = walk.days();
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
    std::size_t day = day_;
    for (const Move& move : certain_) {
      if (move.group != g) continue;
      now = moved(now, move.spot, move.day);
      day = move.day;
    }
    if (!now.wish) return std::nullopt;
    MoveOutlook outlook{walk_.problem(), g, now, walk_.states()[g], day, {}, {}};
    const std::size_t ahead = day - day_;
    // Of a move that is certain the run knows the state, with its doubt in it.
    if (now.spot != walk_.problem().groups[g].spot) outlook.state = run.days[day].groups[g].state;
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
