// Planned moves against a plain enumeration of every schedule, with caps written
// out once more in bare numbers.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <slowdawn/ramp/moves.hpp>
#include <string>

#include "property/random_ramp.hpp"

namespace slowdawn {
namespace {

constexpr double slack = 1.0 + 1e-9;

/// A, B, L, M, and L and M for moves, in bare numbers.
struct Level {
  double a, b, l, m, lm, mm;
};

struct Best {
  std::size_t arrival = std::numeric_limits<std::size_t>::max();
  std::size_t moves = 0;
  bool operator<(const Best& other) const {
    return arrival != other.arrival ? arrival < other.arrival : moves < other.moves;
  }
};

/// Tries every schedule that arrives up to a day.
class EverySchedule {
 public:
  EverySchedule(const MoveOutlook& outlook, std::size_t last_arrival)
      : outlook_(outlook), t_(outlook.now.tolerance), last_arrival_(last_arrival) {}

  std::optional<Best> find() {
    const GroupState& s = outlook_.state;
    const Level start{s.used_to.dose.mol_m2_d(),        s.used_to.peak.umol_m2_s(),
                      s.allowance.dose.mol_m2_d(),      s.allowance.peak.umol_m2_s(),
                      s.move_allowance.dose.mol_m2_d(), s.move_allowance.peak.umol_m2_s()};
    go_on(outlook_.day, outlook_.now.spot, start, outlook_.now.wish->not_before, {}, 0);
    if (best_.moves == 0) return std::nullopt;
    return best_;
  }

  /// Whether the group bears every day where it is.
  bool can_stay() const {
    const GroupState& s = outlook_.state;
    Level level{s.used_to.dose.mol_m2_d(),
                s.used_to.peak.umol_m2_s(),
                s.allowance.dose.mol_m2_d(),
                s.allowance.peak.umol_m2_s(),
                0.0,
                0.0};
    return bears_rest(outlook_.day, outlook_.now.spot, level);
  }

 private:
  double dose(std::size_t setting, std::size_t spot) const {
    return outlook_.problem.exposures.at(setting, spot).dose.mol_m2_d();
  }
  double peak(std::size_t setting, std::size_t spot) const {
    return outlook_.problem.exposures.at(setting, spot).peak.umol_m2_s();
  }
  std::size_t setting(std::size_t day) const {
    return outlook_.settings[std::min(day - outlook_.day, outlook_.settings.size() - 1)];
  }

  bool within_upper(std::size_t s, std::size_t spot, const Level& v) const {
    const double h = 1.0 + t_.headroom.fraction();
    const Exposure& before = outlook_.now.before;
    return dose(s, spot) <= slack * std::min(std::max(v.l, v.a), h * v.a) &&
           peak(s, spot) <= slack * std::min(std::max(v.m, v.b), h * v.b) &&
           dose(s, spot) <=
               slack * std::max(t_.dose_band.high.mol_m2_d(), before.dose.mol_m2_d()) &&
           peak(s, spot) <=
               slack * std::max(t_.peak_ceiling.umol_m2_s(), before.peak.umol_m2_s()) &&
           (peak(s, spot) <= slack * before.peak.umol_m2_s() || within_excitation(peak(s, spot)));
  }

  bool within_excitation(double peak) const {
    if (!t_.excitation || !t_.excitation->cap()) return true;
    const double x = peak / slack / t_.excitation->ek().umol_m2_s();
    return 1.0 - std::tanh(x) / x <= *t_.excitation->cap();
  }

  bool within_floor(double from, double to, const Level& v) const {
    const bool is_lowered = from > to * slack;
    return !is_lowered || (1.0 - t_.floor.fraction()) * v.a <= to * slack;
  }

  bool bears(std::size_t day, std::size_t spot, std::size_t left, const Level& v) const {
    const std::size_t today = setting(day);
    const Path& path = outlook_.problem.path;
    if (!within_upper(today, spot, v)) return false;
    if (left != spot && !within_floor(dose(today, left), dose(today, spot), v)) return false;
    std::size_t from = today;
    bool floor_counts = true;
    if (day > outlook_.day) {
      from = setting(day - 1);
    } else if (outlook_.setting_before) {
      from = *outlook_.setting_before;
    } else if (outlook_.problem.lights_change || !path.base) {
      from = 0;
      floor_counts = false;
    } else {
      from = *path.base;
    }
    const bool up = from <= today && today <= path.goal;
    const bool down = from >= today && today >= path.goal;
    if (floor_counts && !up && !down) return true;
    for (std::size_t s = from; s != today; s = s < today ? s + 1 : s - 1) {
      if (!within_upper(s, spot, v)) return false;
      const std::size_t next = s < today ? s + 1 : s - 1;
      if (floor_counts && !within_floor(dose(s, spot), dose(next, spot), v)) return false;
    }
    return true;
  }

  Level after(std::size_t day, std::size_t spot, const Level& v) const {
    const std::size_t s = setting(day);
    const std::size_t next = std::min(s + 1, outlook_.problem.path.settings.size() - 1);
    const double w = 1.0 + t_.weekly_rise.fraction();
    const double d = dose(s, spot);
    const double p = peak(s, spot);
    const auto toward = [&](double from, double to) {
      return from +
             (1.0 - std::exp(-1.0 / (to > from ? t_.tau_up : t_.tau_down).d())) * (to - from);
    };
    const double d_next = dose(next, spot);
    const double p_next = peak(next, spot);
    double d_stop = d_next;
    double p_stop = p_next;
    const MoveWish& wish = *outlook_.now.wish;
    std::vector<std::size_t> stops = wish.via;
    stops.push_back(wish.to);
    for (const std::size_t stop : stops) {
      if (dose(s, stop) > d * slack) d_stop = std::max(d_stop, dose(s, stop));
      if (peak(s, stop) > p * slack) p_stop = std::max(p_stop, peak(s, stop));
    }
    const double day_rise = std::pow(w, 1.0 / 7.0);
    return {toward(v.a, d),
            toward(v.b, p),
            std::min(v.l * day_rise, std::max(w * d, d_next)),
            std::min(v.m * day_rise, std::max(w * p, p_next)),
            std::min(v.lm * day_rise, std::max(w * d, d_stop)),
            std::min(v.mm * day_rise, std::max(w * p, p_stop))};
  }

  bool bears_rest(std::size_t day, std::size_t spot, Level v) const {
    for (; day < outlook_.day + outlook_.settings.size(); ++day) {
      if (!bears(day, spot, spot, v)) return false;
      v = after(day, spot, v);
    }
    return true;
  }

  Level doubted(Level v, std::size_t day, std::size_t from, std::size_t to) const {
    const SpotReadings& before = outlook_.problem.readings[from];
    const SpotReadings& after = outlook_.problem.readings[to];
    const auto sum = [](double x, double y) { return std::sqrt(x * x + y * y); };
    double u = before.spot == after.spot ? sum(before.repeat_error, after.repeat_error)
                                         : sum(before.error, after.error);
    if (day == 0) u = std::max(0.0, u - outlook_.now.doubt);
    const double f = std::exp(-1.645 * u);
    const double l = std::max(v.l, v.lm);
    const double m = std::max(v.m, v.mm);
    return {f * v.a, f * v.b, l, m, l, m};
  }

  void go_on(std::size_t day, std::size_t spot, const Level& v, std::size_t free_day,
             std::vector<std::size_t> been, std::size_t moves) {
    if (day > last_arrival_ || day > best_.arrival) return;
    const MoveWish& wish = *outlook_.now.wish;
    if (day >= free_day) {
      const Level there = doubted(v, day, spot, wish.to);
      if (bears(day, wish.to, spot, there) &&
          bears_rest(day + 1, wish.to, after(day, wish.to, there))) {
        const Best found{day, moves + 1};
        if (found < best_) best_ = found;
      }
      for (std::size_t i = 0; i < wish.via.size(); ++i) {
        if (!been.empty() && i <= been.back()) continue;
        const Level between = doubted(v, day, spot, wish.via[i]);
        if (!bears(day, wish.via[i], spot, between)) continue;
        auto longer = been;
        longer.push_back(i);
        go_on(day + 1, wish.via[i], after(day, wish.via[i], between), day + wish.min_stay_days,
              std::move(longer), moves + 1);
      }
    }
    if (bears(day, spot, spot, v)) {
      go_on(day + 1, spot, after(day, spot, v), free_day, std::move(been), moves);
    }
  }

  const MoveOutlook& outlook_;
  const Tolerance& t_;
  std::size_t last_arrival_;
  Best best_;
};

/// A group made into one that moves, at random.
void give_wish(RampProblem& problem, std::size_t g, std::size_t spots, testing::Dice& dice) {
  RampGroup& group = problem.groups[g];
  MoveWish wish{.to = (group.spot + 1) % spots};
  for (std::size_t spot = 0; spot < spots; ++spot) {
    if (spot != group.spot && spot != wish.to && dice.chance(0.7)) wish.via.push_back(spot);
  }
  wish.min_stay_days = static_cast<std::size_t>(dice.whole(1, 7));
  group.wish = wish;
}

/// The number of spots that a random problem has a column for.
std::size_t count_spots(const RampProblem& problem) {
  std::size_t most = 0;
  for (const RampGroup& group : problem.groups) most = std::max(most, group.spot);
  return most + 1;
}

void draw_errors(RampProblem& problem, std::size_t spots, testing::Dice& dice) {
  for (std::size_t spot = 0; spot < spots; ++spot) {
    const double repeat = dice.real(0.0, 0.06);
    const double error = dice.chance(0.3) ? repeat : dice.real(repeat, 0.15);
    problem.readings.push_back({dice.chance(0.8) ? spot : 0, error, repeat});
  }
}

RampProblem without(const RampProblem& problem, const std::vector<bool>& is_left_out) {
  RampProblem rest = problem;
  rest.groups.clear();
  for (std::size_t g = 0; g < problem.groups.size(); ++g) {
    if (!is_left_out[g]) rest.groups.push_back(problem.groups[g]);
  }
  return rest;
}

std::vector<std::size_t> settings_of(const Plan& plan, std::size_t most) {
  std::vector<std::size_t> settings;
  for (const PlanDay& day : plan.days) {
    if (settings.size() < most) settings.push_back(day.setting);
  }
  return settings;
}

TEST(StagedMoves, AreThoseOfTheBestOfAllSchedules) {
  constexpr std::size_t last_arrival = 26;
  int cases = 0;
  int found = 0;
  int staged = 0;
  int later = 0;
  int stuck = 0;
  for (std::uint64_t seed = 910000; cases < 700; ++seed) {
    SCOPED_TRACE("seed " + std::to_string(seed));
    testing::RampDraw draw{seed};
    RampProblem problem = draw.any();
    const std::size_t spots = count_spots(problem);
    if (spots < 2 || problem.groups.size() < 2) continue;
    draw_errors(problem, spots, draw.dice());
    give_wish(problem, 0, spots, draw.dice());
    std::vector<bool> is_mover(problem.groups.size(), false);
    is_mover[0] = true;
    const Plan rest = compute_plan(without(problem, is_mover));
    if (rest.days.empty()) continue;
    ++cases;
    // From the first day, or with the walk under way.
    const std::size_t start = draw.dice().chance(0.5) ? 0 : 3;
    MoveOutlook outlook{problem,
                        0,
                        problem.groups[0],
                        state_at_start(problem.groups[0]),
                        start,
                        settings_of(rest, 40),
                        {}};
    if (start > 0) outlook.setting_before = outlook.settings.front();
    EverySchedule every{outlook, start + last_arrival};
    const auto best = every.find();
    const MoveSearch search = find_moves(outlook);
    ASSERT_EQ(search.can_stay, every.can_stay());
    if (!best) {
      ++stuck;
      ASSERT_TRUE(!search.moves || search.moves->back().day > start + last_arrival);
      continue;
    }
    ++found;
    ASSERT_TRUE(search.moves);
    ASSERT_EQ(search.moves->back().spot, problem.groups[0].wish->to);
    ASSERT_EQ(search.moves->back().day, best->arrival);
    ASSERT_EQ(search.moves->size(), best->moves);
    staged += best->moves > 1;
    later += best->arrival > start;
  }
  // The draw must not miss a kind of case.
  EXPECT_GT(found, 150);
  EXPECT_GT(staged, 10);
  EXPECT_GT(later, 60);
  EXPECT_GT(stuck, 50);
}

/// Walks a plan once more with bare caps and says what is wrong with it.
void expect_within_caps(const RampProblem& problem, const Plan& plan) {
  for (std::size_t d = 0; d < plan.days.size(); ++d) {
    for (std::size_t g = 0; g < problem.groups.size(); ++g) {
      const RampGroup group = group_on_day(problem, plan, d, g);
      const GroupDay& day = plan.days[d].groups[g];
      ASSERT_EQ(day.light.real, problem.exposure(plan.days[d].setting, group));
      const auto breach = worst_breach(compute_limits(group, day.state), day.light, {});
      if (!breach) continue;
      // Where even the first setting is too much the plan says so.
      const bool is_said = std::any_of(
          plan.notes.begin(), plan.notes.end(),
          [](const PlanNote& note) { return note.kind == PlanNote::Kind::stays_at_first_setting; });
      ASSERT_TRUE(is_said) << "day " << d << " group " << g << " cap "
                           << static_cast<int>(breach->cap) << " ratio " << breach->ratio;
    }
  }
}

void expect_stays(const RampProblem& problem, const Plan& plan) {
  for (std::size_t g = 0; g < problem.groups.size(); ++g) {
    std::optional<std::size_t> came;
    for (const Move& move : plan.moves) {
      if (move.group != g) continue;
      ASSERT_TRUE(problem.groups[g].wish);
      if (came) {
        ASSERT_GE(move.day - *came, problem.groups[g].wish->min_stay_days);
      }
      came = move.day;
    }
  }
}

TEST(PlanWithMoves, KeepsEveryCapAndNeverWaitsForAGroupThatCanWait) {
  int arrived = 0;
  int free = 0;
  int joined = 0;
  for (std::uint64_t seed = 930000; seed < 930000 + 700; ++seed) {
    SCOPED_TRACE("seed " + std::to_string(seed));
    testing::RampDraw draw{seed};
    RampProblem problem = draw.any();
    const std::size_t spots = count_spots(problem);
    if (spots < 2) continue;
    draw_errors(problem, spots, draw.dice());
    std::vector<bool> is_mover(problem.groups.size(), false);
    for (std::size_t g = 0; g < std::min<std::size_t>(2, problem.groups.size()); ++g) {
      give_wish(problem, g, spots, draw.dice());
      is_mover[g] = true;
    }
    const Plan plan = compute_plan(problem);
    if (plan.days.empty()) continue;
    expect_within_caps(problem, plan);
    expect_stays(problem, plan);
    if (HasFatalFailure()) return;
    arrived += !plan.moves.empty();

    // Where each can go or wait under the dial of the others, the dial is theirs.
    const RampProblem stayers = without(problem, is_mover);
    if (stayers.groups.empty()) continue;
    const Plan theirs = compute_plan(stayers);
    if (theirs.days.empty()) continue;
    bool can_all_wait = true;
    for (std::size_t g = 0; g < problem.groups.size(); ++g) {
      if (!is_mover[g]) continue;
      const MoveSearch search = find_moves({problem,
                                            g,
                                            problem.groups[g],
                                            state_at_start(problem.groups[g]),
                                            0,
                                            settings_of(theirs, last_plan_day + 1),
                                            {}});
      can_all_wait = can_all_wait && (search.moves || search.can_stay);
    }
    if (!can_all_wait) {
      ++joined;
      continue;
    }
    ++free;
    for (std::size_t d = 0; d < plan.days.size(); ++d) {
      ASSERT_EQ(plan.days[d].setting, theirs.days[std::min(d, theirs.days.size() - 1)].setting)
          << "day " << d;
    }
  }
  EXPECT_GT(arrived, 100);
  EXPECT_GT(free, 100);
  EXPECT_GT(joined, 100);
}

}  // namespace
}  // namespace slowdawn
