#include <gtest/gtest.h>

#include <cmath>
#include <random>
#include <slowdawn/ramp/caps.hpp>
#include <string>
#include <vector>

#include "ramp/make_problem.hpp"

namespace slowdawn {
namespace {

using testing::mol;
using testing::percent;
using testing::umol;

/// Rounding of a few operations; limits themselves are compared with 1e-9.
constexpr double rounding = 1e-12;

/// Limits that nothing breaks; a case lowers the one it is about.
Limits no_limits() {
  return {.dose_pace = mol(1e6),
          .dose_headroom = mol(2e6),
          .peak_pace = umol(1e6),
          .peak_headroom = umol(2e6),
          .dose_band = mol(1e6),
          .peak_ceiling = umol(1e6),
          .dose_floor = mol(0.0)};
}

struct ThresholdCase {
  const char* name;
  Cap cap;
  /// Sets the limit of the cap to 7.
  void (*set_to_7)(Limits&);
  bool is_of_dose;
};

constexpr ThresholdCase threshold_cases[] = {
    {"DosePace", Cap::dose_pace, [](Limits& limits) { limits.dose_pace = mol(7.0); }, true},
    {"DoseHeadroom", Cap::dose_headroom, [](Limits& limits) { limits.dose_headroom = mol(7.0); },
     true},
    {"PeakPace", Cap::peak_pace, [](Limits& limits) { limits.peak_pace = umol(7.0); }, false},
    {"PeakHeadroom", Cap::peak_headroom, [](Limits& limits) { limits.peak_headroom = umol(7.0); },
     false},
    {"DoseBand", Cap::dose_band, [](Limits& limits) { limits.dose_band = mol(7.0); }, true},
    {"PeakCeiling", Cap::peak_ceiling, [](Limits& limits) { limits.peak_ceiling = umol(7.0); },
     false},
    {"Excitation", Cap::excitation, [](Limits& limits) { limits.excitation = umol(7.0); }, false},
};

class UpperCap : public ::testing::TestWithParam<ThresholdCase> {
 protected:
  std::optional<Breach> breach_at(double value) const {
    Limits limits = no_limits();
    GetParam().set_to_7(limits);
    const Exposure exposure =
        GetParam().is_of_dose ? Exposure{mol(value), umol(1.0)} : Exposure{mol(1.0), umol(value)};
    return worst_breach(limits, exposure, {});
  }
};

TEST_P(UpperCap, BearsItsLimitAndTheSlack) {
  EXPECT_FALSE(breach_at(6.9));
  EXPECT_FALSE(breach_at(7.0));
  EXPECT_FALSE(breach_at(7.0 * (1.0 + 0.9e-9)));
}

TEST_P(UpperCap, IsBrokenJustOverTheSlack) {
  const auto just_over = breach_at(7.0 * (1.0 + 1.1e-9));
  ASSERT_TRUE(just_over);
  EXPECT_EQ(just_over->cap, GetParam().cap);
  EXPECT_NEAR(just_over->ratio, 1.0 + 1.1e-9, rounding);
}

TEST_P(UpperCap, GivesTheRatioOfValueToLimit) {
  const auto far_over = breach_at(10.5);
  ASSERT_TRUE(far_over);
  EXPECT_EQ(far_over->cap, GetParam().cap);
  EXPECT_NEAR(far_over->ratio, 1.5, rounding);
}

INSTANTIATE_TEST_SUITE_P(Caps, UpperCap, ::testing::ValuesIn(threshold_cases),
                         [](const auto& each) { return std::string(each.param.name); });

class DoseFloor : public ::testing::Test {
 protected:
  /// A step from one dose to another, where no less than 7 is allowed.
  static std::optional<Breach> step(double from, double to) {
    Limits limits = no_limits();
    limits.dose_floor = mol(7.0);
    return worst_breach(limits, Exposure{mol(to), umol(1.0)}, Exposure{mol(from), umol(1.0)});
  }
};

TEST_F(DoseFloor, BearsItsLimitAndTheSlack) {
  EXPECT_FALSE(step(9.0, 7.1));
  EXPECT_FALSE(step(9.0, 7.0));
  EXPECT_FALSE(step(9.0, 7.0 * (1.0 - 0.9e-9)));
}

TEST_F(DoseFloor, IsBrokenJustOverTheSlack) {
  const auto just_under = step(9.0, 7.0 * (1.0 - 1.1e-9));
  ASSERT_TRUE(just_under);
  EXPECT_EQ(just_under->cap, Cap::dose_floor);
}

TEST_F(DoseFloor, GivesTheRatioOfLimitToValue) {
  const auto breach = step(9.0, 3.5);
  ASSERT_TRUE(breach);
  EXPECT_NEAR(breach->ratio, 2.0, rounding);
}

TEST_F(DoseFloor, DoesNotCountWhereTheStepDoesNotLowerTheDose) {
  EXPECT_FALSE(step(3.0, 3.5));
  EXPECT_FALSE(step(3.0, 3.0));
  EXPECT_FALSE(step(3.0, 3.0 * (1.0 - 0.9e-9)));
  EXPECT_TRUE(step(3.0, 3.0 * (1.0 - 1.1e-9)));
}

TEST_F(DoseFloor, DoesNotCountWhereNoStepIsMeant) {
  Limits limits = no_limits();
  limits.dose_floor = mol(7.0);
  EXPECT_FALSE(worst_breach(limits, Exposure{mol(1.0), umol(1.0)}, {}));
}

TEST(WorstBreach, NamesPaceWherePaceIsTheSmallerLimit) {
  Limits limits = no_limits();
  limits.dose_pace = mol(5.0);
  limits.dose_headroom = mol(6.0);
  const auto breach = worst_breach(limits, Exposure{mol(10.0), umol(1.0)}, {});
  ASSERT_TRUE(breach);
  EXPECT_EQ(breach->cap, Cap::dose_pace);
  EXPECT_NEAR(breach->ratio, 2.0, rounding);
}

TEST(WorstBreach, NamesHeadroomWhereHeadroomIsTheSmallerLimit) {
  Limits limits = no_limits();
  limits.peak_pace = umol(600.0);
  limits.peak_headroom = umol(500.0);
  const auto breach = worst_breach(limits, Exposure{mol(1.0), umol(1000.0)}, {});
  ASSERT_TRUE(breach);
  EXPECT_EQ(breach->cap, Cap::peak_headroom);
  EXPECT_NEAR(breach->ratio, 2.0, rounding);
}

TEST(WorstBreach, NamesPaceWherePaceAndHeadroomAreEqual) {
  Limits limits = no_limits();
  limits.dose_pace = mol(5.0);
  limits.dose_headroom = mol(5.0);
  EXPECT_EQ(worst_breach(limits, Exposure{mol(6.0), umol(1.0)}, {})->cap, Cap::dose_pace);
  limits.dose_headroom = mol(5.0 * (1.0 - 0.5e-9));
  EXPECT_EQ(worst_breach(limits, Exposure{mol(6.0), umol(1.0)}, {})->cap, Cap::dose_pace);
}

TEST(WorstBreach, IsTheLargestRatio) {
  Limits limits = no_limits();
  limits.dose_pace = mol(10.0);
  limits.peak_pace = umol(1000.0);
  limits.dose_band = mol(10.0);
  limits.peak_ceiling = umol(500.0);
  const auto breach = worst_breach(limits, Exposure{mol(12.0), umol(1100.0)}, {});
  ASSERT_TRUE(breach);
  EXPECT_EQ(breach->cap, Cap::peak_ceiling);
  EXPECT_NEAR(breach->ratio, 2.2, rounding);
}

TEST(WorstBreach, ComparesTheFloorByLimitToValue) {
  Limits limits = no_limits();
  limits.peak_pace = umol(1000.0);
  limits.dose_floor = mol(6.0);
  const Exposure present{mol(9.0), umol(1.0)};
  EXPECT_EQ(worst_breach(limits, Exposure{mol(3.0), umol(1900.0)}, present)->cap, Cap::dose_floor);
  EXPECT_EQ(worst_breach(limits, Exposure{mol(3.0), umol(2100.0)}, present)->cap, Cap::peak_pace);
}

TEST(WorstBreach, GivesATieToTheFirstInTheOrderOfCaps) {
  // Every cap is broken twice over; one after another is taken out.
  Limits limits{.dose_pace = mol(5.0),
                .dose_headroom = mol(5.0),
                .peak_pace = umol(500.0),
                .peak_headroom = umol(500.0),
                .dose_band = mol(5.0),
                .peak_ceiling = umol(500.0),
                .dose_floor = mol(20.0),
                .check_in = mol(5.0),
                .excitation = umol(500.0)};
  const Exposure exposure{mol(10.0), umol(1000.0)};
  const Exposure present{mol(11.0), umol(1000.0)};
  const auto cap = [&] { return worst_breach(limits, exposure, present)->cap; };
  EXPECT_EQ(cap(), Cap::dose_pace);
  limits.dose_pace = mol(50.0);
  EXPECT_EQ(cap(), Cap::dose_headroom);
  limits.dose_headroom = mol(50.0);
  EXPECT_EQ(cap(), Cap::peak_pace);
  limits.peak_pace = umol(5000.0);
  EXPECT_EQ(cap(), Cap::peak_headroom);
  limits.peak_headroom = umol(5000.0);
  EXPECT_EQ(cap(), Cap::dose_band);
  limits.dose_band = mol(50.0);
  EXPECT_EQ(cap(), Cap::peak_ceiling);
  limits.peak_ceiling = umol(5000.0);
  EXPECT_EQ(cap(), Cap::dose_floor);
  limits.dose_floor = mol(0.0);
  EXPECT_EQ(cap(), Cap::check_in);
  limits.check_in.reset();
  EXPECT_EQ(cap(), Cap::excitation);
  limits.excitation.reset();
  EXPECT_FALSE(worst_breach(limits, exposure, present));
}

class LimitsOfAGroup : public ::testing::Test {
 protected:
  RampGroup group_ = testing::group_from(8.0);
  /// A, B and L, M.
  GroupState state_{{mol(6.0), umol(300.0)}, {mol(7.0), umol(330.0)}};
};

TEST_F(LimitsOfAGroup, AreThoseOfTheEquations) {
  group_.tolerance.dose_band = {mol(4.0), mol(20.0)};
  group_.tolerance.peak_ceiling = umol(900.0);
  group_.tolerance.floor = percent(40.0);
  const Limits limits = compute_limits(group_, state_);
  EXPECT_NEAR(limits.dose_pace.mol_m2_d(), 7.0, rounding);
  EXPECT_NEAR(limits.dose_headroom.mol_m2_d(), 1.3 * 6.0, rounding);
  EXPECT_NEAR(limits.peak_pace.umol_m2_s(), 330.0, rounding);
  EXPECT_NEAR(limits.peak_headroom.umol_m2_s(), 1.3 * 300.0, 100.0 * rounding);
  EXPECT_NEAR(limits.dose_band.mol_m2_d(), 20.0, rounding);
  EXPECT_NEAR(limits.peak_ceiling.umol_m2_s(), 900.0, rounding);
  EXPECT_NEAR(limits.dose_floor.mol_m2_d(), 0.6 * 6.0, rounding);
}

TEST_F(LimitsOfAGroup, NeverHoldBelowWhatItIsUsedTo) {
  state_.allowance = {mol(5.0), umol(250.0)};
  const Limits limits = compute_limits(group_, state_);
  EXPECT_EQ(limits.dose_pace, mol(6.0));
  EXPECT_EQ(limits.peak_pace, umol(300.0));
}

TEST_F(LimitsOfAGroup, LetItsHistoryOutrankItsClass) {
  group_.tolerance.dose_band = {mol(1.0), mol(5.0)};
  group_.tolerance.peak_ceiling = umol(200.0);
  group_.before = {mol(8.0), umol(750.0)};
  const Limits limits = compute_limits(group_, state_);
  EXPECT_EQ(limits.dose_band, mol(8.0));
  EXPECT_EQ(limits.peak_ceiling, umol(750.0));
}

TEST_F(LimitsOfAGroup, HaveAPeakForItsExcitationCapAlone) {
  EXPECT_FALSE(compute_limits(group_, state_).excitation);
  group_.tolerance.excitation = Excitation{umol(200.0)};
  EXPECT_FALSE(compute_limits(group_, state_).excitation);
  group_.tolerance.excitation = Excitation{umol(200.0), 0.5};
  group_.before.peak = umol(100.0);
  const auto limit = compute_limits(group_, state_).excitation;
  ASSERT_TRUE(limit);
  EXPECT_NEAR(excitation_proxy(*limit / umol(200.0)), 0.5, rounding);
  // What it comes from was brighter.
  group_.before.peak = umol(750.0);
  EXPECT_EQ(compute_limits(group_, state_).excitation, umol(750.0));
}

TEST(CapsOfThePeak, AreTheFour) {
  std::vector<Cap> of_peak;
  for (int cap = 0; cap <= static_cast<int>(Cap::excitation); ++cap) {
    if (is_of_peak(static_cast<Cap>(cap))) of_peak.push_back(static_cast<Cap>(cap));
  }
  EXPECT_EQ(of_peak, (std::vector<Cap>{Cap::peak_pace, Cap::peak_headroom, Cap::peak_ceiling,
                                       Cap::excitation}));
}

TEST(StateAtStart, AllowsWhatTheGroupIsUsedTo) {
  RampGroup group = testing::group_from(8.0);
  group.used_to = {mol(6.0), umol(500.0)};
  const GroupState state = state_at_start(group);
  EXPECT_EQ(state.used_to, group.used_to);
  EXPECT_EQ(state.allowance, (Exposure{mol(6.0), umol(500.0)}));
}

class PaceAllowance : public ::testing::Test {
 protected:
  /// L after a day, from L.
  double after(double allowance, double dose, double next) const {
    const GroupState state{{mol(10.0), umol(10.0)}, {mol(allowance), umol(1.0)}};
    return after_day(state, {mol(dose), umol(1.0)}, {mol(next), umol(1.0)}, tolerance_)
        .allowance.dose.mol_m2_d();
  }
  /// M after a day, from M.
  double peak_after(double allowance, double peak, double next) const {
    const GroupState state{{mol(10.0), umol(10.0)}, {mol(1.0), umol(allowance)}};
    return after_day(state, {mol(1.0), umol(peak)}, {mol(1.0), umol(next)}, tolerance_)
        .allowance.peak.umol_m2_s();
  }

  Tolerance tolerance_ = testing::wide_tolerance();
  double one_day_ = std::pow(1.15, 1.0 / 7.0);
};

TEST_F(PaceAllowance, RisesByTheWeeklyRiseInAWeek) {
  double allowance = 10.0;
  for (int day = 0; day < 7; ++day) allowance = after(allowance, allowance, allowance);
  EXPECT_NEAR(allowance, 11.5, 100.0 * rounding);
}

TEST_F(PaceAllowance, SavesUpNoMoreThanAWeeksRise) {
  EXPECT_NEAR(after(11.4, 10.0, 10.2), 11.5, 100.0 * rounding);
  EXPECT_NEAR(after(11.5, 10.0, 10.2), 11.5, 100.0 * rounding);
}

TEST_F(PaceAllowance, FallsToAWeeksRiseOverADoseThatFell) {
  EXPECT_NEAR(after(20.0, 10.0, 10.2), 11.5, 100.0 * rounding);
}

TEST_F(PaceAllowance, GoesOnToTheNextSettingOfACoarseDial) {
  EXPECT_NEAR(after(11.5, 10.0, 13.0), 11.5 * one_day_, 100.0 * rounding);
  EXPECT_NEAR(after(12.9, 10.0, 13.0), 13.0, 100.0 * rounding);
  EXPECT_NEAR(after(13.0, 10.0, 13.0), 13.0, 100.0 * rounding);
}

TEST_F(PaceAllowance, OfThePeakRunsLikewise) {
  EXPECT_NEAR(peak_after(100.0, 100.0, 102.0), 100.0 * one_day_, 1000.0 * rounding);
  EXPECT_NEAR(peak_after(114.9, 100.0, 102.0), 115.0, 1000.0 * rounding);
  EXPECT_NEAR(peak_after(129.0, 100.0, 130.0), 130.0, 1000.0 * rounding);
}

TEST_F(PaceAllowance, LeavesAcclimationToItsOwnEquation) {
  const GroupState state{{mol(10.0), umol(400.0)}, {mol(12.0), umol(450.0)}};
  tolerance_.tau_up = Days::d(5.0);
  tolerance_.tau_down = Days::d(2.0);
  const GroupState later =
      after_day(state, {mol(12.0), umol(300.0)}, {mol(13.0), umol(310.0)}, tolerance_);
  EXPECT_NEAR(later.used_to.dose.mol_m2_d(), 10.0 + 2.0 * (1.0 - std::exp(-1.0 / 5.0)),
              100.0 * rounding);
  EXPECT_NEAR(later.used_to.peak.umol_m2_s(), 400.0 - 100.0 * (1.0 - std::exp(-1.0 / 2.0)),
              1000.0 * rounding);
}

/// The quick look of the planner and the full one must never differ: amounts are
/// few, so that many cases lie on a limit, and hardly past the slack on either side.
TEST(DailyCapsAndWorstBreach, AgreeOnRandomGroups) {
  std::mt19937 random{20261126};
  const auto pick = [&] { return 1.0 + static_cast<double>(random() % 8); };
  const auto coin = [&] { return random() % 3 == 0; };
  const double nudges[] = {1.0, 1.0 - 3e-9, 1.0 + 0.5e-9, 1.0 + 3e-9};
  std::size_t broken = 0;
  constexpr std::size_t cases = 200'000;
  for (std::size_t i = 0; i < cases; ++i) {
    RampGroup group;
    group.before = {mol(pick()), umol(100.0 * pick())};
    group.tolerance.headroom = percent(25.0 * pick());
    group.tolerance.floor = percent(10.0 * pick());
    group.tolerance.dose_band.high = mol(pick());
    group.tolerance.peak_ceiling = umol(100.0 * pick());
    if (coin()) group.check_in_limit = mol(pick());
    if (coin()) group.tolerance.excitation = Excitation{umol(100.0 * pick()), 0.1 * pick()};
    const GroupState state{{mol(pick()), umol(100.0 * pick())},
                           {mol(pick()), umol(100.0 * pick())}};
    const auto light = [&] {
      return Exposure{mol(pick() * nudges[random() % 4]), umol(100.0 * pick())};
    };
    const GroupLight there{light(), light()};
    const GroupLight left{light(), light()};
    const bool is_step = coin();
    const auto breach = worst_breach(compute_limits(group, state), there,
                                     is_step ? std::optional{left} : std::nullopt);
    ASSERT_EQ((DailyCaps{group, 0}.are_broken(state, there.real, there.effective,
                                              is_step ? &left.effective : nullptr)),
              breach.has_value())
        << "case " << i;
    if (breach) ++broken;
  }
  EXPECT_GT(broken, cases / 10);
  EXPECT_LT(broken, cases - cases / 100);
}

}  // namespace
}  // namespace slowdawn
