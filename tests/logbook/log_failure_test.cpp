#include "logbook/log_failure.hpp"

#include <gtest/gtest.h>
#include <sqlite3.h>

#include "logbook/log_testing.hpp"

namespace slowdawn {
namespace {

using namespace testing;

TEST(LogFailure, SaysInPlainWordsWhatSqliteCouldNotDo) {
  for (const auto& [code, words] : {
           std::pair{SQLITE_BUSY,
                     "another program has kept the logbook locked for over 10 s / "
                     "nothing was changed; "},
           {SQLITE_LOCKED, "another program has kept the logbook locked"},
           {SQLITE_READONLY, "the logbook, or the folder it is in, may not be written / "},
           {SQLITE_CANTOPEN, "the logbook cannot be opened (said) / "},
           {SQLITE_FULL, "the disk is full / no entry that was acknowledged is lost; make room"},
           {SQLITE_IOERR,
            "the disk does not do what it should (said) / no entry that was "
            "acknowledged is lost; "},
           {SQLITE_NOTADB, "this is not a logbook: it is another kind of file / "},
           {SQLITE_CORRUPT, "the logbook is damaged, or another program has changed it: said / "},
           {SQLITE_ERROR, "the logbook is damaged, or another program has changed it: said / "},
           {SQLITE_NOMEM, "the logbook could not be used (said) / nothing was changed; "},
       }) {
    const auto failure = sqlite_failure("x/reef.logbook", SQLite::Exception{"said", code});
    const std::string text = to_text(failure.value());
    EXPECT_TRUE(text.starts_with("x/reef.logbook: " + std::string{words})) << text;
  }
}

TEST(LogFailure, SaysThatTheFileIsGone) {
  const TestFolder folder;
  const std::string path = folder.file("reef.logbook");
  make_logbook(path, 3);
  const auto entries = LogbookFile::append(path, "Reef", [&](const std::vector<LogEntry>&) {
    fs::rename(path, folder.file("moved.logbook"));
    return std::vector{note("{}")};
  });
  ASSERT_FALSE(entries.has_value());
  EXPECT_TRUE(contains(to_text(entries.error()), "moved or deleted while it was written"));
  EXPECT_EQ(entries_in(folder.file("moved.logbook")).size(), 3u);
}

}  // namespace
}  // namespace slowdawn
