#include <algorithm>
#include <cmath>
#include <slowdawn/light/exposure.hpp>

namespace slowdawn {
namespace {

ClockTime within_a_day(double minute) {
  return ClockTime::minute(std::fmod(minute, whole_day.min()));
}

}  // namespace

Hours full_output_hours(const LightCourse& light, Percent dial) {
  const auto points = light.photoperiod.points();
  Minutes minutes;
  for (std::size_t i = 0; i < points.size(); ++i) {
    const bool wraps = i + 1 == points.size();
    const auto& from = points[i];
    const auto& to = wraps ? points.front() : points[i + 1];
    const Minutes length = to.time - from.time + (wraps ? whole_day : Minutes{});
    if (length == Minutes{}) continue;
    minutes += length * light.dimming.mean_output(dial * from.fraction, dial * to.fraction);
  }
  return light.dose_share * minutes.hours();
}

LitDay::LitDay(std::span<const LightCourse> lights, std::span<const Percent> dials) {
  for (std::size_t j = 0; j < lights.size(); ++j) {
    const bool is_lit = dials[j].percent() > 0.0;
    hours_.push_back(is_lit ? full_output_hours(lights[j], dials[j]) : Hours{});
  }
  add_moments(lights, dials);
}

void LitDay::add_moments(std::span<const LightCourse> lights, std::span<const Percent> dials) {
  std::vector<ClockTime> corners;
  std::size_t lit = 0;
  bool has_curve = false;
  for (std::size_t j = 0; j < lights.size(); ++j) {
    if (dials[j].percent() <= 0.0) continue;
    ++lit;
    has_curve = has_curve || !lights[j].dimming.is_linear();
    for (const auto& point : lights[j].photoperiod.points()) {
      corners.push_back(within_a_day(point.time.minute()));
    }
  }
  std::sort(corners.begin(), corners.end());
  corners.erase(std::unique(corners.begin(), corners.end()), corners.end());

  enum class Side { before, after };
  const auto add = [&](ClockTime time, Side side) {
    for (std::size_t j = 0; j < lights.size(); ++j) {
      const Photoperiod& course = lights[j].photoperiod;
      const double fraction =
          side == Side::before ? course.fraction_before(time) : course.fraction_after(time);
      outputs_.push_back(dials[j].percent() > 0.0 ? lights[j].dimming.output(dials[j] * fraction)
                                                  : 0.0);
    }
  };
  // Between two corners every light moves one way. Where none rises while
  // another falls, the sum peaks at an end and the minutes between add nothing.
  const auto may_peak_inside = [&](ClockTime left, ClockTime right) {
    bool rises = false;
    bool falls = false;
    for (std::size_t j = 0; j < lights.size(); ++j) {
      if (dials[j].percent() <= 0.0) continue;
      const double change =
          lights[j].photoperiod.fraction_before(right) - lights[j].photoperiod.fraction_after(left);
      rises = rises || change > 0.0;
      falls = falls || change < 0.0;
    }
    return rises && falls;
  };
  for (std::size_t i = 0; i < corners.size(); ++i) {
    add(corners[i], Side::before);
    add(corners[i], Side::after);
    if (lit < 2 || !has_curve) continue;
    const bool wraps = i + 1 == corners.size();
    const ClockTime right = wraps ? corners.front() : corners[i + 1];
    if (!may_peak_inside(corners[i], right)) continue;
    const double end = (wraps ? right + whole_day : right).minute();
    for (int minute = static_cast<int>(corners[i].minute()) + 1; minute < end; ++minute) {
      add(within_a_day(minute), Side::after);
    }
  }
}

Exposure LitDay::at(std::span<const Ppfd> full_output) const {
  Exposure exposure;
  for (std::size_t j = 0; j < hours_.size(); ++j) exposure.dose += full_output[j] * hours_[j];
  exposure.peak = find_peak(full_output).ppfd;
  return exposure;
}

LitDay::Peak LitDay::find_peak(std::span<const Ppfd> full_output) const {
  Peak peak;
  for (std::size_t first = 0; first < outputs_.size(); first += hours_.size()) {
    Ppfd sum;
    for (std::size_t j = 0; j < hours_.size(); ++j) sum += full_output[j] * outputs_[first + j];
    if (sum > peak.ppfd) peak = {sum, first};
  }
  return peak;
}

std::vector<double> LitDay::outputs_at_peak(std::span<const Ppfd> full_output) const {
  std::vector<double> outputs(hours_.size());
  const Peak peak = find_peak(full_output);
  if (peak.ppfd > Ppfd{}) {
    const auto moment = outputs_.begin() + static_cast<std::ptrdiff_t>(peak.moment);
    std::copy_n(moment, hours_.size(), outputs.begin());
  }
  return outputs;
}

}  // namespace slowdawn
