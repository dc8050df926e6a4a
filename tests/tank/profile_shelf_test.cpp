#include <gtest/gtest.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <slowdawn/tank/profile_shelf.hpp>

#include "tank/good_tank.hpp"

namespace slowdawn {
namespace {

using testing::Json;
using testing::to_text;

/// A profile file as it should be.
Json good_profile() {
  Json profile = {{"name", "own"}, {"covers", {"Acropora"}}, {"light_class", "medium"}};
  profile.update(testing::good_profile_in_place());
  profile["notes"] = Json::array();
  for (const std::string& key : profile_figure_keys()) {
    profile["basis"][key] = "common practice, no source";
  }
  return profile;
}

ReadResult<Profile> parse(const Json& profile, const std::string& file = "kept/own.json") {
  return parse_profile(file, profile.dump(1));
}

std::string refusal(const Json& profile, const std::string& file = "kept/own.json") {
  const auto parsed = parse(profile, file);
  if (parsed) return "";
  EXPECT_EQ(parsed.error().kind, ReadFailure::Kind::content);
  for (const Finding& finding : parsed.error().findings) {
    EXPECT_EQ(finding.place.file, file);
    EXPECT_GT(finding.place.line, 0u);
    EXPECT_FALSE(finding.hint.empty());
  }
  return to_text(parsed.error().findings);
}

TEST(ProfileFile, IsReadAsItStands) {
  const Profile profile = parse(good_profile()).value();
  EXPECT_EQ(profile.name, "own");
  EXPECT_EQ(profile.covers, std::vector<std::string>{"Acropora"});
  EXPECT_EQ(profile.light_class, LightClass::medium);
  EXPECT_EQ(profile.tolerance.dose_band.high.mol_m2_d(), 13.0);
  EXPECT_EQ(profile.tolerance.weekly_rise.percent(), 12.0);
  EXPECT_EQ(profile.tolerance.tau_up.d(), 9.0);
  EXPECT_EQ(profile.tolerance.tau_down.d(), 4.0);
  EXPECT_EQ(profile.basis.size(), profile_figure_keys().size());
  EXPECT_EQ(profile.basis.at("carryover"), "common practice, no source");
}

TEST(ProfileFile, IsNamedAsItsFile) {
  EXPECT_EQ(refusal(good_profile(), "kept/other.json"),
            "/name: the profile is named \"own\" but its file \"other\"\n");
  EXPECT_EQ(refusal(good_profile(), "own.json"), "");
  EXPECT_EQ(refusal(good_profile(), "kept/Own.json"),
            "/name: the profile is named \"own\" but its file \"Own\"\n");
}

TEST(ProfileFile, NeedsEveryKey) {
  const Json profile = good_profile();
  EXPECT_EQ(profile.size(), 4 + profile_figure_keys().size());
  for (const auto& [key, value] : profile.items()) {
    Json lacking = profile;
    lacking.erase(key);
    EXPECT_EQ(refusal(lacking), ": \"" + key + "\" is missing in the profile\n");
  }
}

TEST(ProfileFile, NeedsABasisForEveryFigure) {
  for (const std::string& key : profile_figure_keys()) {
    Json lacking = good_profile();
    lacking["basis"].erase(key);
    EXPECT_EQ(refusal(lacking), "/basis: \"" + key + "\" has no basis\n");
    lacking["basis"][key] = "";
    EXPECT_EQ(refusal(lacking), "/basis/" + key + ": the basis of a figure is empty\n");
  }
}

TEST(ProfileFile, RefusesABasisOfNoFigure) {
  Json profile = good_profile();
  profile["basis"]["notes"] = "own records";
  EXPECT_EQ(refusal(profile), "/basis/notes: unknown key \"notes\" in the basis of the figures\n");
}

TEST(ProfileFile, RefusesWhatIsNoProfile) {
  EXPECT_EQ(refusal(Json::array()), ": expected a profile, found a list\n");
  EXPECT_NE(refusal(testing::good_tank()).find("unknown key \"format\" in a profile"),
            std::string::npos);
}

TEST(ProfileFile, NeedsABandThatRises) {
  Json profile = good_profile();
  for (const char* band : {"[13, 2]", "[2, 2]"}) {
    profile["dose_band"] = Json::parse(band);
    EXPECT_EQ(refusal(profile), "/dose_band: the band's low end is not under its high end\n");
  }
  profile["dose_band"] = Json::parse("[2, 5, 13]");
  EXPECT_EQ(refusal(profile),
            "/dose_band: a dose band is the lowest and the highest dose, two numbers\n");
}

TEST(ProfileFile, KnowsThreeLightClasses) {
  const std::pair<const char*, LightClass> classes[] = {
      {"low", LightClass::low}, {"medium", LightClass::medium}, {"high", LightClass::high}};
  for (const auto& [name, light_class] : classes) {
    Json profile = good_profile();
    profile["light_class"] = name;
    EXPECT_EQ(parse(profile)->light_class, light_class);
  }
  Json profile = good_profile();
  profile["light_class"] = "hihg";
  EXPECT_EQ(refusal(profile), "/light_class: there is no light class \"hihg\"\n");
}

class ProfileFolder : public ::testing::Test {
 protected:
  void SetUp() override {
    std::filesystem::remove_all(folder_);
    std::filesystem::create_directory(folder_);
  }
  void TearDown() override { std::filesystem::remove_all(folder_); }
  void put(const std::string& name, const std::string& text) {
    std::ofstream{folder_ + "/" + name} << text;
  }
  void put_profile(const std::string& name) {
    Json profile = good_profile();
    profile["name"] = name;
    put(name + ".json", profile.dump());
  }
  static ReadFailure failure(const std::string& folder) {
    ProfileShelf shelf = ProfileShelf::built_in();
    return shelf.add_folder(folder).error();
  }

  // Tests of one program may run side by side, each in its own process.
  const std::string folder_ = ::testing::TempDir() + "slowdawn_profiles_" +
                              ::testing::UnitTest::GetInstance()->current_test_info()->name();
};

TEST_F(ProfileFolder, AddsAndReplaces) {
  put_profile("acropora");
  put_profile("my own corals");
  put("readme.txt", "no profile");
  ProfileShelf shelf = ProfileShelf::built_in();
  const std::size_t before = shelf.names().size();
  ASSERT_NE(shelf.find("acropora")->tolerance.carryover, 0.7);
  ASSERT_FALSE(shelf.find("my own corals").has_value());
  ASSERT_TRUE(shelf.add_folder(folder_).has_value());
  EXPECT_EQ(shelf.names().size(), before + 1);
  EXPECT_EQ(shelf.find("acropora")->tolerance.carryover, 0.7);
  EXPECT_EQ(shelf.find("my own corals")->tolerance.carryover, 0.7);
  EXPECT_EQ(shelf.find("torch")->name, "torch");
}

TEST_F(ProfileFolder, ServesATankFile) {
  put_profile("my own corals");
  ProfileShelf shelf = ProfileShelf::built_in();
  const std::string text = testing::with("/groups/0/profile", "my own corals").dump();
  EXPECT_FALSE(parse_tank("reef.tank.json", text, shelf).has_value());
  ASSERT_TRUE(shelf.add_folder(folder_).has_value());
  EXPECT_EQ(parse_tank("reef.tank.json", text, shelf)->groups[0].profile.name, "my own corals");
}

TEST_F(ProfileFolder, NamesTheFileThatIsWrong) {
  put_profile("acropora");
  put("broken.json", "{");
  EXPECT_EQ(failure(folder_).kind, ReadFailure::Kind::content);
  EXPECT_EQ(failure(folder_).findings.front().place.file, folder_ + "/broken.json");
}

TEST_F(ProfileFolder, MustBeThereAndHoldProfiles) {
  EXPECT_EQ(failure(folder_).kind, ReadFailure::Kind::access);
  EXPECT_EQ(failure(folder_).findings.front().what, "the folder holds no profile");
  EXPECT_EQ(failure(folder_ + "/gone").kind, ReadFailure::Kind::access);
  put("file", "");
  EXPECT_EQ(failure(folder_ + "/file").kind, ReadFailure::Kind::access);
  EXPECT_FALSE(failure(folder_ + "/gone").findings.front().hint.empty());
}

TEST_F(ProfileFolder, MayNotHoldAFolderNamedAsAProfile) {
  std::filesystem::create_directory(folder_ + "/own.json");
  EXPECT_EQ(failure(folder_).kind, ReadFailure::Kind::access);
}

TEST(ProfileShelf, ListsNamesInAlphabeticalOrder) {
  const std::vector<std::string> names = ProfileShelf::built_in().names();
  EXPECT_TRUE(std::is_sorted(names.begin(), names.end()));
  EXPECT_EQ(std::adjacent_find(names.begin(), names.end()), names.end());
  EXPECT_FALSE(ProfileShelf::built_in().find("seahorse").has_value());
}

}  // namespace
}  // namespace slowdawn
