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

double doubt_factor(double uncertainty) {
  // 1.645: the 95 % point of the standard normal distribution.
  return std::exp(-1.645 * uncertainty);
}

}  // namespace slowdawn
