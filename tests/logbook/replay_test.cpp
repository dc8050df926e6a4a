#include "slowdawn/logbook/replay.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <string>

#include "logbook/same_replay.hpp"
#include "logbook/story.hpp"

namespace slowdawn {
namespace {

using testing::dial_on;
using testing::Json;
using testing::one_light_tank;
using testing::plan_text;
using testing::replay_text;
using testing::Story;
using Mode = Condition::Mode;

/// mol m-2 d-1 that 1 % of the light brings (testing::one_light_tank).
constexpr double crest = 0.108;
constexpr double ledge = 0.072;
constexpr double sand = 0.036;

const CheckIn closed{.extension = Extension::less};
const CheckIn slimy{.mucus = true};
const CheckIn pale{.colour = -2};

double dose_on(const Replay& replayed, std::size_t day, std::size_t group) {
  return replayed.plan.days[day].groups[group].light.real.dose.mol_m2_d();
}
double used_to_on(const Replay& replayed, std::size_t day, std::size_t group) {
  return replayed.plan.days[day].groups[group].state.used_to.dose.mol_m2_d();
}

/// The one-light tank with the dial turned every so many days only.
Json stepping_every(int days) {
  Json tank = testing::one_light_tank();
  tank["ramp"]["every_days"] = days;
  return tank;
}

TEST(Replay, OfNothingIsThePlan) {
  for (const int today : {-30, 0, 1, 7}) {
    const Story story;
    const Plan plan = compute_plan(make_ramp_setup(story.tank()).problem);
    const Replay replayed = story.replay(today);
    EXPECT_EQ(plan_text(replayed.plan), plan_text(plan)) << today;
    EXPECT_TRUE(replayed.events.empty());
    EXPECT_TRUE(replayed.dialled.empty());
    EXPECT_EQ(replayed.start, story.start);
    ASSERT_EQ(replayed.standings.size(), 2u);
    EXPECT_FALSE(replayed.standings[0].last_look_day);
  }
}

TEST(Replay, OfWeeklyLooksWithNothingSeenClimbsToTheGoal) {
  Story story;
  story.look_at_all(0, 70);
  const Replay replayed = story.replay(70);
  EXPECT_EQ(replayed.plan.status, PlanStatus::reaches_goal);
  EXPECT_EQ(dial_on(replayed, 0), 40.0);
  EXPECT_EQ(dial_on(replayed, 70), 80.0);
  EXPECT_EQ(replayed.events.size(), 22u);
}

TEST(Replay, BringsEachGroupTheLightOfItsSpot) {
  Story story;
  story.look_at_all(0, 20);
  const Replay replayed = story.replay(20);
  for (std::size_t day = 0; day < replayed.plan.days.size(); ++day) {
    EXPECT_NEAR(dose_on(replayed, day, 0), crest * dial_on(replayed, day), 1e-12) << day;
    EXPECT_NEAR(dose_on(replayed, day, 1), ledge * dial_on(replayed, day), 1e-12) << day;
  }
}

TEST(Replay, MovesAGroupFromItsDayOn) {
  Story story;
  story.look_at_all(0, 20, 5);
  const Replay stayed = story.replay(20);
  story.add(6, MovedEntry{"chalice", "sand"});
  const Replay moved = story.replay(20);
  for (std::size_t day = 0; day <= 20; ++day) {
    SCOPED_TRACE(day);
    const double share = day < 6 ? ledge : sand;
    EXPECT_NEAR(dose_on(moved, day, 1), share * dial_on(moved, day), 1e-12);
    EXPECT_NEAR(dose_on(moved, day, 0), crest * dial_on(moved, day), 1e-12);
    if (day > 6) continue;
    // On the day of the move what it is used to counts for less: two readings of
    // 5 % repeatability and half a digit are compared, 100 and 50 umol.
    const double u = std::hypot(std::hypot(0.05, 0.5 / 100.0), std::hypot(0.05, 0.5 / 50.0));
    const double counted = day < 6 ? 1.0 : std::exp(-1.645 * u);
    EXPECT_NEAR(used_to_on(moved, day, 1), counted * used_to_on(stayed, day, 1), 1e-12);
  }
  ASSERT_EQ(moved.setup.seats.size(), 3u);
  EXPECT_EQ(moved.setup.seats[group_on_day(moved.setup.problem, moved.plan, 5, 1).spot].spot, 1u);
  EXPECT_EQ(moved.setup.seats[group_on_day(moved.setup.problem, moved.plan, 6, 1).spot].spot, 2u);
}

TEST(Replay, GoesOnTurningTheDialAfterAYear) {
  // Long after the goal a strain takes the dial back; two good looks and a rest
  // later it must come up again, also past the last day that a plan may have.
  Story story;
  story.look_at_all(0, 450, 5);
  CheckIn faded;
  faded.colour = -2;
  story.look(390, "staghorn", faded);
  const Replay replayed = story.replay(450);
  EXPECT_EQ(dial_on(replayed, 389), 80.0);
  EXPECT_LT(dial_on(replayed, 391), 60.0);
  EXPECT_GT(dial_on(replayed, 420), dial_on(replayed, 391));
  EXPECT_EQ(dial_on(replayed, 450), 80.0);
}

/// The chalice is to climb from the ledge, whose light has become 1.1 times less
/// than that of the shelf, by way of nothing else.
Json climbing_tank() {
  Json tank = one_light_tank();
  tank["spots"].push_back({{"name", "shelf"}});
  tank["surveys"][0]["ppfd"]["shelf"] = 110;
  tank["ramp"]["to"]["bars"] = 40;
  tank["groups"][1]["to_spot"] = "shelf";
  tank["groups"][1]["when"] = "ready";
  return tank;
}

std::size_t seat_on(const Replay& replayed, std::size_t day, std::size_t group) {
  return replayed.setup.seats[group_on_day(replayed.setup.problem, replayed.plan, day, group).spot]
      .spot;
}

TEST(PlannedMove, IsProposedUntilItIsLogged) {
  Story story{climbing_tank()};
  story.look_at_all(0, 28, 5);
  const Replay ahead = story.replay(0);
  ASSERT_EQ(ahead.plan.moves.size(), 1u);
  const std::size_t ready = ahead.plan.moves.front().day;
  ASSERT_GT(ready, 0u);
  EXPECT_EQ(seat_on(ahead, ready - 1, 1), 1u);
  EXPECT_EQ(seat_on(ahead, ready, 1), 3u);
  // Four days late it is still at the ledge in what has been, and to be moved.
  const auto late = static_cast<int>(ready) + 4;
  const Replay waiting = story.replay(late);
  EXPECT_EQ(seat_on(waiting, ready, 1), 1u);
  EXPECT_EQ(seat_on(waiting, ready + 3, 1), 1u);
  ASSERT_EQ(waiting.plan.moves.size(), 1u);
  EXPECT_EQ(waiting.plan.moves.front().day, ready + 4);
  // Once it is logged, for the day on which it was done, it is there.
  story.add(static_cast<int>(ready) + 1, MovedEntry{"chalice", "shelf"});
  const Replay done = story.replay(late);
  EXPECT_EQ(seat_on(done, ready, 1), 1u);
  EXPECT_EQ(seat_on(done, ready + 1, 1), 3u);
  ASSERT_EQ(done.plan.moves.size(), 1u);
  EXPECT_EQ(done.plan.moves.front().day, ready + 1);
}

TEST(PlannedMove, LeavesTheDialFreeOnceAllHaveArrived) {
  Story story{climbing_tank()};
  story.look_at_all(0, 120, 5);
  const std::size_t ready = story.replay(0).plan.moves.front().day;
  story.add(static_cast<int>(ready), MovedEntry{"chalice", "shelf"});
  CheckIn faded;
  faded.colour = -2;
  story.look(61, "staghorn", faded);
  const Replay replayed = story.replay(120);
  EXPECT_EQ(dial_on(replayed, 60), 40.0);
  EXPECT_LT(dial_on(replayed, 62), 30.0);
  EXPECT_GT(dial_on(replayed, 110), dial_on(replayed, 62));
}

TEST(PlannedMove, WaitsForAGroupThatDoesNotLookWell) {
  Story story{climbing_tank()};
  story.look_at_all(0, 28, 5);
  const std::size_t ready = story.replay(0).plan.moves.front().day;
  CheckIn faded;
  faded.colour = -2;
  story.look(1, "chalice", faded);
  const Replay strained = story.replay(1);
  for (const Move& move : strained.plan.moves) EXPECT_GT(move.day, ready);
}

TEST(PlannedMove, TakesAMeshOffOnlyWhenItIsLogged) {
  Json tank = climbing_tank();
  tank["groups"][1].erase("to_spot");
  tank["groups"][1].erase("when");
  tank["groups"][1]["shade"] = {{"transmission", {0.8, 0.9}}};
  Story story{tank};
  story.look_at_all(0, 28, 5);
  // It is used to more than it gets under either, so both may come off at once;
  // but nobody has logged that.
  const Replay waiting = story.replay(4);
  EXPECT_NEAR(dose_on(waiting, 3, 1), 0.8 * ledge * dial_on(waiting, 3), 1e-12);
  ASSERT_FALSE(waiting.plan.moves.empty());
  EXPECT_EQ(waiting.plan.moves.front().day, 4u);
  story.add(3, MovedEntry{"chalice", "ledge", 0.9});
  const Replay lighter = story.replay(4);
  EXPECT_NEAR(dose_on(lighter, 2, 1), 0.8 * ledge * dial_on(lighter, 2), 1e-12);
  EXPECT_NEAR(dose_on(lighter, 3, 1), 0.9 * ledge * dial_on(lighter, 3), 1e-12);
  story.add(5, MovedEntry{"chalice", "ledge", 1.0});
  const Replay off = story.replay(6);
  EXPECT_NEAR(dose_on(off, 5, 1), ledge * dial_on(off, 5), 1e-12);
}

TEST(Replay, GoesBackForAGroupThatMovedIntoMoreLight) {
  Story story;
  story.look_at_all(0, 20, 5);
  story.add(6, MovedEntry{"chalice", "crest"});
  const Replay moved = story.replay(20);
  // 1.5 times the light; it may have 1.02 times a day, so about two thirds.
  EXPECT_LT(dial_on(moved, 6), 0.75 * dial_on(moved, 5));
  EXPECT_LE(dose_on(moved, 6, 1), 1.3 * used_to_on(moved, 6, 1));
}

TEST(Dialed, HoldsUntilTheNextStepOfThePlan) {
  Story story{stepping_every(7)};
  story.look_at_all(0, 2, 2);
  story.dial(3, 37.5);
  const Replay replayed = story.replay(8);
  for (std::size_t day = 0; day <= 8; ++day) {
    SCOPED_TRACE(day);
    const bool is_by_hand = day >= 3 && day < 7;
    EXPECT_EQ(replayed.dialled.contains(day), is_by_hand);
    EXPECT_EQ(replayed.plan.days[day].by_hand.has_value(), is_by_hand);
    if (is_by_hand) {
      EXPECT_EQ(dial_on(replayed, day), 37.5);
      EXPECT_NEAR(dose_on(replayed, day, 0), crest * 37.5, 1e-12);
    }
  }
  EXPECT_GT(dial_on(replayed, 7), 37.5);
}

TEST(Dialed, HoldsUntilTheNextEntry) {
  Story story{stepping_every(7)};
  story.look_at_all(0, 2, 2);
  story.dial(3, 37.5);
  story.look(5, "chalice");
  const Replay replayed = story.replay(8);
  EXPECT_EQ(dial_on(replayed, 3), 37.5);
  EXPECT_EQ(dial_on(replayed, 4), 37.5);
  EXPECT_EQ(dial_on(replayed, 5), 37.0) << "the setting below it; no step day";
}

TEST(Dialed, HoldsUntilItsLastDayWhateverIsWritten) {
  Story story;
  story.look_at_all(0, 2, 2);
  story.dial(3, 37.5, 8);
  story.look(5, "chalice");
  const Replay replayed = story.replay(10);
  for (std::size_t day = 3; day <= 8; ++day) EXPECT_EQ(dial_on(replayed, day), 37.5) << day;
  EXPECT_FALSE(replayed.dialled.contains(2));
  EXPECT_FALSE(replayed.dialled.contains(9));
}

/// Half a percent over where a look holds it: no step of the plan ever comes.
TEST(Dialed, DoesNotKeepThePlanFromEnding) {
  Story story;
  story.look_at_all(0, 4, 4);
  story.look(5, "staghorn", pale);
  story.dial(6, dial_on(story.replay(6), 6) + 0.5);
  const Replay replayed = story.replay(6);
  EXPECT_EQ(replayed.plan.status, PlanStatus::held);
  EXPECT_LT(replayed.plan.days.size(), 60u);
}

TEST(Dialed, TheLastOfADayCounts) {
  Story story;
  story.dial(3, 37.5, 5);
  story.dial(3, 20.5);
  const Replay replayed = story.replay(5);
  EXPECT_EQ(dial_on(replayed, 3), 20.5);
  EXPECT_FALSE(replayed.dialled.contains(4));
}

TEST(Dialed, IsWhatTheGroupsLivedThrough) {
  Story story;
  story.look_at_all(0, 2, 2);
  story.dial(3, 20, 3);
  const Replay replayed = story.replay(4);
  // A += (1 - exp(-1/5)) (D - A)
  const double before = used_to_on(replayed, 3, 0);
  const double after = before + (1.0 - std::exp(-0.2)) * (crest * 20.0 - before);
  EXPECT_NEAR(used_to_on(replayed, 4, 0), after, 1e-12);
}

/// Light over the caps counts as what they allow: pace binds here.
TEST(Accident, CountsAsNoMoreThanTheCaps) {
  Story story;
  story.look_at_all(0, 2, 2);
  story.dial(3, 100, 3);
  const Replay replayed = story.replay(4);
  const GroupState morning = replayed.plan.days[3].groups[0].state;
  const double cap = std::max(morning.allowance.dose, morning.used_to.dose).mol_m2_d();
  const double before = used_to_on(replayed, 3, 0);
  EXPECT_NEAR(used_to_on(replayed, 4, 0), before + (1.0 - std::exp(-0.1)) * (cap - before), 1e-12);
  ASSERT_EQ(replayed.accidents.size(), 2u);
  EXPECT_EQ(replayed.accidents[0].day, 3u);
  EXPECT_NEAR(replayed.accidents[0].ratio, crest * 100.0 / cap, 1e-12);
}

/// The light stood at 100 % for three days: it goes on from where it was, and only after
/// a good look at each 3 days later.
TEST(Accident, HoldsTheDialUntilALookThreeDaysLater) {
  Story story;
  story.look_at_all(0, 4, 4);
  story.dial(6, 100, 8);
  // At the step of the morning on which it began.
  const double before = dial_on(story.replay(9), 9);
  EXPECT_LE(before, dial_on(story.replay(5), 5) + 1.0);
  for (const std::size_t today : {9u, 10u, 11u}) {
    EXPECT_EQ(dial_on(story.replay(static_cast<int>(today)), today), before);
  }
  story.look(10, "staghorn");
  story.look(10, "chalice");
  EXPECT_EQ(dial_on(story.replay(11), 11), before) << "two days after the last day of it";
  story.look(11, "staghorn");
  EXPECT_EQ(dial_on(story.replay(12), 12), before) << "the other one waits";
  story.look(12, "chalice");
  EXPECT_EQ(dial_on(story.replay(12), 12), before);
  EXPECT_GT(dial_on(story.replay(13), 13), before);
  EXPECT_LT(dial_on(story.replay(13), 13), before * 1.16);
}

/// Nobody logged looks for months; then sixteen rounds were logged late.
TEST(LateLooks, NeverLightThePastAsTheyWouldHaveHadIt) {
  Story story;
  story.look_at_all(0, 7, 7);
  const double held = dial_on(story.replay(100), 100);
  for (int i = 0; i < 16; ++i) {
    for (const char* group : {"staghorn", "chalice"}) story.look_late(100, 10 + 5 * i, group);
  }
  const Replay after = story.replay(100);
  for (std::size_t day = 20; day < 100; ++day) EXPECT_EQ(dial_on(after, day), held) << day;
  EXPECT_LE(dial_on(after, 100), 1.15 * held);
}

/// A wrong look is taken back after 46 days: the light rises from where it was.
TEST(LateUndo, RisesFromTheLightThatWasShown) {
  Story story;
  story.look_at_all(0, 60, 4);
  const auto wrong = story.look(10, "staghorn", {.tissue = Tissue::white_patches});
  const double hurt = dial_on(story.replay(55), 55);
  story.undo(56, wrong);
  const Replay after = story.replay(56);
  for (std::size_t day = 20; day < 56; ++day) EXPECT_EQ(dial_on(after, day), hurt) << day;
  EXPECT_LE(dial_on(after, 56), 1.31 * hurt);
  EXPECT_GT(dial_on(story.replay(60), 60), hurt);
}

/// Following again with nothing changed changes nothing, to the bit.
TEST(FollowedAgain, WithNothingChangedChangesNothing) {
  Story once;
  once.look_at_all(0, 20, 3);
  once.look(10, "chalice", closed);
  once.dial(12, 20, 13);
  Story daily = once;
  for (int day = 1; day <= 20; ++day) {
    daily.add(day, FollowEntry{once.tank().text, {}, once.date_of(day), 1, Pace::standard});
  }
  EXPECT_EQ(replay_text(daily.replay(20)), replay_text(once.replay(20)));
}

/// A higher goal midway: the condition, the record and the light of the corals go on.
TEST(FollowedAgain, GoesOnFromWhereTheCoralsAre) {
  Story story;
  story.look_at_all(0, 20, 4);
  story.look(21, "staghorn", {.tissue = Tissue::lost});
  const Replay before = story.replay(22);
  Json higher = one_light_tank();
  higher["ramp"]["to"] = {{"bars", 95}};
  story.add(23, FollowEntry{testing::read(higher).text, {}, story.date_of(23), 1, Pace::standard});
  const Replay after = story.replay(23);
  EXPECT_EQ(after.start, story.start);
  ASSERT_EQ(after.leg_days, std::vector<std::size_t>{23});
  for (std::size_t day = 0; day <= 22; ++day) {
    EXPECT_EQ(dial_on(after, day), dial_on(before, day)) << day;
  }
  EXPECT_EQ(after.standings[0].mode, Mode::hurt);
  EXPECT_LE(dial_on(after, 23), dial_on(after, 22));
  EXPECT_NEAR(used_to_on(after, 23, 1), used_to_on(before, 23, 1), 1e-12);
  EXPECT_EQ(after.tank.ramp.to.begin()->second.percent(), 95.0);
}

/// A second bar is hung beside the one that they have lived under for six weeks.
TEST(FollowedAgain, CountsALightThatIsFirstNamedLaterAsNew) {
  Story story;
  story.look_at_all(0, 40, 4);
  Json with_rail = one_light_tank();
  with_rail["lights"].push_back(
      {{"name", "rail"}, {"photoperiod", {{"on", "10:00"}, {"off", "20:00"}}}});
  with_rail["surveys"].push_back(
      {{"dials", {{"rail", 50}}}, {"ppfd", {{"crest", 60}, {"ledge", 60}, {"sand", 60}}}});
  with_rail["ramp"]["to"]["rail"] = 50;
  story.add(42,
            FollowEntry{testing::read(with_rail).text, {}, story.date_of(42), 1, Pace::standard});
  story.look_at_all(42, 80, 4);
  const Replay before = story.replay(41);
  const Replay after = story.replay(80);
  // Nothing is taken back, and what they are used to goes on.
  EXPECT_EQ(dial_on(after, 42), dial_on(before, 41));
  EXPECT_NEAR(used_to_on(after, 42, 0), used_to_on(before, 42, 0), 1e-12);
  // exp(1.645 u) / carryover, each light read once at 5 % and half a unit.
  const double u = std::hypot(std::hypot(0.05, 0.5 / 150.0), std::hypot(0.05, 0.5 / 60.0));
  const double weight = std::exp(1.645 * u) / 0.8;
  const GroupLight light = after.plan.days[75].groups[0].light;
  const double rail = after.dials_of_day(75).at(1).percent();
  ASSERT_GT(rail, 0.0);
  const double of_rail = 0.0036 * 10.0 * 1.2 * rail;
  EXPECT_NEAR(light.effective.dose.mol_m2_d(),
              light.real.dose.mol_m2_d() + (weight - 1.0) * of_rail, 1e-9);
}

TEST(Gone, NoLongerHoldsTheDial) {
  Story story;
  story.look_at_all(0, 40, 5);
  story.look(12, "staghorn", {.tissue = Tissue::lost});
  const double held = dial_on(story.replay(20), 20);
  story.add(20, GoneEntry{"staghorn"});
  const Replay after = story.replay(40);
  EXPECT_EQ(dial_on(after, 19), held);
  EXPECT_GT(dial_on(after, 40), 1.3 * held);
  EXPECT_EQ(after.gone_on[0], std::optional<std::size_t>{20});
}

/// Moved to less light on the day of the look or on the next, its limit is the same.
TEST(Limit, IsOfTheCoralAndNotOfItsPlace) {
  const auto limit_when_moved_on = [](int day) {
    Story story;
    story.look_at_all(0, 4, 4);
    story.look(10, "staghorn", pale);
    story.add(day, MovedEntry{"staghorn", "sand"});
    return story.replay(12).standings[0].dose_limit;
  };
  ASSERT_TRUE(limit_when_moved_on(10));
  EXPECT_EQ(limit_when_moved_on(10), limit_when_moved_on(11));
}

TEST(Move, KeepsTheMeshThatIsNotNamed) {
  Story story;
  story.look_at_all(0, 20, 5);
  story.add(3, MovedEntry{"chalice", "ledge", 0.6});
  story.add(6, MovedEntry{"chalice", "sand"});
  const Replay replayed = story.replay(8);
  EXPECT_NEAR(dose_on(replayed, 5, 1), 0.6 * ledge * dial_on(replayed, 5), 1e-12);
  EXPECT_NEAR(dose_on(replayed, 7, 1), 0.6 * sand * dial_on(replayed, 7), 1e-12);
}

/// What a strain is cut from: the most of 7 days, the look's with them. It fell by hand
/// on day 10; six days later that light still counts, on the seventh not any more.
TEST(Strain, LooksBackSevenDays) {
  const auto limit_on = [](int day) {
    Story story;
    story.look_at_all(0, 8, 2);
    story.dial(10, 20, 30);
    story.look(day, "staghorn", pale);
    return story.replay(day).standings[0].dose_limit->mol_m2_d();
  };
  const double before = dose_on(
      [] {
        Story story;
        story.look_at_all(0, 8, 2);
        return story.replay(9);
      }(),
      9, 0);
  EXPECT_NEAR(limit_on(15), 0.7 * before, 1e-12);
  EXPECT_LT(limit_on(16), 0.7 * before - 0.1);
}

TEST(PowerCut, ComesBackAtWhatTheGroupsAreThenUsedTo) {
  Story story;
  story.look_at_all(0, 30, 5);
  story.dial(10, 0, 12);
  const Replay replayed = story.replay(30);
  for (std::size_t day = 10; day <= 12; ++day) {
    EXPECT_EQ(dial_on(replayed, day), 0.0);
    EXPECT_EQ(dose_on(replayed, day, 0), 0.0);
  }
  // Three dark days: A += (1 - exp(-1/5)) (0 - A), so A exp(-3/5).
  double lowest = 100.0;
  const double light[] = {crest, ledge};
  for (std::size_t g = 0; g < 2; ++g) {
    const double left = used_to_on(replayed, 10, g) * std::exp(-0.6);
    EXPECT_NEAR(used_to_on(replayed, 13, g), left, 1e-12);
    lowest = std::min(lowest, std::floor(left / light[g]));
  }
  // What was saved up of the pace is gone with the dark, so A itself is the limit.
  EXPECT_EQ(dial_on(replayed, 13), lowest);
  EXPECT_FALSE(replayed.dialled.contains(13));
  EXPECT_GT(dial_on(replayed, 20), lowest);
}

TEST(PowerCut, WithoutALastDayIsOverOnTheNext) {
  Story story;
  story.look_at_all(0, 30, 5);
  story.dial(10, 0);
  const Replay replayed = story.replay(30);
  EXPECT_EQ(dial_on(replayed, 10), 0.0);
  EXPECT_EQ(dial_on(replayed, 11),
            std::floor(used_to_on(replayed, 10, 0) * std::exp(-0.2) / crest));
}

/// A goal that was reached and settled does not end the plan in the dark.
TEST(PowerCut, AtASettledGoalHasItsWayBackInThePlan) {
  Story story;
  story.look_at_all(0, 98);
  story.dial(99, 0, 101);
  const Replay replayed = story.replay(99);
  ASSERT_GT(replayed.plan.days.size(), 102u) << "the plan ends while the light is out";
  EXPECT_EQ(dial_on(replayed, 101), 0.0);
  EXPECT_GT(dial_on(replayed, 102), 0.0);
  EXPECT_EQ(dial_on(replayed, replayed.plan.days.size() - 1), 80.0);
}

/// A sign that is seen while the light is out is no reason for no light at all:
/// the hold is of the plan's dose.
TEST(PowerCut, IsNotTheDoseThatALookHolds) {
  Story story;
  story.look_at_all(0, 9, 3);
  story.dial(10, 0, 12);
  story.look(10, "staghorn", closed);
  story.look(12, "staghorn", closed);
  const Replay replayed = story.replay(14);
  ASSERT_EQ(replayed.standings[0].mode, Mode::holding);
  EXPECT_GT(replayed.standings[0].dose_limit->mol_m2_d(), 0.0);
  EXPECT_EQ(dial_on(replayed, 13),
            std::floor(used_to_on(replayed, 10, 0) * std::exp(-0.6) / crest));
}

TEST(Looks, NeverRaiseTheDialOfTheirDay) {
  Story story;
  story.look_at_all(0, 2, 2);
  for (const int day : {3, 5}) story.look(day, "staghorn", closed);
  for (const int day : {6, 9}) story.look(day, "staghorn");
  const Replay replayed = story.replay(9);
  EXPECT_EQ(replayed.standings[0].mode, Mode::free) << "on day 9";
  for (std::size_t day = 6; day <= 9; ++day)
    EXPECT_EQ(dial_on(replayed, day), dial_on(replayed, 5));
  EXPECT_GT(dial_on(replayed, 10), dial_on(replayed, 9));
}

TEST(Looks, TakeTheDialBackOnTheirOwnDay) {
  Story story;
  story.look_at_all(0, 14);
  story.look(15, "staghorn", pale);
  const Replay replayed = story.replay(15);
  ASSERT_EQ(replayed.events.size(), 7u);
  const ReplayEvent& event = replayed.events.back();
  EXPECT_EQ(event.day, 15u);
  EXPECT_EQ(event.group, 0u);
  EXPECT_EQ(event.outcome.judgement, Judgement::strained);
  EXPECT_EQ(event.outcome.sign, Sign::two_steps_paler);
  ASSERT_TRUE(event.dose_limit);
  const double limit = event.dose_limit->mol_m2_d();
  // 70 % of what the day would have had, which nothing else lowers.
  Story without;
  without.look_at_all(0, 14);
  EXPECT_NEAR(limit, 0.7 * dose_on(without.replay(15), 15, 0), 1e-12);
  EXPECT_EQ(dial_on(replayed, 15), std::floor(limit / crest));
  EXPECT_EQ(replayed.standings[0].mode, Mode::strained);
  EXPECT_EQ(replayed.standings[1].mode, Mode::free);
}

TEST(Looks, OfAHeldGroupEndTheForecast) {
  Story story;
  story.look_at_all(0, 4, 4);
  story.look(5, "staghorn", pale);
  const Replay replayed = story.replay(5);
  EXPECT_EQ(replayed.plan.status, PlanStatus::held);
  const bool says_so =
      std::any_of(replayed.plan.notes.begin(), replayed.plan.notes.end(), [](const PlanNote& note) {
        return note.kind == PlanNote::Kind::held_by_check_in && note.group == 0;
      });
  EXPECT_TRUE(says_so);
  EXPECT_LT(dial_on(replayed, replayed.plan.days.size() - 1), 40.0);
}

TEST(MissedLooks, HoldFromTheEighthDayAfterTheLast) {
  for (const int last : {0, 4}) {
    SCOPED_TRACE(last);
    Story story;
    story.look_at_all(last, last);
    const auto day_before = static_cast<std::size_t>(last + 7);
    const int today = last + 20;
    const Replay replayed = story.replay(today);
    EXPECT_GT(dial_on(replayed, day_before), dial_on(replayed, day_before - 6));
    for (int day = last + 8; day <= today; ++day) {
      EXPECT_EQ(dial_on(replayed, static_cast<std::size_t>(day)), dial_on(replayed, day_before))
          << day;
    }
    EXPECT_GT(dial_on(replayed, static_cast<std::size_t>(today + 1)), dial_on(replayed, day_before))
        << "what comes after today is planned as if there had been a look";
    EXPECT_TRUE(replayed.standings[0].held_for_want_of_a_look);
    EXPECT_TRUE(story.replay(last + 8).standings[0].held_for_want_of_a_look);
    EXPECT_FALSE(story.replay(last + 7).standings[0].held_for_want_of_a_look);
  }
}

TEST(MissedLooks, OfOneGroupHoldAll) {
  Story story;
  story.look_at_all(0, 0);
  for (int day = 0; day <= 20; day += 5) story.look(day, "chalice");
  const Replay replayed = story.replay(20);
  EXPECT_EQ(dial_on(replayed, 20), dial_on(replayed, 7));
  EXPECT_TRUE(replayed.standings[0].held_for_want_of_a_look);
  EXPECT_FALSE(replayed.standings[1].held_for_want_of_a_look);
}

TEST(MissedLooks, AreMadeUpForByALook) {
  Story story;
  story.look_at_all(0, 0);
  story.look_at_all(12, 12);
  const Replay replayed = story.replay(15);
  EXPECT_EQ(dial_on(replayed, 12), dial_on(replayed, 7)) << "a look does not raise its own day";
  EXPECT_GT(dial_on(replayed, 13), dial_on(replayed, 7));
}

TEST(AllAtOnce, HoldsEveryGroupWithinADay) {
  for (const int second : {3, 4}) {
    SCOPED_TRACE(second);
    Story story;
    story.look_at_all(0, 0);
    story.look(3, "staghorn", slimy);
    story.look(second, "chalice", closed);
    const Replay replayed = story.replay(second);
    EXPECT_TRUE(replayed.events.back().all_at_once);
    const auto day = static_cast<std::size_t>(second);
    const double light[] = {crest, ledge};
    for (std::size_t g = 0; g < 2; ++g) {
      EXPECT_EQ(replayed.standings[g].mode, Mode::holding);
      ASSERT_TRUE(replayed.standings[g].dose_limit);
      // Of the light that the look judged, before the step of that day was put off.
      const double limit = replayed.standings[g].dose_limit->mol_m2_d();
      EXPECT_GE(limit, light[g] * dial_on(replayed, day) - 1e-12);
      EXPECT_LE(limit, light[g] * (dial_on(replayed, day) + 2.0));
    }
    EXPECT_EQ(dial_on(replayed, day), dial_on(replayed, day - 1)) << "no step on that day";
    EXPECT_EQ(dial_on(replayed, day + 5), dial_on(replayed, day));
  }
}

TEST(AllAtOnce, IsNotTwoDaysApartNorOneOfThem) {
  Story apart;
  apart.look_at_all(0, 0);
  apart.look(3, "staghorn", slimy);
  apart.look(5, "chalice", closed);
  Story one;
  one.look_at_all(0, 0);
  one.look(3, "staghorn", slimy);
  one.look(3, "chalice");
  for (const Replay& replayed : {apart.replay(5), one.replay(5)}) {
    for (std::size_t g = 0; g < 2; ++g) EXPECT_EQ(replayed.standings[g].mode, Mode::free);
    for (const ReplayEvent& event : replayed.events) EXPECT_FALSE(event.all_at_once);
  }
}

TEST(AllAtOnce, IsNothingThatASingleGroupCanDo) {
  Json tank = testing::one_light_tank();
  tank["groups"].erase(1);
  Story story{tank};
  story.look(3, "staghorn", slimy);
  EXPECT_EQ(story.replay(3).standings[0].mode, Mode::free);
}

TEST(BeforeTheStart, ALookCountsOnTheFirstDay) {
  Story story;
  story.look(-3, "staghorn", pale);
  const Replay replayed = story.replay(2);
  ASSERT_EQ(replayed.events.size(), 1u);
  EXPECT_EQ(replayed.events[0].day, 0u);
  EXPECT_EQ(replayed.events[0].outcome.judgement, Judgement::strained);
  EXPECT_NEAR(replayed.events[0].dose_limit->mol_m2_d(), 0.7 * crest * 40.0, 1e-12);
  EXPECT_EQ(dial_on(replayed, 0), 28.0);
  EXPECT_EQ(replayed.standings[0].last_look_day, -3);
}

TEST(BeforeTheStart, AMoveCountsOnTheFirstDay) {
  Story story;
  story.add(-3, MovedEntry{"staghorn", "sand"});
  const Replay replayed = story.replay(0);
  EXPECT_NEAR(dose_on(replayed, 0, 0), sand * dial_on(replayed, 0), 1e-12);
}

/// "No check-in for 7 days while the dial is rising": it does not rise before
/// the start, so that a look long before holds nothing that no look would not.
TEST(BeforeTheStart, AnOldLookIsNoMissedOne) {
  Story story;
  const Replay without = story.replay(5);
  story.look_at_all(-10, -10);
  const Replay with = story.replay(5);
  for (std::size_t day = 0; day <= 5; ++day) {
    EXPECT_EQ(dial_on(with, day), dial_on(without, day)) << day;
  }
}

/// What was dialled before the first day says nothing of the first day.
TEST(BeforeTheStart, ADialIsNotOfTheFirstDay) {
  for (const std::optional<int>& until : {std::optional<int>{}, std::optional{-2}}) {
    Story story;
    story.dial(-3, 90, until);
    const Replay replayed = story.replay(3);
    EXPECT_EQ(dial_on(replayed, 0), 40.0);
    EXPECT_FALSE(replayed.dialled.contains(0));
  }
}

TEST(Replay, IgnoresWhatTheTankDoesNotHave) {
  Story story;
  story.look_at_all(0, 20, 5);
  story.look(16, "staghorn", pale);
  const std::string known = replay_text(story.replay(20));
  story.look(3, "elephant ear", pale);
  story.add(4, MovedEntry{"elephant ear", "sand"});
  story.add(4, MovedEntry{"chalice", "attic"});
  EXPECT_EQ(replay_text(story.replay(20)), known);
}

TEST(Replay, IgnoresWhatWasLivedBeforeAPlanThatBeginsAfresh) {
  Story story;
  story.look(3, "staghorn", pale);
  story.dial(4, 10, 9);
  FollowEntry afresh{story.tank().text, {}, story.date_of(5), 1, Pace::standard};
  afresh.afresh = true;
  story.add(5, afresh);
  const Replay begun = story.replay(5);
  EXPECT_EQ(begun.start, story.date_of(5));
  Json later = one_light_tank();
  later["ramp"]["start"] = "2026-03-06";
  EXPECT_EQ(plan_text(begun.plan), plan_text(Story{later}.replay(0).plan));
}

TEST(Replay, RestartsAHurtGroupAfterFourteenSteadyDays) {
  for (const int day : {18, 19}) {
    SCOPED_TRACE(day);
    Story story;
    story.look_at_all(0, 4, 4);
    story.look(5, "staghorn", {.tissue = Tissue::lost});
    for (const int good : {8, 12, 16}) story.look(good, "staghorn");
    for (const int good : {8, 12, 16}) story.look(good, "chalice");
    story.look(day, "staghorn", {}, true);
    const Replay replayed = story.replay(day + 3);
    EXPECT_EQ(replayed.standings[0].mode, day == 19 ? Mode::free : Mode::hurt);
    const auto restart = static_cast<std::size_t>(day);
    EXPECT_EQ(dial_on(replayed, restart), dial_on(replayed, restart - 1));
    EXPECT_EQ(dial_on(replayed, restart + 3) > dial_on(replayed, restart), day == 19);
  }
}

TEST(Replay, SaysTheStepsFromADayOn) {
  Story story;
  story.look_at_all(0, 5, 5);
  story.dial(6, 37.5, 7);
  const Replay replayed = story.replay(8);
  const Json steps = Json::parse(plan_steps_json(replayed, story.date_of(6)));
  ASSERT_GE(steps.size(), 2u);
  EXPECT_EQ(steps[0]["date"], "2026-03-07");
  EXPECT_EQ(steps[0]["dials"]["bars"], 37.5);
  EXPECT_EQ(steps[1]["date"], "2026-03-09");
  EXPECT_EQ(steps[1]["dials"]["bars"], dial_on(replayed, 8));
}

}  // namespace
}  // namespace slowdawn
