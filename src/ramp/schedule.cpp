#include <algorithm>
#include <slowdawn/ramp/moves.hpp>
#include <slowdawn/ramp/schedule.hpp>

namespace slowdawn {
namespace {

/// By column of the problem's tables.
using ExposureByColumn = std::vector<Exposure>;

/// The groups of a problem on one day after another, under whatever dials.
class ScheduleDays {
 public:
  ScheduleDays(const RampProblem& problem, const ScheduleStart& start, const ExposeSetting& expose)
      : problem_(problem), expose_(expose), groups_(start.groups), states_(start.states) {
    for (const RampGroup& group : groups_) rates_.emplace_back(group.tolerance);
    if (start.before) yesterday_ = expose(*start.before);
  }

  void make_moves(const std::vector<Move>& moves, std::size_t day) {
    for (const Move& each : moves) {
      if (each.day == day) make(each);
    }
  }

  /// The cap that a setting breaks most for a group today; the floor counts as
  /// long as the light of yesterday could have stayed.
  std::optional<Breach> find_breach(std::size_t g, const ExposureByColumn& there) const {
    std::optional<GroupLight> left;
    if (!yesterday_.empty() && could_stay()) left = problem_.light(yesterday_, groups_[g]);
    return worst_breach(limits(g), problem_.light(there, groups_[g]), left);
  }

  /// The group whose cap a setting breaks most.
  std::optional<Breach> find_worst(const Setting& setting) const {
    const ExposureByColumn there = expose_(setting);
    std::optional<Breach> worst;
    for (std::size_t g = 0; g < groups_.size(); ++g) {
      const auto breach = find_breach(g, there);
      if (breach && (!worst || breach->ratio > worst->ratio)) worst = breach;
    }
    return worst;
  }

  Limits limits(std::size_t g) const { return compute_limits(groups_[g], states_[g]); }
  const std::vector<RampGroup>& groups() const { return groups_; }

  void live_through(const Setting& setting) {
    ExposureByColumn today = expose_(setting);
    const std::size_t brighter = find_next_brighter(problem_.path, setting);
    const std::size_t below = find_setting_below(problem_.path, setting).value_or(0);
    for (std::size_t g = 0; g < groups_.size(); ++g) {
      const RampGroup& group = groups_[g];
      const Exposure now = problem_.light(today, group).effective;
      const Exposure next = problem_.light(brighter, group).effective;
      if (group.wish) {
        const Exposure stop = brightest_stop(problem_, group, group.spot, *group.wish, below);
        states_[g] = after_day(states_[g], now, next, stop, rates_[g]);
      } else {
        states_[g] = after_day(states_[g], now, next, rates_[g]);
      }
    }
    yesterday_ = std::move(today);
  }

 private:
  void make(const Move& move) {
    RampGroup& group = groups_[move.group];
    const double known = move.day == 0 ? group.doubt : 0.0;
    GroupState& state = states_[move.group];
    state = after_move(state, move_doubt(problem_, group.spot, move.spot) - known);
    group = moved(group, move.spot, move.day);
  }

  bool could_stay() const {
    for (std::size_t g = 0; g < groups_.size(); ++g) {
      if (worst_breach(limits(g), problem_.light(yesterday_, groups_[g]), {})) return false;
    }
    return true;
  }

  const RampProblem& problem_;
  const ExposeSetting& expose_;
  std::vector<RampGroup> groups_;
  std::vector<GroupState> states_;
  std::vector<DailyRates> rates_;
  ExposureByColumn yesterday_;
};

/// As a meter shows it.
double amount_of(Cap cap, const Exposure& exposure) {
  return is_of_peak(cap) ? exposure.peak.umol_m2_s() : exposure.dose.mol_m2_d();
}

double limit_of(Cap cap, const Limits& limits) {
  switch (cap) {
    case Cap::dose_pace: return limits.dose_pace.mol_m2_d();
    case Cap::dose_headroom: return limits.dose_headroom.mol_m2_d();
    case Cap::peak_pace: return limits.peak_pace.umol_m2_s();
    case Cap::peak_headroom: return limits.peak_headroom.umol_m2_s();
    case Cap::dose_band: return limits.dose_band.mol_m2_d();
    case Cap::peak_ceiling: return limits.peak_ceiling.umol_m2_s();
    case Cap::dose_floor: return limits.dose_floor.mol_m2_d();
    case Cap::check_in: return limits.check_in.value_or(DailyDose{}).mol_m2_d();
    case Cap::excitation: return limits.excitation.value_or(Ppfd{}).umol_m2_s();
  }
  return 0.0;
}

/// Of the upper limits the one that is used most.
CapUse most_used(std::size_t day, std::size_t g, const Limits& limits, const Exposure& exposure) {
  std::vector<Cap> caps{Cap::dose_pace,     Cap::dose_headroom, Cap::peak_pace,
                        Cap::peak_headroom, Cap::dose_band,     Cap::peak_ceiling};
  if (limits.check_in) caps.push_back(Cap::check_in);
  if (limits.excitation) caps.push_back(Cap::excitation);
  CapUse most{day, g, caps.front(), 0.0, 1.0};
  for (const Cap cap : caps) {
    const CapUse use{day, g, cap, amount_of(cap, exposure), limit_of(cap, limits)};
    if (use.value * most.limit > most.value * use.limit) most = use;
  }
  return most;
}

/// The schedule as a path of its own, so that moves can be searched under it.
struct ScheduledPath {
  RampProblem problem;
  /// By day.
  std::vector<std::size_t> settings;
};

ScheduledPath make_scheduled_path(const RampProblem& problem, const ScheduleStart& start,
                                  const std::vector<Setting>& days, const ExposeSetting& expose) {
  ScheduledPath made{problem, {}};
  Path& path = made.problem.path;
  path = {};
  if (start.before) path.settings.push_back(*start.before);
  for (const Setting& day : days) {
    if (path.settings.empty() || path.settings.back() != day) path.settings.push_back(day);
    made.settings.push_back(path.settings.size() - 1);
  }
  path.goal = path.settings.size() - 1;
  made.problem.lights_change = true;
  made.problem.groups = start.groups;
  made.problem.exposures = ExposureTable{path.settings.size(), problem.exposures.columns()};
  made.problem.brighter = made.problem.exposures;
  for (std::size_t i = 0; i < path.settings.size(); ++i) {
    const ExposureByColumn there = expose(path.settings[i]);
    const std::size_t brighter = find_next_brighter(problem.path, path.settings[i]);
    for (std::size_t column = 0; column < there.size(); ++column) {
      made.problem.exposures.at(i, column) = there[column];
      made.problem.brighter.at(i, column) = problem.exposures.at(brighter, column);
    }
  }
  return made;
}

std::vector<Move> find_all_moves(const RampProblem& problem, const ScheduleStart& start,
                                 const std::vector<Setting>& days, const ExposeSetting& expose) {
  std::vector<Move> moves;
  const ScheduledPath scheduled = make_scheduled_path(problem, start, days, expose);
  for (std::size_t g = 0; g < start.groups.size(); ++g) {
    if (!start.groups[g].wish) continue;
    MoveOutlook outlook{scheduled.problem,  g, start.groups[g], start.states[g], start.day,
                        scheduled.settings, {}};
    if (start.before) outlook.setting_before = 0;
    const MoveSearch found = find_moves(outlook);
    if (found.moves) moves.insert(moves.end(), found.moves->begin(), found.moves->end());
  }
  std::stable_sort(moves.begin(), moves.end(),
                   [](const Move& a, const Move& b) { return a.day < b.day; });
  return moves;
}

bool is_borne(const RampProblem& problem, const ScheduleStart& start,
              const std::vector<Setting>& days, const ExposeSetting& expose) {
  const std::vector<Move> moves = find_all_moves(problem, start, days, expose);
  ScheduleDays walk{problem, start, expose};
  for (std::size_t day = 0; day < days.size(); ++day) {
    walk.make_moves(moves, start.day + day);
    if (walk.find_worst(days[day])) return false;
    walk.live_through(days[day]);
  }
  return true;
}

/// The nearest dials to `wanted` that break no cap today: first on the way back to
/// `present`, then dimmer than both. Empty where there are none.
std::optional<Setting> find_nearest(const ScheduleDays& days, const Setting& present,
                                    const Setting& wanted, const std::vector<DialRange>& ranges) {
  const auto breach = days.find_worst(wanted);
  if (!breach) return wanted;
  if (is_dark(present) && is_dark(wanted)) return std::nullopt;
  std::vector<PathLight> lights;
  for (std::size_t j = 0; j < ranges.size(); ++j) {
    // A path has to end in the light.
    const bool is_turned = is_dark(wanted);
    lights.push_back(
        {is_turned ? wanted[j] : present[j], is_turned ? present[j] : wanted[j], ranges[j]});
  }
  const Path path = make_path(lights);
  const auto is_safe = [&](std::size_t i) { return !days.find_worst(path.settings[i]); };
  // On a way that goes down throughout, the goal lies below where it begins.
  const bool is_too_dark = breach->cap == Cap::dose_floor;
  if (is_too_dark) {
    const std::size_t first = is_dark(wanted) ? 0 : path.goal;
    for (std::size_t i = first; i < path.settings.size(); ++i) {
      if (is_safe(i)) return path.settings[i];
    }
  }
  for (std::size_t i = path.goal + 1; i-- > 0;) {
    if (is_safe(i)) return path.settings[i];
  }
  return std::nullopt;
}

}  // namespace

ScheduleStart schedule_start(const RampProblem& problem) {
  ScheduleStart start;
  start.groups = problem.groups;
  for (const RampGroup& group : problem.groups) start.states.push_back(state_at_start(group));
  if (!problem.lights_change && problem.path.base) {
    start.before = problem.path.settings[*problem.path.base];
  }
  return start;
}

ScheduleVerdict judge_schedule(const RampProblem& problem, const ScheduleStart& start,
                               const std::vector<Setting>& days,
                               const std::vector<DialRange>& ranges, const ExposeSetting& expose) {
  ScheduleVerdict verdict;
  verdict.moves = find_all_moves(problem, start, days, expose);
  ScheduleDays proposed{problem, start, expose};
  ScheduleDays nearest{problem, start, expose};
  Setting present = start.before.value_or(Setting(ranges.size()));
  const auto go_on = [&](std::size_t day, const Setting& wanted) {
    nearest.make_moves(verdict.moves, start.day + day);
    const auto found = find_nearest(nearest, present, wanted, ranges);
    verdict.nearest_is_safe = verdict.nearest_is_safe && found.has_value();
    present = found.value_or(wanted);
    verdict.nearest.push_back(present);
    nearest.live_through(present);
  };
  for (std::size_t day = 0; day < days.size(); ++day) {
    go_on(day, days[day]);
    proposed.make_moves(verdict.moves, start.day + day);
    const ExposureByColumn there = expose(days[day]);
    for (std::size_t g = 0; g < start.groups.size(); ++g) {
      const GroupLight light = problem.light(there, proposed.groups()[g]);
      const Limits limits = shown(proposed.limits(g), light);
      const Exposure& exposure = light.real;
      if (const auto breach = proposed.find_breach(g, there)) {
        verdict.breaks.push_back(
            {day, g, breach->cap, amount_of(breach->cap, exposure), limit_of(breach->cap, limits)});
        continue;
      }
      const CapUse use = most_used(day, g, limits, exposure);
      const auto& closest = verdict.closest;
      if (!closest || use.value * closest->limit > closest->value * use.limit) {
        verdict.closest = use;
      }
    }
    proposed.live_through(days[day]);
  }
  for (std::size_t day = days.size(); present != days.back() && day <= last_plan_day; ++day) {
    go_on(day, days.back());
  }
  for (Move& move : verdict.moves) move.day -= start.day;
  return verdict;
}

std::optional<std::size_t> find_slower_line(const RampProblem& problem, const ScheduleStart& start,
                                            const EvenLine& line, const ExposeSetting& expose) {
  for (std::size_t length = line.days + 1; length <= last_plan_day; ++length) {
    const EvenLine slower{line.from, line.to, length};
    std::vector<Setting> days;
    for (std::size_t day = 0; day <= length; ++day) days.push_back(setting_on(slower, day));
    if (is_borne(problem, start, days, expose)) return length;
  }
  return std::nullopt;
}

}  // namespace slowdawn
