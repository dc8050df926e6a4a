#include <cmath>
#include <slowdawn/coral/acclimation.hpp>

namespace slowdawn {

double adaptation_per_day(double tau_days) { return -std::expm1(-1.0 / tau_days); }

AdaptationRates::AdaptationRates(const Tolerance& tolerance)
    : up(adaptation_per_day(tolerance.tau_up_days)),
      down(adaptation_per_day(tolerance.tau_down_days)) {}

Acclimation after_day(const Acclimation& used_to, const Exposure& day,
                      const AdaptationRates& rates) {
  const double dose_share = day.dose > used_to.dose ? rates.up : rates.down;
  const double peak_share = day.peak > used_to.peak ? rates.up : rates.down;
  return {used_to.dose + dose_share * (day.dose - used_to.dose),
          used_to.peak + peak_share * (day.peak - used_to.peak)};
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
