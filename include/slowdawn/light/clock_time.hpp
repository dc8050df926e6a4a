// The clock: times of day, and the minutes between them.
//
// Minutes beside Hours, since a file gives them so and most of them are no binary
// fraction of an hour: a rise of 50 minutes is to be read and written as just that.
#pragma once

#include <compare>
#include <slowdawn/light/quantity.hpp>

namespace slowdawn {

/// A stretch of clock time.
class Minutes : public Quantity<Minutes> {
 public:
  constexpr Minutes() = default;
  static constexpr Minutes min(double value) { return Minutes{checked(value)}; }
  constexpr double min() const { return value_; }
  constexpr Hours hours() const { return Hours::minutes(value_); }

 private:
  friend class Quantity<Minutes>;
  using Quantity::Quantity;
};

/// A moment by the clock on the wall, counted from a midnight; what runs on past the
/// next one counts on. Two moments do not add up; between them lie minutes.
class ClockTime {
 public:
  /// Midnight.
  constexpr ClockTime() = default;
  static constexpr ClockTime minute(double value) { return ClockTime{Minutes::min(value)}; }
  constexpr double minute() const { return since_midnight_.min(); }

  friend constexpr ClockTime operator+(ClockTime time, Minutes later) {
    return ClockTime{time.since_midnight_ + later};
  }
  friend constexpr ClockTime operator-(ClockTime time, Minutes earlier) {
    return ClockTime{time.since_midnight_ - earlier};
  }
  friend constexpr Minutes operator-(ClockTime a, ClockTime b) {
    return a.since_midnight_ - b.since_midnight_;
  }
  constexpr ClockTime& operator+=(Minutes later) { return *this = *this + later; }
  friend constexpr bool operator==(ClockTime a, ClockTime b) {
    return a.since_midnight_ == b.since_midnight_;
  }
  friend constexpr auto operator<=>(ClockTime a, ClockTime b) {
    return a.since_midnight_ <=> b.since_midnight_;
  }

 private:
  constexpr explicit ClockTime(Minutes since_midnight) : since_midnight_(since_midnight) {}
  Minutes since_midnight_;
};

inline constexpr Minutes whole_day = Minutes::min(1440.0);

}  // namespace slowdawn
