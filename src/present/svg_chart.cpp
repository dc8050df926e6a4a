#include "present/svg_chart.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace slowdawn {
namespace {

/// Distances between date labels: days under a month, else whole months. "15 Dec"
/// takes more room than "Dec", above all on paper, where letters are larger.
struct TickDistance {
  std::size_t days;
  int months;
};

TickDistance tick_distance(std::size_t days) {
  constexpr std::size_t most_days = 5;
  constexpr std::size_t most_months = 6;
  for (const std::size_t distance : {1U, 2U, 7U, 14U}) {
    if (days <= distance * most_days) return {distance, 0};
  }
  for (const int months : {1, 2, 3}) {
    if (days <= 30U * static_cast<std::size_t>(months) * most_months) return {0, months};
  }
  return {0, 6};
}

Attributes place(double x, double y) { return {{"x", svg_number(x)}, {"y", svg_number(y)}}; }

Html svg_text(std::string_view css_class, double x, double y, std::string_view text) {
  Attributes attributes = place(x, y);
  attributes.emplace_back("class", css_class);
  return text_element("text", attributes, text);
}

}  // namespace

std::string svg_number(double value) {
  std::string text = fmt::format("{:.1f}", value);
  if (text.ends_with(".0")) text.resize(text.size() - 2);
  return text == "-0" ? "0" : text;
}

std::vector<double> axis_values(double highest) {
  constexpr double most_parts = 5.0;
  double step = std::pow(10.0, std::floor(std::log10(highest / most_parts)));
  for (const double factor : {2.0, 2.5, 2.0}) {
    if (highest / step <= most_parts) break;
    step *= factor;
  }
  const auto parts = static_cast<int>(std::ceil(highest / step - 1e-9));
  std::vector<double> values;
  for (int part = 0; part <= parts; ++part) values.push_back(part * step);
  return values;
}

DayChart::DayChart(const Date& first, std::size_t days, double highest)
    : first_(first), days_(days), values_(axis_values(highest)) {}

double DayChart::x(std::size_t day) const {
  return left + (right - left) * static_cast<double>(day) / static_cast<double>(days_);
}

double DayChart::y(double value) const {
  const double share = std::clamp(value / values_.back(), 0.0, 1.0);
  return bottom - (bottom - top) * share;
}

std::vector<DayChart::DateTick> DayChart::date_ticks() const {
  const TickDistance distance = tick_distance(days_);
  std::vector<DateTick> ticks;
  std::string year;
  for (std::size_t day = 0; day < days_; ++day) {
    const Date date = days_after(first_, day);
    const bool is_first_of_month = date.day() == 1 && date.month() % std::max(distance.months, 1) ==
                                                          1 % std::max(distance.months, 1);
    if (distance.months == 0 ? day % distance.days != 0 : !is_first_of_month) continue;
    const std::string month = date.month().as_short_string();
    const std::string this_year = fmt::format("{}", static_cast<int>(date.year()));
    ticks.push_back(
        {day, distance.months == 0 ? fmt::format("{} {}", date.day().as_number(), month) : month,
         this_year == year ? "" : this_year});
    year = this_year;
  }
  return ticks;
}

Html DayChart::axes(std::string_view unit) const {
  std::string grid;
  Html labels;
  const double step = values_[1];
  const int digits = step < 0.1 ? 2 : step < 1.0 ? 1 : 0;
  for (const double value : values_) {
    grid += fmt::format("M{} {}H{}", svg_number(left), svg_number(y(value)), svg_number(right));
    labels += svg_text("value", left - 5.0, y(value) + 4.0, fmt::format("{:.{}f}", value, digits));
  }
  std::string ticks =
      fmt::format("M{} {}H{}", svg_number(left), svg_number(bottom), svg_number(right));
  for (const DateTick& tick : date_ticks()) {
    ticks += fmt::format("M{} {}v5", svg_number(x(tick.day)), svg_number(bottom));
    labels += svg_text("date", x(tick.day), bottom + 17.0, tick.label);
    if (!tick.year.empty()) labels += svg_text("date", x(tick.day), bottom + 30.0, tick.year);
  }
  labels += svg_text("unit", 4.0, 11.0, unit);
  return element("path", {{"class", "grid"}, {"d", grid}}) +
         element("path", {{"class", "axis"}, {"d", ticks}}) + labels;
}

std::string DayChart::staircase(std::span<const double> values, std::size_t first) const {
  std::string path = "M" + svg_number(x(first)) + " " + svg_number(y(values.front()));
  for (std::size_t day = 1; day < values.size(); ++day) {
    if (values[day] == values[day - 1]) continue;
    path += "H" + svg_number(x(first + day)) + "V" + svg_number(y(values[day]));
  }
  return path + "H" + svg_number(x(first + values.size()));
}

std::string DayChart::curve(std::span<const double> values, std::size_t first) const {
  constexpr double seen = 0.12;
  const auto is_straight = [&](std::size_t from, std::size_t to) {
    const double slope = (y(values[to]) - y(values[from])) / static_cast<double>(to - from);
    for (std::size_t day = from + 1; day < to; ++day) {
      const double on_line = y(values[from]) + slope * static_cast<double>(day - from);
      if (std::abs(on_line - y(values[day])) > seen) return false;
    }
    return true;
  };
  std::string path = "M" + svg_number(x(first)) + " " + svg_number(y(values.front()));
  for (std::size_t at = 0; at + 1 < values.size();) {
    std::size_t next = at + 1;
    while (next + 1 < values.size() && is_straight(at, next + 1)) ++next;
    path += "L" + svg_number(x(first + next)) + " " + svg_number(y(values[next]));
    at = next;
  }
  return values.size() > 1 ? path : path + "H" + svg_number(x(first + 1));
}

Html DayChart::day_line(std::string_view css_class, std::size_t day, std::string_view word) const {
  // The unit stands at the left, on the height of the word.
  constexpr double left_of_word = left + 74.0;
  const double at = middle(day);
  const std::string line =
      fmt::format("M{} {}V{}", svg_number(at), svg_number(top - 4.0), svg_number(bottom));
  return element("g", {{"class", std::string{css_class}}},
                 element("path", {{"d", line}}) +
                     svg_text("word", std::max(at, left_of_word), top - 8.0, word));
}

Html DayChart::begin_lines(std::string_view css_class, const std::vector<std::size_t>& days,
                           const std::vector<std::string>& words) const {
  constexpr double room_for_word = 34.0;
  Html made;
  for (std::size_t i = 0; i < days.size(); ++i) {
    const double at = x(days[i]);
    const double next = i + 1 < days.size() ? x(days[i + 1]) : right;
    Html mark = element(
        "path",
        {{"d", fmt::format("M{} {}V{}", svg_number(at), svg_number(top), svg_number(bottom))}});
    if (next - at >= room_for_word) {
      mark += svg_text("leg-word", at + 3.0, bottom - 12.0, words[i]);
    } else if (at - left >= room_for_word && i == 0) {
      mark += svg_text("leg-word end-value", at - 3.0, bottom - 12.0, words[i]);
    }
    made +=
        element("g", {{"class", std::string{css_class}}}, text_element("title", words[i]) + mark);
  }
  return made;
}

Html DayChart::walking_mark() const {
  const std::string line = fmt::format("M0 {}V{}", svg_number(top - 4.0), svg_number(bottom));
  return element(
      "g", {{"class", "mark"}},
      element("path", {{"d", line}}) + element("circle", {{"r", "4"}, {"cy", svg_number(bottom)}}));
}

Html DayChart::svg(const std::string& id, const Html& title, const Html& description,
                   const Html& drawing) const {
  const std::string title_id = id + "-title";
  const std::string description_id = id + "-text";
  return element("svg",
                 {{"xmlns", "http://www.w3.org/2000/svg"},
                  {"viewBox", fmt::format("0 0 {} {}", svg_number(width), svg_number(height))},
                  {"role", "img"},
                  {"aria-labelledby", title_id + " " + description_id},
                  {"data-left", svg_number(left)},
                  {"data-right", svg_number(right)}},
                 element("title", {{"id", title_id}}, title) +
                     element("desc", {{"id", description_id}}, description) + drawing);
}

Html end_labels(std::vector<EndLabel> labels) {
  constexpr double apart = 12.5;
  std::stable_sort(labels.begin(), labels.end(),
                   [](const EndLabel& a, const EndLabel& b) { return a.y < b.y; });
  for (std::size_t i = 1; i < labels.size(); ++i) {
    labels[i].y = std::max(labels[i].y, labels[i - 1].y + apart);
  }
  // Pushed past the foot of the chart, the lowest come back up, and with them
  // whatever they would then cover.
  double lowest = DayChart::bottom;
  for (std::size_t i = labels.size(); i > 0; --i) {
    labels[i - 1].y = std::min(labels[i - 1].y, lowest);
    lowest = labels[i - 1].y - apart;
  }
  Html made;
  for (const EndLabel& label : labels) {
    made += svg_text(label.css_class, DayChart::right + 5.0, label.y + 4.0, label.text);
  }
  return made;
}

}  // namespace slowdawn
