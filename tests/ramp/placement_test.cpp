#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>
#include <slowdawn/ramp/placement.hpp>
#include <stdexcept>
#include <string>
#include <tuple>
#include <vector>

#include "property/dice.hpp"
#include "ramp/make_problem.hpp"

namespace slowdawn {
namespace {

using testing::mol;
using testing::umol;
using Numbers = std::vector<std::size_t>;

/// Rounding of a few logarithms near one.
constexpr double rounding = 1e-12;

/// One that is used to little: a band of 5 to 10 mol m-2 d-1, a ceiling of
/// 300 umol m-2 s-1.
PlacementGroup group_at(std::size_t spot) {
  PlacementGroup group{spot, {mol(1.0), umol(20.0)}, testing::wide_tolerance()};
  group.tolerance.dose_band = {mol(5.0), mol(10.0)};
  group.tolerance.peak_ceiling = umol(300.0);
  return group;
}

/// One that needs more light: 12 to 20 mol m-2 d-1 and 600 umol m-2 s-1.
PlacementGroup bright_group_at(std::size_t spot) {
  PlacementGroup group = group_at(spot);
  group.tolerance.dose_band = {mol(12.0), mol(20.0)};
  group.tolerance.peak_ceiling = umol(600.0);
  return group;
}

PlacementGroup fixed(PlacementGroup group) {
  group.is_fixed = true;
  return group;
}

/// Spots with these doses under each setting; the peak is 25 umol m-2 s-1 for
/// every mol of the dose, which a band's end reaches before a ceiling does.
PlacementProblem problem_with(const std::vector<std::vector<double>>& doses,
                              std::vector<PlacementGroup> groups) {
  const std::size_t spots = doses.front().size();
  PlacementProblem problem{spots, ExposureTable{doses.size(), spots}, std::move(groups)};
  for (std::size_t setting = 0; setting < doses.size(); ++setting) {
    for (std::size_t spot = 0; spot < spots; ++spot) {
      const double dose = doses[setting][spot];
      problem.exposures.at(setting, spot) = {mol(dose), umol(25.0 * dose)};
    }
  }
  return problem;
}

Numbers spots_of(const Placement& placement) {
  Numbers spots;
  for (const PlacedGroup& place : placement.places) spots.push_back(place.spot);
  return spots;
}

Numbers place(const std::vector<double>& doses, std::vector<PlacementGroup> groups,
              Numbers capacity = {}) {
  PlacementProblem problem = problem_with({doses}, std::move(groups));
  problem.capacity = std::move(capacity);
  return spots_of(place_groups(problem, 0));
}

// ---- How a spot suits a group.

TEST(PlaceVerdict, MeasuresTheWayToTheBandInLogDose) {
  const PlaceVerdict dim = judge_place(group_at(0), {mol(2.5), umol(50.0)});
  EXPECT_EQ(dim.fit, PlaceFit::below_band);
  EXPECT_NEAR(dim.misfit, std::log(2.0), rounding);
  EXPECT_TRUE(dim.is_permitted);
  const PlaceVerdict bright = judge_place(group_at(0), {mol(30.0), umol(299.0)});
  EXPECT_EQ(bright.fit, PlaceFit::above_band);
  EXPECT_NEAR(bright.misfit, std::log(3.0), rounding);
  EXPECT_FALSE(bright.is_permitted);
}

TEST(PlaceVerdict, IsRightWithinBandAndCeilingAndAtTheirEnds) {
  for (const double dose : {5.0 * (1.0 - 1e-10), 5.0, 7.0, 10.0, 10.0 * (1.0 + 1e-10)}) {
    const PlaceVerdict verdict = judge_place(group_at(0), {mol(dose), umol(300.0 * (1.0 + 1e-10))});
    EXPECT_TRUE(verdict.is_right()) << dose;
    EXPECT_TRUE(verdict.is_permitted) << dose;
    EXPECT_EQ(verdict.misfit, 0.0) << dose;
  }
}

TEST(PlaceVerdict, NamesTheOneThatIsFurtherOver) {
  const PlaceVerdict spike = judge_place(group_at(0), {mol(12.0), umol(900.0)});
  EXPECT_EQ(spike.fit, PlaceFit::over_ceiling);
  EXPECT_NEAR(spike.misfit, std::log(3.0), rounding);
  const PlaceVerdict steady = judge_place(group_at(0), {mol(40.0), umol(330.0)});
  EXPECT_EQ(steady.fit, PlaceFit::above_band);
  EXPECT_NEAR(steady.misfit, std::log(4.0), rounding);
}

TEST(PlaceVerdict, NamesAPeakOverTheCeilingBeforeADoseBelowTheBand) {
  const PlaceVerdict verdict = judge_place(group_at(0), {mol(1.0), umol(600.0)});
  EXPECT_EQ(verdict.fit, PlaceFit::over_ceiling);
  EXPECT_FALSE(verdict.is_permitted);
  EXPECT_NEAR(verdict.misfit, std::log(5.0), rounding);
}

TEST(PlaceVerdict, LetsTheOwnHistoryOutrankTheClass) {
  PlacementGroup group = group_at(0);
  group.before = {mol(14.0), umol(500.0)};
  EXPECT_TRUE(judge_place(group, {mol(14.0), umol(500.0)}).is_right());
  EXPECT_EQ(judge_place(group, {mol(14.0), umol(500.0)}).misfit, 0.0);
  const PlaceVerdict brighter = judge_place(group, {mol(21.0), umol(500.0)});
  EXPECT_FALSE(brighter.is_permitted);
  EXPECT_NEAR(brighter.misfit, std::log(1.5), rounding);
  EXPECT_EQ(judge_place(group, {mol(8.0), umol(510.0)}).fit, PlaceFit::over_ceiling);
}

TEST(PlaceVerdict, OfTheDarkIsFiniteAndNotPermitted) {
  const PlaceVerdict dark = judge_place(group_at(0), {});
  EXPECT_EQ(dark.fit, PlaceFit::below_band);
  EXPECT_FALSE(dark.is_permitted);
  EXPECT_NEAR(dark.misfit, std::log(1e6), rounding);
  const PlaceVerdict nearly = judge_place(group_at(0), {mol(1e-300), umol(1e-300)});
  EXPECT_TRUE(nearly.is_permitted);
  EXPECT_EQ(nearly.misfit, dark.misfit);
}

// ---- One group.

TEST(Placement, LeavesAGroupWhereItIsRight) {
  EXPECT_EQ(place({6.0, 7.5}, {group_at(0)}), Numbers{0});
}

TEST(Placement, MovesNothingForATrifle) {
  // 5/4.1 = 1.22 and 5/3.9 = 1.28, about the price of 1.25.
  EXPECT_EQ(place({4.1, 7.0}, {group_at(0)}), Numbers{0});
  EXPECT_EQ(place({3.9, 7.0}, {group_at(0)}), Numbers{1});
  // Nearer to the band, and still below it: 2.4/2 and 2.6/2.
  EXPECT_EQ(place({2.0, 2.4}, {group_at(0)}), Numbers{0});
  EXPECT_EQ(place({2.0, 2.6}, {group_at(0)}), Numbers{1});
}

TEST(Placement, MovesForAnyGainWhereMovesAreFree) {
  PlacementProblem problem = problem_with({{4.9, 7.0, 7.0}}, {group_at(0)});
  problem.move_price = 0.0;
  EXPECT_EQ(spots_of(place_groups(problem, 0)), Numbers{1});
}

TEST(Placement, MovesNothingForNothingEvenWhereMovesAreFree) {
  PlacementProblem problem =
      problem_with({{6.0, 7.0, 8.0, 9.0}}, {group_at(3), group_at(1), group_at(2)});
  problem.move_price = 0.0;
  EXPECT_EQ(place_groups(problem, 0).moves, 0U);
}

TEST(Placement, GivesNoSpotOverTheCeiling) {
  PlacementProblem problem = problem_with({{2.0, 7.0, 4.0}}, {group_at(0)});
  problem.exposures.at(0, 1).peak = umol(301.0);
  EXPECT_EQ(spots_of(place_groups(problem, 0)), Numbers{2});
  problem.groups[0].before.peak = umol(301.0);
  EXPECT_EQ(spots_of(place_groups(problem, 0)), Numbers{1});
}

TEST(Placement, GivesNoSpotOverTheBand) {
  EXPECT_EQ(place({2.0, 10.1, 4.0}, {group_at(0)}), Numbers{2});
  PlacementGroup used_to_more = group_at(0);
  used_to_more.before.dose = mol(10.1);
  EXPECT_EQ(place({2.0, 10.1, 4.0}, {used_to_more}), Numbers{1});
}

TEST(Placement, GivesNoSpotInTheDark) {
  EXPECT_EQ(place({0.001, 0.0}, {group_at(0)}), Numbers{0});
  EXPECT_EQ(place({0.0, 0.001}, {group_at(0)}), Numbers{1});
}

TEST(Placement, TakesAGroupAwayFromWhereItMayNotBeAtAnyPrice) {
  // 10.1 is 1 % over the band, 0.5 a tenth of its low end.
  PlacementProblem problem = problem_with({{10.1, 0.5}}, {group_at(0)});
  problem.move_price = 1000.0;
  const Placement placement = place_groups(problem, 0);
  EXPECT_EQ(spots_of(placement), Numbers{1});
  EXPECT_TRUE(placement.places[0].is_move);
  EXPECT_EQ(placement.breaks, 0U);
}

TEST(Placement, LeavesAGroupWhereItMayNotBeIfThereIsNoOtherPlace) {
  const Placement placement = place_groups(problem_with({{15.0, 11.0}}, {group_at(0)}), 0);
  EXPECT_EQ(spots_of(placement), Numbers{0});
  EXPECT_FALSE(placement.places[0].is_move);
  EXPECT_EQ(placement.places[0].verdict.fit, PlaceFit::above_band);
  EXPECT_EQ(placement.breaks, 1U);
  EXPECT_EQ(placement.badly_placed, Numbers{0});
  EXPECT_EQ(placement.no_spot, Numbers{0});
}

// ---- Several groups.

TEST(Placement, CountsWhatItDid) {
  const Placement placement = place_groups(
      problem_with({{15.0, 8.0, 2.5}}, {group_at(0), bright_group_at(1), group_at(2)}), 0);
  EXPECT_EQ(spots_of(placement), (Numbers{1, 0, 2}));
  EXPECT_EQ(placement.setting, 0U);
  EXPECT_EQ(placement.within, 2U);
  EXPECT_EQ(placement.breaks, 0U);
  EXPECT_EQ(placement.moves, 2U);
  EXPECT_NEAR(placement.misfit, std::log(2.0), rounding);
  EXPECT_EQ(placement.badly_placed, Numbers{2});
  EXPECT_EQ(placement.no_spot, Numbers{});
}

TEST(Placement, GivesTheOneGoodSpotToTheGroupThatNeedsItMost) {
  EXPECT_EQ(place({3.0, 1.0, 7.0}, {group_at(0), group_at(1)}), (Numbers{0, 2}));
  EXPECT_EQ(place({1.0, 3.0, 7.0}, {group_at(0), group_at(1)}), (Numbers{2, 1}));
  // So too where both are over their band, and only one can leave.
  EXPECT_EQ(place({11.0, 30.0, 7.0}, {group_at(0), group_at(1)}), (Numbers{0, 2}));
}

TEST(Placement, MovesAGroupOnToMakeRoomForOneThatMayNotStay) {
  // Only the bright group may have 15; the other needs its place.
  EXPECT_EQ(place({15.0, 11.0}, {group_at(0), bright_group_at(1)}), (Numbers{0, 1}));
  EXPECT_EQ(place({15.0, 9.0}, {group_at(0), bright_group_at(1)}), (Numbers{1, 0}));
}

TEST(Placement, KeepsTheRoomOfAGroupThatIsLeftWhereItMayNotBe) {
  // Spot 0 would be right for the bright group, but the other cannot leave it
  // for the dark.
  const Placement placement =
      place_groups(problem_with({{15.0, 0.0}}, {group_at(0), bright_group_at(1)}), 0);
  EXPECT_EQ(spots_of(placement), (Numbers{0, 1}));
  EXPECT_EQ(placement.breaks, 2U);
  EXPECT_EQ(placement.no_spot, Numbers{0});
}

TEST(Placement, LeavesAFixedGroupWhereItIsAndKeepsItsRoom) {
  const Placement placement =
      place_groups(problem_with({{7.0, 2.0, 1.0}}, {fixed(bright_group_at(0)), group_at(1)}), 0);
  EXPECT_EQ(spots_of(placement), (Numbers{0, 1}));
  EXPECT_EQ(placement.badly_placed, (Numbers{0, 1}));
  // Alone, the second group would have had spot 0.
  EXPECT_EQ(placement.no_spot, Numbers{0});
  EXPECT_EQ(place({7.0, 2.0}, {fixed(group_at(1))}), Numbers{1});
}

TEST(Placement, FillsASpotUpToItsCapacity) {
  const std::vector<PlacementGroup> groups{group_at(0), group_at(1), group_at(2)};
  EXPECT_EQ(place({3.0, 2.0, 1.0, 7.0}, groups), (Numbers{0, 1, 3}));
  EXPECT_EQ(place({3.0, 2.0, 1.0, 7.0}, groups, {1, 1, 1, 2}), (Numbers{0, 3, 3}));
  EXPECT_EQ(place({3.0, 2.0, 1.0, 7.0}, groups, {1, 1, 1, 9}), (Numbers{3, 3, 3}));
}

TEST(Placement, CountsFixedGroupsAgainstTheCapacity) {
  const std::vector<PlacementGroup> groups{fixed(group_at(2)), group_at(0), group_at(1)};
  EXPECT_EQ(place({3.0, 2.0, 7.0}, groups, {1, 1, 1}), (Numbers{2, 0, 1}));
  EXPECT_EQ(place({3.0, 2.0, 7.0}, groups, {1, 1, 2}), (Numbers{2, 0, 2}));
}

TEST(Placement, ThrowsNobodyOutOfAnOverfullSpot) {
  EXPECT_EQ(place({7.0, 4.0}, {group_at(0), group_at(0), group_at(0)}), (Numbers{0, 0, 0}));
  EXPECT_EQ(place({7.0, 4.0}, {fixed(group_at(0)), group_at(0), group_at(0)}), (Numbers{0, 0, 0}));
}

TEST(Placement, SwapsGroupsBetweenOverfullSpots) {
  EXPECT_EQ(place({7.0, 15.0}, {group_at(0), bright_group_at(0), group_at(1), bright_group_at(1)}),
            (Numbers{0, 1, 0, 1}));
}

TEST(Placement, LetsNoMoreIntoAnOverfullSpotThanLeaveIt) {
  EXPECT_EQ(place({7.0, 1.0, 2.0}, {group_at(0), group_at(0), group_at(1), group_at(2)}),
            (Numbers{0, 0, 1, 2}));
  EXPECT_EQ(
      place({7.0, 15.0, 2.0, 1.0}, {group_at(0), bright_group_at(0), group_at(2), group_at(3)}),
      (Numbers{0, 1, 2, 0}));
}

TEST(Placement, LetsNobodyNewIntoASpotOfNoCapacity) {
  EXPECT_EQ(place({3.0, 7.0}, {group_at(0)}, {1, 0}), Numbers{0});
  EXPECT_EQ(place({3.0, 7.0}, {group_at(1)}, {1, 0}), Numbers{1});
  // Not even in the place of one that leaves.
  EXPECT_EQ(place({3.0, 7.0, 15.0}, {group_at(0), bright_group_at(1)}, {1, 0, 1}), (Numbers{0, 2}));
  const PlacementProblem problem = [] {
    PlacementProblem made = problem_with({{3.0, 7.0}}, {group_at(0)});
    made.capacity = {1, 0};
    return made;
  }();
  EXPECT_EQ(place_groups(problem, 0).no_spot, Numbers{0});
}

TEST(Placement, GivesTheLeastBadPlaceToAGroupThatNoSpotIsRightFor) {
  const Placement placement = place_groups(problem_with({{1.0, 2.0, 4.0}}, {group_at(0)}), 0);
  EXPECT_EQ(spots_of(placement), Numbers{2});
  EXPECT_EQ(placement.no_spot, Numbers{0});
  EXPECT_EQ(placement.badly_placed, Numbers{0});
}

TEST(Placement, ListsNoGroupThatOnlyLacksRoom) {
  const Placement placement =
      place_groups(problem_with({{2.0, 1.0, 7.0}}, {group_at(0), group_at(1)}), 0);
  EXPECT_EQ(placement.badly_placed, Numbers{0});
  EXPECT_EQ(placement.no_spot, Numbers{});
}

TEST(Placement, OfNoGroupsIsEmpty) {
  const Placement placement = place_groups(problem_with({{2.0}}, {}), 0);
  EXPECT_TRUE(placement.places.empty());
  EXPECT_EQ(placement.within, 0U);
}

TEST(Placement, RefusesWhatIsNoProblem) {
  PlacementProblem problem = problem_with({{2.0, 7.0}}, {group_at(0)});
  const auto expect_refused = [](const PlacementProblem& wrong) {
    const Numbers settings{0};
    EXPECT_THROW(place_groups(wrong, 0), std::invalid_argument);
    EXPECT_THROW(groups_without_a_spot(wrong, settings), std::invalid_argument);
  };
  PlacementProblem wrong = problem;
  wrong.groups[0].spot = 2;
  expect_refused(wrong);
  wrong = problem;
  wrong.capacity = {1};
  expect_refused(wrong);
  for (const double price : {-0.1, std::nan(""), std::numeric_limits<double>::infinity()}) {
    wrong = problem;
    wrong.move_price = price;
    expect_refused(wrong);
  }
  EXPECT_THROW(place_over_settings(problem, {}), std::invalid_argument);
}

// ---- Over the dial.

Placement place_over_all(const PlacementProblem& problem, std::size_t settings, bool from_last) {
  Numbers order(settings);
  std::iota(order.begin(), order.end(), 0U);
  if (from_last) std::reverse(order.begin(), order.end());
  return place_over_settings(problem, order);
}

TEST(PlacementOverSettings, TakesMostGroupsInTheirBands) {
  const Placement placement = place_over_all(
      problem_with({{2.0, 4.0}, {6.0, 12.0}, {12.0, 24.0}}, {group_at(0), bright_group_at(1)}), 3,
      true);
  EXPECT_EQ(placement.setting, 1U);
  EXPECT_EQ(placement.within, 2U);
}

TEST(PlacementOverSettings, ThenFewestLeftWhereTheyMayNotBe) {
  // One is right under either; the other is too bright, or too dim.
  const std::vector<PlacementGroup> groups{fixed(group_at(0)), fixed(group_at(1))};
  EXPECT_EQ(place_over_all(problem_with({{6.0, 11.0}, {4.0, 7.0}}, groups), 2, false).setting, 1U);
}

TEST(PlacementOverSettings, ThenFewestMoves) {
  // Under the first it must move to be right, under the second it need not.
  EXPECT_EQ(
      place_over_all(problem_with({{3.0, 6.0}, {9.0, 18.0}}, {group_at(0)}), 2, false).setting, 1U);
}

TEST(PlacementOverSettings, ThenTheLeastMisfit) {
  EXPECT_EQ(place_over_all(problem_with({{2.0}, {4.0}, {3.0}}, {group_at(0)}), 3, false).setting,
            1U);
}

TEST(PlacementOverSettings, ThenTheFirstInTheOrderGiven) {
  const PlacementProblem problem = problem_with({{6.0}, {7.0}, {8.0}, {11.0}}, {group_at(0)});
  EXPECT_EQ(place_over_all(problem, 4, false).setting, 0U);
  EXPECT_EQ(place_over_all(problem, 4, true).setting, 2U);
}

TEST(PlacementOverSettings, ListsGroupsThatAreRightNowhereUnderAny) {
  const PlacementProblem problem =
      problem_with({{2.0, 6.0}, {4.0, 11.0}}, {group_at(0), bright_group_at(0), group_at(1)});
  const Numbers both{0, 1};
  const Numbers second{1};
  EXPECT_EQ(groups_without_a_spot(problem, both), Numbers{1});
  EXPECT_EQ(groups_without_a_spot(problem, second), (Numbers{0, 1, 2}));
  EXPECT_EQ(groups_without_a_spot(problem, {}), (Numbers{0, 1, 2}));
}

// ---- Against all placements there are.

/// What a placement is judged by, worked out again from the rules.
struct Worth {
  int breaks = 0;
  double cost = 0.0;

  bool is_under(const Worth& other) const {
    return std::tie(breaks, cost) < std::tie(other.breaks, other.cost);
  }
};

class BruteForce {
 public:
  BruteForce(const PlacementProblem& problem, std::size_t setting)
      : problem_(problem), setting_(setting), room_(problem.spots, 0), now_(problem.spots, 0) {
    for (const PlacementGroup& group : problem.groups) ++now_[group.spot];
    for (std::size_t s = 0; s < problem.spots; ++s) {
      room_[s] = std::max(problem.capacity[s], now_[s]);
    }
    best_.breaks = static_cast<int>(problem.groups.size()) + 1;
    try_group(0, {});
  }

  const Worth& best() const { return best_; }

  /// Empty where the group may not be put there.
  std::optional<Worth> worth_of(std::size_t group, std::size_t spot) const {
    const PlacementGroup& of = problem_.groups[group];
    const double dose = problem_.exposures.at(setting_, spot).dose.mol_m2_d();
    const double peak = problem_.exposures.at(setting_, spot).peak.umol_m2_s();
    const double low = of.tolerance.dose_band.low.mol_m2_d();
    const double high = std::max(of.tolerance.dose_band.high.mol_m2_d(), of.before.dose.mol_m2_d());
    const double ceiling =
        std::max(of.tolerance.peak_ceiling.umol_m2_s(), of.before.peak.umol_m2_s());
    const bool is_forbidden = dose == 0.0 || dose > high || peak > ceiling;
    double misfit = dose == 0.0 ? std::log(1e6) : 0.0;
    if (dose > 0.0 && dose < low) misfit = std::log(low / dose);
    if (dose > high) misfit = std::log(dose / high);
    if (peak > ceiling) misfit = std::max(misfit, std::log(peak / ceiling));
    if (spot == of.spot) return Worth{is_forbidden ? 1 : 0, misfit};
    if (of.is_fixed || is_forbidden || problem_.capacity[spot] == 0) return std::nullopt;
    return Worth{0, misfit + problem_.move_price};
  }

 private:
  void try_group(std::size_t group, const Worth& so_far) {
    if (group == problem_.groups.size()) {
      if (so_far.is_under(best_)) best_ = so_far;
      return;
    }
    for (std::size_t spot = 0; spot < problem_.spots; ++spot) {
      const auto worth = worth_of(group, spot);
      if (!worth || room_[spot] == 0) continue;
      --room_[spot];
      try_group(group + 1, {so_far.breaks + worth->breaks, so_far.cost + worth->cost});
      ++room_[spot];
    }
  }

  const PlacementProblem& problem_;
  std::size_t setting_;
  Numbers room_;
  Numbers now_;
  Worth best_;
};

PlacementProblem draw_problem(std::uint64_t seed, std::size_t settings, std::size_t groups,
                              std::size_t spots) {
  testing::Dice dice{seed};
  PlacementProblem problem{spots, ExposureTable{settings, spots}, {}};
  const double room = dice.one_of({1.0, 2.5});
  for (std::size_t spot = 0; spot < spots; ++spot) {
    problem.capacity.push_back(static_cast<std::size_t>(dice.real(0.7, 1.0 + room)));
    const double full = dice.chance(0.1) ? 0.0 : dice.real(0.5, 25.0);
    const double peak = dice.real(15.0, 45.0);
    for (std::size_t setting = 0; setting < settings; ++setting) {
      const double dose = full * static_cast<double>(setting + 1) / static_cast<double>(settings);
      problem.exposures.at(setting, spot) = {mol(dose), umol(peak * dose)};
    }
  }
  for (std::size_t g = 0; g < groups; ++g) {
    const int last = static_cast<int>(spots) - 1;
    PlacementGroup group = group_at(static_cast<std::size_t>(dice.whole(0, last)));
    const double low = dice.real(1.0, 10.0);
    group.tolerance.dose_band = {mol(low), mol(low * dice.real(1.2, 3.0))};
    group.tolerance.peak_ceiling = umol(dice.real(60.0, 600.0));
    group.before = {mol(dice.real(1.0, 15.0)), umol(dice.real(20.0, 400.0))};
    group.is_fixed = dice.chance(0.15);
    problem.groups.push_back(group);
  }
  return problem;
}

PlacementProblem draw_small_problem(std::uint64_t seed) {
  return draw_problem(seed, 1, 1 + seed % 5, 1 + seed / 5 % 6);
}

/// Fails the test where the placement breaks a rule.
Worth worth_of(const PlacementProblem& problem, const Placement& placement,
               const BruteForce& rules) {
  Numbers taken(problem.spots, 0);
  Numbers now(problem.spots, 0);
  Worth worth;
  for (std::size_t g = 0; g < problem.groups.size(); ++g) {
    const std::size_t spot = placement.places.at(g).spot;
    ++now[problem.groups[g].spot];
    ++taken.at(spot);
    const auto of_group = rules.worth_of(g, spot);
    if (!of_group) {
      ADD_FAILURE() << "group " << g << " may not be put at spot " << spot;
      continue;
    }
    worth.breaks += of_group->breaks;
    worth.cost += of_group->cost;
  }
  for (std::size_t s = 0; s < problem.spots; ++s) {
    EXPECT_LE(taken[s], std::max(problem.capacity[s], now[s])) << "spot " << s;
  }
  return worth;
}

/// Rounding of sums of misfits, of which none is over ln(1e6).
constexpr double rounding_of_sums = 1e-11;

TEST(Placement, IsTheBestOfAllPlacements) {
  int moves = 0;
  int breaks = 0;
  int badly_placed = 0;
  int overfull = 0;
  for (std::uint64_t seed = 83000; seed < 83600; ++seed) {
    SCOPED_TRACE("seed " + std::to_string(seed));
    const PlacementProblem problem = draw_small_problem(seed);
    const Placement placement = place_groups(problem, 0);
    const BruteForce rules{problem, 0};
    const Worth found = worth_of(problem, placement, rules);
    ASSERT_FALSE(HasFailure());
    ASSERT_EQ(found.breaks, rules.best().breaks);
    ASSERT_NEAR(found.cost, rules.best().cost, rounding_of_sums);
    ASSERT_EQ(placement.breaks, static_cast<std::size_t>(found.breaks));
    ASSERT_NEAR(placement.misfit + static_cast<double>(placement.moves) * problem.move_price,
                found.cost, rounding_of_sums);
    ASSERT_EQ(placement.within + placement.badly_placed.size(), problem.groups.size());
    moves += placement.moves > 0;
    breaks += placement.breaks > 0;
    badly_placed += !placement.badly_placed.empty();
    Numbers living(problem.spots, 0);
    for (const PlacementGroup& group : problem.groups) {
      overfull += ++living[group.spot] > problem.capacity[group.spot];
    }
  }
  // The draw must not miss a kind.
  EXPECT_GT(moves, 100);
  EXPECT_GT(breaks, 100);
  EXPECT_GT(badly_placed, 100);
  EXPECT_GT(overfull, 100);
}

TEST(Placement, IsTheSameEveryTime) {
  for (std::uint64_t seed = 83000; seed < 83100; ++seed) {
    SCOPED_TRACE("seed " + std::to_string(seed));
    const PlacementProblem problem = draw_problem(seed, 1, 12, 20);
    ASSERT_EQ(spots_of(place_groups(problem, 0)), spots_of(place_groups(problem, 0)));
  }
}

TEST(Placement, CostsAsMuchInAnyOrderOfTheGroups) {
  for (std::uint64_t seed = 84000; seed < 84200; ++seed) {
    SCOPED_TRACE("seed " + std::to_string(seed));
    PlacementProblem problem = draw_problem(seed, 1, 12, 10);
    const Placement before = place_groups(problem, 0);
    testing::Dice dice{seed};
    for (std::size_t g = problem.groups.size() - 1; g > 0; --g) {
      std::swap(problem.groups[g],
                problem.groups[static_cast<std::size_t>(dice.whole(0, static_cast<int>(g)))]);
    }
    const Placement after = place_groups(problem, 0);
    ASSERT_EQ(after.breaks, before.breaks);
    ASSERT_NEAR(after.misfit + static_cast<double>(after.moves) * problem.move_price,
                before.misfit + static_cast<double>(before.moves) * problem.move_price,
                rounding_of_sums);
  }
}

TEST(PlacementOverSettings, IsTheBestOfThePlacementsUnderEach) {
  constexpr std::size_t settings = 20;
  for (std::uint64_t seed = 85000; seed < 85100; ++seed) {
    SCOPED_TRACE("seed " + std::to_string(seed));
    const PlacementProblem problem = draw_problem(seed, settings, 6, 10);
    const Placement best = place_over_all(problem, settings, true);
    const auto rank = [](const Placement& placement, double misfit) {
      return std::tuple{-static_cast<int>(placement.within), placement.breaks, placement.moves,
                        misfit};
    };
    for (std::size_t setting = 0; setting < settings; ++setting) {
      const Placement other = place_groups(problem, setting);
      ASSERT_LE(rank(best, best.misfit - relative_slack), rank(other, other.misfit))
          << "setting " << setting;
    }
  }
}

}  // namespace
}  // namespace slowdawn
