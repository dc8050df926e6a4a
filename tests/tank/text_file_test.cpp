#include <gtest/gtest.h>
#include <sys/stat.h>
#include <unistd.h>

#include <chrono>
#include <filesystem>
#include <fstream>
#include <slowdawn/tank/text_file.hpp>
#include <sstream>

namespace slowdawn {
namespace {

namespace fs = std::filesystem;

class WrittenFile : public ::testing::Test {
 protected:
  void SetUp() override {
    std::string name = (fs::temp_directory_path() / "slowdawn-XXXXXX").string();
    ASSERT_NE(::mkdtemp(name.data()), nullptr);
    folder_ = name;
  }
  void TearDown() override { fs::remove_all(folder_); }

  std::string path(const std::string& name) const { return (folder_ / name).string(); }

  std::size_t count_files() const {
    return static_cast<std::size_t>(
        std::distance(fs::directory_iterator{folder_}, fs::directory_iterator{}));
  }

  static std::string content(const std::string& file) {
    std::ifstream stream{file, std::ios::binary};
    std::ostringstream text;
    text << stream.rdbuf();
    return text.str();
  }

  fs::path folder_;
};

TEST_F(WrittenFile, IsWrittenAsItIsAndReadBack) {
  const std::string text{"a\r\nb\0c", 6};
  ASSERT_TRUE(write_text_file(path("new"), text));
  EXPECT_EQ(content(path("new")), text);
  EXPECT_EQ(*read_text_file(path("new")), text);
  EXPECT_EQ(count_files(), 1U);
}

TEST_F(WrittenFile, ReplacesAFileAndKeepsItsRights) {
  ASSERT_TRUE(write_text_file(path("old"), "a long text that was there before"));
  ASSERT_EQ(::chmod(path("old").c_str(), 0640), 0);
  ASSERT_TRUE(write_text_file(path("old"), "new"));
  EXPECT_EQ(content(path("old")), "new");
  struct stat status {};
  ASSERT_EQ(::stat(path("old").c_str(), &status), 0);
  EXPECT_EQ(status.st_mode & 07777, 0640U);
  EXPECT_EQ(count_files(), 1U);
}

TEST_F(WrittenFile, HasTheRightsOfANewFile) {
  const mode_t mask = ::umask(027);
  ASSERT_TRUE(write_text_file(path("new"), "text"));
  ::umask(mask);
  struct stat status {};
  ASSERT_EQ(::stat(path("new").c_str(), &status), 0);
  EXPECT_EQ(status.st_mode & 07777, 0640U);
}

TEST_F(WrittenFile, IsWrittenThroughALink) {
  ASSERT_TRUE(write_text_file(path("real"), "old"));
  fs::create_symlink(path("real"), path("link"));
  ASSERT_TRUE(write_text_file(path("link"), "new"));
  EXPECT_TRUE(fs::is_symlink(path("link")));
  EXPECT_EQ(content(path("real")), "new");
}

TEST_F(WrittenFile, IsMadeWhereALinkLeads) {
  fs::create_directory(path("far"));
  fs::create_symlink("second", path("first"));
  fs::create_symlink("far/made", path("second"));
  ASSERT_TRUE(write_text_file(path("first"), "new"));
  EXPECT_TRUE(fs::is_symlink(path("first")));
  EXPECT_TRUE(fs::is_symlink(path("second")));
  EXPECT_EQ(content(path("far/made")), "new");
  EXPECT_EQ(count_files(), 3U);
}

TEST_F(WrittenFile, IsNotMadeInARingOfLinks) {
  fs::create_symlink(path("one"), path("two"));
  fs::create_symlink(path("two"), path("one"));
  EXPECT_FALSE(write_text_file(path("one"), "new"));
  EXPECT_TRUE(fs::is_symlink(path("one")));
  EXPECT_EQ(count_files(), 2U);
}

TEST_F(WrittenFile, TakesAwayWhatAKilledWriterLeft) {
  const auto leave = [&](const std::string& name, std::chrono::minutes ago) {
    std::ofstream{path(name)} << "part";
    fs::last_write_time(path(name), fs::file_time_type::clock::now() - ago);
  };
  using std::chrono::minutes;
  leave("new.slowdawn-aB3xYz", minutes{61});
  leave("new.slowdawn-aB3xY0", minutes{59});
  leave("new.backup", minutes{600});
  leave("other.slowdawn-aB3xYz", minutes{600});
  fs::create_directory(path("new.slowdawn-folder"));
  ASSERT_TRUE(write_text_file(path("new"), "text"));
  EXPECT_FALSE(fs::exists(path("new.slowdawn-aB3xYz")));
  for (const char* name :
       {"new.slowdawn-aB3xY0", "new.backup", "other.slowdawn-aB3xYz", "new.slowdawn-folder"}) {
    EXPECT_TRUE(fs::exists(path(name))) << name;
  }
}

TEST_F(WrittenFile, IsNotReadFromAPipe) {
  ASSERT_EQ(::mkfifo(path("pipe").c_str(), 0600), 0);
  for (const std::string& file : {path("pipe"), std::string{"/dev/zero"}}) {
    const auto text = read_text_file(file);
    ASSERT_FALSE(text) << file;
    EXPECT_EQ(text.error().kind, ReadFailure::Kind::access);
  }
}

TEST_F(WrittenFile, SaysWhereItCannotBeWrittenAndLeavesNothing) {
  for (const std::string& file : {path("none/new"), folder_.string(), std::string{"/dev/full"}}) {
    const auto written = write_text_file(file, "text");
    ASSERT_FALSE(written) << file;
    EXPECT_EQ(written.error().kind, ReadFailure::Kind::access);
    EXPECT_EQ(written.error().findings.front().place.file, file);
    EXPECT_FALSE(written.error().findings.front().hint.empty());
  }
  EXPECT_EQ(count_files(), 0U);
}

}  // namespace
}  // namespace slowdawn
