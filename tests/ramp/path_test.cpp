#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <slowdawn/ramp/path.hpp>
#include <stdexcept>
#include <string>
#include <vector>

#include "property/dice.hpp"

namespace slowdawn {
namespace {

using Dials = std::vector<double>;

struct Range {
  double lowest = 0.0;
  double step = 1.0;
};

PathLight light(double base, double goal, Range range = {}) {
  return {Percent::of_full(base),
          Percent::of_full(goal),
          {.lowest = Percent::of_full(range.lowest), .step = Percent::of_full(range.step)}};
}

/// A light whose settings are listed, and 100.
PathLight listed(double base, double goal, const Dials& list) {
  DialRange range;
  for (const double setting : list) range.listed.push_back(Percent::of_full(setting));
  range.listed.push_back(Percent::of_full(100.0));
  range.lowest = range.listed.front();
  return {Percent::of_full(base), Percent::of_full(goal), range};
}

Path path_of(std::vector<PathLight> lights) { return make_path(lights); }

std::vector<Dials> dials_of(const Path& path) {
  std::vector<Dials> all;
  for (const Setting& setting : path.settings) {
    Dials dials;
    for (const Percent dial : setting) dials.push_back(dial.percent());
    all.push_back(dials);
  }
  return all;
}

Dials dials_of_one(const Path& path) {
  Dials all;
  for (const Setting& setting : path.settings) all.push_back(setting.at(0).percent());
  return all;
}

Dials multiples(double first, double last, double step) {
  Dials all;
  for (double value = first; value <= last; value += step) all.push_back(value);
  return all;
}

TEST(PathOfOneLight, HasEveryMultipleOfTheStepUpToTheGoal) {
  const Path path = path_of({light(0.0, 100.0)});
  EXPECT_EQ(dials_of_one(path), multiples(1.0, 100.0, 1.0));
  EXPECT_EQ(path.goal, 99U);
}

TEST(PathOfOneLight, KeepsAGoalThatIsNoMultipleExactly) {
  const Path path = path_of({light(0.0, 83.0, {.lowest = 20.0, .step = 5.0})});
  const Dials expected{20, 25, 30, 35, 40, 45, 50, 55, 60, 65, 70, 75, 80, 83};
  EXPECT_EQ(dials_of_one(path), expected);
  EXPECT_EQ(path.goal, 13U);
}

TEST(PathOfListedSettings, HasTheseAlone) {
  EXPECT_EQ(dials_of_one(path_of({listed(0.0, 100.0, {30, 31, 70})})), (Dials{30, 31, 70, 100}));
  const Path up = path_of({listed(30.0, 70.0, {25, 30, 55, 70})});
  EXPECT_EQ(dials_of_one(up), (Dials{25, 30, 55, 70}));
  EXPECT_EQ(up.base, 1U);
  EXPECT_EQ(up.goal, 3U);
  const Path down = path_of({listed(100.0, 30.0, {30, 55, 70})});
  EXPECT_EQ(dials_of_one(down), (Dials{30, 55, 70, 100}));
  EXPECT_EQ(down.goal, 0U);
  EXPECT_EQ(dials_of_one(path_of({listed(100.0, 100.0, {})})), (Dials{100}));
}

TEST(PathOfListedSettings, IsCutBackBesideALightThatIsDialled) {
  const Path path = path_of({listed(0.0, 100.0, {30, 70}), light(0.0, 50.0, {.step = 0.5})});
  ASSERT_EQ(path.settings.size(), 100U);
  for (std::size_t i = 0; i < path.settings.size(); ++i) {
    const double share = static_cast<double>(i + 1);
    const double cloth = share < 30 ? 0 : share < 70 ? 30 : share < 100 ? 70 : 100;
    EXPECT_EQ(path.settings[i], (Setting{Percent::of_full(cloth), Percent::of_full(0.5 * share)}));
  }
}

TEST(DialRange, AllowsNothingBetweenListedSettings) {
  const DialRange range = listed(0.0, 100.0, {30, 70}).range;
  for (const double dial : {0.0, 30.0, 70.0, 100.0}) {
    EXPECT_TRUE(range.allows(Percent::of_full(dial)));
  }
  for (const double dial : {1.0, 29.0, 50.0, 99.0}) {
    EXPECT_FALSE(range.allows(Percent::of_full(dial)));
  }
  const DialRange stepped{.lowest = Percent::of_full(20.0), .step = Percent::of_full(5.0)};
  EXPECT_TRUE(stepped.allows(Percent::of_full(22.0)));
  EXPECT_TRUE(stepped.allows(Percent{}));
  EXPECT_FALSE(stepped.allows(Percent::of_full(19.0)));
}

TEST(PathOfOneLight, KeepsABaseThatIsNoMultipleExactly) {
  const Path path = path_of({light(33.0, 51.0, {.step = 10.0})});
  EXPECT_EQ(dials_of_one(path), (Dials{10, 20, 30, 33, 40, 50, 51}));
  EXPECT_EQ(path.base, 3U);
  EXPECT_EQ(path.goal, 6U);
}

TEST(PathOfOneLight, BeginsAtOneStepWhereNothingIsTooLow) {
  EXPECT_EQ(dials_of_one(path_of({light(0.0, 20.0, {.step = 5.0})})), (Dials{5, 10, 15, 20}));
}

TEST(PathOfOneLight, BeginsAtTheFirstMultipleThatIsNotUnderTheLowest) {
  EXPECT_EQ(dials_of_one(path_of({light(0.0, 20.0, {.lowest = 7.0, .step = 5.0})})),
            (Dials{10, 15, 20}));
}

TEST(PathOfOneLight, IsFreeOfTheNoiseOfBinaryFractions) {
  const Dials dials = dials_of_one(path_of({light(0.0, 1.2, {.step = 0.1})}));
  const Dials expected{0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0, 1.1, 1.2};
  // 0.1 * 3 is 0.30000000000000004; the dial is turned to 0.3.
  EXPECT_EQ(dials, expected);
}

TEST(PathOfOneLight, LosesNoMultipleToRounding) {
  const Dials dials = dials_of_one(path_of({light(0.0, 100.0, {.step = 0.1})}));
  ASSERT_EQ(dials.size(), 1000U);
  for (std::size_t i = 0; i < dials.size(); ++i) {
    EXPECT_EQ(dials[i], static_cast<double>(i + 1) / 10.0);
  }
}

TEST(PathOfOneLight, GoesOnFromTheGoalToTheBaseWhereTheGoalIsLower) {
  const Path path = path_of({light(83.0, 42.0, {.step = 10.0})});
  EXPECT_EQ(dials_of_one(path), (Dials{10, 20, 30, 40, 42, 50, 60, 70, 80, 83}));
  EXPECT_EQ(path.goal, 4U);
  EXPECT_EQ(path.base, 9U);
}

TEST(PathOfOneLight, EndsAtTheBaseWhereTheGoalIsTheSame) {
  const Path path = path_of({light(47.0, 47.0, {.step = 10.0})});
  EXPECT_EQ(dials_of_one(path), (Dials{10, 20, 30, 40, 47}));
  EXPECT_EQ(path.base, 4U);
  EXPECT_EQ(path.goal, 4U);
}

TEST(PathOfOneLight, HasNoBaseWhereTheBaseIsDark) {
  EXPECT_FALSE(path_of({light(0.0, 60.0)}).base.has_value());
}

TEST(PathOfOneLight, HasEqualNeighboursOnce) {
  // 83 to 88.1 needs two parts, and both are cut back to 85.
  const Path path = path_of({light(83.0, 88.1, {.lowest = 80.0, .step = 5.0})});
  EXPECT_EQ(dials_of_one(path), (Dials{80, 83, 85, 88.1}));
}

TEST(PathOfOneLight, RefusesADarkGoal) {
  EXPECT_THROW(path_of({light(50.0, 0.0)}), std::invalid_argument);
  EXPECT_THROW(path_of({light(50.0, 0.0), light(10.0, 0.0)}), std::invalid_argument);
}

TEST(PathOfTwoLights, ScalesTheBaseTogetherFromDark) {
  const Path path = path_of({light(8.0, 10.0), light(4.0, 8.0)});
  const std::vector<Dials> expected{
      {1, 0}, {2, 1}, {3, 1}, {4, 2}, {5, 2}, {6, 3},
      {7, 3}, {8, 4}, {8, 5}, {9, 6}, {9, 7}, {10, 8},
  };
  EXPECT_EQ(dials_of(path), expected);
  EXPECT_EQ(path.base, 7U);
  EXPECT_EQ(path.goal, 11U);
}

TEST(PathOfTwoLights, TakesOneUpWhileTheOtherGoesDown) {
  const Path path = path_of({light(50.0, 20.0, {.step = 10.0}), light(10.0, 30.0, {.step = 10.0})});
  const std::vector<Dials> expected{{10, 0},  {20, 0},  {30, 0},  {40, 0},
                                    {50, 10}, {40, 10}, {30, 20}, {20, 30}};
  EXPECT_EQ(dials_of(path), expected);
  EXPECT_EQ(path.base, 4U);
  EXPECT_EQ(path.goal, 7U);
}

TEST(PathOfTwoLights, CutsBackTowardTheStartOfTheLegAndNeverPastIt) {
  // The second light has 20 steps, so the first moves 1.35 at a time; 45.65 is
  // cut back to 50, but the leg started at 47.
  const Path path = path_of({light(47.0, 20.0, {.step = 10.0}), light(10.0, 30.0)});
  const std::vector<Dials> all = dials_of(path);
  ASSERT_TRUE(path.base.has_value());
  const std::size_t base = *path.base;
  ASSERT_EQ(all.size(), base + 21);
  EXPECT_EQ(all[base], (Dials{47, 10}));
  EXPECT_EQ(all[base + 1], (Dials{47, 11}));
  EXPECT_EQ(all[base + 5], (Dials{47, 15}));   // 40.25
  EXPECT_EQ(all[base + 6], (Dials{40, 16}));   // 38.9
  EXPECT_EQ(all[base + 19], (Dials{30, 29}));  // 21.35
  EXPECT_EQ(all[base + 20], (Dials{20, 30}));
}

TEST(PathOfTwoLights, KeepsALightThatStaysExactlyWhereItIs) {
  const Path path = path_of({light(33.0, 33.0, {.step = 10.0}), light(0.0, 20.0, {.step = 10.0})});
  const std::vector<Dials> expected{{10, 0}, {20, 0}, {30, 0}, {33, 0}, {33, 10}, {33, 20}};
  EXPECT_EQ(dials_of(path), expected);
}

TEST(PathOfTwoLights, TurnsADialUnderItsLowestOff) {
  const Range from_30{.lowest = 30.0, .step = 10.0};
  const Path path = path_of({light(100.0, 50.0, from_30), light(0.0, 60.0, from_30)});
  const std::vector<Dials> expected{
      {30, 0},  {40, 0}, {50, 0},  {60, 0},  {70, 0},  {80, 0},  {90, 0},
      {100, 0}, {90, 0}, {80, 30}, {70, 40}, {60, 50}, {50, 60},
  };
  EXPECT_EQ(dials_of(path), expected);
  EXPECT_EQ(path.base, 7U);
  EXPECT_EQ(path.goal, 12U);
}

TEST(PathOfTwoLights, LeavesTheAllDarkSettingOutInTheMiddleOfACrossfade) {
  const Range from_20{.lowest = 20.0, .step = 5.0};
  const Path path = path_of({light(20.0, 0.0, from_20), light(0.0, 40.0, from_20)});
  // At (15, 10) and (12.5, 15) both dials are under their lowest.
  const std::vector<Dials> expected{{20, 0}, {0, 20}, {0, 25}, {0, 30}, {0, 35}, {0, 40}};
  EXPECT_EQ(dials_of(path), expected);
  EXPECT_EQ(path.base, 0U);
  EXPECT_EQ(path.goal, 5U);
}

TEST(PathOfTwoLights, GoesFromDarkToTheGoalFirstWhereNoLightGoesUp) {
  const Path path = path_of({light(40.0, 20.0, {.step = 10.0}), light(30.0, 30.0, {.step = 10.0})});
  const std::vector<Dials> expected{{0, 10}, {10, 20}, {20, 30}, {30, 30}, {40, 30}};
  EXPECT_EQ(dials_of(path), expected);
  EXPECT_EQ(path.goal, 2U);
  EXPECT_EQ(path.base, 4U);
}

TEST(PathOfTwoLights, GoesThroughTheBaseWhereOnlyOneGoesDown) {
  const Path path = path_of({light(40.0, 20.0, {.step = 10.0}), light(30.0, 40.0, {.step = 10.0})});
  ASSERT_TRUE(path.base.has_value());
  EXPECT_LT(*path.base, path.goal);
  EXPECT_EQ(path.goal, path.settings.size() - 1);
}

// The rules of make_path, worked out by search instead of rounding.
class NaivePath {
 public:
  explicit NaivePath(const std::vector<PathLight>& lights) : lights_(lights) {
    Dials dark;
    Dials base;
    Dials goal;
    bool goes_down = true;
    for (const PathLight& each : lights) {
      dark.push_back(0.0);
      base.push_back(each.base.percent());
      goal.push_back(each.goal.percent());
      goes_down = goes_down && goal.back() <= base.back();
    }
    leg(dark, goes_down ? goal : base);
    leg(goes_down ? goal : base, goes_down ? base : goal);
  }

  std::vector<Dials> settings;

 private:
  void leg(const Dials& from, const Dials& to) {
    int parts = 0;
    for (std::size_t j = 0; j < lights_.size(); ++j) {
      const double step = lights_[j].range.step.percent();
      int needed = 0;
      while (needed * step < std::abs(to[j] - from[j]) - 1e-7) ++needed;
      parts = std::max(parts, needed);
    }
    for (int part = 1; part <= parts; ++part) {
      Dials setting;
      for (std::size_t j = 0; j < lights_.size(); ++j) {
        setting.push_back(cut_back(from[j], from[j] + (to[j] - from[j]) * part / parts, j));
      }
      add(setting);
    }
    add(to);
  }

  /// The multiple between the start and the target that is nearest to the
  /// target; the start where there is none.
  double cut_back(double from, double target, std::size_t j) const {
    const double step = lights_[j].range.step.percent();
    const double low = std::min(from, target) - 1e-7;
    const double high = std::max(from, target) + 1e-7;
    double best = from;
    for (int count = 0; count * step <= high; ++count) {
      const double value = count * step;
      if (value >= low && std::abs(value - target) < std::abs(best - target)) best = value;
    }
    return best < lights_[j].range.lowest.percent() - 1e-7 ? 0.0 : best;
  }

  void add(const Dials& setting) {
    if (std::all_of(setting.begin(), setting.end(), [](double dial) { return dial == 0.0; })) {
      return;
    }
    if (!settings.empty() && near(settings.back(), setting)) return;
    settings.push_back(setting);
  }

  static bool near(const Dials& a, const Dials& b) {
    return std::equal(a.begin(), a.end(), b.begin(), b.end(),
                      [](double x, double y) { return std::abs(x - y) < 1e-7; });
  }

  const std::vector<PathLight>& lights_;
};

/// A dial as a keeper would give it: 0, or from the lowest up with at most one
/// digit after the point, on a multiple of the step or beside it.
double draw_dial(testing::Dice& dice, const Range& range) {
  if (dice.chance(0.2)) return 0.0;
  const double value = dice.chance(0.5)
                           ? std::round(dice.real(1.0, 100.0) / range.step) * range.step
                           : dice.whole(10, 1000) / 10.0;
  return std::round(std::clamp(value, std::max(range.lowest, range.step), 100.0) * 1e6) / 1e6;
}

std::vector<PathLight> draw_lights(testing::Dice& dice) {
  std::vector<PathLight> lights;
  const int count = dice.whole(1, 3);
  for (int j = 0; j < count; ++j) {
    constexpr double steps[] = {0.1, 0.5, 1.0, 2.0, 5.0, 10.0};
    constexpr double lowests[] = {0.0, 0.0, 5.0, 12.0, 20.0};
    const Range range{.lowest = dice.one_of(lowests), .step = dice.one_of(steps)};
    const double base = draw_dial(dice, range);
    const double goal = dice.chance(0.1) ? base : draw_dial(dice, range);
    lights.push_back(light(base, goal, range));
  }
  const bool is_dark = std::all_of(lights.begin(), lights.end(), [](const PathLight& each) {
    return each.goal.percent() == 0.0;
  });
  return is_dark ? draw_lights(dice) : lights;
}

std::string describe(const std::vector<PathLight>& lights) {
  std::string text;
  for (const PathLight& each : lights) {
    text += std::to_string(each.base.percent()) + " to " + std::to_string(each.goal.percent()) +
            ", lowest " + std::to_string(each.range.lowest.percent()) + ", step " +
            std::to_string(each.range.step.percent()) + "; ";
  }
  return text;
}

class PathOfRandomLights : public ::testing::Test {
 protected:
  /// Calls `check` with the lights and the path of many seeds.
  template <class Check>
  void for_many(Check check) {
    constexpr std::uint64_t first_seed = 4100;
    for (std::uint64_t seed = first_seed; seed < first_seed + 1500; ++seed) {
      testing::Dice dice{seed};
      const std::vector<PathLight> lights = draw_lights(dice);
      SCOPED_TRACE("seed " + std::to_string(seed) + ": " + describe(lights));
      check(lights, make_path(lights));
      if (HasFatalFailure()) return;
    }
  }
};

TEST_F(PathOfRandomLights, IsWhatASearchFinds) {
  for_many([](const std::vector<PathLight>& lights, const Path& path) {
    const std::vector<Dials> expected = NaivePath{lights}.settings;
    const std::vector<Dials> all = dials_of(path);
    ASSERT_EQ(all.size(), expected.size());
    for (std::size_t i = 0; i < all.size(); ++i) {
      for (std::size_t j = 0; j < lights.size(); ++j) {
        // Dials have at most six digits after the point here.
        ASSERT_NEAR(all[i][j], expected[i][j], 1e-7) << "setting " << i << ", light " << j;
      }
    }
  });
}

TEST_F(PathOfRandomLights, HasBaseAndGoalExactlyAsGiven) {
  for_many([](const std::vector<PathLight>& lights, const Path& path) {
    bool base_is_dark = true;
    ASSERT_LT(path.goal, path.settings.size());
    for (std::size_t j = 0; j < lights.size(); ++j) {
      ASSERT_EQ(path.settings[path.goal][j], lights[j].goal);
      base_is_dark = base_is_dark && lights[j].base.percent() == 0.0;
    }
    ASSERT_EQ(path.base.has_value(), !base_is_dark);
    if (base_is_dark) return;
    for (std::size_t j = 0; j < lights.size(); ++j) {
      ASSERT_EQ(path.settings[*path.base][j], lights[j].base);
    }
    ASSERT_EQ(std::max(*path.base, path.goal), path.settings.size() - 1);
  });
}

TEST_F(PathOfRandomLights, OffersOnlyWhatCanBeDialled) {
  for_many([](const std::vector<PathLight>& lights, const Path& path) {
    for (const Setting& setting : path.settings) {
      for (std::size_t j = 0; j < lights.size(); ++j) {
        const PathLight& each = lights[j];
        if (setting[j] == each.base || setting[j] == each.goal) continue;
        const double dial = setting[j].percent();
        if (dial == 0.0) continue;
        const double count = dial / each.range.step.percent();
        ASSERT_NEAR(count, std::round(count), 1e-6);
        ASSERT_GE(setting[j], each.range.lowest);
        // A dial is a short decimal number, as it is written in a file.
        ASSERT_EQ(dial, std::round(dial * 1e6) / 1e6);
      }
    }
  });
}

TEST_F(PathOfRandomLights, NeverOffersTheDarkNorTheSameTwiceInARow) {
  for_many([](const std::vector<PathLight>&, const Path& path) {
    for (std::size_t i = 0; i < path.settings.size(); ++i) {
      const Setting& setting = path.settings[i];
      ASSERT_TRUE(std::any_of(setting.begin(), setting.end(),
                              [](Percent dial) { return dial.percent() > 0.0; }));
      if (i > 0) {
        ASSERT_NE(setting, path.settings[i - 1]);
      }
    }
  });
}

TEST_F(PathOfRandomLights, MovesEveryDialOneWayOnALeg) {
  for_many([](const std::vector<PathLight>& lights, const Path& path) {
    const std::size_t corner = path.base ? std::min(*path.base, path.goal) : 0;
    for (std::size_t i = 1; i < path.settings.size(); ++i) {
      for (std::size_t j = 0; j < lights.size(); ++j) {
        const Percent before = path.settings[i - 1][j];
        const Percent after = path.settings[i][j];
        const bool rises = i <= corner || path.base == path.settings.size() - 1 ||
                           lights[j].goal >= lights[j].base;
        if (rises) {
          ASSERT_GE(after, before) << "setting " << i << ", light " << j;
        } else {
          ASSERT_LE(after, before) << "setting " << i << ", light " << j;
        }
      }
    }
  });
}

TEST_F(PathOfRandomLights, HasEveryMultipleWhereThereIsOneLight) {
  for_many([](const std::vector<PathLight>& lights, const Path& path) {
    if (lights.size() > 1) return;
    const PathLight& only = lights.front();
    const Dials dials = dials_of_one(path);
    const double end = std::max(only.base, only.goal).percent();
    const double step = only.range.step.percent();
    for (int count = 1; count * step <= end + 1e-9; ++count) {
      const double value = std::round(count * step * 1e6) / 1e6;
      if (value < only.range.lowest.percent()) continue;
      ASSERT_TRUE(std::find(dials.begin(), dials.end(), value) != dials.end()) << value;
    }
  });
}

}  // namespace
}  // namespace slowdawn
