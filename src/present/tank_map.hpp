// The tank from above, drawn with characters.
#pragma once

#include <slowdawn/present/text.hpp>
#include <slowdawn/tank/tank.hpp>
#include <string>
#include <vector>

namespace slowdawn {

/// "a", "b", ... "z", "aa", ...: what stands for a spot on the map.
std::string map_letter(std::size_t number);

/// A spot to be drawn, with a short label such as its PPFD.
struct MapMark {
  std::size_t spot;
  std::string label;
};

/// One drawing for each layer of depth, the shallowest first, the front of the
/// tank at the bottom; spots without coordinates are left out. Empty where none
/// has any.
std::string tank_map_text(const Tank& tank, const std::vector<MapMark>& marks,
                          const TextStyle& style);

}  // namespace slowdawn
