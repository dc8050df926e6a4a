// Charts over the days of a plan, as inline SVG: frame, axes and marks. Drawn in
// units of which a chart has 360 in width, so that its letters stay readable where
// a chart is as wide as a phone.
#pragma once

#include <slowdawn/tank/date.hpp>
#include <span>
#include <string>
#include <vector>

#include "present/html.hpp"

namespace slowdawn {

/// With one digit after the point at the most.
std::string svg_number(double value);

/// Values from 0 up that an axis is labelled with: 1, 2 or 5 times a power of ten
/// apart, the last one at or above `highest`.
std::vector<double> axis_values(double highest);

class DayChart {
 public:
  static constexpr double width = 360.0;
  static constexpr double height = 180.0;
  static constexpr double left = 38.0;
  static constexpr double right = width - 55.0;
  static constexpr double top = 20.0;
  static constexpr double bottom = height - 34.0;

  /// days: at least 1. highest: > 0, what the axis must reach.
  DayChart(const Date& first, std::size_t days, double highest);

  /// The left edge of a day; that of the day after the last is the right end.
  double x(std::size_t day) const;
  double middle(std::size_t day) const { return 0.5 * (x(day) + x(day + 1)); }
  double y(double value) const;
  /// The end of the axis.
  double highest() const { return values_.back(); }

  /// Grid, both axes, their labels.
  /// unit: above the axis of values.
  Html axes(std::string_view unit) const;

  /// The path of values that hold for a day each.
  /// first: the day of the first value.
  std::string staircase(std::span<const double> values, std::size_t first = 0) const;
  /// The path through values that hold at the beginning of their day each; those
  /// that lie on a straight line between others, as far as can be seen, are left
  /// out.
  std::string curve(std::span<const double> values, std::size_t first = 0) const;

  /// A line over one day, with a word at its top.
  Html day_line(std::string_view css_class, std::size_t day, std::string_view word) const;

  /// A thin line at the beginning of each of some days, with a word beside it where there
  /// is room; the words are one for each day.
  Html begin_lines(std::string_view css_class, const std::vector<std::size_t>& days,
                   const std::vector<std::string>& words) const;

  /// The place of the mark that walks the days; the script moves it.
  Html walking_mark() const;

  /// The drawing as a picture with a name and a text that says what it shows.
  /// id: of this chart, unique on the page.
  Html svg(const std::string& id, const Html& title, const Html& description,
           const Html& drawing) const;

 private:
  struct DateTick {
    std::size_t day;
    std::string label;
    /// The year, where it is another than that of the tick before.
    std::string year;
  };
  std::vector<DateTick> date_ticks() const;

  Date first_;
  std::size_t days_;
  std::vector<double> values_;
};

/// Words at the ends of lines, moved apart so that none covers another.
struct EndLabel {
  double y;
  std::string_view css_class;
  std::string text;
};
Html end_labels(std::vector<EndLabel> labels);

}  // namespace slowdawn
