#include <gtest/gtest.h>
#include <sys/stat.h>
#include <unistd.h>

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
