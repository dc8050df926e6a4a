#include "present/tank_plan.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <slowdawn/present/phrases.hpp>
#include <slowdawn/tank/survey_report.hpp>

#include "present/svg_chart.hpp"
#include "present/tank_map.hpp"

namespace slowdawn {
namespace {

constexpr double plan_width = 360.0;
constexpr double margin = 8.0;
/// Room for the words "back" and "front".
constexpr double margin_of_words = 17.0;
constexpr double largest_radius = 15.0;
constexpr double letter_radius = 8.0;

struct Box {
  double x;
  double y;
  double width;
  double height;

  bool overlaps(const Box& other) const {
    return x < other.x + other.width && other.x < x + width && y < other.y + other.height &&
           other.y < y + height;
  }
};

struct Point {
  double x;
  double y;
};

struct DrawnSpot {
  std::size_t spot;
  Length x;
  Length y;
  std::optional<Ppfd> before;
  std::optional<Ppfd> goal;
  std::string label;
  /// Of the larger ring, or of the letter's.
  double radius = letter_radius;
  /// On the drawing.
  Point at{};
  /// Where the letter has room: at the spot, or beside it.
  Point letter_at{};
};

std::string ppfd_text(const std::optional<Ppfd>& ppfd) { return ppfd ? to_text(*ppfd) : "?"; }

/// The tank's length and width, or what its spots need.
std::pair<Length, Length> size_of(const Tank& tank, const std::vector<DrawnSpot>& spots) {
  if (tank.water) return {tank.water->length, tank.water->width};
  Length length = Length::cm(1.0);
  Length width = Length::cm(1.0);
  for (const DrawnSpot& spot : spots) {
    length = std::max(length, 1.05 * spot.x);
    width = std::max(width, 1.05 * spot.y);
  }
  return {length, width};
}

bool is_inside(const Box& inner, const Box& outer) {
  return inner.x >= outer.x && inner.x + inner.width <= outer.x + outer.width &&
         inner.y >= outer.y && inner.y + inner.height <= outer.y + outer.height;
}

bool is_free(const Box& place, const std::vector<Box>& taken) {
  return std::none_of(taken.begin(), taken.end(),
                      [&](const Box& box) { return box.overlaps(place); });
}

Box box_around(Point middle, double radius) {
  return {middle.x - radius, middle.y - radius, 2.0 * radius, 2.0 * radius};
}

/// The free place for a letter that is nearest to its spot, looked for on circles
/// around it; the spot itself where the tank is full.
Point nearest_room(Point spot, const std::vector<Box>& taken, const Box& water) {
  constexpr double between_circles = letter_radius;
  constexpr int circles = 12;
  constexpr int directions = 16;
  for (int round = 2; round < circles; ++round) {
    for (int direction = 0; direction < directions; ++direction) {
      const double angle = 2.0 * std::numbers::pi * direction / directions;
      const Point place{spot.x + round * between_circles * std::cos(angle),
                        spot.y + round * between_circles * std::sin(angle)};
      const Box box = box_around(place, letter_radius);
      if (is_inside(box, water) && is_free(box, taken)) return place;
    }
  }
  return spot;
}

/// Gives every letter a place of its own; those that stand at their spot without
/// being in the way of others come first, and the rest stay clear of all rings.
void place_letters(std::vector<DrawnSpot>& spots, const Box& water) {
  std::vector<Box> taken;
  std::vector<Box> ring_boxes;
  std::vector<DrawnSpot*> waiting;
  for (DrawnSpot& spot : spots) {
    spot.letter_at = spot.at;
    const Box box = box_around(spot.at, letter_radius);
    ring_boxes.push_back(box_around(spot.at, spot.radius));
    if (is_free(box, taken)) {
      taken.push_back(box);
    } else {
      waiting.push_back(&spot);
    }
  }
  taken.insert(taken.end(), ring_boxes.begin(), ring_boxes.end());
  for (DrawnSpot* spot : waiting) {
    spot->letter_at = nearest_room(spot->at, taken, water);
    taken.push_back(box_around(spot->letter_at, letter_radius));
  }
}

/// Where the label of a spot has room: below, above, right or left of it.
std::optional<Box> place_label(const DrawnSpot& spot, const std::vector<Box>& taken,
                               const Box& water) {
  constexpr double letter_width = 6.0;
  constexpr double line_height = 12.0;
  const double width = letter_width * static_cast<double>(display_width(spot.label));
  const double away = spot.radius + 1.5;
  const std::array<Box, 4> places{{
      {spot.at.x - width / 2, spot.at.y + away, width, line_height},
      {spot.at.x - width / 2, spot.at.y - away - line_height, width, line_height},
      {spot.at.x + away, spot.at.y - line_height / 2, width, line_height},
      {spot.at.x - away - width, spot.at.y - line_height / 2, width, line_height},
  }};
  const auto found = std::find_if(places.begin(), places.end(), [&](const Box& place) {
    return is_inside(place, water) && is_free(place, taken);
  });
  return found == places.end() ? std::nullopt : std::optional{*found};
}

/// The places of all labels; none where one of them has no room, as the table
/// has every number, and a map with some of them would only puzzle.
std::vector<Box> place_labels(const std::vector<DrawnSpot>& spots, const Box& water) {
  std::vector<Box> taken;
  for (const DrawnSpot& spot : spots) {
    taken.push_back(box_around(spot.at, spot.radius));
    taken.push_back(box_around(spot.letter_at, letter_radius));
  }
  std::vector<Box> labels;
  for (const DrawnSpot& spot : spots) {
    const auto place = place_label(spot, taken, water);
    if (!place) return {};
    taken.push_back(*place);
    labels.push_back(*place);
  }
  return labels;
}

Html circle(std::string_view css_class, Point middle, double radius) {
  return element("circle", {{"class", std::string{css_class}},
                            {"cx", svg_number(middle.x)},
                            {"cy", svg_number(middle.y)},
                            {"r", svg_number(radius)}});
}

Html words(std::string_view css_class, double x, double y, std::string_view text) {
  return text_element(
      "text", {{"class", std::string{css_class}}, {"x", svg_number(x)}, {"y", svg_number(y)}},
      text);
}

/// Rings have areas as the PPFD.
double ring_radius(const Ppfd& ppfd, double brightest) {
  return largest_radius * std::sqrt(ppfd.umol_m2_s() / brightest);
}

Html rings(const DrawnSpot& spot, double brightest) {
  Html made;
  if (spot.goal) made += circle("ring-goal", spot.at, ring_radius(*spot.goal, brightest));
  if (spot.before) made += circle("ring-before", spot.at, ring_radius(*spot.before, brightest));
  return made;
}

/// The letter on a small disc; a line leads to it where it stands beside its spot.
Html letter(const DrawnSpot& spot) {
  const Point at = spot.letter_at;
  Html made;
  if (at.x != spot.at.x || at.y != spot.at.y) {
    made += element("path",
                    {{"class", "lead"},
                     {"d", fmt::format("M{} {}L{} {}", svg_number(spot.at.x), svg_number(spot.at.y),
                                       svg_number(at.x), svg_number(at.y))}});
  }
  return made + circle("dot", at, letter_radius) +
         words("letter", at.x, at.y + 3.8, map_letter(spot.spot));
}

/// What the drawing shows, in words.
std::string plan_words(const Tank& tank, const std::vector<DrawnSpot>& spots) {
  std::string description;
  for (const DrawnSpot& spot : spots) {
    description += fmt::format(
        "{}{} {}, {:.0f} cm from the left and {:.0f} from the front: {} before, {} at the goal",
        description.empty() ? "" : "; ", map_letter(spot.spot),
        to_safe_text(tank.spots[spot.spot].name), spot.x.cm(), spot.y.cm(), ppfd_text(spot.before),
        ppfd_text(spot.goal));
  }
  return description + ".";
}

}  // namespace

Html tank_plan_svg(const Tank& tank) {
  std::vector<DrawnSpot> spots;
  double brightest = 1e-9;
  for (std::size_t spot = 0; spot < tank.spots.size(); ++spot) {
    const Spot& place = tank.spots[spot];
    if (!place.x || !place.y) continue;
    const auto before = steady_ppfd(tank, spot, tank.ramp.from);
    const auto goal = steady_ppfd(tank, spot, tank.ramp.to);
    for (const auto& ppfd : {before, goal}) {
      if (ppfd) brightest = std::max(brightest, ppfd->umol_m2_s());
    }
    spots.push_back(
        {spot, *place.x, *place.y, before, goal, ppfd_text(before) + "→" + ppfd_text(goal)});
  }
  if (spots.empty()) return {};

  const auto [length, width] = size_of(tank, spots);
  const double inner = plan_width - 2.0 * margin;
  const double depth = std::clamp(inner * width / length, 90.0, 420.0);
  const Box water{margin, margin_of_words, inner, depth};
  for (DrawnSpot& spot : spots) {
    spot.at = {water.x + inner * std::clamp(spot.x / length, 0.0, 1.0),
               water.y + depth * (1.0 - std::clamp(spot.y / width, 0.0, 1.0))};
    for (const auto& ppfd : {spot.before, spot.goal}) {
      if (ppfd) spot.radius = std::max(spot.radius, ring_radius(*ppfd, brightest));
    }
  }

  place_letters(spots, water);

  Html drawing = element("rect", {{"class", "water"},
                                  {"x", svg_number(water.x)},
                                  {"y", svg_number(water.y)},
                                  {"width", svg_number(water.width)},
                                  {"height", svg_number(water.height)},
                                  {"rx", "4"}});
  const double height = depth + 2.0 * margin_of_words;
  drawing += words("side", plan_width / 2.0, margin_of_words - 5.0, "back");
  drawing += words("side", plan_width / 2.0, height - 4.0, "front");
  for (const DrawnSpot& spot : spots) drawing += rings(spot, brightest);
  for (const DrawnSpot& spot : spots) drawing += letter(spot);
  const std::vector<Box> labels = place_labels(spots, water);
  for (std::size_t i = 0; i < labels.size(); ++i) {
    const Box& label = labels[i];
    drawing += words("ppfd", label.x + label.width / 2.0, label.y + 9.5, spots[i].label);
  }
  return element("svg",
                 {{"xmlns", "http://www.w3.org/2000/svg"},
                  {"viewBox", fmt::format("0 0 {} {}", svg_number(plan_width), svg_number(height))},
                  {"role", "img"},
                  {"class", "tank-plan"},
                  {"aria-labelledby", "tank-plan-title tank-plan-text"}},
                 text_element("title", {{"id", "tank-plan-title"}}, "The tank from above") +
                     text_element("desc", {{"id", "tank-plan-text"}}, plan_words(tank, spots)) +
                     drawing);
}

}  // namespace slowdawn
