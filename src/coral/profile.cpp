#include <algorithm>
#include <slowdawn/coral/profile.hpp>

namespace slowdawn {

Tolerance at_pace(Tolerance tolerance, Pace pace) {
  switch (pace) {
    case Pace::gentle:
      tolerance.weekly_rise = tolerance.weekly_rise * (2.0 / 3.0);
      tolerance.headroom = tolerance.headroom * (2.0 / 3.0);
      break;
    case Pace::standard: break;
    case Pace::brisk:
      tolerance.weekly_rise = tolerance.weekly_rise * (4.0 / 3.0);
      tolerance.headroom = tolerance.headroom * (5.0 / 3.0);
      break;
  }
  return tolerance;
}

Ppfd lowest_ceiling(const Tolerance& tolerance) {
  const auto at_cap = tolerance.excitation ? tolerance.excitation->peak_at_cap() : std::nullopt;
  return std::min(tolerance.peak_ceiling, at_cap.value_or(tolerance.peak_ceiling));
}

}  // namespace slowdawn
