#include "light/place_tree.hpp"

#include <algorithm>
#include <limits>
#include <numeric>
#include <tuple>

namespace slowdawn {
namespace {

double squared_distance(const PlaceTree::Point& p, const PlaceTree::Point& q) {
  double sum = 0.0;
  for (std::size_t axis = 0; axis < p.size(); ++axis) {
    sum += (p[axis] - q[axis]) * (p[axis] - q[axis]);
  }
  return sum;
}

}  // namespace

/// The nearest points so far, as a heap with the farthest of them on top.
struct PlaceTree::Search {
  using Found = std::tuple<double, Point, std::size_t>;

  Point to;
  std::size_t count;
  std::vector<Found> found;

  void consider(const Point& point, std::size_t number) {
    found.emplace_back(squared_distance(to, point), point, number);
    std::push_heap(found.begin(), found.end());
    if (found.size() <= count) return;
    std::pop_heap(found.begin(), found.end());
    found.pop_back();
  }
  double reach() const {
    return found.size() < count ? std::numeric_limits<double>::infinity()
                                : std::get<double>(found.front());
  }
};

PlaceTree::PlaceTree(std::vector<Point> points)
    : points_(std::move(points)), order_(points_.size()), axis_(points_.size()) {
  std::iota(order_.begin(), order_.end(), std::size_t{0});
  halve(0, order_.size());
}

void PlaceTree::halve(std::size_t begin, std::size_t end) {
  if (end - begin < 2) return;
  const auto first = order_.begin() + static_cast<std::ptrdiff_t>(begin);
  const auto last = order_.begin() + static_cast<std::ptrdiff_t>(end);
  std::size_t widest = 0;
  double most = -1.0;
  for (std::size_t axis = 0; axis < Point{}.size(); ++axis) {
    const auto along = [&](std::size_t number) { return points_[number][axis]; };
    const auto [low, high] = std::ranges::minmax_element(first, last, {}, along);
    const double spread = points_[*high][axis] - points_[*low][axis];
    if (spread <= most) continue;
    most = spread;
    widest = axis;
  }
  const std::size_t middle = begin + (end - begin) / 2;
  std::nth_element(
      first, order_.begin() + static_cast<std::ptrdiff_t>(middle), last,
      [&](std::size_t a, std::size_t b) { return points_[a][widest] < points_[b][widest]; });
  axis_[middle] = widest;
  halve(begin, middle);
  halve(middle + 1, end);
}

void PlaceTree::look(Search& search, std::size_t begin, std::size_t end) const {
  if (begin >= end) return;
  const std::size_t middle = begin + (end - begin) / 2;
  const Point& point = points_[order_[middle]];
  search.consider(point, order_[middle]);
  const double over = search.to[axis_[middle]] - point[axis_[middle]];
  const bool is_below = over < 0.0;
  const std::pair below{begin, middle};
  const std::pair above{middle + 1, end};
  const auto& near = is_below ? below : above;
  const auto& far = is_below ? above : below;
  look(search, near.first, near.second);
  if (over * over <= search.reach()) look(search, far.first, far.second);
}

std::vector<std::size_t> PlaceTree::nearest(const Point& to, std::size_t count) const {
  Search search{to, count, {}};
  search.found.reserve(count + 1);
  look(search, 0, order_.size());
  std::sort_heap(search.found.begin(), search.found.end());
  std::vector<std::size_t> numbers;
  numbers.reserve(search.found.size());
  for (const auto& found : search.found) numbers.push_back(std::get<std::size_t>(found));
  return numbers;
}

}  // namespace slowdawn
