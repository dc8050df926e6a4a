// The sections of the report below its charts.
#pragma once

#include <slowdawn/present/pages.hpp>

#include "present/html.hpp"

namespace slowdawn {

/// The tank from above and its spots, with who lives there on a day.
Html tank_section(const PlannedRamp& ramp, std::size_t day);
Html steps_section(const PlannedRamp& ramp, const std::optional<TodayView>& today);
Html looks_section(const PlannedRamp& ramp);
Html caps_section(const PlannedRamp& ramp);
Html cautions_section();
Html made_section(const PlannedRamp& ramp, const PageView& view);

/// "Saturday".
std::string weekday(const Date& date);
/// A date as text that programs can read as well.
Html time_html(const Date& date);
/// A table in a box that scrolls by itself where it is too wide.
Html scroll_box(const std::string& label, const Html& table);

}  // namespace slowdawn
