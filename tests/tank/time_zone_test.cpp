#include "tank/time_zone.hpp"

#include <gtest/gtest.h>
#include <unistd.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>

#include "tank/good_tank.hpp"

namespace slowdawn {
namespace {

namespace fs = std::filesystem;

/// A zone database of the test's own, since not every machine has one.
class TimeZone : public ::testing::Test {
 protected:
  void SetUp() override {
    std::string name = (fs::temp_directory_path() / "slowdawn-zones-XXXXXX").string();
    ASSERT_NE(::mkdtemp(name.data()), nullptr);
    folder_ = name;
    if (const char* old = std::getenv("TZDIR")) old_ = old;
    ::setenv("TZDIR", (folder_ / "zones").c_str(), 1);
    write("zones/Europe/Berlin", "TZif2...");
    write("zones/UTC", "TZif2...");
    write("zones/posix/Europe/Bern", "TZif2...");
    write("zones/zone.tab", "# a list");
    write("zones/leapseconds", "# a list");
    write("outside", "TZif2...");
  }
  void TearDown() override {
    if (old_) {
      ::setenv("TZDIR", old_->c_str(), 1);
    } else {
      ::unsetenv("TZDIR");
    }
    fs::remove_all(folder_);
  }

  void write(const std::string& name, const std::string& text) const {
    fs::create_directories((folder_ / name).parent_path());
    std::ofstream{folder_ / name} << text;
  }

  static std::string hint_for(const std::string& name) {
    const auto checked = check_time_zone(name);
    return checked ? "known" : checked.error().hint;
  }

  fs::path folder_;
  std::optional<std::string> old_;
};

TEST_F(TimeZone, IsKnownByItsNameInTheDatabase) {
  EXPECT_TRUE(check_time_zone("Europe/Berlin"));
  EXPECT_TRUE(check_time_zone("UTC"));
}

TEST_F(TimeZone, IsNothingElseThatStandsThere) {
  for (const std::string name : {"Europe", "zone.tab", "leapseconds", "", ".", "../outside",
                                 "Europe/../UTC", "/UTC", "UTC/", "Europe//Berlin", "utc\n"}) {
    EXPECT_FALSE(check_time_zone(name)) << name;
  }
  EXPECT_FALSE(check_time_zone((folder_ / "outside").string()));
}

TEST_F(TimeZone, HasAHintToTheNearest) {
  EXPECT_EQ(hint_for("europe/berlin"), "did you mean \"Europe/Berlin\"?");
  // Not one of the copies in "posix".
  EXPECT_EQ(hint_for("Europe/Berln"), "did you mean \"Europe/Berlin\"?");
  EXPECT_NE(hint_for("GMT+2").find("such as \"Europe/Berlin\""), std::string::npos);
}

TEST_F(TimeZone, IsRefusedWithARemedyWhereThereIsNoDatabase) {
  ::setenv("TZDIR", (folder_ / "gone").c_str(), 1);
  EXPECT_NE(hint_for("Europe/Berlin").find("tzdata"), std::string::npos);
}

TEST_F(TimeZone, OfATankIsReadFromItsFile) {
  EXPECT_EQ(testing::read(testing::good_tank()).zone, "");
  EXPECT_EQ(testing::read(testing::with("/zone", "Europe/Berlin")).zone, "Europe/Berlin");
  EXPECT_EQ(testing::refusal(testing::with("/zone", "Europe/Berlim")),
            "/zone: there is no time zone \"Europe/Berlim\"\n");
  EXPECT_EQ(testing::refusal(testing::with("/zone", 2)),
            "/zone: expected a time zone as text, found the number 2\n");
}

}  // namespace
}  // namespace slowdawn
