#include "tank/group_start.hpp"

#include <algorithm>

namespace slowdawn {
namespace {

using Dials = std::map<std::size_t, Percent>;

/// A spot of the tank under dials.
struct LitSpot {
  std::size_t spot;
  const Dials& dials;
};

bool have_same_lights(const Dials& one, const Dials& other) {
  return std::equal(one.begin(), one.end(), other.begin(), other.end(),
                    [](const auto& a, const auto& b) { return a.first == b.first; });
}

/// What of its acclimation counts under another light.
struct Change {
  double carryover;
  double doubt;
};

class StartMaker {
 public:
  StartMaker(const Tank& tank, const Group& group, const Tolerance& tolerance)
      : tank_(tank), group_(group), tolerance_(tolerance) {}

  GroupStart make() const {
    const Exposure before = tank_.before(group_);
    const LitSpot goal{group_.spot_of_start(), tank_.ramp.to};
    const LitSpot here{group_.spot, tank_.ramp.from};
    if (!group_.history) return arrive(before, before, change_here(here, goal));
    const History& history = *group_.history;
    const Exposure left =
        stay(usable_history(tank_, history), Exposure{}, days_of(history.dark_days));
    const std::size_t days_here = tank_.days_here(group_);
    if (days_here == 0) return arrive(before, left, change_from(history, goal));
    const Change came = change_from(history, here);
    const Acclimation on_arrival = at_start(left, came.carryover, came.doubt);
    const Exposure now = stay({on_arrival.dose, on_arrival.peak}, before, days_here);
    return arrive(before, now, change_here(here, goal));
  }

 private:
  static std::size_t days_of(int days) { return static_cast<std::size_t>(std::max(days, 0)); }

  static GroupStart arrive(const Exposure& before, const Exposure& used_to, const Change& change) {
    return {before, at_start(used_to, change.carryover, change.doubt), change.doubt};
  }

  /// What it is used to after days of one light.
  Exposure stay(const Exposure& used_to, const Exposure& light, std::size_t days) const {
    const AdaptationRates rates{tolerance_};
    Acclimation now{used_to.dose, used_to.peak};
    for (std::size_t day = 0; day < days; ++day) now = after_day(now, light, rates);
    return {now.dose, now.peak};
  }

  /// Both lights are read in this tank.
  Change change_here(const LitSpot& from, const LitSpot& to) const {
    const bool is_same_light = have_same_lights(from.dials, to.dials);
    const bool is_same = is_same_light && from.spot == to.spot;
    const double doubt = ratio_uncertainty(
        is_same ? Readings::same : Readings::one_meter, tank_.meter.accuracy.calibration,
        tank_.reading_error(from.spot, from.dials), tank_.reading_error(to.spot, to.dials));
    return {is_same_light ? 1.0 : tolerance_.carryover, doubt};
  }

  Change change_from(const History& history, const LitSpot& to) const {
    if (history.basis == History::Basis::spot_here) {
      return change_here({history.spot, history.dials}, to);
    }
    const MeterAccuracy& meter = tank_.meter.accuracy;
    const double error = history.error.value_or(meter.repeat.fraction());
    return {tolerance_.carryover, ratio_uncertainty(Readings::two_meters, meter.calibration, error,
                                                    tank_.reading_error(to.spot, to.dials))};
  }

  const Tank& tank_;
  const Group& group_;
  const Tolerance& tolerance_;
};

}  // namespace

Exposure usable_history(const Tank& tank, const History& history) {
  if (history.basis != History::Basis::spot_here) return history.light;
  return tank.usable_exposure_before(history.spot, history.dials);
}

GroupStart compute_group_start(const Tank& tank, const Group& group, const Tolerance& tolerance) {
  return StartMaker{tank, group, tolerance}.make();
}

}  // namespace slowdawn
