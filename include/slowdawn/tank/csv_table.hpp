// Tables of comma-separated values (RFC 4180), and what spreadsheets and
// loggers really write.
//
// - A tab, else a semicolon, else a comma separates the cells: the first of them
//   that stands in the header outside quotes, as commas turn up in the names of
//   a semicolon's file and hardly ever the other way round.
// - With a tab or a semicolon, a number may have a decimal comma ("3,5"). With a
//   comma it may not: nothing is guessed.
// - A cell in quotes may hold separators, line ends, and quotes written twice.
//   Blanks around a cell do not count, blanks inside its quotes do.
// - Lines end in LF or CR LF. A byte order mark is skipped, and so are lines that
//   begin with #, and lines of blanks and separators alone.
// - The first line is the header; every record has as many cells.
#pragma once

#include <cstddef>
#include <slowdawn/tank/finding.hpp>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace slowdawn {

/// A cell and where it begins (a quoted one at its quote). Lines and columns
/// count from 1, columns in bytes, in line 1 after a byte order mark.
struct CsvCell {
  std::string text;
  std::size_t line;
  std::size_t column;
};

struct CsvRecord {
  /// Where it begins; a quoted cell may carry it on over several lines.
  std::size_t line;
  std::vector<CsvCell> cells;
};

class CsvTable {
 public:
  const std::string& file() const { return file_; }
  /// ',', ';' or '\t'.
  char separator() const { return separator_; }
  /// The columns' names, trimmed; no two alike but for case, save empty ones.
  const CsvRecord& header() const { return header_; }
  /// In file order, each with as many cells as the header; may be none.
  const std::vector<CsvRecord>& records() const { return records_; }

  /// Where a cell of the header or of a record stands.
  Place place(const CsvRecord& record, std::size_t column) const;

  /// The number of the column that has one of these names, in whatever case.
  /// names: at least one; of several, the first is the one to recommend.
  /// Errors: no such column (with the nearest name for a hint), or two of them.
  tl::expected<std::size_t, Finding> find_column(std::span<const std::string> names) const;

  /// A cell as a number, whatever the locale.
  /// low, high: the inclusive range.
  /// hint: what a value outside usually means; empty for the range alone.
  /// Errors: a cell that is not wholly one finite number in this range.
  tl::expected<double, Finding> number(const CsvRecord& record, std::size_t column, double low,
                                       double high, std::string_view hint = {}) const;

 private:
  friend class CsvParser;
  CsvTable() = default;
  Finding lacks_column(std::span<const std::string> names) const;

  std::string file_;
  char separator_ = ',';
  CsvRecord header_{};
  std::vector<CsvRecord> records_;
};

/// Parses a table; `file` is for messages.
/// Errors (content), up to 20 in file order: an empty file, invalid UTF-8, zero
///   bytes, a carriage return alone, a quote that is not closed or stands inside
///   a cell, a name twice in the header, a record with another number of cells.
ReadResult<CsvTable> parse_csv(const std::string& file, std::string_view text);

/// Reads a file of at most 16 MB and parses it.
/// Errors: as parse_csv; access, as read_text_file.
ReadResult<CsvTable> read_csv(const std::string& file);

/// A failure of content: the first 20 findings in file order, the last of which
/// says so if there are more.
/// findings: at least one.
ReadFailure make_content_failure(Findings findings);

/// A cell's text in quotes for a message, cut where it is long.
std::string quote_cell(std::string_view text);

}  // namespace slowdawn
