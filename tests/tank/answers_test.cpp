#include <gtest/gtest.h>

#include <slowdawn/tank/answers.hpp>
#include <slowdawn/tank/profile_search.hpp>

namespace slowdawn {
namespace {

DraftDay day_of(double on, double off, double rise = 0, double fall = 0) {
  return {ClockTime::minute(on), ClockTime::minute(off), Minutes::min(rise), Minutes::min(fall)};
}

struct DayCase {
  const char* text;
  DraftDay day;
};

TEST(DayLine, TakesWhatPeopleWrite) {
  const DayCase cases[] = {
      {"09:00 to 20:00, 90 min rise and fall", day_of(540, 1200, 90, 90)},
      {"09:30-19:30", day_of(570, 1170)},
      {"9:30 - 19:30", day_of(570, 1170)},
      {"09:30 \xE2\x80\x93 19:30", day_of(570, 1170)},
      {"09:00 to 20:00 with 60 min rise, 30 min fall", day_of(540, 1200, 60, 30)},
      {"09:00 to 20:00, rise 60, fall 30 min", day_of(540, 1200, 60, 30)},
      {"09:00 to 20:00, rise and fall 45min", day_of(540, 1200, 45, 45)},
      {"09:00-20:00 60 MIN RISE", day_of(540, 1200, 60, 0)},
      {"14:00 until 02:00", day_of(840, 120)},
  };
  for (const DayCase& one : cases) {
    const auto day = parse_day(one.text);
    ASSERT_TRUE(day) << one.text;
    EXPECT_EQ(*day, one.day) << one.text;
  }
}

TEST(DayLine, RefusesWhatMayMeanAnythingElse) {
  for (const char* text :
       {"", "9 to 20", "09:00", "09:00 to 20:00 to 21:00", "25:00 to 20:00", "09:00 to 20:00, 90",
        "09:00 to 20:00, 90 min", "09:00 to 20:00, rise", "09:00 to 20:00, 90 60 min rise",
        "09:00 to 20:00, 2 h rise", "09:00 to 09:00", "05:00 to 22:00",
        "09:00 to 10:00, 40 min rise and fall"}) {
    const auto day = parse_day(text);
    ASSERT_FALSE(day) << text;
    EXPECT_FALSE(day.error().hint.empty()) << text;
  }
}

TEST(EarlierLight, IsPpfdAndHoursOrDoseAndPeak) {
  // CALC: 0.0036 x 120 x 10 = 4.32; 0.0036 x 85.5 x 9.5 = 2.92410.
  const auto square = parse_earlier_light("120 for 10 h");
  ASSERT_TRUE(square);
  EXPECT_EQ(square->basis, History::Basis::told);
  EXPECT_DOUBLE_EQ(square->light.dose.mol_m2_d(), 4.32);
  EXPECT_EQ(square->light.peak.umol_m2_s(), 120);
  EXPECT_DOUBLE_EQ(parse_earlier_light("85.5 x 9.5h")->light.dose.mol_m2_d(), 2.9241);
  const auto figures = parse_earlier_light("peak 190, dose 6.2");
  ASSERT_TRUE(figures);
  EXPECT_EQ(figures->basis, History::Basis::measured);
  EXPECT_EQ(figures->light.dose.mol_m2_d(), 6.2);
  EXPECT_EQ(figures->light.peak.umol_m2_s(), 190);
  EXPECT_EQ(parse_earlier_light("dose 6.2 peak 190")->light, figures->light);
  EXPECT_TRUE(parse_earlier_light("unknown")->is_guess());
}

TEST(EarlierLight, RefusesWhatCannotBe) {
  for (const char* text : {"", "120", "120 10", "6.2 190", "dose 6.2", "dose 6.2 dose 190",
                           "120 for 25 h", "120 for 0 h", "4000 for 10 h", "dose 19 peak 200",
                           "dose 6.2 peak 190 for 10 h", "bright for 10 h", "120 for 10 h a day"}) {
    EXPECT_FALSE(parse_earlier_light(text)) << text;
  }
}

TEST(Answers, ReadingsAreNumbersWithBlanksBetween) {
  EXPECT_EQ(*parse_repeats("212 208\t216.5"), (std::vector<double>{212, 208, 216.5}));
  EXPECT_EQ(*parse_repeats("0"), std::vector<double>{0});
  for (const char* text : {"", "2l2", "212,5", "-3", "3001", "nan", "inf", "212 umol"}) {
    EXPECT_FALSE(parse_repeats(text)) << text;
  }
}

TEST(Answers, PercentMayHaveItsSign) {
  EXPECT_EQ(parse_percent("40 %")->percent(), 40);
  EXPECT_EQ(parse_percent("12.5")->percent(), 12.5);
  for (const char* text : {"", "%", "101", "-1", "forty"})
    EXPECT_FALSE(parse_percent(text)) << text;
}

TEST(Answers, DialAndDimmingAreChecked) {
  EXPECT_EQ(parse_dial("5 100 1")->lowest.percent(), 5);
  EXPECT_EQ(parse_dial("5, 90, 2.5")->step.percent(), 2.5);
  for (const char* text : {"", "5 100", "90 10 1", "0 100 0", "0 101 1"}) {
    EXPECT_FALSE(parse_dial(text)) << text;
  }
  const auto pairs = parse_dimming("25:21 50:47");
  ASSERT_TRUE(pairs);
  EXPECT_EQ((*pairs)[1].second.percent(), 47);
  for (const char* text : {"", "25", "25:", ":21", "50:47 25:21", "25:21:3"}) {
    EXPECT_FALSE(parse_dimming(text)) << text;
  }
}

TEST(Answers, ChoiceIsOfTheList) {
  EXPECT_EQ(*parse_choice("3 1 3", 3), (std::vector<std::size_t>{0, 2}));
  EXPECT_EQ(*parse_choice("2", 3), std::vector<std::size_t>{1});
  for (const char* text : {"", "0", "4", "1.5", "one"}) EXPECT_FALSE(parse_choice(text, 3)) << text;
}

TEST(Answers, NameIsAnyTextThatIsUtf8) {
  EXPECT_EQ(*parse_name("\xE7\x8F\x8A <b>"), "\xE7\x8F\x8A <b>");
  EXPECT_FALSE(parse_name(""));
  EXPECT_FALSE(parse_name("caf\xE9"));
}

TEST(ProfileSearch, KnowsProfilesGeneraAndTheTrade) {
  const ProfileShelf shelf = ProfileShelf::built_in();
  const std::pair<const char*, const char*> cases[] = {
      {"acropora", "acropora"},
      {"Montipora plates", "montipora"},
      {"green torch", "torch"},
      {"Euphyllia", "torch"},
      {"Fimbriaphyllia ancora", "euphylliid"},
      {"two hammers", "euphylliid"},
      {"Bird's nest", "pocilloporid"},
      {"staghorn thicket", "acropora"},
      {"star polyps", "gorgonian"},
      {"elephant ear", "corallimorph"},
      {"ZOAS", "zoanthid"},
      {"Duncan", "dendrophylliid"},
  };
  for (const auto& [text, profile] : cases) {
    EXPECT_EQ(search_profiles(shelf, text), std::vector<std::string>{profile}) << text;
  }
  EXPECT_EQ(search_profiles(shelf, "brain"),
            (std::vector<std::string>{"lobophylliid", "merulinid"}));
  EXPECT_TRUE(search_profiles(shelf, "centrepiece").empty());
  EXPECT_TRUE(search_profiles(shelf, "").empty());
  EXPECT_EQ(hint_for_profile(shelf, "acropra"), "did you mean \"acropora\"?");
  EXPECT_EQ(hint_for_profile(shelf, "blue montipra"), "did you mean \"montipora\"?");
  EXPECT_NE(hint_for_profile(shelf, "centrepiece").find("\"agariciid\""), std::string::npos);
}

TEST(ProfileSearch, EveryTradeNameHasAProfile) {
  const ProfileShelf shelf = ProfileShelf::built_in();
  for (const auto& [name, profile] : trade_names()) {
    EXPECT_TRUE(shelf.find(profile)) << profile;
    const auto found = search_profiles(shelf, name);
    EXPECT_NE(std::find(found.begin(), found.end(), profile), found.end()) << name;
  }
}

}  // namespace
}  // namespace slowdawn
