// What the tables of published values share: every row has a name, a value, a
// tolerance with its reason, and its source.
//
// Sources begin with how the value came here: READ (seen in a text at hand),
// MEM (from memory, not read again) or CALC (own arithmetic from the formula or
// data named).
#pragma once

#include <gtest/gtest.h>

#include <cstddef>
#include <set>
#include <string>

namespace slowdawn::published {

/// How far a computed value may lie from the printed one, and why.
struct Within {
  double value;
  const char* reason;
};

/// digit: what one step of the last printed digit is worth.
constexpr Within half_of_last_digit(double digit) {
  return {0.5 * digit, "half of the last printed digit"};
}

/// For values that are exact as printed.
constexpr Within rounding(double value) { return {value, "rounding of the sum alone"}; }

template <class Row>
std::string describe(const Row& row) {
  return std::string{row.name} + " (" + row.source + ")";
}

/// Compares with the row's value, within its tolerance.
template <class Row>
void expect_value(const Row& row, double computed) {
  // The allowance is for a printed tie and no more.
  EXPECT_NEAR(computed, row.value, row.within.value * (1.0 + 1e-6))
      << describe(row) << ", within " << row.within.reason;
}

/// Every row says where it is from and why its tolerance is what it is, and no
/// name stands twice.
template <class Row, std::size_t count>
void expect_sourced(const Row (&rows)[count]) {
  std::set<std::string> names;
  for (const Row& row : rows) {
    const std::string name = row.name;
    const std::string source = row.source;
    EXPECT_FALSE(name.empty());
    EXPECT_TRUE(names.insert(name).second) << name << " stands twice";
    const std::string tag = source.substr(0, source.find_first_of(" :,"));
    EXPECT_TRUE(tag == "READ" || tag == "MEM" || tag == "CALC") << name << ": " << source;
    EXPECT_GT(source.size(), tag.size() + 2) << name << " has no source";
    EXPECT_GT(row.within.value, 0.0) << name;
    EXPECT_FALSE(std::string{row.within.reason}.empty()) << name;
  }
}

}  // namespace slowdawn::published
