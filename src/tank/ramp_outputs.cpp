#include "tank/ramp_outputs.hpp"

#include <algorithm>
#include <cmath>
#include <set>

namespace slowdawn {
namespace {

using Dials = std::map<std::size_t, Percent>;

/// Moments of one proportion, as while all lights are fully up, are one.
class DifferentOutputs {
 public:
  void add(Outputs outputs) {
    const double largest = *std::max_element(outputs.begin(), outputs.end());
    if (largest <= 0.0) return;
    constexpr double grain = 1e12;
    for (double& output : outputs) output = std::round(output / largest * grain) / grain;
    all_.insert(std::move(outputs));
  }

  std::vector<Outputs> take() const { return {all_.begin(), all_.end()}; }

 private:
  std::set<Outputs> all_;
};

const LightCourse& course_of(const TankLight& light, OutputsWhen when) {
  return when == OutputsWhen::before ? light.course_before() : light.course;
}

void add_day(DifferentOutputs& different, const Tank& tank, const Dials& dials, OutputsWhen when) {
  std::set<double> minutes;
  for (int minute = 0; minute < static_cast<int>(whole_day.min()); ++minute) minutes.insert(minute);
  for (const auto& [light, dial] : dials) {
    for (const auto& point : course_of(tank.lights[light], when).photoperiod.points()) {
      minutes.insert(std::fmod(point.time.minute(), whole_day.min()));
    }
  }
  Outputs before(tank.lights.size());
  Outputs after(tank.lights.size());
  for (const double minute : minutes) {
    const ClockTime time = ClockTime::minute(minute);
    for (const auto& [light, dial] : dials) {
      const LightCourse& course = course_of(tank.lights[light], when);
      before[light] = course.dimming.output(dial * course.photoperiod.fraction_before(time));
      after[light] = course.dimming.output(dial * course.photoperiod.fraction_after(time));
    }
    different.add(before);
    if (after != before) different.add(after);
  }
}

/// The settings on the way from one to another, without the first.
std::vector<Dials> list_between(const Dials& from, const Dials& to) {
  constexpr int parts = 4;
  std::vector<Dials> settings;
  for (int part = 1; part <= parts; ++part) {
    const double share = static_cast<double>(part) / parts;
    Dials setting;
    for (const auto& [light, end] : to) {
      const Percent start = from.at(light);
      setting[light] = start + share * (end - start);
    }
    settings.push_back(std::move(setting));
  }
  return settings;
}

}  // namespace

std::vector<Outputs> list_outputs(const Tank& tank, const Dials& dials, OutputsWhen when) {
  DifferentOutputs different;
  add_day(different, tank, dials, when);
  return different.take();
}

std::vector<Outputs> list_path_outputs(const Tank& tank) {
  const Dials& goal = tank.ramp.to;
  Dials dark;
  Dials base;
  bool goes_down = true;
  for (const auto& [light, end] : goal) {
    const auto from = tank.ramp.from.find(light);
    dark[light] = Percent{};
    base[light] = from == tank.ramp.from.end() ? Percent{} : from->second;
    goes_down = goes_down && end <= base[light];
  }
  const Dials& middle = goes_down ? goal : base;
  const Dials& end = goes_down ? base : goal;
  DifferentOutputs different;
  for (const Dials& setting : list_between(dark, middle)) {
    add_day(different, tank, setting, OutputsWhen::ahead);
  }
  for (const Dials& setting : list_between(middle, end)) {
    add_day(different, tank, setting, OutputsWhen::ahead);
  }
  return different.take();
}

}  // namespace slowdawn
