// Assignments of the size of a rack against a linear program (GLPK), whose corners are
// whole numbers.
#include <gtest/gtest.h>

#include <cmath>
#include <slowdawn/ramp/assignment.hpp>
#include <string>

#include "dice.hpp"
#include "linear_program.hpp"

namespace slowdawn {
namespace {

using testing::LinearProgram;

constexpr double worth_of_a_row = 1000.0;

/// Like spots for groups: many pairs are as good as each other, some may not be, and
/// each row has a column of its own, which is the cheaper by the price of a move.
AssignmentProblem draw_rack(std::uint64_t seed) {
  testing::Dice dice{seed};
  AssignmentProblem problem{static_cast<std::size_t>(dice.whole(20, 60)),
                            static_cast<std::size_t>(dice.whole(30, 70)),
                            {}};
  for (std::size_t row = 0; row < problem.rows; ++row) {
    const double suits = dice.one_of({0.1, 0.4, 0.9});
    const auto own = static_cast<std::size_t>(dice.whole(0, static_cast<int>(problem.columns) - 1));
    for (std::size_t column = 0; column < problem.columns; ++column) {
      const double misfit = dice.chance(suits) ? 0.0 : dice.real(0.0, 3.0);
      const double price = column == own ? 0.0 : std::log(1.25);
      problem.costs.push_back(dice.chance(0.2) ? no_pair : PairCost{0, misfit + price});
    }
  }
  const int most_room = dice.whole(1, 3);
  for (std::size_t column = 0; column < problem.columns; ++column) {
    problem.room.push_back(static_cast<std::size_t>(dice.whole(0, most_room)));
  }
  return problem;
}

/// The most that rows are worth, each worth_of_a_row less its cost.
double best_worth(const AssignmentProblem& problem) {
  LinearProgram program;
  const int one = program.add_variable();
  program.fix(one, 1.0);
  std::vector<std::vector<LinearProgram::Term>> rows(problem.rows);
  std::vector<std::vector<LinearProgram::Term>> columns(problem.columns);
  for (std::size_t i = 0; i < problem.costs.size(); ++i) {
    if (problem.costs[i] == no_pair) continue;
    const int pair = program.add_variable(1.0, worth_of_a_row - problem.costs[i].cost);
    rows[i / problem.columns].push_back({pair, 1.0});
    columns[i % problem.columns].push_back({pair, 1.0});
  }
  for (auto& row : rows) {
    row.push_back({one, -1.0});
    program.at_most_zero(row);
  }
  for (std::size_t column = 0; column < problem.columns; ++column) {
    columns[column].push_back({one, -static_cast<double>(problem.room[column])});
    program.at_most_zero(columns[column]);
  }
  program.maximise();
  return program.objective();
}

TEST(AssignmentOfARack, IsAsGoodAsALinearProgramFinds) {
  std::size_t left_out = 0;
  for (std::uint64_t seed = 83000; seed < 83060; ++seed) {
    SCOPED_TRACE("seed " + std::to_string(seed));
    const AssignmentProblem problem = draw_rack(seed);
    const auto chosen = assign_columns(problem);
    double worth = 0.0;
    std::vector<std::size_t> taken(problem.columns, 0);
    for (std::size_t row = 0; row < problem.rows; ++row) {
      if (!chosen[row]) {
        ++left_out;
        continue;
      }
      const PairCost pair = problem.costs[row * problem.columns + *chosen[row]];
      ASSERT_NE(pair, no_pair);
      ASSERT_LE(++taken[*chosen[row]], problem.room[*chosen[row]]);
      worth += worth_of_a_row - pair.cost;
    }
    // GLPK works to 1e-10 of each of up to 60 rows' worth.
    EXPECT_NEAR(worth, best_worth(problem), 1e-6);
  }
  EXPECT_GT(left_out, 0U);
}

}  // namespace
}  // namespace slowdawn
