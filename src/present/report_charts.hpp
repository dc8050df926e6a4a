// The charts of the report: the dial of a light, and the dose of a group.
#pragma once

#include <slowdawn/present/planned_ramp.hpp>

#include "present/html.hpp"

namespace slowdawn {

/// A figure each. column: of the path's lights. today: the day to be marked, if
/// any. The plan must have days.
Html dial_figure(const PlannedRamp& ramp, std::size_t column, std::optional<std::size_t> today);
Html group_figure(const PlannedRamp& ramp, std::size_t group, std::optional<std::size_t> today);

/// What the lines and marks of the groups' charts mean.
Html chart_legend(const PlannedRamp& ramp);

}  // namespace slowdawn
