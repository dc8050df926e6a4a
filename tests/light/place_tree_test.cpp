// The nearest of many places, against looking at each of them.
#include <gtest/gtest.h>

#include <algorithm>
#include <cstdint>
#include <numeric>
#include <random>
#include <string>
#include <tuple>
#include <vector>

#include "light/place_tree.hpp"

namespace slowdawn {
namespace {

using Point = PlaceTree::Point;

double squared_distance(const Point& p, const Point& q) {
  return (p[0] - q[0]) * (p[0] - q[0]) + (p[1] - q[1]) * (p[1] - q[1]) +
         (p[2] - q[2]) * (p[2] - q[2]);
}

std::vector<Point> nearest_by_looking(std::vector<Point> points, const Point& to,
                                      std::size_t count) {
  std::ranges::sort(points, {}, [&](const Point& point) {
    return std::tuple{squared_distance(point, to), point};
  });
  points.resize(std::min(count, points.size()));
  return points;
}

std::vector<Point> nearest(const std::vector<Point>& points, const Point& to, std::size_t count) {
  std::vector<Point> found;
  for (const std::size_t number : PlaceTree{points}.nearest(to, count)) {
    found.push_back(points.at(number));
  }
  return found;
}

/// steps: how many different values there are on an axis; few of them make many ties.
std::vector<Point> some_points(std::mt19937_64& engine, std::size_t count, std::uint64_t steps) {
  std::vector<Point> points(count);
  for (Point& point : points) {
    for (double& value : point) value = static_cast<double>(engine() % steps);
  }
  return points;
}

TEST(PlaceTree, FindsWhatLookingAtEachPlaceFinds) {
  for (unsigned seed = 1; seed <= 200; ++seed) {
    SCOPED_TRACE("seed " + std::to_string(seed));
    std::mt19937_64 engine(seed);
    const std::uint64_t steps = seed % 2 == 0 ? 4 : 1'000'000;
    const std::vector<Point> points = some_points(engine, 1 + engine() % 300, steps);
    for (const Point& to : some_points(engine, 5, steps)) {
      for (const std::size_t count : {1U, 7U, 60U, 400U}) {
        EXPECT_EQ(nearest(points, to, count), nearest_by_looking(points, to, count));
      }
    }
  }
}

TEST(PlaceTree, DoesNotDependOnTheOrderOfPlaces) {
  std::mt19937_64 engine(7);
  std::vector<Point> points = some_points(engine, 200, 4);
  const std::vector<Point> found = nearest(points, {1.5, 1.5, 1.5}, 20);
  std::ranges::reverse(points);
  EXPECT_EQ(nearest(points, {1.5, 1.5, 1.5}, 20), found);
}

TEST(PlaceTree, TakesManyPlacesAtOneSpot) {
  const std::vector<Point> points(1000, Point{1.0, 2.0, 3.0});
  EXPECT_EQ(PlaceTree{points}.nearest({0.0, 0.0, 0.0}, 3).size(), 3U);
}

TEST(PlaceTree, WithoutAPlaceFindsNone) {
  EXPECT_TRUE(PlaceTree{{}}.nearest({0.0, 0.0, 0.0}, 3).empty());
}

}  // namespace
}  // namespace slowdawn
