#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <slowdawn/coral/excitation.hpp>
#include <slowdawn/coral/profile.hpp>
#include <stdexcept>

namespace slowdawn {
namespace {

Ppfd umol(double value) { return Ppfd::umol_m2_s(value); }

TEST(ExcitationProxy, IsNothingInTheDarkAndNearsOne) {
  EXPECT_EQ(excitation_proxy(0.0), 0.0);
  EXPECT_NEAR(excitation_proxy(1e4), 1.0 - 1e-4, 1e-15);
  EXPECT_LT(excitation_proxy(1e9), 1.0);
}

TEST(ExcitationProxy, RisesWithThePeak) {
  double before = 0.0;
  for (double x = 1e-6; x < 1e6; x *= 1.01) {
    const double here = excitation_proxy(x);
    EXPECT_GT(here, before) << x;
    before = here;
  }
}

TEST(ExcitationProxy, BeginsAsAThirdOfTheSquare) {
  for (const double x : {1e-8, 1e-5, 1e-3}) {
    EXPECT_NEAR(excitation_proxy(x) / (x * x), 1.0 / 3.0, 0.2 * x * x) << x;
  }
}

TEST(ExcitationProxy, IsExactOnBothSidesOfItsSeries) {
  // In long double the difference has three more digits than is asked for.
  for (double x = 0.01; x < 0.5; x *= 1.003) {
    const auto wide = static_cast<long double>(x);
    const long double exact = 1.0L - std::tanh(wide) / wide;
    EXPECT_NEAR(excitation_proxy(x) / static_cast<double>(exact), 1.0, 1e-12) << x;
  }
}

TEST(PeakOverEk, IsTheInverse) {
  for (double proxy = 1e-6; proxy < 0.9999; proxy += 0.00097) {
    EXPECT_NEAR(excitation_proxy(find_peak_over_ek(proxy)) / proxy, 1.0, 1e-12) << proxy;
  }
  for (const double x : {0.01, 0.4, 1.0, 2.5, 20.0, 500.0}) {
    EXPECT_NEAR(find_peak_over_ek(excitation_proxy(x)) / x, 1.0, 1e-11) << x;
  }
}

TEST(PeakOverEk, NeedsAProxyThatThereIs) {
  for (const double proxy : {0.0, 1.0, -0.1, 1.1, std::numeric_limits<double>::quiet_NaN()}) {
    EXPECT_THROW(find_peak_over_ek(proxy), std::invalid_argument) << proxy;
  }
}

TEST(ExcitationOfACoral, GoesByItsOwnEk) {
  const Excitation low{umol(100.0)};
  const Excitation high{umol(400.0)};
  EXPECT_EQ(low.proxy_at(umol(200.0)), excitation_proxy(2.0));
  EXPECT_EQ(high.proxy_at(umol(200.0)), excitation_proxy(0.5));
  EXPECT_FALSE(low.cap());
  EXPECT_FALSE(low.peak_at_cap());
}

TEST(ExcitationOfACoral, HasAPeakAtItsCap) {
  const Excitation capped{umol(250.0), 0.4};
  EXPECT_EQ(capped.cap(), 0.4);
  EXPECT_NEAR(capped.proxy_at(*capped.peak_at_cap()), 0.4, 1e-14);
  EXPECT_EQ((Excitation{umol(500.0), 0.4}.peak_at_cap()), 2.0 * *capped.peak_at_cap());
  EXPECT_GT((Excitation{umol(250.0), 0.5}.peak_at_cap()), *capped.peak_at_cap());
}

TEST(ExcitationOfACoral, NeedsAnEkAndACapThatThereAre) {
  EXPECT_THROW(Excitation{umol(0.0)}, std::invalid_argument);
  EXPECT_THROW(Excitation{umol(-1.0)}, std::invalid_argument);
  EXPECT_THROW((Excitation{umol(100.0), 1.0}), std::invalid_argument);
  EXPECT_THROW((Excitation{umol(100.0), 0.0}), std::invalid_argument);
}

TEST(LowestCeiling, IsTheLowerOfCeilingAndExcitationCap) {
  Tolerance tolerance{};
  tolerance.peak_ceiling = umol(300.0);
  EXPECT_EQ(lowest_ceiling(tolerance), umol(300.0));
  tolerance.excitation = Excitation{umol(100.0)};
  EXPECT_EQ(lowest_ceiling(tolerance), umol(300.0));
  tolerance.excitation = Excitation{umol(100.0), 0.4};
  EXPECT_EQ(lowest_ceiling(tolerance), *tolerance.excitation->peak_at_cap());
  tolerance.excitation = Excitation{umol(1000.0), 0.4};
  EXPECT_EQ(lowest_ceiling(tolerance), umol(300.0));
}

}  // namespace
}  // namespace slowdawn
