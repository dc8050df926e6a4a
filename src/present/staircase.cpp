#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <slowdawn/present/phrases.hpp>
#include <slowdawn/present/present.hpp>

namespace slowdawn {

std::string staircase_text(const PlannedRamp& ramp, std::size_t light_column,
                           const TextStyle& style) {
  constexpr std::size_t margin = 9;
  constexpr int rows = 8;
  const std::size_t days = ramp.plan.days.size();
  const std::size_t room = style.width > margin + 20 ? style.width - margin - 1 : 20;
  // Whole days a column, so that a step of the plan is a step of the drawing.
  const std::size_t days_per_column = (days + room - 1) / room;
  const std::size_t columns = (days + days_per_column - 1) / days_per_column;

  const std::size_t light = ramp.setup.path_lights[light_column];
  std::vector<double> dials;
  for (std::size_t c = 0; c < columns; ++c) {
    dials.push_back(ramp.dials(c * days_per_column).at(light).percent());
  }
  const double top = *std::max_element(dials.begin(), dials.end());
  std::string text = fmt::format(
      "{}, % of its dial; a column is {}\n", to_safe_text(ramp.light_name(light_column)),
      days_per_column == 1 ? std::string{"a day"} : fmt::format("{} days", days_per_column));
  if (top <= 0.0) return text + "  off all the while\n";
  const auto height = [&](double dial) { return static_cast<int>(std::ceil(rows * dial / top)); };
  for (int row = rows; row >= 1; --row) {
    const std::string label =
        row == rows || row == rows / 2 ? to_text(Percent::of_full(top * row / rows)) : "";
    std::string line = fit_right(label, margin - 2) + " |";
    for (const double dial : dials) {
      line += height(dial) == row ? '#' : height(dial) > row ? ':' : ' ';
    }
    line.erase(line.find_last_not_of(' ') + 1);
    text += line + "\n";
  }
  text += std::string(margin - 1, ' ') + "+" + std::string(columns, '-') + "\n";
  const std::string first = to_iso(ramp.date(0));
  const std::string last = to_iso(ramp.date(days - 1));
  std::string axis = std::string(margin, ' ') + first;
  if (columns >= first.size() + last.size() + 2) {
    axis += std::string(columns - first.size() - last.size(), ' ') + last;
  }
  return text + axis + "\n";
}

}  // namespace slowdawn
