#include <cmath>
#include <slowdawn/coral/acclimation.hpp>

namespace slowdawn {

double adaptation_per_day(double tau_days) { return -std::expm1(-1.0 / tau_days); }

Acclimation after_day(const Acclimation& used_to, const Exposure& day,
                      const Tolerance& tolerance) {
  const auto share = [&](bool rises) {
    return adaptation_per_day(rises ? tolerance.tau_up_days : tolerance.tau_down_days);
  };
  return {used_to.dose + share(day.dose > used_to.dose) * (day.dose - used_to.dose),
          used_to.peak + share(day.peak > used_to.peak) * (day.peak - used_to.peak)};
}

double ratio_uncertainty(Readings readings, const MeterAccuracy& meter) {
  const double r = meter.repeat.fraction();
  const double c = meter.calibration.fraction();
  switch (readings) {
    case Readings::same: return 0.0;
    case Readings::one_meter: return std::sqrt(2.0) * r;
    case Readings::two_meters: return std::sqrt(2.0 * r * r + c * c);
  }
  return 0.0;
}

Acclimation at_start(const Exposure& before, double carryover, double uncertainty) {
  // 1.645: the 95 % point of the standard normal distribution.
  const double share = carryover * std::exp(-1.645 * uncertainty);
  return {share * before.dose, share * before.peak};
}

}  // namespace slowdawn
