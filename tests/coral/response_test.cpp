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

/// A group that gets 10 mol m-2 d-1 and is used to 9.
class Corals {
 public:
  explicit Corals(double tau_up_days = 10.0, const Baselines& baselines = {})
      : condition{tolerance_of(tau_up_days), baselines} {}

  Condition::Outcome look(const CheckIn& seen, double dose = 10.0, double used_to = 9.0) {
    return look_after(dose, seen, dose, used_to);
  }
  /// The same where the last seven days had more light than today.
  Condition::Outcome look_after(double highest, const CheckIn& seen, double dose = 10.0,
                                double used_to = 9.0) {
    return condition.take(seen, seen.day, light(dose, highest, used_to));
  }
  /// The same where it was written on a later day.
  Condition::Outcome look_late(int made, const CheckIn& seen, double dose = 10.0) {
    return condition.take(seen, made, light(dose, dose, 9.0));
  }
  static LookLight light(double dose, double highest, double used_to) {
    return {mol(dose), mol(highest), {mol(used_to), Ppfd::umol_m2_s(200.0)}};
  }
  double limit() const {
    return condition.dose_limit() ? condition.dose_limit()->mol_m2_d() : -1.0;
  }
  double tau_up() const { return condition.tolerance().tau_up.d(); }

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
    {"one step paler", {coloured(3, -1)}, Judgement::unclear, Sign::one_step_paler},
    {"two steps paler", {coloured(3, -2)}, Judgement::strained, Sign::two_steps_paler},
    {"five steps paler", {coloured(3, -5)}, Judgement::strained, Sign::two_steps_paler},

    // One step paler is a sign like mucus: twice, two days apart or more, it holds.
    {"one step paler 1 day apart",
     {coloured(3, -1), coloured(4, -1)},
     Judgement::unclear,
     Sign::one_step_paler},
    {"one step paler 2 days apart",
     {coloured(3, -1), coloured(5, -1)},
     Judgement::uneasy,
     Sign::one_step_paler},
    {"one step paler with a good look between",
     {coloured(3, -1), coloured(4, 0), coloured(5, -1)},
     Judgement::unclear,
     Sign::one_step_paler},
    {"one step paler 2 days after two steps",
     {coloured(3, -2), coloured(5, -1)},
     Judgement::uneasy,
     Sign::one_step_paler},
    {"one step paler 1 day after two steps",
     {coloured(3, -2), coloured(4, -1)},
     Judgement::unclear,
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
     Judgement::unclear,
     Sign::one_step_paler},
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

    // "down 40 % or more from its own baseline".
    {"Fv/Fm at 0.6 of the baseline",
     {fluorescing(3, 0.7), fluorescing(10, 0.6 * 0.7)},
     Judgement::hurt,
     Sign::fv_fm_far_down},
    {"Fv/Fm a hair above 0.6 of the baseline",
     {fluorescing(3, 0.7), fluorescing(10, 0.6 * 0.7 + 1e-6)},
     Judgement::strained,
     Sign::fv_fm_down},
    // An instrument on which healthy corals read 0.42.
    {"Fv/Fm of 0.38 from 0.42",
     {fluorescing(3, 0.42), fluorescing(10, 0.38)},
     Judgement::at_ease,
     Sign::none},
    {"Fv/Fm of 0.29 from 0.42",
     {fluorescing(3, 0.42), fluorescing(10, 0.29)},
     Judgement::strained,
     Sign::fv_fm_down},
    {"Fv/Fm of 0.25 from 0.42",
     {fluorescing(3, 0.42), fluorescing(10, 0.25)},
     Judgement::hurt,
     Sign::fv_fm_far_down},

    // "under 0.3 from the first".
    {"Fv/Fm of 0.3", {fluorescing(3, 0.3)}, Judgement::at_ease, Sign::none},
    {"Fv/Fm of 0.299", {fluorescing(3, 0.299)}, Judgement::hurt, Sign::fv_fm_severe},
    {"Fv/Fm of 0.29 from 0.28",
     {fluorescing(3, 0.28), fluorescing(10, 0.29)},
     Judgement::hurt,
     Sign::fv_fm_severe},
    {"Fv/Fm of 0.299 after 0.6",
     {fluorescing(3, 0.6), fluorescing(10, 0.299)},
     Judgement::hurt,
     Sign::fv_fm_far_down},

    // "a sign of any kind at 2 looks in a row at least 2 days apart".
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
    {"less extension, then one step paler, 2 days apart",
     {closed(3), coloured(5, -1)},
     Judgement::uneasy,
     Sign::one_step_paler},
    {"white patches, then less extension, 2 days apart",
     {torn(3, Tissue::white_patches), closed(5)},
     Judgement::uneasy,
     Sign::less_extension},
    {"less extension with a darker look between",
     {closed(3), coloured(4, 2), closed(5)},
     Judgement::unclear,
     Sign::less_extension},
    {"less extension a month apart, and no look between",
     {closed(3), closed(33)},
     Judgement::uneasy,
     Sign::less_extension},
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

Baselines baselines_of(const std::vector<CheckIn>& looks) {
  BaselineFinder finder;
  for (const CheckIn& seen : looks) finder.take(seen);
  return finder.found();
}

TEST(ResponseRules, JudgeBothSidesOfEveryThreshold) {
  std::set<std::string> names;
  for (const Case& example : cases) {
    SCOPED_TRACE(example.name);
    EXPECT_TRUE(names.insert(example.name).second) << "doubled";
    Corals corals{10.0, baselines_of(example.looks)};
    Condition::Outcome outcome{};
    for (const CheckIn& seen : example.looks) outcome = corals.look(seen);
    EXPECT_EQ(outcome.judgement, example.judgement);
    EXPECT_EQ(outcome.sign, example.sign);
  }
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

/// The numbers that the table of rules states in words.
TEST(ResponseRules, HaveTheirNumbers) {
  EXPECT_EQ(days_between_two_signs, 2);
  EXPECT_EQ(days_between_good_looks, 3);
  EXPECT_EQ(days_a_strain_holds, 7);
  EXPECT_EQ(days_between_strains, 4);
  EXPECT_EQ(share_left_by_strain, 0.7);
  EXPECT_EQ(share_left_by_hurt, 0.5);
  EXPECT_EQ(strain_slows_by, 1.5);
  EXPECT_EQ(lesson_quickens_by, 0.9);
  EXPECT_EQ(steady_days_before_restart, 14);
  EXPECT_EQ(good_look_days_before_restart, 3);
  EXPECT_EQ(days_between_clean_steps, 7);
  EXPECT_EQ(clean_steps_that_teach, 3);
  EXPECT_EQ(days_from_accident_to_good_look, 3);
}

TEST(BaselineFinder, TakesTheFirstScoresByDate) {
  const Baselines found = baselines_of({good(1),
                                        {.day = 3, .card = 4},
                                        {.day = 5, .fv_fm = 0.62},
                                        {.day = 9, .card = 6, .fv_fm = 0.7}});
  EXPECT_EQ(found.card, 4);
  EXPECT_EQ(found.fv_fm, 0.62);
  EXPECT_FALSE(baselines_of({good(1)}).card);
  EXPECT_FALSE(baselines_of({good(1)}).fv_fm);
}

/// A score that is written late is the first by date; but it never lowers one against
/// which looks were judged already.
TEST(BaselineFinder, IsRaisedAndNeverLoweredByAnEarlierDateWrittenLate) {
  EXPECT_EQ(baselines_of({{.day = 9, .card = 4}, {.day = 3, .card = 6}}).card, 6);
  EXPECT_EQ(baselines_of({{.day = 9, .card = 4}, {.day = 3, .card = 2}}).card, 4);
  EXPECT_EQ(baselines_of({fluorescing(9, 0.6), fluorescing(3, 0.7)}).fv_fm, 0.7);
  EXPECT_EQ(baselines_of({fluorescing(9, 0.6), fluorescing(3, 0.5)}).fv_fm, 0.6);
}

TEST(BaselineFinder, LeavesLaterDatesAloneHoweverTheyAreWritten) {
  EXPECT_EQ(baselines_of({{.day = 9, .card = 4}, {.day = 9, .card = 6}}).card, 4);
  EXPECT_EQ(
      baselines_of({{.day = 9, .card = 4}, {.day = 3, .card = 2}, {.day = 5, .card = 6}}).card, 4)
      << "day 3 is the first by then, and was not taken for its score";
  EXPECT_EQ(baselines_of({{.day = 9, .card = 4}, fluorescing(3, 0.5)}).card, 4);
}

TEST(Condition, IsFreeAtFirst) {
  const Corals corals;
  EXPECT_EQ(corals.condition.mode(), Mode::free);
  EXPECT_FALSE(corals.condition.dose_limit());
  EXPECT_EQ(corals.condition.tolerance(), tolerance_of(10.0));
  EXPECT_FALSE(corals.condition.last_look_day());
  EXPECT_FALSE(corals.condition.last_good_day());
  EXPECT_FALSE(corals.condition.last_sign_day());
  EXPECT_EQ(corals.condition.next_look_day(4), 4) << "without a look it is due at once";
  EXPECT_FALSE(corals.condition.earliest_release(0));
  EXPECT_EQ(corals.condition.good_looks_to_come(), 0);
}

TEST(Condition, IsNotHeldAtEaseDarkerOrUnclear) {
  for (const CheckIn& seen : {good(3), coloured(3, -1), coloured(3, 2), closed(3), slimy(3)}) {
    Corals corals;
    const Condition::Outcome outcome = corals.look(seen);
    EXPECT_EQ(outcome.before, Mode::free);
    EXPECT_EQ(outcome.after, Mode::free);
    EXPECT_FALSE(corals.condition.dose_limit());
    EXPECT_EQ(corals.condition.tolerance(), tolerance_of(10.0));
  }
}

/// Only a good look ends the days without a look.
TEST(Condition, TakesOnlyALookWithoutAnySignForAGoodOne) {
  for (const CheckIn& seen :
       {coloured(5, -1), closed(5), slimy(5), coloured(5, -2), torn(5, Tissue::white_patches)}) {
    Corals corals;
    corals.look(good(3));
    corals.look(seen);
    EXPECT_EQ(corals.condition.last_look_day(), 5);
    EXPECT_EQ(corals.condition.last_good_day(), 3);
    EXPECT_EQ(corals.condition.last_sign_day(), 5);
    EXPECT_TRUE(corals.condition.reacts());
  }
  for (const CheckIn& seen : {good(5), coloured(5, 1), coloured(5, 2)}) {
    Corals corals;
    corals.look(seen);
    EXPECT_EQ(corals.condition.last_good_day(), 5);
    EXPECT_FALSE(corals.condition.last_sign_day());
    EXPECT_FALSE(corals.condition.reacts());
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

/// Moved on the day of the look, or on the day before: a limit is a dose of the coral
/// and not of its place.
TEST(Condition, HoldsNoLowerThanAStrainWhereItHadMoreOfLate) {
  Corals moved;
  moved.look_after(10.0, closed(3), 10.0);
  moved.look_after(10.0, closed(5), 2.0);
  EXPECT_DOUBLE_EQ(moved.limit(), 7.0) << "70 % of the most of late";
  Corals at_ease_with_less;
  at_ease_with_less.look(good(1), 5.0);
  at_ease_with_less.look_after(10.0, closed(3), 10.0);
  at_ease_with_less.look_after(10.0, closed(5), 2.0);
  EXPECT_DOUBLE_EQ(at_ease_with_less.limit(), 5.0) << "the last dose at ease";
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

TEST(Condition, GoesBackByThirtyPercentWithoutALookAtEase) {
  Corals corals;
  corals.look(coloured(10, -2), 20.0);
  EXPECT_DOUBLE_EQ(corals.limit(), 14.0);
}

TEST(Condition, TakesADoseOfASignForNoDoseAtEase) {
  for (const CheckIn& sign : {slimy(6), closed(6), coloured(6, -1)}) {
    Corals corals;
    corals.look(good(3), 6.0);
    corals.look(sign, 7.0);
    corals.look(coloured(10, -2), 20.0);
    EXPECT_DOUBLE_EQ(corals.limit(), 6.0);
  }
}

/// The most of the last seven days counts, and never today's dose: who fled from the light
/// before the look, or is in the dark on that day, is held where it would have been.
TEST(Condition, IsCutFromTheMostOfLateAndNotFromTodaysDose) {
  for (const double today : {10.0, 6.0, 0.5, 0.0}) {
    SCOPED_TRACE(today);
    Corals corals;
    corals.look_after(10.0, coloured(10, -2), today);
    EXPECT_DOUBLE_EQ(corals.limit(), 7.0);
    Corals looked_at_before;
    looked_at_before.look(good(3), 9.0);
    looked_at_before.look_after(10.0, slimy(8), today);
    looked_at_before.look_after(10.0, coloured(10, -2), today);
    EXPECT_DOUBLE_EQ(looked_at_before.limit(), 7.0);
  }
}

/// What it bore before is no dose at ease once it shows a sign at less; the most of the
/// week with the sign is.
TEST(Condition, TakesTheDoseAtEaseDownToTheMostOfAWeekWithASign) {
  Corals corals;
  corals.look(good(3), 10.0);
  corals.look_after(5.0, slimy(10), 4.0);
  corals.look(coloured(17, -2), 9.0);
  EXPECT_DOUBLE_EQ(corals.limit(), 5.0);
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
    EXPECT_DOUBLE_EQ(corals.tau_up(), 15.0) << "hurt is also a strain";
    EXPECT_DOUBLE_EQ(corals.condition.tolerance().weekly_rise.percent(), 7.5);
    EXPECT_EQ(corals.condition.strains(), 1);
  }
}

TEST(Condition, NeverLeavesMoreLightForAWorseLook) {
  int compared = 0;
  for (const double ease : {2.0, 6.0, 12.0}) {
    for (const double dose : {0.0, 3.0, 8.0, 10.0}) {
      for (const double used_to : {4.0, 9.0, 18.0}) {
        double last = 1e9;
        for (const CheckIn& seen : {closed(7), coloured(7, -2), torn(7, Tissue::white_patches)}) {
          Corals corals;
          corals.look(good(3), ease);
          corals.look_after(10.0, closed(5), dose, used_to);
          corals.look_after(10.0, seen, dose, used_to);
          ASSERT_TRUE(corals.condition.dose_limit());
          EXPECT_LE(corals.limit(), last) << ease << ' ' << dose << ' ' << used_to;
          last = corals.limit();
          ++compared;
        }
      }
    }
  }
  EXPECT_EQ(compared, 3 * 4 * 3 * 3);
}

TEST(Condition, StaysHurtAfterAnyNumberOfGoodLooks) {
  Corals corals;
  corals.look(torn(3, Tissue::white_patches));
  for (int day = 10; day < 100; day += 7) corals.look(good(day));
  corals.condition.begin_day(100);
  EXPECT_EQ(corals.condition.mode(), Mode::hurt);
  EXPECT_DOUBLE_EQ(corals.limit(), 4.5);
  EXPECT_FALSE(corals.condition.earliest_release(100)) << "it needs a restart";
}

TEST(Condition, StaysHurtWhereItIsOnlyStrainedLater) {
  Corals corals;
  corals.look(torn(3, Tissue::white_patches));
  EXPECT_EQ(corals.look(coloured(10, -2)).after, Mode::hurt);
  EXPECT_DOUBLE_EQ(corals.tau_up(), 22.5) << "a strain of its own, 7 days later";
}

TEST(Condition, RestartsAfterFourteenSteadyDays) {
  Corals corals;
  corals.look(torn(3, Tissue::lost));
  corals.look(good(16));
  EXPECT_FALSE(corals.condition.may_restart(16)) << "day 13";
  EXPECT_TRUE(corals.condition.may_restart(17)) << "day 14";
  corals.look(slimy(18));
  corals.look(good(31));
  EXPECT_FALSE(corals.condition.may_restart(31)) << "a sign begins the days anew";
  EXPECT_TRUE(corals.condition.may_restart(32));
  corals.condition.restart();
  EXPECT_EQ(corals.condition.mode(), Mode::free);
  EXPECT_FALSE(corals.condition.dose_limit());
  EXPECT_FALSE(corals.condition.may_restart(32)) << "it is hurt no more";
  EXPECT_DOUBLE_EQ(corals.tau_up(), 15.0) << "what was learned stays";
  EXPECT_DOUBLE_EQ(corals.condition.tolerance().weekly_rise.percent(), 7.5);
}

TEST(Condition, RestartsOnlyWithAGoodLookOfTheLastThreeDays) {
  Corals corals;
  corals.look(torn(3, Tissue::lost));
  EXPECT_FALSE(corals.condition.may_restart(30)) << "nobody has looked since";
  corals.look(good(20));
  EXPECT_TRUE(corals.condition.may_restart(20));
  EXPECT_TRUE(corals.condition.may_restart(23)) << "3 days old";
  EXPECT_FALSE(corals.condition.may_restart(24)) << "4 days old";
  Corals seen_well_before;
  seen_well_before.look(good(3));
  seen_well_before.look(torn(3, Tissue::lost));
  EXPECT_FALSE(seen_well_before.condition.may_restart(17)) << "the good look is not after the sign";
}

TEST(Condition, RestartsNothingThatIsNotHurt) {
  Corals corals;
  corals.look(coloured(3, -2));
  corals.look(good(17));
  EXPECT_FALSE(corals.condition.may_restart(17));
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
  corals.condition.begin_day(90);
  EXPECT_EQ(corals.condition.mode(), Mode::holding);
  EXPECT_DOUBLE_EQ(corals.limit(), 10.0);
}

TEST(Condition, CountsGoodLooksAnewAfterASign) {
  for (const CheckIn& sign : {closed(8), slimy(8), coloured(8, -1), coloured(8, -2)}) {
    Corals corals;
    corals.look(closed(3));
    corals.look(closed(5));
    corals.look(good(6));
    corals.look(sign);
    EXPECT_NE(corals.look(good(10)).after, Mode::free);
    EXPECT_NE(corals.look(good(12)).after, Mode::free) << "2 days apart";
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

/// Two good looks are two good looks: nobody has to look once more on the seventh day.
TEST(Condition, LeavesAStrainWithoutAFurtherLook) {
  Corals corals;
  corals.look(coloured(10, -2));
  corals.look(good(11));
  corals.look(good(14));
  corals.condition.begin_day(16);
  EXPECT_EQ(corals.condition.mode(), Mode::strained) << "day 6 of it";
  EXPECT_DOUBLE_EQ(corals.limit(), 7.0);
  corals.condition.begin_day(17);
  EXPECT_EQ(corals.condition.mode(), Mode::free) << "day 7 of it";
  EXPECT_FALSE(corals.condition.dose_limit());
}

TEST(Condition, HoldsAStrainUntilTwoGoodLooks) {
  Corals corals;
  corals.look(coloured(10, -2));
  EXPECT_EQ(corals.look(good(20)).after, Mode::strained);
  corals.condition.begin_day(21);
  EXPECT_EQ(corals.condition.mode(), Mode::strained) << "one good look";
  EXPECT_EQ(corals.look(good(22)).after, Mode::strained);
  corals.condition.begin_day(40);
  EXPECT_EQ(corals.condition.mode(), Mode::strained) << "2 days apart";
  EXPECT_EQ(corals.look(good(41)).after, Mode::free);
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

TEST(Condition, CountsALateStrainFromTheDayItWasWritten) {
  Corals corals;
  corals.look_late(20, coloured(10, -2));
  corals.look(good(11));
  corals.look(good(14));
  corals.condition.begin_day(26);
  EXPECT_EQ(corals.condition.mode(), Mode::strained) << "day 6 after it was written";
  EXPECT_EQ(corals.condition.earliest_release(20), 27);
  corals.condition.begin_day(27);
  EXPECT_EQ(corals.condition.mode(), Mode::free) << "day 7 after it was written";
}

/// A second strained look that was written in time must not shorten what the first one,
/// written late, asks for.
TEST(Condition, HoldsALateStrainNoShorterForAnotherStrainInTime) {
  for (const int second : {-1, -2}) {
    Corals corals;
    corals.look_late(20, coloured(10, -2));
    corals.look(coloured(12, second));
    corals.look(good(13));
    corals.look(good(16));
    corals.condition.begin_day(26);
    EXPECT_EQ(corals.condition.mode(), Mode::strained) << second;
    corals.condition.begin_day(27);
    EXPECT_EQ(corals.condition.mode(), Mode::free) << second;
  }
}

TEST(Condition, CountsAStrainOfBeforeThePlanFromItsOwnDay) {
  Corals corals;
  corals.look(coloured(-4, -2));
  corals.look(good(-3));
  corals.look(good(0));
  corals.condition.begin_day(2);
  EXPECT_EQ(corals.condition.mode(), Mode::strained) << "day 6 of it";
  corals.condition.begin_day(3);
  EXPECT_EQ(corals.condition.mode(), Mode::free) << "day 7 of it";
}

TEST(Condition, TakesAStrainSeenAgainWithinFourDaysForOne) {
  Corals corals;
  corals.look(coloured(10, -2), 10.0);
  EXPECT_DOUBLE_EQ(corals.limit(), 7.0);
  corals.look_after(10.0, coloured(13, -2), 7.0);
  EXPECT_DOUBLE_EQ(corals.limit(), 7.0);
  EXPECT_DOUBLE_EQ(corals.tau_up(), 15.0) << "3 days after the look that began it";
  corals.look_after(10.0, coloured(14, -2), 7.0);
  EXPECT_DOUBLE_EQ(corals.tau_up(), 22.5) << "4 days after it, whatever was between";
  corals.look_after(10.0, coloured(17, -2), 7.0);
  EXPECT_DOUBLE_EQ(corals.tau_up(), 22.5);
  EXPECT_EQ(corals.condition.strains(), 2);
  corals.look(coloured(18, -2), 7.0);
  EXPECT_DOUBLE_EQ(corals.limit(), 0.7 * 7.0) << "a week of less light has not helped";
  EXPECT_EQ(corals.condition.strains(), 3);
}

TEST(Condition, TakesAHurtWithinFourDaysOfAStrainForTheSame) {
  Corals corals;
  corals.look(coloured(10, -2));
  corals.look(torn(13, Tissue::lost));
  EXPECT_EQ(corals.condition.mode(), Mode::hurt);
  EXPECT_EQ(corals.condition.strains(), 1);
}

TEST(Condition, LearnsFromEveryStrainUpToFortyDays) {
  Corals corals;
  double expected = 10.0;
  for (int day = 10; day < 100; day += 10) {
    corals.look(coloured(day, -2));
    expected = std::min(1.5 * expected, 40.0);
    EXPECT_DOUBLE_EQ(corals.tau_up(), expected) << day;
    EXPECT_DOUBLE_EQ(corals.condition.tolerance().weekly_rise.percent(), 7.5) << "halved once";
  }
  EXPECT_DOUBLE_EQ(expected, 40.0);
}

TEST(Condition, NeverGetsFasterByAStrain) {
  Corals corals{60.0};
  corals.look(coloured(10, -2));
  EXPECT_DOUBLE_EQ(corals.tau_up(), 60.0);
}

/// The first good look says what it bears, and is no step.
TEST(Condition, LearnsFromThreeCleanStepsDownToFiveDays) {
  Corals corals;
  double expected = 10.0;
  double dose = 8.0;
  corals.look(good(0), dose);
  for (int step = 1; step <= 30; ++step) {
    dose *= 1.15;
    corals.look(good(7 * step), dose);
    if (step % 3 == 0) expected = std::max(0.9 * expected, 5.0);
    EXPECT_NEAR(corals.tau_up(), expected, 1e-12) << step;
  }
  EXPECT_DOUBLE_EQ(expected, 5.0);
}

/// The number of lessons after three steps of which each has this rise and these days.
int lessons_of(double rise, int days) {
  Corals corals;
  double dose = 8.0;
  corals.look(good(0), dose);
  for (int step = 1; step <= 3; ++step) {
    dose *= rise;
    corals.look(good(days * step), dose);
  }
  return corals.tau_up() < 10.0 ? 1 : 0;
}

TEST(Condition, CountsOneWholeWeeklyRiseAndOneAWeek) {
  EXPECT_EQ(lessons_of(1.15, 7), 1);
  EXPECT_EQ(lessons_of(1.149, 7), 0) << "less than a weekly rise each time, three within two";
  EXPECT_EQ(lessons_of(1.15, 6), 0) << "under a week from step to step";
  EXPECT_EQ(lessons_of(3.0, 7), 1) << "a great rise is one step";
}

/// Where a single look comes after a rise of many weeks, it is one step.
TEST(Condition, CountsOneStepFromOneGoodLookToTheNext) {
  Corals corals;
  corals.look(good(0), 8.0);
  corals.look(good(28), 8.0 * std::pow(1.15, 4));
  EXPECT_DOUBLE_EQ(corals.tau_up(), 10.0);
}

TEST(Condition, LearnsTheSameHoweverOftenItIsLookedAt) {
  Corals weekly;
  Corals daily;
  for (int day = 0; day <= 21; ++day) {
    const double dose = 8.0 * std::pow(1.15, day / 7);
    if (day % 7 == 0) weekly.look(good(day), dose);
    daily.look(good(day), dose);
  }
  EXPECT_DOUBLE_EQ(weekly.tau_up(), 9.0);
  EXPECT_DOUBLE_EQ(daily.tau_up(), 9.0);
}

/// After a strain the group rises by half of the weekly rise; a clean step is still a
/// whole one.
TEST(Condition, MeasuresACleanStepByTheUnhalvedWeeklyRise) {
  Corals corals;
  corals.look(coloured(0, -2), 8.0);
  corals.look(good(4), 5.0);
  corals.look(good(7), 5.0);
  ASSERT_EQ(corals.condition.mode(), Mode::free);
  double dose = 5.0;
  corals.look(good(14), dose);
  for (int week = 3; week <= 6; ++week) {
    dose *= 1.075;
    corals.look(good(7 * week), dose);
  }
  EXPECT_DOUBLE_EQ(corals.tau_up(), 15.0) << "four half rises make two steps";
  for (int week = 7; week <= 8; ++week) {
    dose *= 1.075;
    corals.look(good(7 * week), dose);
  }
  EXPECT_DOUBLE_EQ(corals.tau_up(), 13.5) << "six make three";
}

TEST(Condition, CountsNoStepOverALightThatItHasBorneBefore) {
  Corals corals;
  corals.look(good(0), 12.0);
  double dose = 8.0;
  for (int week = 1; week <= 4; ++week) {
    dose *= 1.15;
    corals.look(good(7 * week), dose);
  }
  EXPECT_DOUBLE_EQ(corals.tau_up(), 10.0) << "up to 13.99 from 12";
}

TEST(Condition, IsNotSlowedByCleanSteps) {
  Corals corals{3.0};
  double dose = 8.0;
  for (int look = 0; look <= 6; ++look) {
    dose *= 1.15;
    corals.look(good(7 * look), dose);
  }
  EXPECT_DOUBLE_EQ(corals.tau_up(), 3.0);
}

TEST(Condition, CountsNoStepWithoutMoreLight) {
  Corals steady;
  for (int look = 0; look <= 6; ++look) steady.look(good(7 * look), 8.0);
  EXPECT_DOUBLE_EQ(steady.tau_up(), 10.0);
}

/// Any sign voids the step in which it falls: the next good look only says what it bears.
TEST(Condition, CountsNoStepWithASign) {
  for (const CheckIn& sign : {slimy(17), closed(17), coloured(17, -1)}) {
    Corals disturbed;
    double dose = 8.0;
    for (const int day : {0, 7, 14}) {
      disturbed.look(good(day), dose);
      dose *= 1.15;
    }
    disturbed.look(sign, dose);
    disturbed.look(good(21), dose);
    EXPECT_DOUBLE_EQ(disturbed.tau_up(), 10.0) << "void";
    disturbed.look(good(28), dose * 1.14);
    EXPECT_DOUBLE_EQ(disturbed.tau_up(), 10.0) << "a rise over what was borne is wanted";
    disturbed.look(good(35), dose * 1.15);
    EXPECT_DOUBLE_EQ(disturbed.tau_up(), 9.0);
  }
}

TEST(Condition, LearnsNothingFromLightByAccident) {
  Corals corals;
  double dose = 8.0;
  corals.look(good(0), dose);
  for (int week = 1; week <= 3; ++week) {
    dose *= 1.15;
    LookLight light = Corals::light(dose, dose, 9.0);
    light.teaches = false;
    corals.condition.take(good(7 * week), 7 * week, light);
  }
  EXPECT_DOUBLE_EQ(corals.tau_up(), 10.0);
}

TEST(Condition, LearnsNothingBeforeThePlanNorWhileItIsHeld) {
  Corals before;
  double dose = 8.0;
  for (int week = -4; week < 0; ++week) {
    dose *= 1.15;
    before.look(good(7 * week), dose);
  }
  EXPECT_DOUBLE_EQ(before.tau_up(), 10.0);
  Corals held;
  dose = 8.0;
  held.look(torn(0, Tissue::lost), dose);
  for (int week = 1; week <= 4; ++week) {
    dose *= 1.15;
    held.look(good(7 * week), dose);
  }
  EXPECT_DOUBLE_EQ(held.tau_up(), 15.0) << "the strain, and no lesson";
}

/// What was learned is a factor on the figures, whichever they are.
TEST(Condition, TakesWhatItLearnedToOtherFigures) {
  Corals corals;
  corals.look(coloured(0, -2));
  Tolerance slower = tolerance_of(14.0);
  slower.weekly_rise = Percent::of_full(20.0);
  corals.condition.take_figures(slower);
  EXPECT_DOUBLE_EQ(corals.tau_up(), 21.0);
  EXPECT_DOUBLE_EQ(corals.condition.tolerance().weekly_rise.percent(), 10.0);
  EXPECT_EQ(corals.condition.mode(), Mode::strained) << "and goes on as it was";
  EXPECT_DOUBLE_EQ(corals.limit(), 7.0);
}

TEST(Condition, AsksForTheNextLookInAWeekOrInThreeDaysAfterASign) {
  Corals corals;
  corals.look(good(3));
  EXPECT_EQ(corals.condition.next_look_day(0), 10);
  corals.look(coloured(5, 2));
  EXPECT_EQ(corals.condition.next_look_day(0), 12);
  corals.look(closed(6));
  EXPECT_EQ(corals.condition.next_look_day(0), 9) << "unclear";
  corals.look(closed(8));
  EXPECT_EQ(corals.condition.next_look_day(0), 11) << "uneasy";
  corals.look(good(9));
  EXPECT_EQ(corals.condition.next_look_day(0), 12) << "holding";
  corals.look(good(12));
  EXPECT_EQ(corals.condition.next_look_day(0), 19) << "free again";
  corals.look(coloured(13, -1));
  EXPECT_EQ(corals.condition.next_look_day(0), 16) << "one step paler is a sign";
}

TEST(Condition, SaysWhenItCanBeFreeAndByHowManyLooks) {
  Corals uneasy;
  uneasy.look(closed(3));
  uneasy.look(closed(5));
  EXPECT_EQ(uneasy.condition.good_looks_to_come(), 2);
  EXPECT_EQ(uneasy.condition.earliest_release(5), 9) << "today has a sign; good looks on 6 and 9";
  EXPECT_EQ(uneasy.condition.earliest_release(7), 10);
  uneasy.look(good(8));
  EXPECT_EQ(uneasy.condition.good_looks_to_come(), 1);
  EXPECT_EQ(uneasy.condition.earliest_release(8), 11);
  EXPECT_EQ(uneasy.condition.earliest_release(20), 20) << "the second look may be made today";
  uneasy.look(good(11));
  EXPECT_EQ(uneasy.condition.good_looks_to_come(), 0);
  EXPECT_FALSE(uneasy.condition.earliest_release(11));

  Corals strained;
  strained.look(coloured(10, -2));
  EXPECT_EQ(strained.condition.earliest_release(10), 17);
  strained.look(good(11));
  strained.look(good(14));
  EXPECT_EQ(strained.condition.good_looks_to_come(), 0);
  EXPECT_EQ(strained.condition.earliest_release(14), 17);
}

TEST(Condition, IsHeldWithTheOthersAndGoesOnAlike) {
  Corals corals;
  corals.look(slimy(3));
  corals.condition.hold(3, Corals::light(10.0, 10.0, 9.0));
  EXPECT_EQ(corals.condition.mode(), Mode::holding);
  EXPECT_DOUBLE_EQ(corals.limit(), 10.0);
  corals.look(good(4));
  EXPECT_EQ(corals.look(good(7)).after, Mode::free);

  Corals strained;
  strained.look(coloured(3, -2));
  strained.condition.hold(3, Corals::light(10.0, 10.0, 9.0));
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

}  // namespace
}  // namespace slowdawn
