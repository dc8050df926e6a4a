#include <gtest/gtest.h>

#include <slowdawn/tank/nearest_name.hpp>
#include <string>
#include <vector>

namespace slowdawn {
namespace {

using Names = std::vector<std::string>;

/// The nearest name, or "none".
std::string nearest(std::string_view wrong, const Names& candidates) {
  return find_nearest_name(wrong, candidates).value_or("none");
}

TEST(NearestName, IsOneThatDiffersInCaseAlone) {
  EXPECT_EQ(nearest("Crest", {"crust", "crest"}), "crest");
  EXPECT_EQ(nearest("DEPTH_CM", {"width_cm", "depth_cm"}), "depth_cm");
  EXPECT_EQ(nearest("east ledge", {"West Ledge", "East Ledge"}), "East Ledge");
}

TEST(NearestName, IsOneThatOnlyLacksItsUnit) {
  EXPECT_EQ(nearest("depth", {"name", "x_cm", "y_cm", "depth_cm"}), "depth_cm");
  EXPECT_EQ(nearest("calibration", {"immersion_factor", "calibration_percent"}),
            "calibration_percent");
  EXPECT_EQ(nearest("Rise", {"on", "off", "rise_minutes"}), "rise_minutes");
  EXPECT_EQ(nearest("x", {"x_cm", "y_cm"}), "x_cm");
}

TEST(NearestName, NeedsTheWholeWordBeforeTheUnit) {
  EXPECT_EQ(nearest("dep", {"depth_cm"}), "none");
  EXPECT_EQ(nearest("cm", {"depth_cm"}), "none");
}

TEST(NearestName, IsUpToTwoEditsAway) {
  EXPECT_EQ(nearest("acropra", {"acropora"}), "acropora");    // one left out
  EXPECT_EQ(nearest("accropora", {"acropora"}), "acropora");  // one too many
  EXPECT_EQ(nearest("akropora", {"acropora"}), "acropora");   // one replaced
  EXPECT_EQ(nearest("akropra", {"acropora"}), "acropora");    // two
  EXPECT_EQ(nearest("akropoorra", {"acropora"}), "none");     // three
  EXPECT_EQ(nearest("corallimorphs", {"corallimorph"}), "corallimorph");
}

TEST(NearestName, CountsSwappedNeighboursAsOneEdit) {
  EXPECT_EQ(nearest("bras", {"bars"}), "bars");
  EXPECT_EQ(nearest("gentel", {"gentle"}), "gentle");
  // Two swaps are four edits without the rule.
  EXPECT_EQ(nearest("carlovre", {"carlover"}), "carlover");
  EXPECT_EQ(nearest("acrlovre", {"carlover"}), "carlover");
}

TEST(NearestName, IsTheNearestAndOfEqualsTheFirst) {
  EXPECT_EQ(nearest("sand", {"sands of", "sanded", "sandy"}), "sandy");
  EXPECT_EQ(nearest("left puck", {"left pucks", "left buck"}), "left pucks");
  EXPECT_EQ(nearest("left puck", {"left buck", "left pucks"}), "left buck");
  EXPECT_EQ(nearest("sand", {"sandy", "SAND"}), "SAND");
}

TEST(NearestName, IsNoneWhereNothingIsNear) {
  EXPECT_EQ(nearest("seahorse", {"acropora", "torch", "leather"}), "none");
  EXPECT_EQ(nearest("", {"a", "on"}), "none");
  EXPECT_EQ(nearest("crest", {}), "none");
  EXPECT_EQ(nearest("crest", {""}), "none");
}

TEST(NearestName, IsNoneWhereEveryLetterDiffers) {
  // One edit turns half of two letters into others, two edits most of five.
  EXPECT_EQ(nearest("on", {"at"}), "none");
  EXPECT_EQ(nearest("a", {"b"}), "none");
  EXPECT_EQ(nearest("on", {"of"}), "none");
  EXPECT_EQ(nearest("maker", {"water"}), "none");
  EXPECT_EQ(nearest("wader", {"water"}), "water");
  EXPECT_EQ(nearest("madera", {"madesb"}), "madesb");
}

TEST(NearestName, LeavesVeryLongNamesAlone) {
  const std::string longest(100, 'a');
  EXPECT_EQ(nearest(longest, {longest}), longest);
  EXPECT_EQ(nearest(longest + "a", {longest + "a"}), "none");
  EXPECT_EQ(nearest("crest", {std::string(1'000'000, 'c'), "crust"}), "crust");
}

TEST(HintForName, AsksForTheNearestName) {
  EXPECT_EQ(hint_for_name("crets", Names{"sand", "crest"}), "did you mean \"crest\"?");
}

TEST(HintForName, ListsTheNamesWhereNoneIsNear) {
  EXPECT_EQ(hint_for_name("seahorse", Names{"torch", "leather"}),
            "there is \"torch\", \"leather\"");
  EXPECT_EQ(hint_for_name("seahorse", Names{}), "there is none to choose from");
}

TEST(HintForName, ListsNoMoreThan24) {
  Names names;
  for (char c = 'a'; c <= 'x'; ++c) names.emplace_back(5, c);
  ASSERT_EQ(names.size(), 24u);
  EXPECT_EQ(hint_for_name("?", names).find("and more"), std::string::npos);
  names.emplace_back("yyyyy");
  const std::string hint = hint_for_name("?", names);
  EXPECT_NE(hint.find("\"xxxxx\" and more"), std::string::npos) << hint;
  EXPECT_EQ(hint.find("yyyyy"), std::string::npos) << hint;
}

}  // namespace
}  // namespace slowdawn
