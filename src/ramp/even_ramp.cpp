#include <algorithm>
#include <cmath>
#include <slowdawn/ramp/even_ramp.hpp>
#include <stdexcept>

namespace slowdawn {
namespace {

std::size_t index_in(const Path& path, const Setting& setting) {
  const auto found = std::find(path.settings.begin(), path.settings.end(), setting);
  if (found == path.settings.end()) throw std::invalid_argument("a line needs ends on its path");
  return static_cast<std::size_t>(found - path.settings.begin());
}

/// Whether the goal lies on the bright side of where the ramp begins.
bool goes_up(const Path& whole) { return !whole.base || whole.goal >= *whole.base; }

/// Tries lines on the groups that the dial waits for.
class LineTrial {
 public:
  LineTrial(const RampProblem& problem, const ExposeSetting& expose)
      : problem_(problem), expose_(expose) {
    for (std::size_t g = 0; g < problem.groups.size(); ++g) {
      if (problem.groups[g].wish) continue;
      holders_.push_back(g);
      start_.push_back(state_at_start(problem.groups[g]));
      rates_.emplace_back(problem.groups[g].tolerance);
    }
    if (problem.lights_change || !problem.path.base) return;
    const Setting& base = problem.path.settings[*problem.path.base];
    if (is_borne({base, base, 0})) base_ = expose(base);
  }

  /// Whether no wait makes a setting one that the groups bear.
  bool is_barred_for_good(const Setting& setting) const {
    const std::vector<Exposure> there = expose_(setting);
    return std::any_of(holders_.begin(), holders_.end(), [&](std::size_t g) {
      const RampGroup& group = problem_.groups[g];
      const Limits limits = compute_limits(group, state_at_start(group));
      const Exposure& real = there[group.spot];
      return exceeds(real.dose, limits.dose_band) || exceeds(real.peak, limits.peak_ceiling) ||
             (limits.excitation && exceeds(real.peak, *limits.excitation));
    });
  }

  /// Whether no cap is broken on any day. Once the end is reached none is: a
  /// dose that was borne yesterday is borne today.
  bool is_borne(const EvenLine& line) const {
    std::vector<GroupState> states = start_;
    std::vector<Exposure> yesterday = base_;
    for (std::size_t day = 0; day <= line.days; ++day) {
      const Setting setting = setting_on(line, day);
      std::vector<Exposure> today = expose_(setting);
      const std::size_t brighter = find_next_brighter(problem_.path, setting);
      for (std::size_t i = 0; i < holders_.size(); ++i) {
        const RampGroup& group = problem_.groups[holders_[i]];
        std::optional<GroupLight> left;
        if (!yesterday.empty()) left = problem_.light(yesterday, group);
        const GroupLight now = problem_.light(today, group);
        if (worst_breach(compute_limits(group, states[i]), now, left)) return false;
        states[i] = after_day(states[i], now.effective, problem_.light(brighter, group).effective,
                              rates_[i]);
      }
      yesterday = std::move(today);
    }
    return true;
  }

 private:
  const RampProblem& problem_;
  const ExposeSetting& expose_;
  std::vector<std::size_t> holders_;
  std::vector<GroupState> start_;
  std::vector<DailyRates> rates_;
  /// What the ramp begins from; empty where that is dark or more than the groups
  /// bear, since the way down to a safe beginning has no floor.
  std::vector<Exposure> base_;
};

class LineSearch {
 public:
  LineSearch(const RampProblem& problem, const Path& whole, const ExposeSetting& expose)
      : problem_(problem),
        whole_(whole),
        expose_(expose),
        trial_(problem, expose),
        has_movers_(std::any_of(problem.groups.begin(), problem.groups.end(),
                                [](const RampGroup& group) { return group.wish.has_value(); })) {}

  std::optional<EvenLine> run() const {
    const std::vector<std::size_t> starts = list_starts();
    if (starts.empty()) return std::nullopt;
    for (std::size_t end = whole_.goal;; goes_up(whole_) ? --end : ++end) {
      if (auto found = search(starts, end)) return found;
      if (end == (goes_up(whole_) ? starts.back() : starts.front())) return std::nullopt;
    }
  }

 private:
  bool is_borne(const EvenLine& line) const {
    if (!trial_.is_borne(line)) return false;
    if (!has_movers_) return true;
    // A mover that can neither wait nor go would hold the dial.
    const Plan plan = compute_plan(with_line(problem_, whole_, line, expose_));
    if (plan.days.size() <= line.days) return false;
    for (std::size_t day = 0; day <= line.days; ++day) {
      const std::size_t setting =
          plan.even->goes_up ? plan.even->start + day : plan.even->start - day;
      if (plan.days[day].setting != setting) return false;
    }
    return true;
  }

  /// The settings that are safe on the first day, not past the goal, the
  /// brightest first.
  std::vector<std::size_t> list_starts() const {
    std::vector<std::size_t> starts;
    const std::size_t first = goes_up(whole_) ? whole_.goal : whole_.settings.size() - 1;
    const std::size_t last = goes_up(whole_) ? 0 : whole_.goal;
    for (std::size_t i = first + 1; i-- > last;) {
      const Setting& setting = whole_.settings[i];
      if (is_borne({setting, setting, 0})) starts.push_back(i);
    }
    return starts;
  }

  std::optional<EvenLine> search(const std::vector<std::size_t>& starts, std::size_t end) const {
    const Setting& to = whole_.settings[end];
    if (trial_.is_barred_for_good(to)) return std::nullopt;
    for (std::size_t days = 0; days <= last_plan_day; ++days) {
      for (const std::size_t start : starts) {
        const bool is_before = goes_up(whole_) ? start <= end : start >= end;
        if (!is_before || (start == end) != (days == 0)) continue;
        EvenLine line{whole_.settings[start], to, days};
        if (is_borne(line)) return line;
      }
    }
    return std::nullopt;
  }

  const RampProblem& problem_;
  const Path& whole_;
  const ExposeSetting& expose_;
  LineTrial trial_;
  bool has_movers_;
};

}  // namespace

Setting setting_on(const EvenLine& line, std::size_t day) {
  if (day == line.days) return line.to;
  Setting setting;
  const double share = static_cast<double>(day) / static_cast<double>(line.days);
  for (std::size_t j = 0; j < line.from.size(); ++j) {
    const double a = line.from[j].percent();
    const double b = line.to[j].percent();
    setting.push_back(Percent::of_full(std::round((a + (b - a) * share) * 1e9) / 1e9));
  }
  return setting;
}

RampProblem with_line(const RampProblem& problem, const Path& whole, const EvenLine& line,
                      const ExposeSetting& expose) {
  const bool up = goes_up(whole);
  const std::size_t from = index_in(whole, line.from);
  const std::size_t to = index_in(whole, line.to);
  const std::size_t low = up ? from : to;
  const auto low_end = whole.settings.begin() + static_cast<std::ptrdiff_t>(low);
  std::vector<Setting> settings{whole.settings.begin(), low_end};
  for (std::size_t day = 0; day <= line.days; ++day) {
    settings.push_back(setting_on(line, up ? day : line.days - day));
  }
  RampProblem made = problem;
  const std::size_t high = low + line.days;
  made.even = up ? EvenRamp{low, high, true} : EvenRamp{high, low, false};
  made.every_days = 1;
  made.path.goal = whole.goal;
  if (up) {
    const auto rest = whole.settings.begin() + static_cast<std::ptrdiff_t>(to) + 1;
    settings.insert(settings.end(), rest,
                    whole.settings.begin() + static_cast<std::ptrdiff_t>(whole.goal) + 1);
    made.path.goal = settings.size() - 1;
  }
  // A base above the line is no part of the path: the ramp begins under it.
  if (whole.base == from) {
    made.path.base = made.even->start;
  } else if (whole.base && *whole.base < low) {
    made.path.base = whole.base;
  } else {
    made.path.base.reset();
  }

  made.path.settings = std::move(settings);
  made.exposures = ExposureTable{made.path.settings.size(), problem.exposures.columns()};
  made.brighter = made.exposures;
  for (std::size_t i = 0; i < made.path.settings.size(); ++i) {
    const std::vector<Exposure> there = expose(made.path.settings[i]);
    const std::size_t brighter = find_next_brighter(problem.path, made.path.settings[i]);
    for (std::size_t column = 0; column < there.size(); ++column) {
      made.exposures.at(i, column) = there[column];
      made.brighter.at(i, column) = problem.exposures.at(brighter, column);
    }
  }
  return made;
}

std::optional<EvenLine> find_even_line(const RampProblem& problem, const Path& whole,
                                       const ExposeSetting& expose) {
  return LineSearch{problem, whole, expose}.run();
}

}  // namespace slowdawn
