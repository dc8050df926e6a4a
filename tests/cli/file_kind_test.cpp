// What a file is that is to be written over.
#include "cli/file_kind.hpp"

#include <gtest/gtest.h>

#include <string>

namespace slowdawn {
namespace {

const std::string head = "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n";
const std::string unnamed = head + "<meta http-equiv=\"Content-Security-Policy\" content=\"\">\n";

TEST(FileKind, KnowsItsOwnPages) {
  const std::string generator = head + "<meta name=\"generator\" content=\"slowdawn ";
  EXPECT_EQ(kind_of(generator + "report\">\n<title>x: sheet from 2026-12-01</title>"),
            FileKind::report);
  EXPECT_EQ(kind_of(generator + "sheet\">\n"), FileKind::sheet);
  EXPECT_EQ(kind_of(generator + "reporter\">\n"), FileKind::other);
  EXPECT_EQ(kind_of(head + "<meta name=\"generator\" content=\"Another\">\n"), FileKind::other);
  EXPECT_EQ(kind_of("<!-- kept -->" + generator + "report\">\n"), FileKind::other);
}

TEST(FileKind, KnowsPagesThatNamedNoGenerator) {
  EXPECT_EQ(kind_of(unnamed + "<title>Reef: the plan on 2026-12-01</title>"), FileKind::report);
  EXPECT_EQ(kind_of(unnamed + "<title>Reef: sheet from 2026-12-01</title>"), FileKind::sheet);
  // The end of a title counts, whatever the tank is called.
  EXPECT_EQ(kind_of(unnamed + "<title>a: sheet from 2026-12-01: the plan on 2026-12-01</title>"),
            FileKind::report);
  EXPECT_EQ(kind_of(unnamed + "<title>Reef</title>"), FileKind::other);
  EXPECT_EQ(kind_of(unnamed + "<title>Reef: the plan on 2026-12-01"), FileKind::other);
}

TEST(FileKind, KnowsCalendarsScriptsAndManuals) {
  EXPECT_EQ(kind_of("BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//slowdawn//calendar 1//EN\r\n"),
            FileKind::calendar);
  EXPECT_EQ(kind_of("BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//Harbour//Tides//EN\r\n"),
            FileKind::other);
  EXPECT_EQ(kind_of("# Completion of slowdawn for fish; slowdawn completion fish\n"),
            FileKind::completion);
  EXPECT_EQ(kind_of("#compdef slowdawn\n"), FileKind::completion);
  EXPECT_EQ(kind_of("#compdef another\n"), FileKind::other);
  EXPECT_EQ(kind_of(".\\\" Made by slowdawn manual.\n.TH"), FileKind::manual);
}

TEST(FileKind, KnowsTankFilesHoweverTheyAreWritten) {
  EXPECT_EQ(kind_of("{\"format\": \"slowdawn-tank/1\"}"), FileKind::tank);
  EXPECT_EQ(kind_of("\xEF\xBB\xBF\r\n {\n\"name\": \"x\", \"format\":\"slowdawn-tank/2\", oops"),
            FileKind::tank);
  EXPECT_EQ(kind_of("Write \"slowdawn-tank/1\" first."), FileKind::other);
  EXPECT_EQ(kind_of("{\"format\": \"slowdawn-plan/1\"}"), FileKind::other);
}

TEST(FileKind, KnowsDatabases) {
  EXPECT_EQ(kind_of(std::string{"SQLite format 3\0", 16}), FileKind::database);
}

}  // namespace
}  // namespace slowdawn
