#include "cli/file_kind.hpp"

#include <cerrno>
#include <cstring>
#include <filesystem>
#include <fstream>

namespace slowdawn {
namespace {

/// Enough for the head of a page, and for all of a tank file.
constexpr std::size_t looked_at = 1'000'000;

constexpr std::string_view page_beginning =
    "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n";
constexpr std::string_view generator = "<meta name=\"generator\" content=\"slowdawn ";
/// What pages of version 0.1.0 had there, which named no generator.
constexpr std::string_view unnamed_page = "<meta http-equiv=\"Content-Security-Policy\"";

/// By how its title ends, before the date.
FileKind kind_of_unnamed_page(std::string_view head) {
  constexpr std::string_view date = "YYYY-MM-DD";
  std::string_view title = head.substr(0, head.find("</title>"));
  if (title.size() == head.size() || title.size() < date.size()) return FileKind::other;
  title.remove_suffix(date.size());
  if (title.ends_with(": the plan on ")) return FileKind::report;
  if (title.ends_with(": sheet from ")) return FileKind::sheet;
  return FileKind::other;
}

FileKind kind_of_page(std::string_view head) {
  if (head.starts_with(unnamed_page)) return kind_of_unnamed_page(head);
  if (!head.starts_with(generator)) return FileKind::other;
  head.remove_prefix(generator.size());
  if (head.starts_with("report\">")) return FileKind::report;
  if (head.starts_with("sheet\">")) return FileKind::sheet;
  return FileKind::other;
}

bool is_tank(std::string_view text) {
  constexpr std::string_view byte_order_mark = "\xEF\xBB\xBF";
  if (text.starts_with(byte_order_mark)) text.remove_prefix(byte_order_mark.size());
  const auto first = text.find_first_not_of(" \t\r\n");
  return first != std::string_view::npos && text[first] == '{' &&
         text.find("\"slowdawn-tank/") != std::string_view::npos;
}

/// With its article.
std::string_view name_of(FileKind kind) {
  switch (kind) {
    case FileKind::report: return "a report";
    case FileKind::sheet: return "a sheet";
    case FileKind::calendar: return "a calendar";
    case FileKind::completion: return "a completion script";
    case FileKind::manual: return "a manual page";
    case FileKind::tank: return "a tank file";
    case FileKind::database: return "a logbook or another database";
    case FileKind::other: break;
  }
  return "a file of something else";
}

tl::unexpected<ReadFailure> refuse(ReadFailure::Kind why, const std::string& file, std::string what,
                                   std::string hint) {
  return tl::make_unexpected(
      ReadFailure{why, {{{file, 0, 0, ""}, std::move(what), std::move(hint)}}});
}

std::string what_is_wrong(FileKind there, FileKind kind) {
  if (there != FileKind::other || kind == FileKind::other) {
    return "this is " + std::string{name_of(there)} + ", and is not written over";
  }
  const std::string name{name_of(kind)};
  return "this is not " + name + (kind == FileKind::tank ? "" : " that slowdawn wrote") +
         ", and is not written over";
}

/// The beginning of a file; empty where there is no plain file.
ReadResult<std::string> read_beginning(const std::string& file) {
  std::error_code problem;
  if (!std::filesystem::is_regular_file(file, problem)) return std::string{};
  std::ifstream stream{file, std::ios::binary};
  std::string text(looked_at, '\0');
  if (stream) stream.read(text.data(), static_cast<std::streamsize>(text.size()));
  if (!stream.is_open() || stream.bad()) {
    return refuse(ReadFailure::Kind::access, file,
                  std::string{"the file that is there cannot be read: "} + std::strerror(errno),
                  "give another name after -o, or check who may read it");
  }
  text.resize(static_cast<std::size_t>(stream.gcount()));
  return text;
}

}  // namespace

FileKind kind_of(std::string_view text) {
  if (text.starts_with("SQLite format 3")) return FileKind::database;
  if (text.starts_with(page_beginning)) return kind_of_page(text.substr(page_beginning.size()));
  const bool is_calendar = text.starts_with("BEGIN:VCALENDAR\r\n") &&
                           text.find("\r\nPRODID:-//slowdawn//") != std::string_view::npos;
  if (is_calendar) return FileKind::calendar;
  if (text.starts_with("# Completion of slowdawn for ") ||
      text.starts_with("#compdef slowdawn\n")) {
    return FileKind::completion;
  }
  if (text.starts_with(".\\\" Made by slowdawn manual.\n")) return FileKind::manual;
  return is_tank(text) ? FileKind::tank : FileKind::other;
}

tl::expected<void, ReadFailure> check_may_replace(const std::string& file, FileKind kind) {
  const auto text = read_beginning(file);
  if (!text) return tl::make_unexpected(text.error());
  if (text->empty()) return {};
  const FileKind there = kind_of(*text);
  if (there == kind && kind != FileKind::other) return {};
  return refuse(ReadFailure::Kind::content, file, what_is_wrong(there, kind),
                "give another name after -o, or move this file away");
}

}  // namespace slowdawn
