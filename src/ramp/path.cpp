#include <algorithm>
#include <cmath>
#include <slowdawn/ramp/path.hpp>
#include <stdexcept>

namespace slowdawn {
namespace {

constexpr double rounding = 1e-9;

/// A multiple of the step, free of the noise of binary fractions (0.1 * 3).
double multiple(double count, double step) { return std::round(count * step * 1e9) / 1e9; }

Percent cut_back(double dial, double start, double end, const DialRange& range) {
  const double step = range.step.percent();
  double value = start;
  if (!range.listed.empty()) {
    for (const Percent setting : range.listed) {
      const double at = setting.percent();
      const bool is_passed =
          end > start ? at > start && at <= dial + rounding : at < start && at >= dial - rounding;
      // Of those that are passed the last on the way.
      if (is_passed && (end > start || value == start)) value = at;
    }
  } else if (end > start) {
    value = std::max(start, multiple(std::floor(dial / step + rounding), step));
  } else if (end < start) {
    value = std::min(start, multiple(std::ceil(dial / step - rounding), step));
  }
  if (value < range.lowest.percent()) value = 0.0;
  return Percent::of_full(value);
}

class PathBuilder {
 public:
  explicit PathBuilder(std::span<const PathLight> lights) : lights_(lights) {}

  /// Adds the settings after `start`, up to and with `end`.
  void add_leg(const Setting& start, const Setting& end) {
    int parts = 0;
    for (std::size_t j = 0; j < lights_.size(); ++j) {
      const double length = std::abs((end[j] - start[j]).percent());
      const double steps = std::ceil(length / lights_[j].range.step.percent() - rounding);
      parts = std::max(parts, static_cast<int>(steps));
    }
    for (int part = 1; part <= parts; ++part) {
      const double share = static_cast<double>(part) / parts;
      Setting setting;
      for (std::size_t j = 0; j < lights_.size(); ++j) {
        const double a = start[j].percent();
        const double b = end[j].percent();
        setting.push_back(cut_back(a + (b - a) * share, a, b, lights_[j].range));
      }
      add(setting);
    }
    add(end);
  }

  void add(const Setting& setting) {
    if (is_dark(setting)) return;
    if (!settings_.empty() && settings_.back() == setting) return;
    settings_.push_back(setting);
  }

  std::vector<Setting> settings_;

 private:
  std::span<const PathLight> lights_;
};

}  // namespace

bool DialRange::allows(Percent dial) const {
  if (dial.percent() == 0.0) return true;
  if (listed.empty()) return dial >= lowest && dial <= highest;
  return std::find(listed.begin(), listed.end(), dial) != listed.end();
}

bool is_dark(const Setting& setting) {
  return std::all_of(setting.begin(), setting.end(),
                     [](Percent dial) { return dial.percent() == 0.0; });
}

Path make_path(std::span<const PathLight> lights) {
  Setting dark;
  Setting base;
  Setting goal;
  bool goes_down = true;
  for (const PathLight& light : lights) {
    dark.push_back(Percent{});
    base.push_back(light.base);
    goal.push_back(light.goal);
    goes_down = goes_down && light.goal <= light.base;
  }
  if (is_dark(goal)) throw std::invalid_argument("a path needs a goal that is lit");

  PathBuilder builder{lights};
  Path path;
  builder.add_leg(dark, goes_down ? goal : base);
  const std::size_t after_first_leg = builder.settings_.size();
  builder.add_leg(goes_down ? goal : base, goes_down ? base : goal);
  const std::size_t after_both = builder.settings_.size();

  path.goal = (goes_down ? after_first_leg : after_both) - 1;
  if (!is_dark(base)) path.base = (goes_down ? after_both : after_first_leg) - 1;
  path.settings = std::move(builder.settings_);
  return path;
}

std::optional<std::size_t> find_setting_below(const Path& path, const Setting& dials) {
  for (std::size_t i = path.settings.size(); i-- > 0;) {
    const Setting& setting = path.settings[i];
    bool is_below = true;
    for (std::size_t j = 0; j < setting.size(); ++j) is_below = is_below && setting[j] <= dials[j];
    if (is_below) return i;
  }
  return std::nullopt;
}

std::size_t find_next_brighter(const Path& path, const Setting& dials) {
  const auto below = find_setting_below(path, dials);
  return below ? std::min(*below + 1, path.settings.size() - 1) : 0;
}

}  // namespace slowdawn
