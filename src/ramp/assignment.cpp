#include <algorithm>
#include <limits>
#include <slowdawn/ramp/assignment.hpp>
#include <stdexcept>

namespace slowdawn {
namespace {

using Rows = std::vector<std::size_t>;

// With a potential u for each row and v for each column, c - u - v is nowhere
// negative, and 0 for the pairs chosen so far; so those are the cheapest way to
// place the rows so far. Each row is added along the path of least c - u - v
// that ends where there is room. Columns that are equally near are looked at
// together, and the first of them with room is the end: under prices that are
// often alike most searches are then short.
//
// A column with room for k rows is k equal columns, of which the search sees
// one: its potential stays 0 while any of them is free, and once all are taken
// they are reached at the same distance.
//
// "Nowhere" is one more column for each row, its own, at a price in breaks that
// is over any sum of breaks. No other row reaches it, so it needs no potential.
class Assigner {
 public:
  explicit Assigner(const AssignmentProblem& problem)
      : problem_(problem),
        column_of_(problem.rows),
        rows_of_(problem.columns),
        u_(problem.rows),
        v_(problem.columns) {
    std::int64_t most = 0;
    for (const PairCost& pair : problem.costs) most = std::max(most, pair.breaks);
    nowhere_.breaks = 1 + most * static_cast<std::int64_t>(problem.rows);
  }

  std::vector<std::optional<std::size_t>> run() {
    for (std::size_t row = 0; row < problem_.rows; ++row) add(row);
    return column_of_;
  }

 private:
  /// How a column, or nowhere, is reached in the search for one row.
  struct Reach {
    PairCost distance = unreached;
    /// The row that it is reached from.
    std::size_t from = 0;
    /// Among the nearest; no later way to it is shorter.
    bool is_near = false;
  };
  static constexpr PairCost unreached{std::numeric_limits<std::int64_t>::max(), 0.0};

  void add(std::size_t row) {
    reach_.assign(problem_.columns, {});
    near_.clear();
    end_.reset();
    end_nowhere_ = {nowhere_, row};
    reach_from(row, {}, std::nullopt);
    for (std::size_t passed = 0; !end_;) {
      const PairCost least = least_distance();
      if (least == unreached || end_nowhere_.distance < least) break;
      for (std::size_t j = 0; j < problem_.columns && !end_; ++j) {
        if (!reach_[j].is_near && reach_[j].distance == least) take_as_near(j);
      }
      // Those that are as near as these, by way of them, need no search of their own.
      for (; passed < near_.size() && !end_; ++passed) {
        for (const std::size_t other : rows_of_[near_[passed]]) reach_from(other, least, least);
      }
    }
    update_potentials(row, end_ ? reach_[*end_].distance : end_nowhere_.distance);
    shift_along_path(row, end_);
  }

  bool is_full(std::size_t column) const {
    const std::size_t room = problem_.room.empty() ? 1 : problem_.room[column];
    return rows_of_[column].size() >= room;
  }

  /// Looks at all columns, and nowhere, from a row that is at `distance`.
  /// least: of the columns that are looked for; nothing is nearer but for rounding.
  void reach_from(std::size_t row, PairCost distance, const std::optional<PairCost>& least) {
    const PairCost offset = distance - u_[row];
    const PairCost* costs = problem_.costs.data() + row * problem_.columns;
    for (std::size_t j = 0; j < problem_.columns; ++j) {
      if (costs[j].cost == no_pair.cost) continue;
      const PairCost here = offset + (costs[j] - v_[j]);
      Reach& reach = reach_[j];
      if (reach.is_near || !(here < reach.distance)) continue;
      reach = {here, row, false};
      if (!least || *least < here) continue;
      reach.distance = *least;
      take_as_near(j);
    }
    const PairCost nowhere = offset + nowhere_;
    if (nowhere < end_nowhere_.distance) end_nowhere_ = {nowhere, row};
  }

  /// The path ends at the first that has room.
  void take_as_near(std::size_t column) {
    if (end_) return;
    if (!is_full(column)) {
      end_ = column;
      return;
    }
    reach_[column].is_near = true;
    near_.push_back(column);
  }

  /// Of the columns that are not among the nearest yet.
  PairCost least_distance() const {
    PairCost least = unreached;
    for (const Reach& reach : reach_) {
      if (!reach.is_near && reach.distance < least) least = reach.distance;
    }
    return least;
  }

  /// Makes every step of the path that was found one of c - u - v = 0.
  void update_potentials(std::size_t added, PairCost length) {
    u_[added] = length;
    for (const std::size_t column : near_) {
      const PairCost shift = length - reach_[column].distance;
      v_[column] = v_[column] - shift;
      for (const std::size_t row : rows_of_[column]) u_[row] = u_[row] + shift;
    }
  }

  /// Every row of the path takes the column that it reaches on it, from the
  /// path's end back to the row that is added.
  void shift_along_path(std::size_t added, std::optional<std::size_t> end) {
    for (;;) {
      const std::size_t row = end ? reach_[*end].from : end_nowhere_.from;
      const std::optional<std::size_t> left = column_of_[row];
      column_of_[row] = end;
      if (end) rows_of_[*end].push_back(row);
      if (row == added) return;
      Rows& stayers = rows_of_[*left];
      stayers.erase(std::find(stayers.begin(), stayers.end(), row));
      end = left;
    }
  }

  const AssignmentProblem& problem_;
  PairCost nowhere_;
  std::vector<std::optional<std::size_t>> column_of_;
  std::vector<Rows> rows_of_;
  std::vector<PairCost> u_;
  std::vector<PairCost> v_;
  // Of the search for one row.
  std::vector<Reach> reach_;
  /// Full columns that are nearer than the end, or as near.
  std::vector<std::size_t> near_;
  std::optional<std::size_t> end_;
  Reach end_nowhere_;
};

void require(bool holds, const char* what) {
  if (!holds) throw std::invalid_argument(what);
}

}  // namespace

std::vector<std::optional<std::size_t>> assign_columns(const AssignmentProblem& problem) {
  require(problem.costs.size() == problem.rows * problem.columns, "a cost for each pair is needed");
  require(problem.room.empty() || problem.room.size() == problem.columns,
          "the room of each column is needed");
  for (const PairCost& pair : problem.costs) {
    require(pair.cost > -no_pair.cost, "a cost must be a number or infinite");
    require(pair.breaks >= 0, "breaks must not be negative");
  }
  return Assigner{problem}.run();
}

}  // namespace slowdawn
