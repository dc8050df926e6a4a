// The daily course of a light.
//
// f(t) is the share of the dial that a light gives at clock time t: piecewise
// linear, from 0 to 1, cyclic over 24 h, with steps where two points stand at
// one time. "Lit" means f > 0.
#pragma once

#include <slowdawn/light/clock_time.hpp>
#include <slowdawn/light/quantity.hpp>
#include <slowdawn/light/result.hpp>
#include <span>
#include <vector>

namespace slowdawn {

/// Natural days near the tropics last 10.6 to 13.4 h (at 23.4 degrees, own
/// arithmetic); that 14 h is refused is a design choice.
inline constexpr Hours longest_lit_day = Hours::h(14.0);
inline constexpr Hours lit_day_worth_a_warning = Hours::h(12.0);

class Photoperiod {
 public:
  /// A corner of the course.
  struct Point {
    ClockTime time;
    double fraction;
  };

  /// From `on` to `off` with a linear rise and fall inside.
  /// on, off: within a day of midnight; an `off` before `on` lies on the next day.
  /// rise, fall: >= 0, together no longer than on..off.
  /// Errors: on equals off; rise and fall do not fit; lit for over 14 h.
  static Result<Photoperiod> between(ClockTime on, ClockTime off, Minutes rise, Minutes fall);

  /// Through points in the order of the day, the last joined to the first
  /// across midnight; two points at one time are a step.
  /// points: times within a day of midnight, not falling; fraction in [0, 1].
  /// Errors: fewer than two points; out of order; three at one time; never 0;
  ///   always 0; lit for over 14 h.
  static Result<Photoperiod> through(std::vector<Point> points);

  /// The sun's day, of any length; see light/sun_course.hpp.
  /// points: as of `through`, from 0 up and to 0 again.
  static Photoperiod of_the_sun(std::vector<Point> points) {
    return Photoperiod{std::move(points)};
  }

  /// f just after a time within a day of midnight.
  double fraction_after(ClockTime time) const;
  /// f just before it; differs at a step alone.
  double fraction_before(ClockTime time) const;

  /// How long the light is lit in a day.
  Hours lit() const;

  /// The corners in order, from the first to less than a day later; the course
  /// closes from the last to the first of the next day.
  std::span<const Point> points() const { return points_; }

 private:
  explicit Photoperiod(std::vector<Point> points) : points_(std::move(points)) {}
  static Result<Photoperiod> checked(std::vector<Point> points);
  /// The corner after number `i`, a day later where the course wraps.
  Point next(std::size_t i) const;
  std::vector<Point> points_;
};

}  // namespace slowdawn
