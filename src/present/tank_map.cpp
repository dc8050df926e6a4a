#include "present/tank_map.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace slowdawn {
namespace {

/// Spots this much deeper than the one before begin a new layer.
constexpr Length layer_gap = Length::cm(8.0);
/// Characters are about twice as high as they are wide.
constexpr double character_aspect = 2.0;

struct Extent {
  Length length;
  Length width;
};

struct Drawn {
  Position at;
  std::string text;
};

Extent extent_of(const Tank& tank, const std::vector<Drawn>& drawn) {
  if (tank.water) return {tank.water->length, tank.water->width};
  Extent extent{Length::cm(1.0), Length::cm(1.0)};
  for (const Drawn& mark : drawn) {
    extent.length = std::max(extent.length, mark.at.x);
    extent.width = std::max(extent.width, mark.at.y);
  }
  return extent;
}

class Canvas {
 public:
  Canvas(std::size_t columns, std::size_t rows)
      : columns_(columns), rows_(rows, std::string(columns, ' ')) {}

  /// Writes beginning at a column, or as near to it as there is room, if need be
  /// on a row beside.
  void write(std::size_t column, std::size_t row, const std::string& text) {
    column = std::min(column, columns_ - std::min(columns_, text.size()));
    for (std::size_t away = 0; away < rows_.size(); ++away) {
      for (const bool below : {true, false}) {
        if (below ? row + away >= rows_.size() : away > row || away == 0) continue;
        std::string& line = rows_[below ? row + away : row - away];
        if (!is_free(line, column, text.size())) continue;
        line.replace(column, text.size(), text);
        return;
      }
    }
  }

  std::string to_text() const {
    const std::string edge = "  +" + std::string(columns_, '-') + "+\n";
    std::string text = edge;
    for (const std::string& row : rows_) text += "  |" + row + "|\n";
    return text + edge;
  }

 private:
  static bool is_free(const std::string& line, std::size_t column, std::size_t size) {
    const std::size_t first = column > 0 ? column - 1 : 0;
    const std::string_view part = std::string_view{line}.substr(first, size + 2);
    return part.find_first_not_of(' ') == std::string_view::npos;
  }

  std::size_t columns_;
  std::vector<std::string> rows_;
};

std::string draw_layer(const std::vector<Drawn>& layer, const Extent& extent,
                       const TextStyle& style) {
  const std::size_t columns = std::clamp<std::size_t>(style.width - 6, 30, 72);
  const double scale = static_cast<double>(columns) / extent.length.cm();
  const auto rows = static_cast<std::size_t>(
      std::clamp(std::round(extent.width.cm() * scale / character_aspect), 5.0, 20.0));
  Canvas canvas{columns, rows};
  for (const Drawn& mark : layer) {
    const double across = std::clamp(mark.at.x / extent.length, 0.0, 1.0);
    const double back = std::clamp(mark.at.y / extent.width, 0.0, 1.0);
    canvas.write(static_cast<std::size_t>(across * static_cast<double>(columns - 1)),
                 static_cast<std::size_t>((1.0 - back) * static_cast<double>(rows - 1)), mark.text);
  }
  return canvas.to_text();
}

}  // namespace

std::string map_letter(std::size_t number) {
  std::string letters;
  for (++number; number > 0; number = (number - 1) / 26) {
    letters.insert(letters.begin(), static_cast<char>('a' + (number - 1) % 26));
  }
  return letters;
}

std::string tank_map_text(const Tank& tank, const std::vector<MapMark>& marks,
                          const TextStyle& style) {
  std::vector<Drawn> drawn;
  for (const MapMark& mark : marks) {
    if (const auto at = tank.spots[mark.spot].position()) drawn.push_back({*at, mark.label});
  }
  if (drawn.empty()) return "";
  const Extent extent = extent_of(tank, drawn);
  std::stable_sort(drawn.begin(), drawn.end(),
                   [](const Drawn& a, const Drawn& b) { return a.at.depth < b.at.depth; });
  std::string text;
  for (std::size_t first = 0; first < drawn.size();) {
    std::size_t end = first + 1;
    while (end < drawn.size() && drawn[end].at.depth - drawn[end - 1].at.depth <= layer_gap) {
      ++end;
    }
    const double top = drawn[first].at.depth.cm();
    const double bottom = drawn[end - 1].at.depth.cm();
    text += top == bottom ? fmt::format("{:.0f} cm deep\n", top)
                          : fmt::format("{:.0f} to {:.0f} cm deep\n", top, bottom);
    text += draw_layer({drawn.begin() + static_cast<std::ptrdiff_t>(first),
                        drawn.begin() + static_cast<std::ptrdiff_t>(end)},
                       extent, style);
    first = end;
  }
  return text;
}

}  // namespace slowdawn
