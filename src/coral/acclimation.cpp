#include <cmath>
#include <slowdawn/coral/acclimation.hpp>

namespace slowdawn {

double daily_adaptation(Days tau) { return -std::expm1(-1.0 / tau.d()); }

AdaptationRates::AdaptationRates(const Tolerance& tolerance)
    : up(daily_adaptation(tolerance.tau_up)), down(daily_adaptation(tolerance.tau_down)) {}

Acclimation after_day(const Acclimation& used_to, const Exposure& day,
                      const AdaptationRates& rates) {
  const double dose_share = day.dose > used_to.dose ? rates.up : rates.down;
  const double peak_share = day.peak > used_to.peak ? rates.up : rates.down;
  return {used_to.dose + dose_share * (day.dose - used_to.dose),
          used_to.peak + peak_share * (day.peak - used_to.peak)};
}

double ratio_uncertainty(Readings readings, const MeterAccuracy& meter) {
  const double repeat = meter.repeat.fraction();
  return ratio_uncertainty(readings, meter.calibration, repeat, repeat);
}

double ratio_uncertainty(Readings readings, Percent calibration, double before, double after) {
  const double c = calibration.fraction();
  switch (readings) {
    case Readings::same: return 0.0;
    case Readings::one_meter: return std::sqrt(before * before + after * after);
    case Readings::two_meters: return std::sqrt(before * before + after * after + c * c);
  }
  return 0.0;
}

double doubt_factor(double uncertainty) {
  // 1.645: the 95 % point of the standard normal distribution.
  return std::exp(-1.645 * uncertainty);
}

Acclimation at_start(const Exposure& before, double carryover, double uncertainty) {
  const double share = carryover * doubt_factor(uncertainty);
  return {share * before.dose, share * before.peak};
}

}  // namespace slowdawn
