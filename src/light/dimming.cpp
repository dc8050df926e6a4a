#include <algorithm>
#include <cmath>
#include <slowdawn/light/dimming.hpp>

namespace slowdawn {
namespace {

/// As a share of full. No meter tells what is nearer apart, and a curve through it
/// would be too steep to reckon with.
constexpr double least_rise = 1e-8;

}  // namespace

Result<DimmingCurve> DimmingCurve::through(std::span<const std::pair<Percent, Percent>> pairs) {
  std::vector<Knot> knots{{0.0, 0.0, 0.0}};
  const Knot full{1.0, 1.0, 0.0};
  const auto rises = [](const Knot& from, const Knot& to) {
    return to.drive - from.drive >= least_rise && to.output - from.output >= least_rise;
  };
  for (std::size_t i = 0; i < pairs.size(); ++i) {
    const Knot knot{pairs[i].first.fraction(), pairs[i].second.fraction(), 0.0};
    const bool is_start = i == 0 && knot.drive == 0.0 && knot.output == 0.0;
    const bool is_end = i + 1 == pairs.size() && knot.drive == 1.0 && knot.output == 1.0;
    if (is_start || is_end) continue;
    if (!rises(knots.back(), knot) || !rises(knot, full)) {
      return fault("the dimming pairs do not rise",
                   "give [drive %, output %] pairs, both rising strictly between 0 and 100; "
                   "0 gives 0 and 100 gives 100 of themselves");
    }
    knots.push_back(knot);
  }
  knots.push_back(full);

  const auto width = [&](std::size_t i) { return knots[i + 1].drive - knots[i].drive; };
  const auto secant = [&](std::size_t i) {
    return (knots[i + 1].output - knots[i].output) / width(i);
  };
  const std::size_t last = knots.size() - 1;
  knots[0].slope = secant(0);
  knots[last].slope = secant(last - 1);
  for (std::size_t i = 1; i < last; ++i) {
    // Secants of rising pairs are all positive, so the mean is defined.
    const double weight_before = 2.0 * width(i) + width(i - 1);
    const double weight_after = width(i) + 2.0 * width(i - 1);
    knots[i].slope =
        (weight_before + weight_after) / (weight_before / secant(i - 1) + weight_after / secant(i));
  }
  return DimmingCurve{std::move(knots)};
}

double DimmingCurve::at(double drive) const {
  if (drive <= 0.0) return 0.0;
  if (drive >= 1.0) return 1.0;
  if (is_linear()) return drive;
  const auto right =
      std::upper_bound(knots_.begin(), knots_.end(), drive,
                       [](double value, const Knot& knot) { return value < knot.drive; });
  const Knot& b = *right;
  const Knot& a = *(right - 1);
  const double width = b.drive - a.drive;
  const double t = (drive - a.drive) / width;
  const double s = 1.0 - t;
  return s * s * (a.output * (1.0 + 2.0 * t) + a.slope * width * t) +
         t * t * (b.output * (1.0 + 2.0 * s) - b.slope * width * s);
}

double DimmingCurve::mean_output(Percent from, Percent to) const {
  const double low = std::min(from.fraction(), to.fraction());
  const double high = std::max(from.fraction(), to.fraction());
  if (is_linear() || low == high) return 0.5 * (at(low) + at(high));
  // Gauss's two-point rule is exact for a cubic, hence between knots.
  static const double node = 0.5 / std::sqrt(3.0);
  double area = 0.0;
  double left = low;
  for (const Knot& knot : knots_) {
    const double right = std::min(knot.drive, high);
    if (right <= left) continue;
    const double middle = 0.5 * (left + right);
    const double reach = node * (right - left);
    area += 0.5 * (right - left) * (at(middle - reach) + at(middle + reach));
    left = right;
  }
  return area / (high - low);
}

}  // namespace slowdawn
