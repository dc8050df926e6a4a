#include <algorithm>
#include <slowdawn/ramp/assignment.hpp>
#include <stdexcept>

namespace slowdawn {
namespace {

using Rows = std::vector<std::size_t>;

// With a potential u for each row and v for each column, c - u - v is nowhere
// negative, and 0 for the pairs chosen so far; so those are the cheapest way to
// place the rows so far. Each row is added along the path of least c - u - v
// that ends where there is room.
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
  struct Reach {
    PairCost distance = {};
    /// The row that it is reached from.
    std::size_t from = 0;
    bool is_reached = false;
    bool is_passed = false;
  };

  void add(std::size_t row) {
    reach_.assign(problem_.columns, {});
    passed_.clear();
    end_nowhere_ = {nowhere_, row, true, false};
    reach_from(row, {});
    std::optional<std::size_t> end = nearest();
    while (end && is_full(*end)) {
      reach_[*end].is_passed = true;
      passed_.push_back(*end);
      for (const std::size_t other : rows_of_[*end]) reach_from(other, reach_[*end].distance);
      end = nearest();
    }
    update_potentials(row, end ? reach_[*end].distance : end_nowhere_.distance);
    shift_along_path(row, end);
  }

  bool is_full(std::size_t column) const {
    const std::size_t room = problem_.room.empty() ? 1 : problem_.room[column];
    return rows_of_[column].size() >= room;
  }

  /// Looks at all columns, and nowhere, from a row that is at `distance`.
  void reach_from(std::size_t row, PairCost distance) {
    const PairCost offset = distance - u_[row];
    const PairCost* costs = problem_.costs.data() + row * problem_.columns;
    for (std::size_t j = 0; j < problem_.columns; ++j) {
      Reach& reach = reach_[j];
      if (reach.is_passed || costs[j].cost == no_pair.cost) continue;
      const PairCost here = offset + (costs[j] - v_[j]);
      if (!reach.is_reached || here < reach.distance) reach = {here, row, true, false};
    }
    const PairCost nowhere = offset + nowhere_;
    if (nowhere < end_nowhere_.distance) end_nowhere_ = {nowhere, row, true, false};
  }

  /// The nearest column that is not passed yet, the first of equals; empty where
  /// nowhere is nearer.
  std::optional<std::size_t> nearest() const {
    std::optional<std::size_t> best;
    for (std::size_t j = 0; j < problem_.columns; ++j) {
      const Reach& reach = reach_[j];
      if (!reach.is_reached || reach.is_passed) continue;
      if (!best || reach.distance < reach_[*best].distance) best = j;
    }
    if (best && end_nowhere_.distance < reach_[*best].distance) best.reset();
    return best;
  }

  /// Makes every step of the path that was found one of c - u - v = 0.
  void update_potentials(std::size_t added, PairCost length) {
    u_[added] = length;
    for (const std::size_t column : passed_) {
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
  std::vector<std::size_t> passed_;
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
