#include <gtest/gtest.h>

#include <cmath>

#include <algorithm>
#include <set>
#include <slowdawn/coral/response.hpp>
#include <string>
#include <vector>

namespace slowdawn {
namespace {

using Mode = Condition::Mode;

DailyDose mol(double dose) { return DailyDose::mol_m2_d(dose); }

Tolerance tolerance_of(double tau_up_days) {
  return {.dose_band = {mol(2.0), mol(13.0)},
          .peak_ceiling = Ppfd::umol_m2_s(350.0),
          .headroom = Percent::of_full(30.0),
          .weekly_rise = Percent::of_full(15.0),
          .tau_up = Days::d(tau_up_days),
          .tau_down = Days::d(5.0),
          .carryover = 0.8,
          .floor = Percent::of_full(50.0)};
}

CheckIn good(int day) { return {.day = day}; }
CheckIn coloured(int day, int colour) { return {.day = day, .colour = colour}; }
CheckIn closed(int day) { return {.day = day, .extension = Extension::less}; }
CheckIn slimy(int day) { return {.day = day, .mucus = true}; }
CheckIn fluorescing(int day, double fv_fm) { return {.day = day, .fv_fm = fv_fm}; }
CheckIn torn(int day, Tissue tissue) { return {.day = day, .tissue = tissue}; }

/// A group that gets 10 mol m-2 d-1, is used to 9, and got 8 on the first day.
class Corals {
 public:
  explicit Corals(double tau_up_days = 10.0) : condition{tolerance_of(tau_up_days), mol(8.0)} {}

  Condition::Outcome look(const CheckIn& seen, double dose = 10.0, double used_to = 9.0) {
    return look_after(dose, seen, dose, used_to);
  }
  /// The same where the last seven days had more light than today.
  Condition::Outcome look_after(double highest, const CheckIn& seen, double dose = 10.0,
                                double used_to = 9.0) {
    return condition.take(seen, mol(dose), mol(highest), {mol(used_to), Ppfd::umol_m2_s(200.0)});
  }
  double limit() const {
    return condition.dose_limit() ? condition.dose_limit()->mol_m2_d() : -1.0;
  }

  Condition condition;
};

/// What the last of some looks is judged to be.
struct Case {
  const char* name;
  std::vector<CheckIn> looks;
  Judgement judgement;
  Sign sign;
};

const std::vector<Case> cases{
    {"nothing seen", {good(3)}, Judgement::at_ease, Sign::none},
    {"more extension than its habit",
     {{.day = 3, .extension = Extension::more}},
     Judgement::at_ease,
     Sign::none},

    // Science.md: "2 or more steps paler than baseline".
    {"one step paler", {coloured(3, -1)}, Judgement::at_ease, Sign::none},
    {"two steps paler", {coloured(3, -2)}, Judgement::strained, Sign::two_steps_paler},
    {"five steps paler", {coloured(3, -5)}, Judgement::strained, Sign::two_steps_paler},

    // "colour 1 step paler twice in a row".
    {"one step paler twice in a row",
     {coloured(3, -1), coloured(4, -1)},
     Judgement::uneasy,
     Sign::one_step_paler},
    {"one step paler with a good look between",
     {coloured(3, -1), coloured(4, 0), coloured(5, -1)},
     Judgement::at_ease,
     Sign::none},
    {"one step paler after two steps",
     {coloured(3, -2), coloured(4, -1)},
     Judgement::uneasy,
     Sign::one_step_paler},
    {"one step paler, then as ever",
     {coloured(3, -1), coloured(4, 0)},
     Judgement::at_ease,
     Sign::none},

    // "darker by 2 steps".
    {"one step darker", {coloured(3, 1)}, Judgement::at_ease, Sign::none},
    {"two steps darker", {coloured(3, 2)}, Judgement::darker, Sign::darker},

    // A card's first score is the baseline; 1 is the palest.
    {"first score of a card, however pale",
     {{.day = 3, .card = 1}},
     Judgement::at_ease,
     Sign::none},
    {"card one lower",
     {{.day = 3, .card = 5}, {.day = 10, .card = 4}},
     Judgement::at_ease,
     Sign::none},
    {"card two lower",
     {{.day = 3, .card = 5}, {.day = 10, .card = 3}},
     Judgement::strained,
     Sign::two_steps_paler},
    {"card two lower than the first, one lower than the last",
     {{.day = 3, .card = 5}, {.day = 10, .card = 4}, {.day = 17, .card = 3}},
     Judgement::strained,
     Sign::two_steps_paler},
    {"card one higher",
     {{.day = 3, .card = 4}, {.day = 10, .card = 5}},
     Judgement::at_ease,
     Sign::none},
    {"card two higher",
     {{.day = 3, .card = 4}, {.day = 10, .card = 6}},
     Judgement::darker,
     Sign::darker},
    {"card scored after a look without it",
     {good(3), {.day = 10, .card = 5}, {.day = 17, .card = 3}},
     Judgement::strained,
     Sign::two_steps_paler},
    {"steps count before the card",
     {{.day = 3, .card = 5}, {.day = 10, .colour = 0, .card = 2}},
     Judgement::at_ease,
     Sign::none},

    // "Fv/Fm down 15 % or more from its own baseline": the first is the baseline.
    {"first Fv/Fm", {fluorescing(3, 0.45)}, Judgement::at_ease, Sign::none},
    {"Fv/Fm at 0.85 of the baseline",
     {fluorescing(3, 0.7), fluorescing(10, 0.85 * 0.7)},
     Judgement::strained,
     Sign::fv_fm_down},
    {"Fv/Fm a hair above 0.85 of the baseline",
     {fluorescing(3, 0.7), fluorescing(10, 0.85 * 0.7 + 1e-6)},
     Judgement::at_ease,
     Sign::none},
    {"Fv/Fm at 0.85 of a baseline where it rounds up",
     {fluorescing(3, 0.6), fluorescing(10, 0.51)},
     Judgement::strained,
     Sign::fv_fm_down},
    {"Fv/Fm down bit by bit against the first",
     {fluorescing(3, 0.7), fluorescing(10, 0.65), fluorescing(17, 0.595)},
     Judgement::strained,
     Sign::fv_fm_down},

    // "under 0.3".
    {"Fv/Fm of 0.3", {fluorescing(3, 0.3)}, Judgement::at_ease, Sign::none},
    {"Fv/Fm of 0.299", {fluorescing(3, 0.299)}, Judgement::hurt, Sign::fv_fm_severe},
    {"Fv/Fm of 0.3 after 0.6",
     {fluorescing(3, 0.6), fluorescing(10, 0.3)},
     Judgement::strained,
     Sign::fv_fm_down},
    {"Fv/Fm of 0.299 after 0.6",
     {fluorescing(3, 0.6), fluorescing(10, 0.299)},
     Judgement::hurt,
     Sign::fv_fm_severe},

    // "extension below its own habit, or new mucus, at 2 check-ins at least 2
    // days apart".
    {"less extension once", {closed(3)}, Judgement::unclear, Sign::less_extension},
    {"mucus once", {slimy(3)}, Judgement::unclear, Sign::mucus},
    {"less extension 1 day apart",
     {closed(3), closed(4)},
     Judgement::unclear,
     Sign::less_extension},
    {"less extension 2 days apart",
     {closed(3), closed(5)},
     Judgement::uneasy,
     Sign::less_extension},
    {"mucus 1 day apart", {slimy(3), slimy(4)}, Judgement::unclear, Sign::mucus},
    {"mucus 2 days apart", {slimy(3), slimy(5)}, Judgement::uneasy, Sign::mucus},
    {"less extension, then mucus, 2 days apart",
     {closed(3), slimy(5)},
     Judgement::uneasy,
     Sign::mucus},
    {"less extension on three days in a row",
     {closed(3), closed(4), closed(5)},
     Judgement::uneasy,
     Sign::less_extension},
    {"less extension 2 days apart with a good look between",
     {closed(3), good(4), closed(5)},
     Judgement::unclear,
     Sign::less_extension},
    {"mucus twice on a day", {slimy(3), slimy(3)}, Judgement::unclear, Sign::mucus},

    // "white patches, any tissue loss".
    {"white patches", {torn(3, Tissue::white_patches)}, Judgement::hurt, Sign::white_patches},
    {"tissue lost", {torn(3, Tissue::lost)}, Judgement::hurt, Sign::tissue_lost},

    // The gravest counts.
    {"tissue lost and paler",
     {{.day = 3, .colour = -3, .tissue = Tissue::lost}},
     Judgement::hurt,
     Sign::tissue_lost},
    {"paler and closed",
     {{.day = 3, .colour = -2, .extension = Extension::less}},
     Judgement::strained,
     Sign::two_steps_paler},
    {"darker and slimy", {{.day = 3, .colour = 2, .mucus = true}}, Judgement::unclear, Sign::mucus},
};

TEST(ResponseRules, JudgeBothSidesOfEveryThreshold) {
  std::set<std::string> names;
  for (const Case& example : cases) {
    SCOPED_TRACE(example.name);
    EXPECT_TRUE(names.insert(example.name).second) << "doubled";
    Corals corals;
    Condition::Outcome outcome{};
    for (const CheckIn& seen : example.looks) outcome = corals.look(seen);
    EXPECT_EQ(outcome.judgement, example.judgement);
    EXPECT_EQ(outcome.sign, example.sign);
  }
}

/// "under 0.5 where the baseline was 0.6 or more" lies inside "down 15 % or
/// more" (0.85 x 0.6 = 0.51), so that only the rule itself shows it.
TEST(ResponseRules, TakeFvFmUnderAHalfOnlyWhereItWasSixTenths) {
  const auto rule =
      std::find_if(response_rules().begin(), response_rules().end(),
                   [](const ResponseRule& each) { return each.judgement == Judgement::strained; });
  ASSERT_NE(rule, response_rules().end());
  const auto sign_of = [&](double baseline, double fv_fm) {
    const CheckIn now = fluorescing(10, fv_fm);
    return rule->find_sign({now, 0, baseline, {}, false});
  };
  // Down 15 % already: which of the two is named does not matter.
  EXPECT_NE(sign_of(0.6, 0.499), Sign::none);
  EXPECT_NE(sign_of(0.6, 0.5), Sign::none);
  // From 0.585 to 0.4985 is down 14.8 %, and it was not 0.6.
  EXPECT_EQ(sign_of(0.585, 0.4985), Sign::none);
  EXPECT_EQ(sign_of(0.585, 0.5), Sign::none);
  EXPECT_NE(sign_of(0.599, 0.499), Sign::none) << "down 16.7 %";
}

TEST(ResponseRules, HaveSignsAConsequenceAndABasis) {
  std::vector<ResponseRule> all(response_rules().begin(), response_rules().end());
  for (const ResponseRule& rule : all) EXPECT_NE(rule.find_sign, nullptr) << rule.signs;
  all.push_back(rule_for_all_at_once);
  std::set<std::string_view> signs;
  for (const ResponseRule& rule : all) {
    SCOPED_TRACE(rule.signs);
    EXPECT_FALSE(rule.signs.empty());
    EXPECT_FALSE(rule.what_the_plan_does.empty());
    EXPECT_TRUE(rule.basis.starts_with("published") ||
                rule.basis.starts_with("common practice, no source"))
        << rule.basis;
    EXPECT_TRUE(signs.insert(rule.signs).second) << "doubled";
  }
}

TEST(ResponseRules, StandWithTheGravestFirst) {
  std::vector<Judgement> order;
  for (const ResponseRule& rule : response_rules()) order.push_back(rule.judgement);
  const std::vector<Judgement> gravest_first{Judgement::hurt, Judgement::strained,
                                             Judgement::uneasy, Judgement::unclear,
                                             Judgement::darker};
  EXPECT_EQ(order, gravest_first);
}

TEST(Condition, IsFreeAtFirst) {
  const Corals corals;
  EXPECT_EQ(corals.condition.mode(), Mode::free);
  EXPECT_FALSE(corals.condition.dose_limit());
  EXPECT_EQ(corals.condition.tolerance(), tolerance_of(10.0));
  EXPECT_EQ(corals.condition.last_look_day(), 0);
  EXPECT_EQ(corals.condition.next_look_day(), 7);
  EXPECT_FALSE(corals.condition.last_sign_day());
}

TEST(Condition, GoesOnAtEaseDarkerOrUnclear) {
  for (const CheckIn& seen : {good(3), coloured(3, -1), coloured(3, 2), closed(3), slimy(3)}) {
    Corals corals;
    const Condition::Outcome outcome = corals.look(seen);
    EXPECT_EQ(outcome.before, Mode::free);
    EXPECT_EQ(outcome.after, Mode::free);
    EXPECT_FALSE(corals.condition.dose_limit());
    EXPECT_EQ(corals.condition.tolerance(), tolerance_of(10.0));
  }
}

TEST(Condition, HoldsAtTheDoseOfTheUneasyDay) {
  Corals corals;
  corals.look(closed(3), 9.0);
  const Condition::Outcome outcome = corals.look(closed(5), 10.0);
  EXPECT_EQ(outcome.before, Mode::free);
  EXPECT_EQ(outcome.after, Mode::holding);
  EXPECT_DOUBLE_EQ(corals.limit(), 10.0);
  EXPECT_EQ(corals.condition.tolerance(), tolerance_of(10.0)) << "a hold teaches nothing";
}

TEST(Condition, HoldsNoHigherAtALaterUneasyDay) {
  Corals corals;
  corals.look(closed(3));
  corals.look(closed(5), 10.0);
  corals.look(closed(7), 12.0);
  EXPECT_DOUBLE_EQ(corals.limit(), 10.0);
  corals.look(closed(9), 7.0);
  EXPECT_DOUBLE_EQ(corals.limit(), 7.0);
}

TEST(Condition, GoesBackToTheLastDoseAtEase) {
  Corals corals;
  corals.look(good(3), 6.0);
  const Condition::Outcome outcome = corals.look(coloured(10, -2), 10.0);
  EXPECT_EQ(outcome.before, Mode::free);
  EXPECT_EQ(outcome.after, Mode::strained);
  EXPECT_DOUBLE_EQ(corals.limit(), 6.0);
}

TEST(Condition, GoesBackByThirtyPercentWhereTheDoseAtEaseIsHigher) {
  Corals corals;
  corals.look(good(3), 9.5);
  corals.look(coloured(10, -2), 10.0);
  EXPECT_DOUBLE_EQ(corals.limit(), 7.0);
}

TEST(Condition, GoesBackToTheFirstDoseWithoutALookAtEase) {
  Corals corals;
  corals.look(coloured(10, -2), 20.0);
  EXPECT_DOUBLE_EQ(corals.limit(), 8.0);
}

TEST(Condition, TakesADoseOfASignForNoDoseAtEase) {
  Corals corals;
  corals.look(good(3), 6.0);
  corals.look(slimy(6), 7.0);
  corals.look(coloured(10, -2), 20.0);
  EXPECT_DOUBLE_EQ(corals.limit(), 6.0);
}

TEST(Condition, HurtIsNeverAboveHalfOfWhatItIsUsedToNorAboveAStrain) {
  struct Example {
    double dose;
    double used_to;
    double at_ease;
    double limit;
  };
  for (const Example& example : {Example{10.0, 9.0, 9.0, 4.5},      // half of A
                                 Example{10.0, 18.0, 9.0, 7.0},     // 70 % of the dose
                                 Example{10.0, 18.0, 6.0, 6.0}}) {  // dose at ease
    SCOPED_TRACE(example.limit);
    Corals corals;
    corals.look(good(3), example.at_ease);
    const Condition::Outcome outcome =
        corals.look(torn(10, Tissue::lost), example.dose, example.used_to);
    EXPECT_EQ(outcome.after, Mode::hurt);
    EXPECT_DOUBLE_EQ(corals.limit(), example.limit);
    EXPECT_DOUBLE_EQ(corals.condition.tolerance().tau_up.d(), 15.0);
    EXPECT_DOUBLE_EQ(corals.condition.tolerance().weekly_rise.percent(), 7.5);
  }
}

TEST(Condition, StaysHurtAfterAnyNumberOfGoodLooks) {
  Corals corals;
  corals.look(torn(3, Tissue::white_patches));
  for (int day = 10; day < 100; day += 7) corals.look(good(day));
  EXPECT_EQ(corals.condition.mode(), Mode::hurt);
  EXPECT_DOUBLE_EQ(corals.limit(), 4.5);
}

TEST(Condition, RestartsAfterFourteenSteadyDays) {
  Corals corals;
  corals.look(torn(3, Tissue::lost));
  EXPECT_FALSE(corals.condition.may_restart(16));
  EXPECT_TRUE(corals.condition.may_restart(17));
  corals.look(slimy(10));
  EXPECT_FALSE(corals.condition.may_restart(23)) << "a sign begins the days anew";
  EXPECT_TRUE(corals.condition.may_restart(24));
  corals.look(good(17));
  EXPECT_FALSE(corals.condition.may_restart(23));
  EXPECT_TRUE(corals.condition.may_restart(24));
  corals.condition.restart();
  EXPECT_EQ(corals.condition.mode(), Mode::free);
  EXPECT_FALSE(corals.condition.dose_limit());
  EXPECT_DOUBLE_EQ(corals.condition.tolerance().tau_up.d(), 15.0) << "what was learned stays";
  EXPECT_DOUBLE_EQ(corals.condition.tolerance().weekly_rise.percent(), 7.5);
}

TEST(Condition, GoesOnAfterAHoldOnTwoGoodLooksThreeDaysApart) {
  Corals corals;
  corals.look(closed(3));
  corals.look(closed(5));
  corals.look(good(6));
  EXPECT_EQ(corals.look(good(8)).after, Mode::holding) << "2 days apart";
  EXPECT_DOUBLE_EQ(corals.limit(), 10.0);
  EXPECT_EQ(corals.look(good(9)).after, Mode::free) << "3 days apart";
  EXPECT_FALSE(corals.condition.dose_limit());
}

TEST(Condition, NeverGoesOnOnOneGoodLook) {
  Corals corals;
  corals.look(closed(3));
  corals.look(closed(5));
  EXPECT_EQ(corals.look(good(60)).after, Mode::holding);
  EXPECT_DOUBLE_EQ(corals.limit(), 10.0);
}

TEST(Condition, CountsGoodLooksAnewAfterASign) {
  for (const CheckIn& sign : {closed(8), slimy(8), coloured(8, -2)}) {
    Corals corals;
    corals.look(closed(3));
    corals.look(closed(5));
    corals.look(good(6));
    corals.look(sign);
    EXPECT_NE(corals.look(good(10)).after, Mode::free);
    EXPECT_NE(corals.look(good(12)).after, Mode::free);
    EXPECT_NE(corals.condition.mode(), Mode::free);
  }
}

TEST(Condition, HoldsAStrainForSevenDays) {
  Corals corals;
  corals.look(coloured(10, -2));
  corals.look(good(12));
  EXPECT_EQ(corals.look(good(15)).after, Mode::strained) << "two good looks, but day 5 of it";
  EXPECT_EQ(corals.look(good(16)).after, Mode::strained) << "day 6 of it";
  EXPECT_EQ(corals.look(good(17)).after, Mode::free) << "day 7 of it";
}

TEST(Condition, HoldsAStrainUntilTwoGoodLooks) {
  Corals corals;
  corals.look(coloured(10, -2));
  EXPECT_EQ(corals.look(good(20)).after, Mode::strained);
  EXPECT_EQ(corals.look(good(22)).after, Mode::strained);
  EXPECT_EQ(corals.look(good(23)).after, Mode::free);
}

/// The 7 days run from the last look that was strained, not from the cut:
/// somebody who looks on one more day and sees the same must not go on sooner.
TEST(Condition, HoldsAStrainForSevenDaysAfterItWasLastSeen) {
  Corals corals;
  corals.look(coloured(10, -2));
  corals.look(coloured(12, -2));
  corals.look(good(13));
  EXPECT_EQ(corals.look(good(18)).after, Mode::strained) << "day 6 after it was last seen";
  EXPECT_EQ(corals.look(good(19)).after, Mode::free) << "day 7 after it was last seen";
}

TEST(Condition, TakesAStrainSeenAgainWithinAWeekForOne) {
  Corals corals;
  corals.look(coloured(10, -2), 10.0);
  EXPECT_DOUBLE_EQ(corals.limit(), 7.0);
  corals.look_after(10.0, coloured(16, -2), 7.0);
  EXPECT_DOUBLE_EQ(corals.limit(), 7.0);
  EXPECT_DOUBLE_EQ(corals.condition.tolerance().tau_up.d(), 15.0);
  corals.look(coloured(17, -2), 7.0);
  EXPECT_DOUBLE_EQ(corals.limit(), 0.7 * 7.0) << "a week of less light has not helped";
  EXPECT_DOUBLE_EQ(corals.condition.tolerance().tau_up.d(), 22.5);
}

TEST(Condition, LearnsFromEveryStrainUpToFortyDays) {
  Corals corals;
  double expected = 10.0;
  for (int day = 10; day < 100; day += 10) {
    corals.look(coloured(day, -2));
    expected = std::min(1.5 * expected, 40.0);
    EXPECT_DOUBLE_EQ(corals.condition.tolerance().tau_up.d(), expected) << day;
    EXPECT_DOUBLE_EQ(corals.condition.tolerance().weekly_rise.percent(), 7.5) << "halved once";
  }
  EXPECT_DOUBLE_EQ(expected, 40.0);
}

TEST(Condition, NeverGetsFasterByAStrain) {
  Corals corals{60.0};
  corals.look(coloured(10, -2));
  EXPECT_DOUBLE_EQ(corals.condition.tolerance().tau_up.d(), 60.0);
}

TEST(Condition, IsNotCutAgainWhereTheDialHasFallenForAnotherGroup) {
  Corals corals;
  corals.look_after(10.0, coloured(10, -2), 6.0);
  EXPECT_DOUBLE_EQ(corals.limit(), 6.0) << "under 70 % of what strained it";
  Corals others;
  others.look_after(10.0, coloured(10, -2), 7.9);
  EXPECT_DOUBLE_EQ(others.limit(), 7.0);
}

TEST(Condition, LearnsFromThreeCleanStepsDownToFiveDays) {
  // A clean step is one weekly rise, 15 %, borne at ease; the first dose is 8.
  Corals corals;
  double expected = 10.0;
  double dose = 8.0;
  for (int look = 1; look <= 30; ++look) {
    dose *= 1.15;
    corals.look(good(7 * look), dose);
    if (look % 3 == 0) expected = std::max(0.9 * expected, 5.0);
    EXPECT_NEAR(corals.condition.tolerance().tau_up.d(), expected, 1e-12) << look;
  }
  EXPECT_DOUBLE_EQ(expected, 5.0);
}

TEST(Condition, LearnsTheSameHoweverOftenItIsLookedAt) {
  Corals seldom;
  seldom.look(good(28), 8.0 * std::pow(1.15, 4));
  EXPECT_DOUBLE_EQ(seldom.condition.tolerance().tau_up.d(), 9.0);
  Corals often;
  for (int day = 1; day <= 28; ++day) often.look(good(day), 8.0 * std::pow(1.15, day / 7.0));
  EXPECT_DOUBLE_EQ(often.condition.tolerance().tau_up.d(), 9.0);
}

TEST(Condition, IsNotSlowedByCleanSteps) {
  Corals corals{3.0};
  for (int look = 1; look <= 6; ++look) corals.look(good(7 * look), 8.0 + look);
  EXPECT_DOUBLE_EQ(corals.condition.tolerance().tau_up.d(), 3.0);
}

TEST(Condition, CountsNoStepWithoutMoreLightAndNoneWithASign) {
  Corals steady;
  for (int look = 1; look <= 6; ++look) steady.look(good(7 * look), 8.0);
  EXPECT_DOUBLE_EQ(steady.condition.tolerance().tau_up.d(), 10.0);

  Corals disturbed;
  disturbed.look(good(14), 8.0 * 1.15 * 1.15);
  disturbed.look(slimy(21), 8.0 * 1.15 * 1.15 * 1.16);
  EXPECT_DOUBLE_EQ(disturbed.condition.tolerance().tau_up.d(), 10.0) << "not at ease";
  disturbed.look(good(28), 8.0 * 1.15 * 1.15 * 1.14);
  EXPECT_DOUBLE_EQ(disturbed.condition.tolerance().tau_up.d(), 10.0) << "not three yet";
  disturbed.look(good(35), 8.0 * 1.15 * 1.15 * 1.16);
  EXPECT_DOUBLE_EQ(disturbed.condition.tolerance().tau_up.d(), 9.0);
}

TEST(Condition, AsksForTheNextLookInAWeekOrInThreeDaysAfterASign) {
  Corals corals;
  corals.look(good(3));
  EXPECT_EQ(corals.condition.next_look_day(), 10);
  corals.look(coloured(5, 2));
  EXPECT_EQ(corals.condition.next_look_day(), 12);
  corals.look(closed(6));
  EXPECT_EQ(corals.condition.next_look_day(), 9) << "unclear";
  corals.look(closed(8));
  EXPECT_EQ(corals.condition.next_look_day(), 11) << "uneasy";
  corals.look(good(9));
  EXPECT_EQ(corals.condition.next_look_day(), 12) << "holding";
  corals.look(good(12));
  EXPECT_EQ(corals.condition.next_look_day(), 19) << "free again";
}

TEST(Condition, TellsWhenItReacts) {
  Corals corals;
  corals.look(coloured(2, 2));
  EXPECT_FALSE(corals.condition.reacts()) << "darker is no stress";
  corals.look(slimy(3));
  EXPECT_TRUE(corals.condition.reacts());
  EXPECT_EQ(corals.condition.last_sign_day(), 3);
  corals.look(good(5));
  EXPECT_FALSE(corals.condition.reacts());
  EXPECT_EQ(corals.condition.last_sign_day(), 3);
  EXPECT_EQ(corals.condition.last_look_day(), 5);
}

TEST(Condition, IsHeldWithTheOthersAndGoesOnAlike) {
  Corals corals;
  corals.look(slimy(3));
  corals.condition.hold(3, mol(10.0));
  EXPECT_EQ(corals.condition.mode(), Mode::holding);
  EXPECT_DOUBLE_EQ(corals.limit(), 10.0);
  corals.look(good(4));
  EXPECT_EQ(corals.look(good(7)).after, Mode::free);

  Corals strained;
  strained.look(coloured(3, -2));
  strained.condition.hold(3, mol(10.0));
  EXPECT_EQ(strained.condition.mode(), Mode::strained);
  EXPECT_DOUBLE_EQ(strained.limit(), 7.0) << "a hold never loosens";
}

/// Darker is no stress: whoever sees it must not be held longer than whoever
/// sees the usual colour.
TEST(Condition, GoesOnWithDarkerLooksAsWithGoodOnes) {
  Corals corals;
  corals.look(closed(3));
  corals.look(closed(5));
  corals.look(coloured(6, 2));
  EXPECT_EQ(corals.look(coloured(9, 2)).after, Mode::free);
}

TEST(Condition, TakesADarkerDoseForADoseAtEase) {
  Corals corals;
  corals.look(coloured(3, 2), 9.0);
  corals.look(coloured(10, -2), 20.0);
  EXPECT_DOUBLE_EQ(corals.limit(), 9.0);
}

/// What it bore before is no dose at ease once it shows a sign at less.
TEST(Condition, GoesBackNoHigherThanADoseWithASign) {
  Corals corals;
  corals.look(good(3), 10.0);
  corals.look(slimy(10), 4.0);
  corals.look(coloured(17, -2), 9.0);
  EXPECT_DOUBLE_EQ(corals.limit(), 4.0);
}

}  // namespace
}  // namespace slowdawn
