// The tank from above, drawn as SVG.
#pragma once

#include <slowdawn/tank/tank.hpp>

#include "present/html.hpp"

namespace slowdawn {

/// Every spot that has coordinates, the front of the tank at the bottom, with its
/// letter and, where there is room for all of them, its PPFD before and at the
/// goal. Empty where no spot has any.
Html tank_plan_svg(const Tank& tank);

}  // namespace slowdawn
