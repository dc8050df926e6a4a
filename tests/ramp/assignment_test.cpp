#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <slowdawn/ramp/assignment.hpp>
#include <stdexcept>
#include <string>
#include <tuple>
#include <vector>

#include "property/dice.hpp"

namespace slowdawn {
namespace {

using Columns = std::vector<std::optional<std::size_t>>;

constexpr double none = no_pair.cost;

AssignmentProblem problem_of(const std::vector<std::vector<double>>& costs) {
  AssignmentProblem problem{costs.size(), costs.empty() ? 0 : costs.front().size(), {}};
  for (const auto& row : costs) {
    for (const double cost : row) problem.costs.push_back({0, cost});
  }
  return problem;
}

Columns solve(const std::vector<std::vector<double>>& costs) {
  return assign_columns(problem_of(costs));
}

/// What an assignment is judged by; the first rank comes first.
struct Worth {
  std::size_t unplaced = 0;
  PairCost cost = {};

  bool is_under(const Worth& other) const {
    return std::tie(unplaced, cost) < std::tie(other.unplaced, other.cost);
  }
};

/// Fails the test where a pair is chosen that may not be, or a column overfull.
Worth worth_of(const AssignmentProblem& problem, const Columns& columns) {
  EXPECT_EQ(columns.size(), problem.rows);
  std::vector<std::size_t> taken(problem.columns, 0);
  Worth worth;
  for (std::size_t row = 0; row < columns.size(); ++row) {
    if (!columns[row]) {
      ++worth.unplaced;
      continue;
    }
    const std::size_t column = *columns[row];
    const PairCost pair = problem.costs.at(row * problem.columns + column);
    EXPECT_NE(pair.cost, none) << "row " << row;
    const std::size_t room = problem.room.empty() ? 1 : problem.room[column];
    EXPECT_LE(++taken[column], room) << "column " << column;
    worth.cost = worth.cost + pair;
  }
  return worth;
}

/// Tries every assignment there is.
class BruteForce {
 public:
  explicit BruteForce(const AssignmentProblem& problem) : problem_(problem), room_(problem.room) {
    if (room_.empty()) room_.assign(problem.columns, 1);
    best_.unplaced = problem.rows + 1;
    try_row(0, {});
  }

  const Worth& best() const { return best_; }

 private:
  void try_row(std::size_t row, const Worth& so_far) {
    if (row == problem_.rows) {
      if (so_far.is_under(best_)) best_ = so_far;
      return;
    }
    for (std::size_t column = 0; column < problem_.columns; ++column) {
      const PairCost pair = problem_.costs[row * problem_.columns + column];
      if (room_[column] == 0 || pair.cost == none) continue;
      --room_[column];
      try_row(row + 1, {so_far.unplaced, so_far.cost + pair});
      ++room_[column];
    }
    if (so_far.unplaced < best_.unplaced) try_row(row + 1, {so_far.unplaced + 1, so_far.cost});
  }

  const AssignmentProblem& problem_;
  std::vector<std::size_t> room_;
  Worth best_;
};

struct WorkedExample {
  const char* name;
  std::vector<std::vector<double>> costs;
  double cost;
  /// All that cost as little.
  std::vector<Columns> best;
  const char* source;
};

constexpr const char* scipy =
    "CALC: SciPy 1.10.1 linear_sum_assignment; all permutations for the number of the best";

const WorkedExample worked_examples[] = {
    {"three by three", {{4, 1, 3}, {2, 0, 5}, {3, 2, 2}}, 5.0, {{1, 0, 2}}, scipy},
    {"large costs", {{400, 150, 400}, {400, 450, 600}, {300, 225, 300}}, 850.0, {{1, 0, 2}}, scipy},
    {"one column more",
     {{400, 150, 400, 1}, {400, 450, 600, 2}, {300, 225, 300, 3}},
     452.0,
     {{1, 3, 0}, {1, 3, 2}},
     scipy},
    {"the cheapest pair of a row is not its own",
     {{10, 10, 8}, {9, 8, 1}, {9, 7, 4}},
     18.0,
     {{0, 2, 1}},
     scipy},
};

TEST(Assignment, SolvesTheWorkedExamples) {
  for (const WorkedExample& example : worked_examples) {
    SCOPED_TRACE(std::string{example.name} + " (" + example.source + ")");
    const Columns columns = solve(example.costs);
    EXPECT_EQ(std::count(example.best.begin(), example.best.end(), columns), 1);
    // Sums of small whole numbers are exact.
    EXPECT_EQ(worth_of(problem_of(example.costs), columns).cost.cost, example.cost);
  }
}

TEST(Assignment, LeavesARowOutThatNoColumnIsLeftFor) {
  EXPECT_EQ(solve({{none, none}, {5, 2}}), (Columns{{}, 1}));
}

TEST(Assignment, PlacesAsManyRowsAsCanBeBeforeItCountsCosts) {
  // 1 alone would be cheaper than 100 and 2.
  EXPECT_EQ(solve({{1, 100}, {2, none}}), (Columns{1, 0}));
}

TEST(Assignment, LeavesOutTheRowThatCostsMostWhereRowsAreMore) {
  EXPECT_EQ(solve({{3}, {1}, {2}}), (Columns{{}, 0, {}}));
  EXPECT_EQ(solve({{3, 3}, {1, 5}, {2, 1}}), (Columns{{}, 0, 1}));
}

TEST(Assignment, OfNothingIsNothing) {
  EXPECT_EQ(solve({}), Columns{});
  EXPECT_EQ(assign_columns({2, 0, {}}), Columns(2));
  EXPECT_EQ(solve({{none, none}, {none, none}}), Columns(2));
}

TEST(Assignment, TakesCostsUnderZero) { EXPECT_EQ(solve({{-4, -9}, {-1, -5}}), (Columns{1, 0})); }

TEST(Assignment, KeepsTheDigitsOfSmallCostsWhereARowIsLeftOut) {
  EXPECT_EQ(solve({{2e-15, 1e-15}, {none, none}, {1e-15, 3e-15}}), (Columns{1, {}, 0}));
}

TEST(Assignment, FillsAColumnUpToItsRoom) {
  AssignmentProblem problem = problem_of({{1, 9}, {1, 8}, {1, 7}});
  problem.room = {2, 5};
  EXPECT_EQ(assign_columns(problem), (Columns{0, 0, 1}));
  problem.room = {0, 2};
  EXPECT_EQ(assign_columns(problem), (Columns{{}, 1, 1}));
}

TEST(Assignment, PrefersAnyCostToABreak) {
  EXPECT_EQ(assign_columns({1, 2, {{1, 0.0}, {0, 1e300}}}), Columns{1});
}

TEST(Assignment, PrefersAnyBreaksToARowLeftOut) {
  EXPECT_EQ(assign_columns({2, 2, {{0, 0.0}, {1000, 0.0}, {1000, 0.0}, no_pair}}), (Columns{1, 0}));
}

TEST(Assignment, SettlesTiesByOrder) {
  EXPECT_EQ(solve({{7, 7, 7}, {7, 7, 7}, {7, 7, 7}}), (Columns{0, 1, 2}));
  EXPECT_EQ(solve({{0}, {0}}), (Columns{0, {}}));
}

TEST(Assignment, RefusesWhatIsNoProblem) {
  const double not_a_number = std::nan("");
  EXPECT_THROW(assign_columns({1, 2, {{0, 1.0}}}), std::invalid_argument);
  EXPECT_THROW(assign_columns({1, 1, {{0, 1.0}}, {1, 1}}), std::invalid_argument);
  EXPECT_THROW(assign_columns({1, 1, {{0, not_a_number}}}), std::invalid_argument);
  EXPECT_THROW(assign_columns({1, 1, {{0, -none}}}), std::invalid_argument);
  EXPECT_THROW(assign_columns({1, 1, {{-1, 0.0}}}), std::invalid_argument);
}

/// Up to 7 by 7, with pairs that may not be; some with room, breaks or costs that
/// are often equal.
AssignmentProblem draw_problem(std::uint64_t seed) {
  testing::Dice dice{seed};
  const bool has_room = dice.chance(0.3);
  const int largest = has_room ? 5 : 7;
  AssignmentProblem problem{static_cast<std::size_t>(dice.whole(1, largest)),
                            static_cast<std::size_t>(dice.whole(1, largest)),
                            {}};
  const double gaps = dice.one_of({0.0, 0.2, 0.6});
  const double breaks = dice.one_of({0.0, 0.3});
  const bool is_whole = dice.chance(0.5);
  for (std::size_t i = 0; i < problem.rows * problem.columns; ++i) {
    const double cost = is_whole ? dice.whole(-2, 4) : dice.real(-2.0, 10.0);
    const int broken = dice.chance(breaks) ? dice.whole(1, 2) : 0;
    problem.costs.push_back(dice.chance(gaps) ? no_pair : PairCost{broken, cost});
  }
  for (std::size_t j = 0; has_room && j < problem.columns; ++j) {
    problem.room.push_back(static_cast<std::size_t>(dice.whole(0, 3)));
  }
  return problem;
}

TEST(Assignment, IsTheBestOfAllAssignments) {
  int left_out = 0;
  for (std::uint64_t seed = 81000; seed < 82000; ++seed) {
    SCOPED_TRACE("seed " + std::to_string(seed));
    const AssignmentProblem problem = draw_problem(seed);
    const Columns columns = assign_columns(problem);
    const Worth found = worth_of(problem, columns);
    const Worth best = BruteForce{problem}.best();
    ASSERT_EQ(found.unplaced, best.unplaced);
    ASSERT_EQ(found.cost.breaks, best.cost.breaks);
    // Rounding of sums of up to 7 costs of up to 10.
    ASSERT_NEAR(found.cost.cost, best.cost.cost, 1e-12);
    ASSERT_EQ(assign_columns(problem), columns);
    left_out += found.unplaced > 0;
  }
  // The draw must not miss either kind.
  EXPECT_GT(left_out, 200);
  EXPECT_LT(left_out, 800);
}

TEST(Assignment, TreatsRoomAsSoManyEqualColumns) {
  for (std::uint64_t seed = 82000; seed < 82100; ++seed) {
    SCOPED_TRACE("seed " + std::to_string(seed));
    testing::Dice dice{seed};
    AssignmentProblem problem{40, 15, {}};
    for (std::size_t j = 0; j < problem.columns; ++j) {
      problem.room.push_back(static_cast<std::size_t>(dice.whole(0, 4)));
    }
    AssignmentProblem copied{problem.rows, 0, {}};
    for (const std::size_t room : problem.room) copied.columns += room;
    for (std::size_t i = 0; i < problem.rows; ++i) {
      for (const std::size_t room : problem.room) {
        const PairCost pair = dice.chance(0.5) ? no_pair : PairCost{0, dice.real(0.0, 1.0)};
        problem.costs.push_back(pair);
        copied.costs.insert(copied.costs.end(), room, pair);
      }
    }
    const Worth with_room = worth_of(problem, assign_columns(problem));
    const Worth with_copies = worth_of(copied, assign_columns(copied));
    ASSERT_EQ(with_room.unplaced, with_copies.unplaced);
    // Rounding of sums of up to 40 costs of up to 1.
    ASSERT_NEAR(with_room.cost.cost, with_copies.cost.cost, 1e-12);
  }
}

}  // namespace
}  // namespace slowdawn
