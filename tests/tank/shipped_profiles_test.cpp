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
  ASSERT_FALSE(files.empty());
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

/// The figures that a profile has.
std::vector<std::string> figures_of(const Profile& profile) {
  std::vector<std::string> keys = profile_figure_keys();
  const auto& excitation = profile.tolerance.excitation;
  if (excitation) keys.emplace_back("ek");
  if (excitation && excitation->cap()) keys.emplace_back("excitation_cap");
  return keys;
}

/// An author and a year, or an address at which the text is stored.
bool names_a_source(const std::string& basis) {
  static const std::regex author_and_year{"[A-Z][^0-9:;]* (19|20)[0-9]{2}\\b"};
  static const std::regex address{"[a-z]+\\.(org|com|edu|gov)/[A-Za-z0-9]|\\bPMC[0-9]{5,}"};
  return std::regex_search(basis, author_and_year) || std::regex_search(basis, address);
}

/// What is wrong with the basis of a figure; "" if nothing is.
std::string fault_of_basis(const std::string& basis) {
  static const std::regex published{"^published: [A-Z][^0-9:;]* (19|20)[0-9]{2}\\b"};
  if (basis.starts_with("published: ")) {
    // The author first and no other number before the year.
    return std::regex_search(basis, published) ? "" : "published by nobody";
  }
  if (basis.starts_with("derived: ")) return names_a_source(basis) ? "" : "derived from nothing";
  const bool is_open = basis.starts_with("design choice: ") && basis.size() > 30;
  return is_open || basis.starts_with("common practice, no source") ? "" : "no kind of basis";
}

/// What is wrong with the bases of a profile.
std::vector<std::string> faults_of(const Profile& profile) {
  std::vector<std::string> faults;
  const std::vector<std::string> figures = figures_of(profile);
  for (const std::string& key : figures) {
    const auto basis = profile.basis.find(key);
    const std::string fault =
        basis == profile.basis.end() ? "no basis" : fault_of_basis(basis->second);
    if (!fault.empty()) faults.push_back(key + ": " + fault);
  }
  for (const auto& [key, basis] : profile.basis) {
    const bool is_figure = std::find(figures.begin(), figures.end(), key) != figures.end();
    if (!is_figure) faults.push_back(key + ": a basis of no figure");
  }
  // A number of another animal must not pass for one of this.
  for (const char* key : {"dose_band", "peak_ceiling"}) {
    const auto basis = profile.basis.find(key);
    if (basis == profile.basis.end() || !basis->second.starts_with("derived: ")) continue;
    const auto is_named = [&](const std::string& taxon) {
      return basis->second.find(taxon.substr(0, taxon.find(' '))) != std::string::npos;
    };
    const bool is_its_own = std::any_of(profile.covers.begin(), profile.covers.end(), is_named);
    const bool says_so = basis->second.find("other genera") != std::string::npos;
    if (!is_its_own && !says_so) faults.push_back(std::string{key} + ": of another kind");
  }
  return faults;
}

TEST(ShippedProfiles, AreTwentyKinds) { EXPECT_EQ(shipped().size(), 20U); }

TEST(ShippedProfiles, SayWhatEveryFigureRestsOn) {
  std::size_t published = 0;
  for (const Profile& profile : shipped()) {
    EXPECT_EQ(faults_of(profile), std::vector<std::string>{}) << profile.name;
    for (const auto& [key, basis] : profile.basis) published += basis.starts_with("published: ");
  }
  EXPECT_GT(published, 0U);
}

TEST(ShippedProfiles, AreFoundOutWhereAFaultIsPlanted) {
  struct Planted {
    const char* key;
    const char* basis;
    const char* fault;
  };
  const Planted planted[] = {
      {"floor_percent", "", "floor_percent: no kind of basis"},
      {"floor_percent", "50 is usual", "floor_percent: no kind of basis"},
      {"floor_percent", "design choice: ", "floor_percent: no kind of basis"},
      {"carryover", "published: widely known", "carryover: published by nobody"},
      {"carryover", "published: 30 % in many tanks, Smith 2011", "carryover: published by nobody"},
      {"carryover", "published: mesophotic.org/publications/1161",
       "carryover: published by nobody"},
      {"tau_up_days", "derived: 21 d over 3", "tau_up_days: derived from nothing"},
      {"dose_band", "derived: half of that of Sinularia (Khalesi et al. 2009)",
       "dose_band: of another kind"},
      {"ek", "derived: Smith 2011", "ek: a basis of no figure"},
  };
  const Profile good = ProfileShelf::built_in().find("acropora").value();
  for (const Planted& plant : planted) {
    Profile profile = good;
    profile.basis[plant.key] = plant.basis;
    EXPECT_EQ(faults_of(profile), std::vector<std::string>{plant.fault}) << plant.basis;
  }
  Profile lacking = good;
  lacking.basis.erase("headroom_percent");
  EXPECT_EQ(faults_of(lacking), std::vector<std::string>{"headroom_percent: no basis"});
  Profile excited = good;
  excited.tolerance.excitation = Excitation{Ppfd::umol_m2_s(427.0), 0.4};
  EXPECT_EQ(faults_of(excited),
            (std::vector<std::string>{"ek: no basis", "excitation_cap: no basis"}));
}

TEST(ShippedProfiles, PutNoCapOnExcitation) {
  // Ek follows the light a coral grows in, so that one of a reef is none of a tank.
  for (const Profile& profile : shipped()) {
    EXPECT_FALSE(profile.tolerance.excitation) << profile.name;
  }
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
