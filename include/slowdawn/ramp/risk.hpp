// Risk: how likely it is that a group meets more than it bears, if its figures
// are not quite those that the plan took.
//
//   z, y, x  independent standard normal variables
//   A', B'   what the group is really used to       h'  its true headroom
//
//   A'(0) = carryover D0 exp(u z), B'(0) likewise with P0 and the same z       (1)
//   h' = h exp(s y), h the profile's own, before any pace; s^2 = log(1 + 0.25^2)
//   tau' = tau exp(t x) for both time constants; t^2 = log(1 + 0.40^2)         (2)
//   A', B' follow equation (1) of coral/acclimation.hpp under the plan's light
//   too much: dose > (1 + h') A' or peak > (1 + h') B'                         (3)
//
// u is the doubt of the group's readings; the plan itself takes z = -1.645. A move
// brings its own doubt: A' and B' times exp(v z) with a z of its own. Groups whose
// light rests on the same readings share their z. Bands, ceilings and pace are no
// part of it. All of it is a design choice and not held against corals
// (DEVELOPERS.md, "Risk").
//
// Draws come in pairs of opposite signs (antithetic). Each is a function of the
// seed and its number alone, so the result is the same on any number of threads.
#pragma once

#include <cstdint>
#include <slowdawn/light/quantity.hpp>
#include <slowdawn/ramp/planner.hpp>

namespace slowdawn {

/// Standard deviation of the headroom and of the time constants over their mean.
inline constexpr double headroom_spread = 0.25;
inline constexpr double tau_spread = 0.40;

/// Draws go on until the standard error of every chance is under this: half a
/// point of a percentage.
inline constexpr double risk_error_wanted = 0.005;
/// They are made in batches of this many, two at least. Five are always enough:
/// the mean of a pair varies by 1/4 at most, so that 10,240 pairs leave an error
/// of 0.5 / sqrt(10240) = 0.00494.
inline constexpr std::size_t risk_batch = 4096;
inline constexpr std::size_t risk_batches_at_least = 2;
inline constexpr std::size_t risk_batches_at_most = 5;

/// A day's light, and its mark: its number where it is asked about.
struct RiskDay {
  DailyDose dose;
  Ppfd peak;
  double mark;
};

/// A chance as the draws have it.
struct Chance {
  /// Pairs of draws; draws that met too much; pairs in which both did.
  std::size_t pairs = 0;
  std::size_t met = 0;
  std::size_t met_twice = 0;
  /// The day that was the first of too much most often, the earliest of such;
  /// empty where there was none.
  std::optional<std::size_t> worst_day = {};

  /// In [0, 1].
  double share() const;
  /// Of the mean over independent pairs; 0 where all draws were alike, which says
  /// little: then `bounds` tells more.
  double standard_error() const;

  struct Bounds {
    double low;
    double high;
  };
  /// Where the share lies with 95 % confidence, wide enough where no draw met it,
  /// or every one: as if a pair were one draw, which makes it a little too wide.
  /// source: the score interval of Wilson 1927, from memory; check_risk.py holds it
  ///   against scipy.stats.
  Bounds bounds() const;
};

struct Risk {
  std::size_t draws = 0;
  /// One for each group.
  std::vector<Chance> groups;
  /// That any group meets it.
  Chance any;
};

/// A plan's days as the draws walk them.
class RiskCourse {
 public:
  /// headrooms: by group, of its profile, before any pace.
  /// from: the first day that is asked about; the days before it are lived
  ///   through, and too much on one of them does not count.
  /// plan: with at least one day, `from` among them.
  RiskCourse(const RampProblem& problem, const Plan& plan, const std::vector<Percent>& headrooms,
             std::size_t from);

  /// Days over which a group's rates are the same, up to the next stretch.
  struct Stretch {
    std::size_t first_day;
    /// log(1 - share) of equation (1) of acclimation, going up and down: -1/tau.
    double log_up;
    double log_down;
    /// The doubt that comes with its first day, and the readings that it is of.
    double doubt = 0.0;
    std::size_t read_before = 0;
    std::size_t read_after = 0;
  };
  struct Group {
    /// A'(0) and B'(0) for z = 0.
    Acclimation used_to;
    double headroom;
    std::vector<RiskDay> days;
    std::vector<Stretch> stretches;
  };

  const std::vector<Group>& groups() const { return groups_; }
  std::size_t days() const { return days_; }

 private:
  std::size_t days_;
  std::vector<Group> groups_;
};

/// Draws until every chance is known well enough.
Risk compute_risk(const RiskCourse& course, std::uint64_t seed);

/// As many draws as are said, rounded up to whole batches: of two courses with
/// one seed the same draws.
Risk compute_risk(const RiskCourse& course, std::uint64_t seed, std::size_t draws);

}  // namespace slowdawn
