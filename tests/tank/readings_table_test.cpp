#include <gtest/gtest.h>

#include <slowdawn/tank/readings_table.hpp>

namespace slowdawn {
namespace {

ReadResult<ReadingsTable> read(const std::string& text, const std::string& profile = {}) {
  const auto table = parse_csv("reef.csv", text);
  if (!table) return tl::make_unexpected(table.error());
  return read_readings(*table, ProfileShelf::built_in(), profile);
}

TEST(ReadingsTable, TakesEveryColumn) {
  const auto table = read(
      "group,spot,before,after,x_cm,y_cm,depth_cm,Profile,history_dose,history_peak\n"
      "staghorn,crest,212 208 216,171,70,30,15,Acropora,,\n"
      ",sand,74,42.5,,,50,,,\n"
      "new frags,crest,,,,,,hammer,6.2,190\n");
  ASSERT_TRUE(table);
  ASSERT_EQ(table->spots.size(), 2U);
  EXPECT_EQ(table->spots[0].before, (std::vector<double>{212, 208, 216}));
  EXPECT_EQ(table->spots[0].after, std::vector<double>{171});
  EXPECT_EQ(table->spots[0].x, Length::cm(70));
  EXPECT_EQ(table->spots[0].y, Length::cm(30));
  EXPECT_EQ(table->spots[0].depth, Length::cm(15));
  EXPECT_EQ(table->spots[1].depth, Length::cm(50));
  EXPECT_FALSE(table->spots[1].x);
  ASSERT_EQ(table->groups.size(), 2U);
  EXPECT_EQ(table->groups[0].profile, "acropora");
  EXPECT_FALSE(table->groups[0].history);
  EXPECT_EQ(table->groups[1].profile, "euphylliid");
  EXPECT_EQ(table->groups[1].spot, 0U);
  EXPECT_EQ(table->groups[1].history->light.dose.mol_m2_d(), 6.2);
  EXPECT_TRUE(table->has_before);
  EXPECT_TRUE(table->has_after);
}

TEST(ReadingsTable, TakesASpreadsheetsDecimalCommas) {
  const auto table = read("spot;before\ncrest;212,5 208\n");
  ASSERT_TRUE(table);
  EXPECT_EQ(table->spots[0].before, (std::vector<double>{212.5, 208}));
  EXPECT_FALSE(table->has_after);
}

TEST(ReadingsTable, OneProfileMayHoldForAll) {
  const auto table = read("spot,after,group,profile\na,1,x,\nb,2,y,torch\n", "montipora");
  ASSERT_TRUE(table);
  EXPECT_EQ(table->groups[0].profile, "montipora");
  EXPECT_EQ(table->groups[1].profile, "torch");
}

struct RefusedTable {
  const char* text;
  /// "LINE:COLUMN: WHAT"
  const char* finding;
  const char* hint;
};

TEST(ReadingsTable, NamesPlaceAndRemedyOfWhatIsWrong) {
  const RefusedTable cases[] = {
      {"spot,befor\ncrest,212\n", "1:6: the column \"befor\" is not known", "\"before\"?"},
      {"spot,depth\ncrest,15\n", "1:6: the column \"depth\" is not known", "\"depth_cm\"?"},
      {"spot,notes\ncrest,x\n", "1:6: the column \"notes\" is not known", "leave the column out"},
      {"place,before\ncrest,212\n", "1:1: the column \"place\" is not known", "\"spot\""},
      {"before,after\n212,171\n", "1:1: there is no column \"spot\"", "spot"},
      {"spot,before\n", "1:1: the table has no line of readings", "one line for each spot"},
      {"spot,before\n,212\n", "2:1: the spot has no name", "name the spot"},
      {"spot,before\ncrest,212 2l6\n", "2:11: expected a number, found \"2l6\"", "bare number"},
      {"spot,before\ncrest,9000\n", "2:7: 9000 is out of range, which goes from 0 to 3000", "lux?"},
      {"spot,before\ncrest,1\ncrest,2\n", "3:7: the spot \"crest\" has a line above",
       "a name of its own"},
      {"spot,before\ncrest,1\ncrest,\n", "3:1: the spot \"crest\" has a line above", "leave this"},
      {"spot,group,profile\na,x,torch\nb,x,torch\n", "3:3: there are two groups of the name \"x\"",
       "a name of its own"},
      {"spot,group\na,x\n", "2:3: the group \"x\" has no profile", "--profile"},
      {"spot,profile\na,torch\n", "2:3: a \"profile\" stands here, but no group", "\"group\""},
      {"spot,group,profile\na,x,tortch\n", "2:5: there is no profile for \"tortch\"", "\"torch\"?"},
      {"spot,group,profile\na,x,brain\n", "2:5: \"brain\" may be one of several profiles",
       "\"merulinid\""},
      {"spot,group,profile,history_dose\na,x,torch,6.2\n", "2:11: a history is a dose and a peak",
       "both columns"},
      {"spot,group,profile,history_dose,history_peak\na,x,torch,60,10\n",
       "2:11: this dose needs more than 24 h a day even at the peak", "0.0036"},
  };
  for (const RefusedTable& one : cases) {
    const auto table = read(one.text);
    ASSERT_FALSE(table) << one.text;
    const Finding& first = table.error().findings.front();
    EXPECT_EQ(std::to_string(first.place.line) + ":" + std::to_string(first.place.column) + ": " +
                  first.what,
              one.finding);
    EXPECT_EQ(first.place.file, "reef.csv");
    EXPECT_NE(first.hint.find(one.hint), std::string::npos) << first.hint;
  }
}

TEST(ReadingsTable, TellsOfEveryFaultAtOnce) {
  const auto table = read("spot,before,after\na,x,1\nb,2,y\n,3,4\n");
  ASSERT_FALSE(table);
  EXPECT_EQ(table.error().findings.size(), 3U);
}

}  // namespace
}  // namespace slowdawn
