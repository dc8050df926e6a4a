// The assignment problem: which row gets which column, at the least cost.
//
// A column takes one row, or as many as there is room for. Some pairs may not
// be. Nothing fails for that: first as many rows as can be get a column, then
// the sum of their costs is the least there is.
//
// Costs have two ranks, since a price "too high to be paid" for the first rank
// would swallow the digits of the second.
#pragma once

#include <cstddef>
#include <cstdint>
#include <limits>
#include <optional>
#include <vector>

namespace slowdawn {

/// What a pair costs: one break less outweighs any cost.
struct PairCost {
  /// Rules that the pair breaks, >= 0.
  std::int64_t breaks = 0;
  /// Of either sign; infinite for a pair that may not be.
  double cost = 0.0;

  friend PairCost operator+(PairCost a, PairCost b) {
    return {a.breaks + b.breaks, a.cost + b.cost};
  }
  friend PairCost operator-(PairCost a, PairCost b) {
    return {a.breaks - b.breaks, a.cost - b.cost};
  }
  bool operator==(const PairCost&) const = default;
  /// By breaks, then by cost.
  friend bool operator<(PairCost a, PairCost b) {
    return a.breaks < b.breaks || (a.breaks == b.breaks && a.cost < b.cost);
  }
};

/// A pair that may not be.
inline constexpr PairCost no_pair{0, std::numeric_limits<double>::infinity()};

struct AssignmentProblem {
  std::size_t rows;
  std::size_t columns;
  /// Row by row: rows x columns of them.
  std::vector<PairCost> costs;
  /// By column: how many rows it takes; none are one each.
  std::vector<std::size_t> room = {};
};

/// The column of each row, empty for a row that none is left for: as many rows
/// as can be have one, with the fewest breaks, at the least cost of all such.
/// Throws std::invalid_argument where the sizes do not agree, a cost is not a
///   number or minus infinity, or breaks are negative.
/// accuracy: optimal but for the rounding of sums of costs. Of equal sums the
///   order of rows and columns alone decides which one is found.
/// Time: rows^2 x columns at most, whatever the room.
/// source: MEM: Kuhn 1955, Nav. Res. Logist. Q. 2:83 (the method), and Jonker
///   and Volgenant 1987, Computing 38:325 (shortest augmenting paths); room and
///   breaks: own derivation, src/ramp/assignment.cpp.
std::vector<std::optional<std::size_t>> assign_columns(const AssignmentProblem& problem);

}  // namespace slowdawn
