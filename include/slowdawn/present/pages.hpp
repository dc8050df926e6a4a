// Pages to take away: one HTML file each, which loads nothing, reads on a phone,
// a desk screen and paper, and does without scripts.
#pragma once

#include <slowdawn/present/present.hpp>

namespace slowdawn {

struct PageView {
  /// The date that counts as today.
  Date date;
  /// The same as the plan sees it; empty for a plan without days.
  std::optional<TodayView> today;
  /// Of the program.
  std::string version;
};

/// The whole plan: today's setting, charts, the tank from above, steps, looks,
/// caps, cautions, and how it was made.
std::string report_page(const PlannedRamp& ramp, const PageView& view);

/// One printed page to hang by the tank: the steps from today on that fit, boxes
/// to tick, and room for how each group looks.
std::string sheet_page(const PlannedRamp& ramp, const PageView& view);

}  // namespace slowdawn
