#include "tank/ratio_error.hpp"

#include <cmath>

namespace slowdawn {

double compute_ratio_error(const Tank& tank, const LightPart& before, const LightPart& after) {
  return ratio_uncertainty(Readings::one_meter, tank.meter.accuracy.calibration,
                           tank.reading_error(before.spot, before.dials),
                           tank.reading_error(after.spot, after.dials));
}

double compute_history_error(const Tank& tank, double own_error, const LightPart& after) {
  return ratio_uncertainty(Readings::two_meters, tank.meter.accuracy.calibration, own_error,
                           tank.reading_error(after.spot, after.dials));
}

}  // namespace slowdawn
