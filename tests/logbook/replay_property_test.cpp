// What must hold whatever a keeper writes.
#include <gtest/gtest.h>

#include <algorithm>
#include <numeric>
#include <string>
#include <utility>
#include <vector>

#include "logbook/same_replay.hpp"
#include "logbook/story.hpp"
#include "property/dice.hpp"

namespace slowdawn {
namespace {

using testing::Dice;
using testing::Json;
using testing::Story;

constexpr std::uint64_t first_seed = 310000;
// Each story is lived day by day; slow programs live fewer.
#if defined(NDEBUG)
constexpr std::uint64_t stories_compared = 4500;
constexpr std::uint64_t stories_replayed = 400;
#else
constexpr std::uint64_t stories_compared = 400;
constexpr std::uint64_t stories_replayed = 40;
#endif

std::string name_of(std::uint64_t seed) { return "seed " + std::to_string(seed); }

Json draw_profile(Dice& dice) {
  return {
      {"dose_band", {0.1, dice.real(8.0, 40.0)}},  {"peak_ceiling", dice.real(300.0, 1500.0)},
      {"headroom_percent", dice.real(15.0, 60.0)}, {"weekly_rise_percent", dice.real(8.0, 60.0)},
      {"tau_up_days", dice.real(3.0, 20.0)},       {"tau_down_days", dice.real(2.0, 10.0)},
      {"carryover", dice.real(0.65, 1.0)},         {"floor_percent", dice.real(50.0, 70.0)}};
}

/// One light up, from itself or from an older one, over one to three groups.
Json draw_tank(Dice& dice) {
  Json tank = testing::one_light_tank();
  const bool is_new_light = dice.chance(0.4);
  if (is_new_light) {
    Json tubes = tank["lights"][0];
    tubes["name"] = "tubes";
    tank["lights"].push_back(tubes);
    tank["surveys"].push_back({{"dials", {{"tubes", 100}}},
                               {"ppfd",
                                {{"crest", dice.real(100.0, 200.0)},
                                 {"ledge", dice.real(60.0, 150.0)},
                                 {"sand", dice.real(30.0, 80.0)}}}});
    tank["ramp"]["from"] = {{"tubes", 100}};
  } else {
    tank["ramp"]["from"] = {{"bars", dice.whole(20, 50)}};
  }
  const int steps[] = {1, 1, 2, 5};
  tank["lights"][0]["dial"] = {{"lowest", 5}, {"step", dice.one_of(steps)}};
  tank["ramp"]["to"] = {{"bars", dice.whole(60, 100)}};
  const int every[] = {1, 1, 1, 2, 3, 7};
  tank["ramp"]["every_days"] = dice.one_of(every);
  tank["groups"] = Json::array();
  const char* spots[] = {"crest", "ledge", "sand"};
  const int groups = dice.whole(1, 3);
  for (int g = 0; g < groups; ++g) {
    tank["groups"].push_back({{"name", "group " + std::to_string(g)},
                              {"profile", draw_profile(dice)},
                              {"spot", dice.one_of(spots)}});
  }
  return tank;
}

struct DrawnLook {
  int day;
  std::string group;
  CheckIn seen;
  bool restart = false;
};

CheckIn draw_look(Dice& dice, double chance_of_sign, bool has_meter, bool has_card) {
  CheckIn seen;
  if (has_card) seen.card = 4;
  if (!has_card && dice.chance(0.7)) seen.colour = 0;
  if (has_meter) seen.fv_fm = dice.real(0.6, 0.7);
  if (dice.chance(0.1)) seen.extension = Extension::more;
  if (dice.chance(0.15) && seen.colour) seen.colour = dice.whole(-1, 2);
  if (!dice.chance(chance_of_sign)) return seen;
  switch (dice.whole(0, 5)) {
    case 0: seen.extension = Extension::less; break;
    case 1: seen.mucus = true; break;
    case 2:
      if (has_card) seen.card = dice.whole(1, 6);
      if (!has_card) seen.colour = dice.whole(-3, 3);
      break;
    case 3:
      if (has_meter) seen.fv_fm = dice.real(0.25, 0.6);
      seen.mucus = true;
      break;
    case 4:
      seen.extension = Extension::less;
      if (!has_card) seen.colour = -1;
      break;
    default:
      if (dice.chance(0.3)) {
        seen.tissue = dice.chance(0.5) ? Tissue::white_patches : Tissue::lost;
      } else {
        seen.extension = Extension::less;
      }
  }
  return seen;
}

/// Looks at every group weekly or more often, in the order of their days.
std::vector<DrawnLook> draw_looks(Dice& dice, std::size_t groups, int days) {
  std::vector<DrawnLook> looks;
  for (std::size_t g = 0; g < groups; ++g) {
    const bool has_meter = dice.chance(0.3);
    const bool has_card = dice.chance(0.3);
    const double chance_of_sign = dice.real(0.02, 0.5);
    const int longest_gap = dice.whole(1, 7);
    for (int day = dice.whole(-2, 7); day <= days; day += dice.whole(1, longest_gap)) {
      looks.push_back({day, "group " + std::to_string(g),
                       draw_look(dice, chance_of_sign, has_meter, has_card), dice.chance(0.15)});
    }
  }
  std::stable_sort(looks.begin(), looks.end(),
                   [](const DrawnLook& a, const DrawnLook& b) { return a.day < b.day; });
  return looks;
}

/// Makes one field worse; false if this look cannot be worse there. The first
/// score of a card and the first Fv/Fm stay: they are what the later ones are
/// measured against, so that a lower one is another story.
bool worsen(Dice& dice, const std::vector<DrawnLook>& looks, std::size_t chosen, CheckIn& seen) {
  const auto is_first = [&](auto field) {
    return std::none_of(looks.begin(), looks.begin() + static_cast<std::ptrdiff_t>(chosen),
                        [&](const DrawnLook& look) {
                          return look.group == looks[chosen].group &&
                                 (look.seen.*field).has_value();
                        });
  };
  switch (dice.whole(0, 5)) {
    case 0:
      if (seen.colour) {
        *seen.colour -= dice.whole(1, 3);
        return true;
      }
      if (!seen.card || *seen.card == 1 || is_first(&CheckIn::card)) return false;
      seen.card = dice.whole(1, *seen.card - 1);
      return true;
    case 1:
    case 2:
      if (seen.extension == Extension::less) return false;
      seen.extension = Extension::less;
      return true;
    case 3:
      if (seen.mucus) return false;
      seen.mucus = true;
      return true;
    case 4:
      if (seen.tissue != Tissue::whole) return false;
      seen.tissue = dice.chance(0.5) ? Tissue::white_patches : Tissue::lost;
      return true;
    default:
      if (!seen.fv_fm || is_first(&CheckIn::fv_fm)) return false;
      seen.fv_fm = *seen.fv_fm * dice.real(0.3, 0.95);
      return true;
  }
}

Story tell(const Json& tank, const std::vector<DrawnLook>& looks) {
  Story story{tank};
  for (const DrawnLook& look : looks) story.look(look.day, look.group, look.seen, look.restart);
  return story;
}

std::string to_text(const CheckIn& seen) {
  static const char* const extensions[] = {"less", "usual", "more"};
  static const char* const tissues[] = {"whole", "white patches", "lost"};
  std::string text = std::string{extensions[static_cast<int>(seen.extension)]} + ", " +
                     tissues[static_cast<int>(seen.tissue)];
  if (seen.mucus) text += ", mucus";
  if (seen.colour) text += ", colour " + std::to_string(*seen.colour);
  if (seen.card) text += ", card " + std::to_string(*seen.card);
  if (seen.fv_fm) text += ", Fv/Fm " + std::to_string(*seen.fv_fm);
  return text;
}

/// The first day on which the second replay is brighter; empty if there is none.
std::optional<std::size_t> first_brighter_day(const Plan& than, const Plan& plan) {
  if (plan.days.empty() || than.days.empty()) return {};
  for (std::size_t day = 0; day < std::max(plan.days.size(), than.days.size()); ++day) {
    if (testing::setting_on(plan, day) > testing::setting_on(than, day)) return day;
  }
  return {};
}

bool has_brighter_day(const Json& tank, const std::vector<DrawnLook>& better, std::size_t chosen,
                      const CheckIn& seen, int today) {
  std::vector<DrawnLook> worse = better;
  worse[chosen].seen = seen;
  return first_brighter_day(tell(tank, better).replay(today).plan,
                            tell(tank, worse).replay(today).plan)
      .has_value();
}

/// The same failure with as few looks as it takes.
std::string smallest_failure(const Json& tank, std::vector<DrawnLook> looks, std::size_t chosen,
                             const CheckIn& worse, int today) {
  for (std::size_t i = looks.size(); i-- > 0;) {
    if (i == chosen) continue;
    std::vector<DrawnLook> fewer = looks;
    fewer.erase(fewer.begin() + static_cast<std::ptrdiff_t>(i));
    const std::size_t there = chosen - (i < chosen ? 1 : 0);
    if (!has_brighter_day(tank, fewer, there, worse, today)) continue;
    looks = fewer;
    chosen = there;
  }
  std::string text = "today is day " + std::to_string(today) + "\n" + tank.dump() + "\n";
  for (std::size_t i = 0; i < looks.size(); ++i) {
    text += "day " + std::to_string(looks[i].day) + " " + looks[i].group + ": " +
            to_text(looks[i].seen) + (looks[i].restart ? ", restart" : "");
    if (i == chosen) text += "   WORSE: " + to_text(worse);
    text += "\n";
  }
  const Plan better = tell(tank, looks).replay(today).plan;
  looks[chosen].seen = worse;
  const Plan brighter = tell(tank, looks).replay(today).plan;
  const std::size_t day = first_brighter_day(better, brighter).value_or(0);
  return text + "brighter on day " + std::to_string(day) + ": setting " +
         std::to_string(testing::setting_on(brighter, day)) + " over " +
         std::to_string(testing::setting_on(better, day));
}

struct Comparison {
  bool is_made = false;
  bool is_dimmer = false;
  /// What went wrong; empty if nothing did.
  std::string failure;
};

/// A story against itself with one look made worse.
Comparison compare(std::uint64_t seed) {
  Dice dice{seed};
  const Json tank = draw_tank(dice);
  const int days = dice.whole(10, 60);
  const std::vector<DrawnLook> looks = draw_looks(dice, tank["groups"].size(), days);
  if (looks.empty()) return {};
  const auto chosen = static_cast<std::size_t>(dice.whole(0, static_cast<int>(looks.size()) - 1));
  CheckIn worse = looks[chosen].seen;
  if (!worsen(dice, looks, chosen, worse)) return {};
  const int today = days + (dice.chance(0.5) ? 0 : dice.whole(0, 20));
  std::vector<DrawnLook> changed = looks;
  changed[chosen].seen = worse;
  const Plan better = tell(tank, looks).replay(today).plan;
  const Plan dim = tell(tank, changed).replay(today).plan;
  if (better.status == PlanStatus::no_safe_opening) return {};
  Comparison comparison{true, first_brighter_day(dim, better).has_value(), ""};
  if (first_brighter_day(better, dim)) {
    comparison.failure = smallest_failure(tank, looks, chosen, worse, today);
  }
  return comparison;
}

TEST(WorseLook, IsNeverBrighterOnAnyDay) {
  int compared = 0;
  int dimmer = 0;
  for (std::uint64_t seed = first_seed; seed < first_seed + stories_compared; ++seed) {
    SCOPED_TRACE(name_of(seed));
    const Comparison comparison = compare(seed);
    EXPECT_EQ(comparison.failure, "");
    compared += comparison.is_made;
    dimmer += comparison.is_dimmer;
  }
  // The draw must not miss the point.
  EXPECT_GE(compared, static_cast<int>(stories_compared / 2));
  EXPECT_GT(dimmer, static_cast<int>(stories_compared / 12));
}

/// The 7 days of a strain ran from its first sight and not from its last.
TEST(WorseLook, IsNotBrighterBecauseAStrainWasSeenSooner) {
  for (const std::uint64_t seed : {312575U, 312601U, 313805U, 314489U, 315183U}) {
    EXPECT_EQ(compare(seed).failure, "") << name_of(seed);
  }
}

/// A second look at one strain was no cut, whatever else took the dial down.
TEST(WorseLook, IsNotBrighterBecauseTheCutWasMadeBefore) {
  for (const std::uint64_t seed : {316373U, 317415U, 318431U, 320450U, 324553U}) {
    EXPECT_EQ(compare(seed).failure, "") << name_of(seed);
  }
}

/// Who climbs later has more looks with more light than at the last, and so
/// learned more.
TEST(WorseLook, IsNotBrighterBecauseItClimbsInMoreSteps) {
  for (const std::uint64_t seed : {330308U, 331981U, 369815U}) {
    EXPECT_EQ(compare(seed).failure, "") << name_of(seed);
  }
}

/// Found by the test above: the other group takes the dial down on the day of
/// the first strain, so that the second look is the first cut of the better
/// story, from a dose that is low already, and no cut at all of the worse.
TEST(WorseLook, IsNotBrighterWhereAnotherGroupTookTheDialDown) {
  const auto tell_with = [](const CheckIn& first) {
    Story story;
    story.look_at_all(0, 3, 3);
    story.look(4, "staghorn", first);
    story.look(4, "chalice", {.colour = -3});
    story.look(9, "staghorn", {.colour = -3});
    for (const int day : {11, 14, 17, 20, 23}) {
      story.look(day, "chalice");
      story.look(day, "staghorn", {.mucus = true});
    }
    return story.replay(24).plan;
  };
  EXPECT_EQ(
      first_brighter_day(tell_with({.mucus = true}), tell_with({.colour = -2, .mucus = true})),
      std::nullopt);
}

/// An entry that is not written yet.
struct Draft {
  int day;
  EntryBody body;
};

/// Looks, moves and dials of every kind, in the order of their days.
std::vector<Draft> draw_drafts(Dice& dice, const Json& tank, int days) {
  std::vector<Draft> drafts;
  for (const DrawnLook& look : draw_looks(dice, tank["groups"].size(), days)) {
    drafts.push_back({look.day, CheckInEntry{look.group, look.seen, "", "", look.restart}});
  }
  const char* spots[] = {"crest", "ledge", "sand"};
  for (int i = dice.whole(0, 4); i > 0; --i) {
    const int group = dice.whole(0, static_cast<int>(tank["groups"].size()) - 1);
    drafts.push_back(
        {dice.whole(0, days), MovedEntry{"group " + std::to_string(group), dice.one_of(spots)}});
  }
  for (int i = dice.whole(0, 4); i > 0; --i) {
    const int day = dice.whole(0, days);
    const double percent = dice.chance(0.5) ? 0.0 : dice.real(0.0, 100.0);
    DialedEntry dialed{{{"bars", Percent::of_full(percent)}}, {}};
    if (dice.chance(0.5)) {
      dialed.until = Date{2026, 3, 1} + boost::gregorian::days(day + dice.whole(0, 5));
    }
    drafts.push_back({day, dialed});
  }
  std::stable_sort(drafts.begin(), drafts.end(),
                   [](const Draft& a, const Draft& b) { return a.day < b.day; });
  return drafts;
}

Story write(const Json& tank, const std::vector<Draft>& drafts) {
  Story story{tank};
  for (const Draft& draft : drafts) story.add(draft.day, draft.body);
  return story;
}

TEST(Replay, OfAPrefixHasTheSameDaysUpToItsEnd) {
  std::size_t days_compared = 0;
  for (std::uint64_t seed = first_seed; seed < first_seed + stories_replayed; ++seed) {
    SCOPED_TRACE(name_of(seed));
    Dice dice{seed};
    const Json tank = draw_tank(dice);
    const int days = dice.whole(10, 60);
    const std::vector<Draft> drafts = draw_drafts(dice, tank, days);
    const Plan all = write(tank, drafts).replay(days).plan;
    for (int last = 0; last < days; last += dice.whole(1, 10)) {
      std::vector<Draft> prefix = drafts;
      std::erase_if(prefix, [&](const Draft& draft) { return draft.day > last; });
      const Plan begun = write(tank, prefix).replay(days).plan;
      const auto count = static_cast<std::size_t>(last) + 1;
      ASSERT_EQ(testing::days_text(begun, count), testing::days_text(all, count));
      days_compared += std::min(count, all.days.size());
    }
  }
  EXPECT_GT(days_compared, 50 * stories_replayed);
}

/// Whether the past is lived the same on the day itself as it is seen later.
TEST(Replay, OfTheDayItselfHasTheSameDaysAsLater) {
  for (std::uint64_t seed = first_seed; seed < first_seed + stories_replayed; ++seed) {
    SCOPED_TRACE(name_of(seed));
    Dice dice{seed};
    const Json tank = draw_tank(dice);
    const int days = dice.whole(10, 60);
    const std::vector<Draft> drafts = draw_drafts(dice, tank, days);
    const Plan later = write(tank, drafts).replay(days + dice.whole(0, 30)).plan;
    const int then = dice.whole(0, days);
    std::vector<Draft> prefix = drafts;
    std::erase_if(prefix, [&](const Draft& draft) { return draft.day > then; });
    const Plan on_the_day = write(tank, prefix).replay(then).plan;
    const auto count = static_cast<std::size_t>(then) + 1;
    ASSERT_EQ(testing::days_text(on_the_day, count), testing::days_text(later, count));
  }
}

/// Seats are numbered by the moves that are written, also by those that are taken back;
/// and a note has the day on which it was first made.
std::string without_seats(const std::string& text) {
  std::istringstream lines{text};
  std::string kept;
  for (std::string line; std::getline(lines, line);) {
    if (!line.starts_with("change") && !line.starts_with("note")) kept += line + "\n";
  }
  return kept;
}

/// On the day on which it was written; what was lived under an entry since cannot be
/// taken back.
TEST(Undo, EqualsNeverHavingMadeTheEntryOnItsDay) {
  int changed = 0;
  for (std::uint64_t seed = first_seed; seed < first_seed + stories_replayed; ++seed) {
    SCOPED_TRACE(name_of(seed));
    Dice dice{seed};
    const Json tank = draw_tank(dice);
    std::vector<Draft> drafts = draw_drafts(dice, tank, dice.whole(10, 60));
    if (drafts.empty()) continue;
    const auto chosen =
        static_cast<std::size_t>(dice.whole(0, static_cast<int>(drafts.size()) - 1));
    const int days = std::max(drafts[chosen].day, 0);
    std::erase_if(drafts, [&](const Draft& draft) { return draft.day > days; });
    Story story = write(tank, drafts);
    const std::string made = testing::replay_text(story.replay(days));
    // The follow entry is number 1.
    const std::int64_t undo = story.undo(days, static_cast<std::int64_t>(chosen) + 2);
    const std::string undone = testing::replay_text(story.replay(days));
    drafts.erase(drafts.begin() + static_cast<std::ptrdiff_t>(chosen));
    ASSERT_EQ(without_seats(undone),
              without_seats(testing::replay_text(write(tank, drafts).replay(days))));
    story.undo(days, undo);
    ASSERT_EQ(testing::replay_text(story.replay(days)), made);
    changed += made != undone;
  }
  EXPECT_GT(changed, static_cast<int>(stories_replayed / 3));
}

TEST(Replay, IsTheSameInWhateverOrderTheDaysAreWritten) {
  for (std::uint64_t seed = first_seed; seed < first_seed + stories_replayed; ++seed) {
    SCOPED_TRACE(name_of(seed));
    Dice dice{seed};
    const Json tank = draw_tank(dice);
    const int days = dice.whole(10, 60);
    std::vector<Draft> drafts = draw_drafts(dice, tank, days);
    const std::string in_order = testing::replay_text(write(tank, drafts).replay(days));
    // Days change places; the entries of one day keep their order.
    std::vector<int> place(static_cast<std::size_t>(days) + 3);
    std::iota(place.begin(), place.end(), 0);
    for (std::size_t i = place.size() - 1; i > 0; --i) {
      std::swap(place[i], place[static_cast<std::size_t>(dice.whole(0, static_cast<int>(i)))]);
    }
    std::stable_sort(drafts.begin(), drafts.end(), [&](const Draft& a, const Draft& b) {
      return place[static_cast<std::size_t>(a.day + 2)] <
             place[static_cast<std::size_t>(b.day + 2)];
    });
    ASSERT_EQ(testing::replay_text(write(tank, drafts).replay(days)), in_order);
  }
}

}  // namespace
}  // namespace slowdawn
