// Monotone interpolation against printed results: first the rule, as Boost.Math
// has it, on the data as published; then the dimming curve, which keeps that
// rule, on the same data scaled to 0 to 100 %.
#include <gtest/gtest.h>

#include <cmath>
#include <slowdawn/light/dimming.hpp>
#include <vector>

#include "published/published_case.hpp"

// Boost 1.74's pchip.hpp calls isnan without naming where it comes from.
using std::isnan;
#include <boost/math/interpolators/pchip.hpp>

namespace slowdawn {
namespace {

using published::expect_sourced;
using published::expect_value;
using published::half_of_last_digit;
using published::Within;

using Pchip = boost::math::interpolators::pchip<std::vector<double>>;

struct Data {
  std::vector<double> x;
  std::vector<double> y;

  Pchip interpolate() const { return Pchip{std::vector<double>{x}, std::vector<double>{y}}; }
};

/// Fritsch and Carlson 1980, SIAM J. Numer. Anal. 17:238, data RPN 14.
const Data rpn_14{
    {7.99, 8.09, 8.19, 8.7, 9.2, 10.0, 12.0, 15.0, 20.0},
    {0.0, 2.76429e-5, 4.37498e-2, 0.169183, 0.469428, 0.943740, 0.998636, 0.999919, 0.999994}};

/// The same, rounded to five digits as in the example of NAG e01bec.
const Data rpn_14_of_nag{
    {7.99, 8.09, 8.19, 8.7, 9.2, 10.0, 12.0, 15.0, 20.0},
    {0.0, 0.27643e-4, 0.43750e-1, 0.16918, 0.46943, 0.94374, 0.99864, 0.99992, 0.99999}};

/// Few enough digits to be checked by hand.
const Data by_hand{{0.0, 1.0, 2.0, 3.0, 4.0}, {0.0, 1.0, 1.1, 2.0, 2.1}};

/// Akima 1970, JACM 17:589, data 3.
const Data akima_3{{0.0, 2.0, 3.0, 5.0, 6.0, 8.0, 9.0, 11.0, 12.0, 14.0, 15.0},
                   {10.0, 10.0, 10.0, 10.0, 10.0, 10.0, 10.5, 15.0, 50.0, 60.0, 85.0}};

/// Its rising part, from x = 8 on.
const Data rising_akima_3{{8.0, 9.0, 11.0, 12.0, 14.0, 15.0}, {10.0, 10.5, 15.0, 50.0, 60.0, 85.0}};

/// Rising data as a dimming curve: its ends are made (0, 0) and (100, 100).
class Scaled {
 public:
  explicit Scaled(const Data& data) : data_(data) {
    std::vector<std::pair<Percent, Percent>> pairs;
    for (std::size_t i = 1; i + 1 < data.x.size(); ++i) {
      pairs.emplace_back(drive(data.x[i]), Percent::of_full(100.0 * (data.y[i] - data.y.front()) /
                                                            (data.y.back() - data.y.front())));
    }
    curve_ = DimmingCurve::through(pairs).value();
  }

  double at(double x) const {
    return data_.y.front() + (data_.y.back() - data_.y.front()) * curve_.output(drive(x));
  }

 private:
  Percent drive(double x) const {
    return Percent::of_full(100.0 * (x - data_.x.front()) / (data_.x.back() - data_.x.front()));
  }

  const Data& data_;
  DimmingCurve curve_;
};

struct Interpolated {
  const char* name;
  const Data& data;
  double x;
  double value;
  Within within;
  const char* source;
};

constexpr const char* nag =
    "READ: NAG e01bec example, printed results, in SciPy test_polyint.py, test_nag";
// From 15 on the slope at the end counts, and that is where NAG's rule (three
// points) and ours (one-sided secant) differ: less than is printed here.
constexpr const char* nag_end =
    "READ: NAG e01bec example, printed results, in SciPy test_polyint.py, test_nag; last interval";
constexpr const char* two_libraries =
    "CALC: SciPy 1.10 PchipInterpolator and Boost 1.74 pchip agree here (interior)";
constexpr const char* boost_end =
    "CALC: Boost 1.74 pchip; SciPy differs, whose end slopes are by three points";
constexpr const char* hand = "CALC: by hand, slopes 1, 2/11, 0.18, 0.18 and 0.1 at the knots";
constexpr const char* akima =
    "CALC: SciPy 1.10 PchipInterpolator on data 3 of Akima 1970, JACM 17:589 (interior)";

const Interpolated rising[] = {
    {"NAG 7.99", rpn_14_of_nag, 7.99, 0.0, half_of_last_digit(1e-4), nag},
    {"NAG 9.191", rpn_14_of_nag, 9.191, 0.4640, half_of_last_digit(1e-4), nag},
    {"NAG 10.392", rpn_14_of_nag, 10.392, 0.9645, half_of_last_digit(1e-4), nag},
    {"NAG 11.593", rpn_14_of_nag, 11.593, 0.9965, half_of_last_digit(1e-4), nag},
    {"NAG 12.794", rpn_14_of_nag, 12.794, 0.9992, half_of_last_digit(1e-4), nag},
    {"NAG 13.995", rpn_14_of_nag, 13.995, 0.9998, half_of_last_digit(1e-4), nag},
    {"NAG 15.196", rpn_14_of_nag, 15.196, 0.9999, half_of_last_digit(1e-4), nag_end},
    {"NAG 16.397", rpn_14_of_nag, 16.397, 1.0000, half_of_last_digit(1e-4), nag_end},
    {"NAG 17.598", rpn_14_of_nag, 17.598, 1.0000, half_of_last_digit(1e-4), nag_end},
    {"NAG 18.799", rpn_14_of_nag, 18.799, 1.0000, half_of_last_digit(1e-4), nag_end},
    {"NAG 20", rpn_14_of_nag, 20.0, 1.0000, half_of_last_digit(1e-4), nag_end},
    {"RPN 14 at 8.05", rpn_14, 8.05, 0.0000126102, half_of_last_digit(1e-10), boost_end},
    {"RPN 14 at 8.14", rpn_14, 8.14, 0.0176971674, half_of_last_digit(1e-10), two_libraries},
    {"RPN 14 at 8.4", rpn_14, 8.4, 0.0966688056, half_of_last_digit(1e-10), two_libraries},
    {"RPN 14 at 9.191", rpn_14, 9.191, 0.4640143053, half_of_last_digit(1e-10), two_libraries},
    {"RPN 14 at 11", rpn_14, 11.0, 0.9860433625, half_of_last_digit(1e-10), two_libraries},
    {"RPN 14 at 13.5", rpn_14, 13.5, 0.9996033640, half_of_last_digit(1e-10), two_libraries},
    {"RPN 14 at 18", rpn_14, 18.0, 0.9999718838, half_of_last_digit(1e-10), boost_end},
    {"by hand, 0.5", by_hand, 0.5, 0.6022727273, half_of_last_digit(1e-10), hand},
    {"by hand, 1.5", by_hand, 1.5, 1.0502272727, half_of_last_digit(1e-10), hand},
    {"by hand, 2.5", by_hand, 2.5, 1.55, half_of_last_digit(1e-10), hand},
    {"by hand, 3.5", by_hand, 3.5, 2.06, half_of_last_digit(1e-10), hand},
    {"Akima 3 at 10", rising_akima_3, 10.0, 11.7695501325, half_of_last_digit(1e-10), akima},
    {"Akima 3 at 11.5", rising_akima_3, 11.5, 31.8925619835, half_of_last_digit(1e-10), akima},
    {"Akima 3 at 13", rising_akima_3, 13.0, 55.1363636364, half_of_last_digit(1e-10), akima},
};

// The library alone: a dimming curve may not stand still.
const Interpolated standing[] = {
    {"flat at 1", akima_3, 1.0, 10.0, published::rounding(1e-14),
     "CALC: a flat part stays flat (Fritsch and Carlson 1980)"},
    {"flat at 7", akima_3, 7.0, 10.0, published::rounding(1e-14),
     "CALC: a flat part stays flat (Fritsch and Carlson 1980)"},
    {"leaving the flat, 8.5", akima_3, 8.5, 10.1544811321, half_of_last_digit(1e-10), akima},
    {"10", akima_3, 10.0, 11.7695501325, half_of_last_digit(1e-10), akima},
    {"11.5", akima_3, 11.5, 31.8925619835, half_of_last_digit(1e-10), akima},
    {"13", akima_3, 13.0, 55.1363636364, half_of_last_digit(1e-10), akima},
};

TEST(PublishedInterpolation, EveryRowHasASource) {
  expect_sourced(rising);
  expect_sourced(standing);
}

TEST(PublishedInterpolation, IsWhatTheLibraryGives) {
  for (const Interpolated& row : rising) expect_value(row, row.data.interpolate()(row.x));
  for (const Interpolated& row : standing) expect_value(row, row.data.interpolate()(row.x));
}

TEST(PublishedInterpolation, IsWhatTheDimmingCurveGives) {
  for (const Interpolated& row : rising) expect_value(row, Scaled{row.data}.at(row.x));
}

TEST(PublishedInterpolation, DimmingCurveKeepsTheLibrarysRuleEverywhere) {
  for (const Data* data : {&rpn_14, &rpn_14_of_nag, &by_hand, &rising_akima_3}) {
    const Pchip library = data->interpolate();
    const Scaled curve{*data};
    const double height = data->y.back() - data->y.front();
    for (int part = 0; part <= 1000; ++part) {
      const double x = data->x.front() + (data->x.back() - data->x.front()) * part / 1000.0;
      // Scaling x to percent and back moves a knot by rounding, and the curve
      // is at its steepest some 5 times as steep as its diagonal.
      ASSERT_NEAR(curve.at(x), library(std::min(x, data->x.back())), 1e-13 * height) << x;
    }
  }
}

TEST(PublishedInterpolation, DoesNotOvershootWhereANaturalSplineDoes) {
  // A natural cubic spline through RPN 14 reaches 1.10119 (CALC, SciPy 1.10).
  const Scaled curve{rpn_14};
  double last = 0.0;
  for (int part = 0; part <= 100000; ++part) {
    const double value = curve.at(7.99 + 12.01 * part / 100000.0);
    ASSERT_GE(value, last - 4e-16);
    ASSERT_LE(value, 0.999994 + 4e-16);
    last = value;
  }
}

}  // namespace
}  // namespace slowdawn
