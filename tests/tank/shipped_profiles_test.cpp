#include <gtest/gtest.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <regex>
#include <slowdawn/tank/profile_shelf.hpp>
#include <slowdawn/tank/text_file.hpp>

#include "tank/json_document.hpp"

namespace slowdawn {
namespace {

namespace fs = std::filesystem;

/// The files of profiles/, in alphabetical order.
std::vector<fs::path> profile_files() {
  std::vector<fs::path> files;
  for (const auto& entry : fs::directory_iterator{SLOWDAWN_SOURCE_FOLDER "/profiles"}) {
    files.push_back(entry.path());
  }
  std::sort(files.begin(), files.end());
  return files;
}

std::vector<Profile> shipped() {
  const ProfileShelf shelf = ProfileShelf::built_in();
  std::vector<Profile> profiles;
  for (const std::string& name : shelf.names()) profiles.push_back(shelf.find(name).value());
  return profiles;
}

TEST(ShippedProfiles, AllRead) {
  const auto files = profile_files();
  EXPECT_GE(files.size(), 20u);
  for (const fs::path& file : files) {
    const auto profile = parse_profile(file.string(), read_text_file(file.string()).value());
    ASSERT_TRUE(profile.has_value()) << file << ": " << profile.error().findings.front().what;
  }
}

TEST(ShippedProfiles, AreAllBuiltIn) {
  std::vector<std::string> names;
  for (const fs::path& file : profile_files()) {
    EXPECT_EQ(file.extension(), ".json") << file;
    names.push_back(file.stem().string());
  }
  EXPECT_EQ(ProfileShelf::built_in().names(), names);
}

TEST(ShippedProfiles, SayWhatEveryFigureRestsOn) {
  const char* const kinds[] = {
      "published: ", "derived: ", "design choice: ", "common practice, no source"};
  for (const Profile& profile : shipped()) {
    EXPECT_EQ(profile.basis.size(), profile_figure_keys().size()) << profile.name;
    for (const auto& [key, basis] : profile.basis) {
      EXPECT_TRUE(std::any_of(std::begin(kinds), std::end(kinds),
                              [&](const char* kind) { return basis.starts_with(kind); }))
          << profile.name << " " << key << ": " << basis;
    }
  }
}

TEST(ShippedProfiles, NameAuthorAndYearOfWhatIsPublished) {
  // "published: Author ... 2018", the author first and no other number before the year.
  const std::regex author_and_year{"^published: [A-Z][^0-9:;]* (19|20)[0-9]{2}\\b"};
  std::size_t published = 0;
  for (const Profile& profile : shipped()) {
    for (const auto& [key, basis] : profile.basis) {
      if (!basis.starts_with("published: ")) continue;
      ++published;
      EXPECT_TRUE(std::regex_search(basis, author_and_year))
          << profile.name << " " << key << ": " << basis;
    }
  }
  EXPECT_GT(published, 0u);
}

TEST(ShippedProfiles, NameTaxaAndNotesForTheKeeper) {
  for (const Profile& profile : shipped()) {
    EXPECT_FALSE(profile.covers.empty()) << profile.name;
    EXPECT_FALSE(profile.notes.empty()) << profile.name;
  }
}

TEST(ShippedProfiles, HaveAPeakCeilingThatTheirBandCanBeReachedUnder) {
  // The longest lit day at the ceiling, all day, must bring the band's low end.
  for (const Profile& profile : shipped()) {
    const Tolerance& tolerance = profile.tolerance;
    EXPECT_GT(tolerance.peak_ceiling * Hours::h(12.0), tolerance.dose_band.low) << profile.name;
  }
}

}  // namespace
}  // namespace slowdawn
