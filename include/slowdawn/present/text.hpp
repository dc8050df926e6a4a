// Plain text for terminals: widths, wrapping, tables.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace slowdawn {

/// How text for people is to look; decided by whoever knows the terminal.
struct TextStyle {
  std::size_t width = 80;
  bool colour = false;
};

/// A name from a file as text that cannot steer a terminal and hides nothing: control
/// characters, marks that turn the writing direction and characters that nobody sees are
/// written as <U+XXXX>, bytes that are no UTF-8 (a file's name may have some) as <0xXX>.
std::string to_safe_text(std::string_view text);

/// Columns that valid UTF-8 text takes, one for each code point.
std::size_t display_width(std::string_view text);

/// Fills with spaces on the right, or puts ".." in place of the middle: names of a
/// farm often differ at their ends.
std::string fit_left(std::string_view text, std::size_t width);
/// Fills with spaces on the left.
std::string fit_right(std::string_view text, std::size_t width);

/// Breaks text into lines of at most `style.width` columns, each ended by a
/// newline; `first` stands before the first line, `rest` before the others.
std::string wrap(std::string_view text, const TextStyle& style, std::string_view first = "",
                 std::string_view rest = "");

/// More rows of a table, or lines of a list, than these nobody reads: a farm's text
/// shows those that matter, and JSON and CSV have all (design choice).
inline constexpr std::size_t most_rows = 40;
inline constexpr std::size_t most_listed = 20;

/// The rows of a table to show, in their order: all, or of more than `most_rows` those
/// that matter most.
/// importance: one for each row; of equals the first matter more.
std::vector<std::size_t> rows_to_show(const std::vector<double>& importance);

/// "crest, sand", the first `most_listed` of more with "and 9980 more" after them.
std::string list_words(const std::vector<std::string>& words, std::string_view between = ", ");

/// Text made to stand out, where colour is wanted.
std::string emphasise(std::string_view text, const TextStyle& style);

/// Rows of cells under a heading; columns as wide as they need, the first cut, or
/// wrapped, where the whole would be too wide.
class TextTable {
 public:
  enum class Align { left, right };
  struct Column {
    std::string heading;
    Align align;
    /// Of the first column: what is too long goes on below, and nothing of it is cut.
    bool is_wrapped = false;
  };
  explicit TextTable(std::vector<Column> columns) : columns_(std::move(columns)) {}
  void add(std::vector<std::string> cells) { rows_.push_back(std::move(cells)); }
  std::string to_text(const TextStyle& style) const;

 private:
  std::vector<Column> columns_;
  std::vector<std::vector<std::string>> rows_;
};

}  // namespace slowdawn
