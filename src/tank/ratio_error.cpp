#include "tank/ratio_error.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace slowdawn {
namespace {

bool counts(const LightPart& part, std::size_t light) {
  return part.lights.empty() ||
         std::find(part.lights.begin(), part.lights.end(), light) != part.lights.end();
}

}  // namespace

Gradient gradient_of(const Tank& tank, const LightPart& part, SunDays days) {
  Gradient gradient(tank.lights.size());
  double dose = 0.0;
  for (const auto& [number, dial] : part.dials) {
    if (dial.percent() <= 0.0 || !counts(part, number)) continue;
    const TankLight& light = tank.lights[number];
    const LightCourse& course = days == SunDays::before ? light.course_before() : light.course;
    const DailyDose of_one =
        light.usable_weight * Ppfd::umol_m2_s(1.0) * full_output_hours(course, dial);
    gradient[number] = of_one.mol_m2_d();
    const auto& output = tank.full_output[part.spot][number];
    dose += gradient[number] * output.value_or(FullOutput{}).ppfd.umol_m2_s();
  }
  if (dose <= 0.0) return Gradient(tank.lights.size());
  for (double& value : gradient) value /= dose;
  return gradient;
}

namespace {

/// g'Cg, estimates included.
double variance_of(const Tank& tank, std::size_t spot, Gradient gradient) {
  double variance = 0.0;
  const auto& outputs = tank.full_output[spot];
  for (std::size_t light = 0; light < std::min(gradient.size(), outputs.size()); ++light) {
    if (!outputs[light] || !outputs[light]->log_error) continue;
    const double error =
        gradient[light] * outputs[light]->ppfd.umol_m2_s() * *outputs[light]->log_error;
    variance += error * error;
    gradient[light] = 0.0;
  }
  // A spot that a later tank file no longer names has outputs and no readings.
  if (spot < tank.fits.size()) variance += tank.fits[spot].covariance.variance(gradient);
  return variance;
}

/// By light, the relative error of the part's dose for the rounding of its channels.
std::vector<double> roundings_of(const Tank& tank, const LightPart& part,
                                 const Gradient& gradient) {
  std::vector<double> errors(gradient.size());
  for (const auto& [light, dial] : part.dials) {
    if (tank.lights[light].channels.empty() || gradient[light] == 0.0) continue;
    const auto& output = tank.full_output[part.spot][light];
    const double share = gradient[light] * output.value_or(FullOutput{}).ppfd.umol_m2_s();
    errors[light] = share * tank.lights[light].rounding_error(dial);
  }
  return errors;
}

double sum_of_squares(const std::vector<double>& values) {
  return std::inner_product(values.begin(), values.end(), values.begin(), 0.0);
}

/// The variance of a part by itself.
double variance_of_part(const Tank& tank, const LightPart& part, SunDays days) {
  const Gradient gradient = gradient_of(tank, part, days);
  return variance_of(tank, part.spot, gradient) +
         sum_of_squares(roundings_of(tank, part, gradient));
}

/// Whether a light stands in both parts at the same dial, where its channels are rounded
/// alike.
bool stands_alike(const LightPart& before, const LightPart& after, std::size_t light) {
  const auto from = before.dials.find(light);
  const auto to = after.dials.find(light);
  return from != before.dials.end() && to != after.dials.end() && from->second == to->second;
}

}  // namespace

double compute_ratio_error(const Tank& tank, const LightPart& before, const LightPart& after) {
  if (before.spot != after.spot) {
    return std::sqrt(variance_of_part(tank, before, SunDays::before) +
                     variance_of_part(tank, after, SunDays::ahead));
  }
  const Gradient from = gradient_of(tank, before, SunDays::before);
  const Gradient to = gradient_of(tank, after, SunDays::ahead);
  Gradient difference(from.size());
  std::transform(to.begin(), to.end(), from.begin(), difference.begin(), std::minus<>{});
  const std::vector<double> rounded_from = roundings_of(tank, before, from);
  std::vector<double> rounded = roundings_of(tank, after, to);
  for (std::size_t light = 0; light < rounded.size(); ++light) {
    rounded[light] = stands_alike(before, after, light)
                         ? rounded[light] - rounded_from[light]
                         : std::hypot(rounded[light], rounded_from[light]);
  }
  return std::sqrt(variance_of(tank, after.spot, std::move(difference)) + sum_of_squares(rounded));
}

double compute_history_error(const Tank& tank, double own_error, const LightPart& after) {
  const double calibration = tank.meter.accuracy.calibration.fraction();
  return std::hypot(own_error, compute_part_error(tank, after), calibration);
}

double compute_part_error(const Tank& tank, const LightPart& part, SunDays days) {
  return std::sqrt(variance_of_part(tank, part, days));
}

double Tank::reading_error(std::size_t spot, const std::map<std::size_t, Percent>& dials) const {
  return compute_part_error(*this, {spot, dials});
}

}  // namespace slowdawn
