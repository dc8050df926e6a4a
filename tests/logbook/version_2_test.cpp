#include <SQLiteCpp/Database.h>
#include <SQLiteCpp/Statement.h>
#include <gtest/gtest.h>

#include "logbook/log_testing.hpp"

// version_2/window-bay.logbook was written by a program of version 2, on 2026-02-27 to
// 2026-03-14: follow, two rounds, a look and its undo, a move. Each of its entries has its
// whole plan.

namespace slowdawn {
namespace {

using namespace testing;

constexpr const char* tank = "Window bay";

std::vector<std::string> plans_in(const std::string& path) {
  SQLite::Database db{path, SQLite::OPEN_READONLY};
  SQLite::Statement rows{db, "SELECT plan FROM entry ORDER BY seq"};
  std::vector<std::string> plans;
  while (rows.executeStep()) plans.push_back(rows.getColumn(0).getString());
  return plans;
}

int version_in(const std::string& path) {
  return SQLite::Database{path}.execAndGet("PRAGMA user_version").getInt();
}

TEST(VersionTwo, GoesOnWithPlansThatStandOnce) {
  const TestFolder folder;
  const std::string path = folder.file("old.logbook");
  write_bytes(path, read_bytes(std::string{SLOWDAWN_SOURCE_FOLDER} +
                               "/tests/logbook/version_2/window-bay.logbook"));
  const std::vector<std::string> old_plans = plans_in(path);
  const auto before = entries_in(path, tank);
  ASSERT_EQ(before.size(), 8u);
  for (std::size_t i = 0; i < before.size(); ++i) {
    EXPECT_EQ(before[i].plan.str(), old_plans[i]);
    EXPECT_NE(before[i].plan.str(), "");
  }
  EXPECT_EQ(version_in(path), 2) << "it was only read";

  NewLogEntry same = note("{}");
  same.plan = old_plans.back();
  NewLogEntry other = same;
  other.plan = "[]";
  NewLogEntry none = same;
  none.plan.clear();
  const auto after =
      LogbookFile::append(path, tank, adding({same, other, other, none, none, same})).value();
  EXPECT_EQ(version_in(path), 3);
  EXPECT_EQ(std::vector(after.begin(), after.begin() + 8), before);
  const std::vector<std::string> added{same.plan, "[]", "[]", "", "", same.plan};
  for (std::size_t i = 0; i < added.size(); ++i) EXPECT_EQ(after[8 + i].plan.str(), added[i]) << i;
  EXPECT_EQ(entries_in(path, tank), after);

  std::vector<std::string> kept = old_plans;
  for (const std::string& plan : {std::string{"="}, std::string{"[]"}, std::string{"="},
                                  std::string{}, std::string{}, same.plan}) {
    kept.push_back(plan);
  }
  EXPECT_EQ(plans_in(path), kept);
}

}  // namespace
}  // namespace slowdawn
