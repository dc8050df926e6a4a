#include <algorithm>
#include <slowdawn/light/photoperiod.hpp>

namespace slowdawn {
namespace {

using Point = Photoperiod::Point;

double between_points(const Point& a, const Point& b, ClockTime time) {
  if (b.time == a.time) return b.fraction;
  const double share = (time - a.time) / (b.time - a.time);
  return a.fraction + share * (b.fraction - a.fraction);
}

}  // namespace

Result<Photoperiod> Photoperiod::between(ClockTime on, ClockTime off, Minutes rise, Minutes fall) {
  if (on == off) {
    return fault("the light goes on and off at the same time",
                 "give an \"off\" that is later than \"on\", or after midnight");
  }
  if (off < on) off += whole_day;
  if (rise < Minutes{} || fall < Minutes{} || rise + fall > off - on) {
    return fault("the rise and the fall do not fit between on and off",
                 "rise and fall lie inside on..off; shorten them");
  }
  std::vector<Point> points{{on, 0.0}};
  points.push_back({on + rise, 1.0});
  if (off - fall > on + rise) points.push_back({off - fall, 1.0});
  points.push_back({off, 0.0});
  return checked(std::move(points));
}

Result<Photoperiod> Photoperiod::through(std::vector<Point> points) {
  if (points.size() < 2) {
    return fault("a course of the day needs at least two points",
                 "for example [[\"10:00\", 0], [\"11:00\", 100], [\"19:00\", 100], "
                 "[\"20:00\", 0]]");
  }
  for (std::size_t i = 1; i < points.size(); ++i) {
    if (points[i].time < points[i - 1].time) {
      return fault("the points are not in the order of the day",
                   "begin with the earliest time after midnight; the last point is joined to "
                   "the first across midnight");
    }
    if (i >= 2 && points[i].time == points[i - 2].time) {
      return fault("three points stand at one time",
                   "two points at one time are a step; leave the third out");
    }
  }
  return checked(std::move(points));
}

Result<Photoperiod> Photoperiod::checked(std::vector<Point> points) {
  const auto is_dark = [](const Point& p) { return p.fraction == 0.0; };
  if (std::none_of(points.begin(), points.end(), is_dark)) {
    return fault("the light never goes dark",
                 "corals need a night: let the course reach 0 and stay there for 10 h or more");
  }
  if (std::all_of(points.begin(), points.end(), is_dark)) {
    return fault("the light is never lit", "give at least one point above 0");
  }
  Photoperiod course{std::move(points)};
  if (exceeds(course.lit(), longest_lit_day)) {
    return fault("the light is lit for over 14 h a day",
                 "shorten the day to 14 h at the most; 8 to 12 h are usual");
  }
  return course;
}

Point Photoperiod::next(std::size_t i) const {
  if (i + 1 < points_.size()) return points_[i + 1];
  return {points_.front().time + whole_day, points_.front().fraction};
}

double Photoperiod::fraction_after(ClockTime time) const {
  while (time < points_.front().time) time += whole_day;
  const auto later = std::ranges::upper_bound(points_, time, {}, &Point::time);
  const auto i = static_cast<std::size_t>(later - points_.begin()) - 1;
  return between_points(points_[i], next(i), time);
}

double Photoperiod::fraction_before(ClockTime time) const {
  while (time <= points_.front().time) time += whole_day;
  const auto at_or_later = std::ranges::lower_bound(points_, time, {}, &Point::time);
  const auto i = static_cast<std::size_t>(at_or_later - points_.begin()) - 1;
  return between_points(points_[i], next(i), time);
}

Hours Photoperiod::lit() const {
  Minutes lit;
  for (std::size_t i = 0; i < points_.size(); ++i) {
    const Point end = next(i);
    if (points_[i].fraction > 0.0 || end.fraction > 0.0) {
      lit += end.time - points_[i].time;
    }
  }
  return lit.hours();
}

}  // namespace slowdawn
