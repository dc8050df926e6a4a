#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <slowdawn/light/quantity.hpp>
#include <slowdawn/light/wavelength.hpp>
#include <type_traits>

namespace slowdawn {
namespace {

template <class A, class B>
concept adds_to = requires(A a, B b) {
  a + b;
};
template <class A, class B>
concept multiplies_with = requires(A a, B b) {
  a* b;
};
template <class A, class B>
concept compares_with = requires(A a, B b) {
  a < b;
};
template <class A, class B>
concept divides_by = requires(A a, B b) {
  a / b;
};

constexpr double infinity = std::numeric_limits<double>::infinity();
constexpr double not_a_number = std::numeric_limits<double>::quiet_NaN();

// What must not compile.
static_assert(!std::is_constructible_v<Ppfd, double>);
static_assert(!std::is_constructible_v<DailyDose, double>);
static_assert(!std::is_constructible_v<Hours, double>);
static_assert(!std::is_constructible_v<Percent, double>);
static_assert(!std::is_constructible_v<Days, double>);
static_assert(!std::is_constructible_v<Length, double>);
static_assert(!std::is_constructible_v<Wavelength, double>);
static_assert(!std::is_convertible_v<Ppfd, double>);
static_assert(!std::is_constructible_v<DailyDose, Ppfd>);
static_assert(!adds_to<Ppfd, DailyDose> && !adds_to<Ppfd, double> && !adds_to<Hours, Percent>);
static_assert(!compares_with<Ppfd, DailyDose> && !compares_with<Hours, double>);
static_assert(!multiplies_with<DailyDose, Hours> && !multiplies_with<Ppfd, Ppfd>);
static_assert(!divides_by<DailyDose, Hours> && !divides_by<double, Ppfd>);

TEST(Quantity, FactoriesRefuseWhatIsNotFinite) {
  for (const double value : {infinity, -infinity, not_a_number}) {
    SCOPED_TRACE(value);
    EXPECT_THROW(Ppfd::umol_m2_s(value), std::invalid_argument);
    EXPECT_THROW(DailyDose::mol_m2_d(value), std::invalid_argument);
    EXPECT_THROW(Hours::h(value), std::invalid_argument);
    EXPECT_THROW(Hours::minutes(value), std::invalid_argument);
    EXPECT_THROW(Percent::of_full(value), std::invalid_argument);
    EXPECT_THROW(Days::d(value), std::invalid_argument);
    EXPECT_THROW(Length::cm(value), std::invalid_argument);
    EXPECT_THROW(Length::m(value), std::invalid_argument);
    EXPECT_THROW(Wavelength::nm(value), std::invalid_argument);
    EXPECT_THROW(PhotonsPerJoule::umol_per_joule(value), std::invalid_argument);
    EXPECT_THROW(LuxPerPpfd::lux_per_umol(value), std::invalid_argument);
  }
}

TEST(Quantity, FactoriesTakeTheLargestFiniteValue) {
  constexpr double largest = std::numeric_limits<double>::max();
  EXPECT_EQ(Ppfd::umol_m2_s(largest).umol_m2_s(), largest);
  EXPECT_EQ(Hours::h(-largest).h(), -largest);
}

TEST(Quantity, IsZeroUnlessGivenAValue) {
  EXPECT_EQ(Ppfd{}.umol_m2_s(), 0.0);
  EXPECT_EQ(DailyDose{}.mol_m2_d(), 0.0);
  EXPECT_EQ(Hours{}.h(), 0.0);
  EXPECT_EQ(Percent{}.percent(), 0.0);
}

TEST(Quantity, HasTheArithmeticOfItsKind) {
  const Ppfd a = Ppfd::umol_m2_s(120.0);
  const Ppfd b = Ppfd::umol_m2_s(80.0);
  EXPECT_EQ((a + b).umol_m2_s(), 200.0);
  EXPECT_EQ((a - b).umol_m2_s(), 40.0);
  EXPECT_EQ((a * 0.5).umol_m2_s(), 60.0);
  EXPECT_EQ((0.5 * a).umol_m2_s(), 60.0);
  EXPECT_EQ((a / 2.0).umol_m2_s(), 60.0);
  EXPECT_EQ(a / b, 1.5);
  Ppfd sum = a;
  sum += b;
  EXPECT_EQ(sum, a + b);
}

TEST(Quantity, ComparesWithItsKind) {
  const Hours ten = Hours::h(10.0);
  const Hours twelve = Hours::h(12.0);
  EXPECT_LT(ten, twelve);
  EXPECT_GE(twelve, twelve);
  EXPECT_NE(ten, twelve);
  EXPECT_EQ(ten, Hours::minutes(600.0));
}

TEST(Quantity, PpfdOverHoursIsADose) {
  // 200 umol m-2 s-1 over 10 h: 200 * 36000 s = 7.2e6 umol.
  const DailyDose dose = Ppfd::umol_m2_s(200.0) * Hours::h(10.0);
  EXPECT_DOUBLE_EQ(dose.mol_m2_d(), 7.2);
  EXPECT_EQ(Hours::h(10.0) * Ppfd::umol_m2_s(200.0), dose);
  static_assert(std::is_same_v<decltype(Ppfd{} * Hours{}), DailyDose>);
}

TEST(Quantity, IsUsableInConstants) {
  constexpr DailyDose dose = Ppfd::umol_m2_s(100.0) * Hours::minutes(720.0);
  static_assert(dose > DailyDose::mol_m2_d(4.0));
  EXPECT_DOUBLE_EQ(dose.mol_m2_d(), 4.32);
}

TEST(Percent, IsAFractionOfOneHundred) {
  EXPECT_EQ(Percent::of_full(25.0).fraction(), 0.25);
  EXPECT_EQ(Percent::of_full(100.0).fraction(), 1.0);
}

TEST(Exceeds, AllowsForRoundingAlone) {
  const DailyDose limit = DailyDose::mol_m2_d(5.0);
  EXPECT_FALSE(exceeds(limit, limit));
  EXPECT_FALSE(exceeds(limit * (1.0 + 0.9e-9), limit));
  EXPECT_TRUE(exceeds(limit * (1.0 + 1.1e-9), limit));
  EXPECT_FALSE(exceeds(limit * 0.5, limit));
}

TEST(Exceeds, HasNoSlackOverZero) {
  EXPECT_FALSE(exceeds(0.0, 0.0));
  EXPECT_TRUE(exceeds(std::numeric_limits<double>::min(), 0.0));
}

}  // namespace
}  // namespace slowdawn
