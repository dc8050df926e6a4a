// Risk: how likely it is that a group meets more than it bears, if its figures
// are not quite those that the plan took.
//
//   z, y, x  independent standard normal variables
//   F_j      full output of light j at a spot, as it was read; F'_j the true one
//   C        covariance of F by the readings there, C = L L' (light/full_output.hpp)
//   A', B'   what the group is really used to       h'  its true headroom
//
//   F' = max(0, F + L z), a z for each column of L, the same for all groups there     (1)
//   F'_j = F_j exp(e_j z) of a light that was estimated there, e_j its error          (2)
//   dose' = sum_j d_j F'_j, peak' = sum_j q_j F'_j, each times exp(v z) under a mesh  (3)
//   A'(0) = sum_j a_j F'_j, B'(0) = sum_j b_j F'_j by the light that the group had,
//           or A(0) exp(e z) exp(c z'), B(0) likewise, where it was measured elsewhere (4)
//   h' = h exp(s y), h the profile's own, before any pace; s^2 = log(1 + 0.25^2)
//   tau' = tau exp(t x) for both time constants; t^2 = log(1 + 0.40^2)                (5)
//   A', B' follow equation (1) of coral/acclimation.hpp under dose' and peak'
//   too much: dose' > (1 + h') A' or peak' > (1 + h') B'                              (6)
//
// With F for F' the rows d and q give the plan's own doses and peaks but for the doubt that
// the weights of new lights hold back, and a and b the plan's A(0) and B(0). The moment of
// the peak is that of the plan's own peak, q being of first order in the errors of F. So
// what the plan holds against doubt, exp(1.645 u) in one weight or another, is drawn here
// light by light, and an error that the light before and the light after share cancels
// as far as they share it. v is sqrt(2) times the repeat error of the meter: what a mesh
// lets through was read with it and without. A move has no factor of its own: the light at
// the new spot is drawn.
// e is the own error of a history, z of each group its own; c is the calibration of this
// tank's meter, z' one for all. Bands, ceilings and pace are no part of it. All of it is a
// design choice and not held against corals (DEVELOPERS.md, "Risk").
//
// Draws come in pairs of opposite signs (antithetic). Each is a function of the
// seed and its number alone, so the result is the same on any number of threads.
#pragma once

#include <cstdint>
#include <limits>
#include <optional>
#include <slowdawn/light/quantity.hpp>
#include <vector>

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

/// A plan's days as the draws walk them: values alone, no tank.
struct RiskCourse {
  /// What one light gives at one spot.
  struct Output {
    std::size_t light;
    /// F_j.
    Ppfd full;
    /// Its row of L, umol m-2 s-1; empty or of the length of the others of its spot.
    std::vector<double> root = {};
    /// e_j of equation (2); empty where it was read.
    std::optional<double> log_error = {};
  };
  struct Spot {
    /// Tells it from the others, whatever else is drawn.
    std::size_t number;
    std::vector<Output> outputs;
  };
  struct Mesh {
    /// As of a spot.
    std::size_t number;
    /// v of equation (3).
    double log_error;
  };

  static constexpr std::size_t no_mesh = std::numeric_limits<std::size_t>::max();
  /// What an output brings, for each umol m-2 s-1 of it.
  struct Part {
    /// Numbered through all spots, in their order.
    std::size_t output;
    /// d_j, mol m-2 d-1.
    double to_dose;
    /// q_j.
    double to_peak;
  };
  /// The light of some days that follow each other, up to the first of the next row.
  struct Row {
    std::size_t first_day = 0;
    std::vector<Part> parts = {};
    /// What of it is not drawn.
    Exposure certain = {};
    /// Among `meshes`.
    std::size_t mesh = no_mesh;
  };

  /// Days over which a group's rates are the same, up to the next stretch.
  struct Stretch {
    std::size_t first_day;
    /// log(1 - share) of equation (1) of acclimation, going up and down: -1/tau.
    double log_up;
    double log_down;
  };
  struct Group {
    /// A'(0) and B'(0), as a dose and a peak.
    Row start;
    /// e of equation (4); empty where the light before is of this tank.
    std::optional<double> history_error = {};
    double headroom = 0.0;
    /// It is there from the first day of the first row on, and gone on this one.
    std::size_t end_day = 0;
    /// One at least, in the order of their days.
    std::vector<Row> rows = {};
    std::vector<Stretch> stretches = {};
  };

  std::size_t days = 0;
  /// The first day that is asked about; the days before it are lived through, and too
  /// much on one of them does not count.
  std::size_t asked_from = 0;
  std::vector<Spot> spots = {};
  std::vector<Mesh> meshes = {};
  /// c of equation (4).
  double calibration_error = 0.0;
  std::vector<Group> groups = {};
};

/// Draws until every chance is known well enough.
Risk compute_risk(const RiskCourse& course, std::uint64_t seed);

/// As many draws as are said, rounded up to whole batches: of two courses with
/// one seed the same draws.
Risk compute_risk(const RiskCourse& course, std::uint64_t seed, std::size_t draws);

}  // namespace slowdawn
