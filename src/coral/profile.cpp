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

}  // namespace slowdawn
