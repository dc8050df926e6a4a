// The nearest of many places.
//
// A k-d tree after Bentley: the places are halved again and again by the middle one along
// the axis on which they are spread widest.
#pragma once

#include <array>
#include <cstddef>
#include <utility>
#include <vector>

namespace slowdawn {

class PlaceTree {
 public:
  /// In any unit; the axes must be scaled alike.
  using Point = std::array<double, 3>;

  explicit PlaceTree(std::vector<Point> points);

  /// The numbers of the nearest points, the nearest first: `count` of them, or all if they
  /// are fewer. Of equally near ones those that come first by x, y, z, so that the order in
  /// which points are given does not matter.
  std::vector<std::size_t> nearest(const Point& to, std::size_t count) const;

 private:
  struct Search;

  void halve(std::size_t begin, std::size_t end);
  void look(Search& search, std::size_t begin, std::size_t end) const;

  std::vector<Point> points_;
  /// Numbers of points: the middle of each part, before it those below, after it those above.
  std::vector<std::size_t> order_;
  /// By which axis the part with this middle is halved.
  std::vector<std::size_t> axis_;
};

}  // namespace slowdawn
