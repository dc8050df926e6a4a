#include <gtest/gtest.h>

#include <cmath>
#include <random>
#include <slowdawn/light/dimming.hpp>
#include <string>

#include "light/courses.hpp"

// Boost 1.74's pchip.hpp calls isnan without naming where it comes from.
using std::isnan;
#include <boost/math/interpolators/pchip.hpp>
#include <boost/math/quadrature/gauss_kronrod.hpp>

namespace slowdawn {
namespace {

using courses::make_curve;
using courses::Pairs;
using courses::random_pairs;
using courses::try_curve;

Percent percent(double value) { return Percent::of_full(value); }

void expect_same(const DimmingCurve& a, const DimmingCurve& b) {
  for (double drive = 0.0; drive <= 100.0; drive += 0.25) {
    ASSERT_EQ(a.output(percent(drive)), b.output(percent(drive))) << drive;
  }
}

TEST(DimmingCurve, IsLinearWithoutPairs) {
  const DimmingCurve line;
  EXPECT_TRUE(line.is_linear());
  EXPECT_EQ(line.output(percent(0.0)), 0.0);
  EXPECT_EQ(line.output(percent(37.0)), 0.37);
  EXPECT_EQ(line.output(percent(100.0)), 1.0);
  EXPECT_TRUE(make_curve({}).is_linear());
}

TEST(DimmingCurve, ClampsTheDrive) {
  for (const DimmingCurve& curve : {DimmingCurve{}, make_curve({{50.0, 20.0}})}) {
    EXPECT_EQ(curve.output(percent(-1.0)), 0.0);
    EXPECT_EQ(curve.output(percent(101.0)), 1.0);
  }
}

TEST(DimmingCurve, GoesThroughOnePair) {
  // Three knots, by hand: secants 0.4 and 1.6; slope at the pair
  // 3 / (1.5 / 0.4 + 1.5 / 1.6) = 0.64, at the ends the secants. Half way
  // between knots a cubic lies (d0 - d1) h / 8 off their mean.
  const DimmingCurve curve = make_curve({{50.0, 20.0}});
  EXPECT_FALSE(curve.is_linear());
  EXPECT_EQ(curve.output(percent(0.0)), 0.0);
  EXPECT_NEAR(curve.output(percent(25.0)), 0.1 + (0.4 - 0.64) * 0.5 / 8.0, 1e-15);
  EXPECT_NEAR(curve.output(percent(50.0)), 0.2, 1e-15);
  EXPECT_NEAR(curve.output(percent(75.0)), 0.6 + (0.64 - 1.6) * 0.5 / 8.0, 1e-15);
  EXPECT_EQ(curve.output(percent(100.0)), 1.0);
}

TEST(DimmingCurve, IsStraightThroughPairsOfAStraightLine) {
  const DimmingCurve curve = make_curve({{20.0, 20.0}, {45.0, 45.0}, {90.0, 90.0}});
  for (double drive = 0.0; drive <= 100.0; drive += 1.0) {
    EXPECT_NEAR(curve.output(percent(drive)), drive / 100.0, 1e-15);
  }
}

TEST(DimmingCurve, TakesTheEndsAmongThePairs) {
  const Pairs inner{{25.0, 21.0}, {50.0, 47.0}, {75.0, 74.0}};
  const DimmingCurve curve = make_curve(inner);
  Pairs with_ends = inner;
  with_ends.insert(with_ends.begin(), {0.0, 0.0});
  expect_same(make_curve(with_ends), curve);
  with_ends.emplace_back(100.0, 100.0);
  expect_same(make_curve(with_ends), curve);
  EXPECT_TRUE(make_curve({{0.0, 0.0}, {100.0, 100.0}}).is_linear());
}

TEST(DimmingCurve, RefusesPairsThatFall) {
  EXPECT_FALSE(try_curve({{25.0, 30.0}, {50.0, 20.0}}).has_value());
  EXPECT_FALSE(try_curve({{50.0, 20.0}, {25.0, 30.0}}).has_value());
}

TEST(DimmingCurve, RefusesPairsThatStandStill) {
  EXPECT_FALSE(try_curve({{25.0, 30.0}, {50.0, 30.0}}).has_value());
  EXPECT_FALSE(try_curve({{25.0, 30.0}, {25.0, 40.0}}).has_value());
  EXPECT_FALSE(try_curve({{25.0, 30.0}, {25.0, 30.0}}).has_value());
}

TEST(DimmingCurve, RefusesPairsOutsideTheRange) {
  EXPECT_FALSE(try_curve({{0.0, 5.0}}).has_value());
  EXPECT_FALSE(try_curve({{10.0, 0.0}}).has_value());
  EXPECT_FALSE(try_curve({{90.0, 100.0}}).has_value());
  EXPECT_FALSE(try_curve({{100.0, 90.0}}).has_value());
  EXPECT_FALSE(try_curve({{-10.0, 5.0}}).has_value());
  EXPECT_FALSE(try_curve({{110.0, 120.0}}).has_value());
}

TEST(DimmingCurve, RefusesAnEndOutOfPlace) {
  EXPECT_FALSE(try_curve({{50.0, 40.0}, {0.0, 0.0}}).has_value());
  EXPECT_FALSE(try_curve({{100.0, 100.0}, {50.0, 40.0}}).has_value());
  EXPECT_FALSE(try_curve({{0.0, 0.0}, {0.0, 0.0}, {50.0, 40.0}}).has_value());
  EXPECT_FALSE(try_curve({{50.0, 40.0}, {100.0, 100.0}, {100.0, 100.0}}).has_value());
}

TEST(DimmingCurve, SaysWhatIsWrongAndWhatToDo) {
  const auto refused = try_curve({{25.0, 30.0}, {50.0, 20.0}});
  ASSERT_FALSE(refused.has_value());
  EXPECT_NE(refused.error().what.find("rise"), std::string::npos);
  EXPECT_FALSE(refused.error().hint.empty());
}

TEST(DimmingCurve, GoesThroughItsPairsAndNeverFallsNorOvershoots) {
  for (unsigned seed = 1; seed <= 500; ++seed) {
    SCOPED_TRACE("seed " + std::to_string(seed));
    std::mt19937 random(seed);
    const Pairs pairs = random_pairs(random, 1 + seed % 12);
    const DimmingCurve curve = make_curve(pairs);

    Pairs knots = pairs;
    knots.insert(knots.begin(), {0.0, 0.0});
    knots.emplace_back(100.0, 100.0);
    double last = 0.0;
    for (std::size_t i = 0; i + 1 < knots.size(); ++i) {
      const auto [left, low] = knots[i];
      const auto [right, high] = knots[i + 1];
      ASSERT_NEAR(curve.output(percent(left)), low / 100.0, 1e-15);
      for (int part = 0; part <= 100; ++part) {
        const double output = curve.output(percent(left + (right - left) * part / 100.0));
        // The slack is for rounding of values up to 1.
        ASSERT_GE(output, last - 4e-16) << left << " + " << part << " %";
        ASSERT_GE(output, low / 100.0 - 4e-16);
        ASSERT_LE(output, high / 100.0 + 4e-16);
        last = output;
      }
    }
  }
}

TEST(DimmingCurve, AgreesWithBoostPchip) {
  for (unsigned seed = 1; seed <= 500; ++seed) {
    SCOPED_TRACE("seed " + std::to_string(seed));
    std::mt19937 random(seed);
    // Boost wants four knots at least, hence two pairs besides the ends.
    const Pairs pairs = random_pairs(random, 2 + seed % 12);
    const DimmingCurve curve = make_curve(pairs);
    std::vector<double> drives{0.0};
    std::vector<double> outputs{0.0};
    for (const auto& [drive, output] : pairs) {
      drives.push_back(drive / 100.0);
      outputs.push_back(output / 100.0);
    }
    drives.push_back(1.0);
    outputs.push_back(1.0);
    const boost::math::interpolators::pchip reference(std::move(drives), std::move(outputs));
    for (double drive = 0.0; drive <= 100.0; drive += 0.125) {
      ASSERT_NEAR(curve.output(percent(drive)), reference(drive / 100.0), 1e-14) << drive;
    }
  }
}

TEST(DimmingCurve, MeanOfALineIsThatOfItsEnds) {
  EXPECT_DOUBLE_EQ(DimmingCurve{}.mean_output(percent(20.0), percent(60.0)), 0.4);
}

TEST(DimmingCurve, MeanOverNothingIsTheOutputThere) {
  const DimmingCurve curve = make_curve({{50.0, 20.0}});
  EXPECT_EQ(curve.mean_output(percent(30.0), percent(30.0)), curve.output(percent(30.0)));
  EXPECT_EQ(curve.mean_output(percent(0.0), percent(0.0)), 0.0);
  EXPECT_EQ(curve.mean_output(percent(100.0), percent(100.0)), 1.0);
}

TEST(DimmingCurve, MeanOverLittleIsNearlyTheOutputThere) {
  const DimmingCurve curve = make_curve({{50.0, 20.0}});
  for (const double drive : {10.0, 50.0, 80.0}) {
    EXPECT_NEAR(curve.mean_output(percent(drive - 1e-9), percent(drive + 1e-9)),
                curve.output(percent(drive)), 1e-10);
  }
}

TEST(DimmingCurve, MeanOfOnePairByHand) {
  // A cubic's area is h (y0 + y1) / 2 + h^2 (d0 - d1) / 12.
  const DimmingCurve curve = make_curve({{50.0, 20.0}});
  const double left = 0.5 * 0.1 + 0.25 * (0.4 - 0.64) / 12.0;
  const double right = 0.5 * 0.6 + 0.25 * (0.64 - 1.6) / 12.0;
  EXPECT_NEAR(curve.mean_output(percent(0.0), percent(100.0)), left + right, 1e-15);
  EXPECT_NEAR(curve.mean_output(percent(0.0), percent(50.0)), left / 0.5, 1e-15);
}

TEST(DimmingCurve, MeanAgreesWithQuadrature) {
  using boost::math::quadrature::gauss_kronrod;
  for (unsigned seed = 1; seed <= 200; ++seed) {
    SCOPED_TRACE("seed " + std::to_string(seed));
    std::mt19937 random(seed);
    const DimmingCurve curve = make_curve(random_pairs(random, 1 + seed % 8));
    std::uniform_real_distribution<double> drive(0.0, 100.0);
    const double from = drive(random);
    const double to = drive(random);
    const auto output = [&](double p) { return curve.output(percent(p)); };
    const double area = gauss_kronrod<double, 31>::integrate(output, from, to, 20, 1e-12);
    const double mean = curve.mean_output(percent(from), percent(to));
    EXPECT_NEAR(mean, area / (to - from), 1e-10);
    EXPECT_EQ(mean, curve.mean_output(percent(to), percent(from)));
  }
}

}  // namespace
}  // namespace slowdawn
