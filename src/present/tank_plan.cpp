#include "present/tank_plan.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
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

struct DrawnSpot {
  std::size_t spot;
  double x_cm;
  double y_cm;
  /// On the drawing.
  double x;
  double y;
  std::optional<Ppfd> before;
  std::optional<Ppfd> goal;
  std::string label;
  /// Of the larger ring, or of the letter's.
  double radius;
};

std::string ppfd_text(const std::optional<Ppfd>& ppfd) { return ppfd ? to_text(*ppfd) : "?"; }

/// The tank's length and width in cm, or what its spots need.
std::pair<double, double> size_of(const Tank& tank, const std::vector<DrawnSpot>& spots) {
  if (tank.water) return {tank.water->length_cm, tank.water->width_cm};
  double length = 1.0;
  double width = 1.0;
  for (const DrawnSpot& spot : spots) {
    length = std::max(length, 1.05 * spot.x_cm);
    width = std::max(width, 1.05 * spot.y_cm);
  }
  return {length, width};
}

/// Where the label of a spot has room: below, above, right or left of it.
Box place_label(const DrawnSpot& spot, const std::vector<Box>& taken, const Box& tank) {
  constexpr double letter_width = 6.0;
  constexpr double line_height = 12.0;
  const double width = letter_width * static_cast<double>(display_width(spot.label));
  const double away = spot.radius + 1.5;
  const std::array<Box, 4> places{{
      {spot.x - width / 2, spot.y + away, width, line_height},
      {spot.x - width / 2, spot.y - away - line_height, width, line_height},
      {spot.x + away, spot.y - line_height / 2, width, line_height},
      {spot.x - away - width, spot.y - line_height / 2, width, line_height},
  }};
  const auto is_free = [&](const Box& place) {
    const bool is_inside = place.x >= tank.x && place.x + place.width <= tank.x + tank.width &&
                           place.y >= tank.y && place.y + place.height <= tank.y + tank.height;
    return is_inside && std::none_of(taken.begin(), taken.end(),
                                     [&](const Box& box) { return box.overlaps(place); });
  };
  const auto found = std::find_if(places.begin(), places.end(), is_free);
  Box place = found == places.end() ? places.front() : *found;
  place.x = std::clamp(place.x, 0.0, std::max(plan_width - place.width, 0.0));
  return place;
}

Html circle(std::string_view css_class, const DrawnSpot& spot, double radius) {
  return element("circle", {{"class", std::string{css_class}},
                            {"cx", svg_number(spot.x)},
                            {"cy", svg_number(spot.y)},
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
  if (spot.goal) made += circle("ring-goal", spot, ring_radius(*spot.goal, brightest));
  if (spot.before) made += circle("ring-before", spot, ring_radius(*spot.before, brightest));
  return made;
}

}  // namespace

Html tank_plan_svg(const Tank& tank) {
  std::vector<DrawnSpot> spots;
  double brightest = 1e-9;
  for (std::size_t spot = 0; spot < tank.spots.size(); ++spot) {
    const Spot& place = tank.spots[spot];
    if (!place.x_cm || !place.y_cm) continue;
    const auto before = steady_ppfd(tank, spot, tank.ramp.from);
    const auto goal = steady_ppfd(tank, spot, tank.ramp.to);
    for (const auto& ppfd : {before, goal}) {
      if (ppfd) brightest = std::max(brightest, ppfd->umol_m2_s());
    }
    spots.push_back({spot, *place.x_cm, *place.y_cm, 0.0, 0.0, before, goal,
                     ppfd_text(before) + "→" + ppfd_text(goal), letter_radius});
  }
  if (spots.empty()) return {};

  const auto [length, width] = size_of(tank, spots);
  const double inner = plan_width - 2.0 * margin;
  const double depth = std::clamp(inner * width / length, 90.0, 420.0);
  const Box water{margin, margin_of_words, inner, depth};
  std::vector<Box> taken;
  for (DrawnSpot& spot : spots) {
    spot.x = water.x + inner * std::clamp(spot.x_cm / length, 0.0, 1.0);
    spot.y = water.y + depth * (1.0 - std::clamp(spot.y_cm / width, 0.0, 1.0));
    for (const auto& ppfd : {spot.before, spot.goal}) {
      if (ppfd) spot.radius = std::max(spot.radius, ring_radius(*ppfd, brightest));
    }
    taken.push_back(
        {spot.x - spot.radius, spot.y - spot.radius, 2.0 * spot.radius, 2.0 * spot.radius});
  }

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
  std::string description;
  for (const DrawnSpot& spot : spots) {
    drawing += circle("dot", spot, letter_radius);
    drawing += words("letter", spot.x, spot.y + 3.8, map_letter(spot.spot));
    const Box label = place_label(spot, taken, water);
    taken.push_back(label);
    drawing += words("ppfd", label.x + label.width / 2.0, label.y + 9.5, spot.label);
    description += fmt::format(
        "{}{} {}, {:.0f} cm from the left and {:.0f} from the front: {} before, {} at the goal",
        description.empty() ? "" : "; ", map_letter(spot.spot),
        to_safe_text(tank.spots[spot.spot].name), spot.x_cm, spot.y_cm, ppfd_text(spot.before),
        ppfd_text(spot.goal));
  }
  return element("svg",
                 {{"xmlns", "http://www.w3.org/2000/svg"},
                  {"viewBox", fmt::format("0 0 {} {}", svg_number(plan_width), svg_number(height))},
                  {"role", "img"},
                  {"class", "tank-plan"},
                  {"aria-labelledby", "tank-plan-title tank-plan-text"}},
                 text_element("title", {{"id", "tank-plan-title"}}, "The tank from above") +
                     text_element("desc", {{"id", "tank-plan-text"}}, description + ".") + drawing);
}

}  // namespace slowdawn
