#include <cmath>
#include <slowdawn/coral/excitation.hpp>
#include <stdexcept>

namespace slowdawn {
namespace {

/// Under this x the difference in (1) loses digits and its series is taken.
constexpr double series_below = 0.05;

}  // namespace

double excitation_proxy(double x) {
  if (x >= series_below) return 1.0 - std::tanh(x) / x;
  // The series of tanh, divided by x; the next term is 1e-14 of the first.
  const double y = x * x;
  return y * (1.0 / 3.0 -
              y * (2.0 / 15.0 - y * (17.0 / 315.0 - y * (62.0 / 2835.0 - y * 1382.0 / 155925.0))));
}

double find_peak_over_ek(double proxy) {
  if (!(proxy > 0.0 && proxy < 1.0)) {
    throw std::invalid_argument("an excitation proxy must be between 0 and 1");
  }
  double low = 0.0;
  // tanh < 1, so that Q(x) > 1 - 1/x.
  double high = 1.0 / (1.0 - proxy);
  for (;;) {
    const double middle = low + 0.5 * (high - low);
    if (middle <= low || middle >= high) return middle;
    (excitation_proxy(middle) < proxy ? low : high) = middle;
  }
}

Excitation::Excitation(Ppfd ek, std::optional<double> cap) : ek_(ek), cap_(cap) {
  if (!(ek > Ppfd{})) throw std::invalid_argument("Ek must be over 0");
  if (cap) peak_at_cap_ = find_peak_over_ek(*cap) * ek;
}

}  // namespace slowdawn
