#include <map>
#include <slowdawn/tank/csv_table.hpp>
#include <slowdawn/tank/text_file.hpp>
#include <slowdawn/tank/utf8.hpp>

#include "tank/fold_case.hpp"

namespace slowdawn {
namespace {

constexpr std::string_view byte_order_mark = "\xEF\xBB\xBF";

std::string_view trim(std::string_view text) {
  const auto first = text.find_first_not_of(" \t\r\n");
  if (first == std::string_view::npos) return {};
  return text.substr(first, text.find_last_not_of(" \t\r\n") - first + 1);
}

}  // namespace

/// Reads a text once from its start to its end.
class CsvParser {
 public:
  CsvParser(const std::string& file, std::string_view text) : text_(text) {
    table_.file_ = file;
    if (text_.starts_with(byte_order_mark)) at_ = line_start_ = byte_order_mark.size();
  }

  ReadResult<CsvTable> parse() {
    if (is_sound() && read_header()) read_records();
    if (!findings_.empty()) {
      return tl::make_unexpected(make_content_failure(std::move(findings_)));
    }
    return std::move(table_);
  }

 private:
  /// One more than are shown, so that it is known that there are more.
  void error(std::size_t line, std::size_t column, std::string what, std::string hint) {
    if (findings_.size() > most_findings) return;
    findings_.push_back(
        {{table_.file_, line, column, "", false}, std::move(what), std::move(hint)});
  }

  std::size_t column() const { return at_ - line_start_ + 1; }
  bool is_at_end() const { return at_ >= text_.size(); }

  void count_line(std::size_t start) {
    line_start_ = start;
    ++line_;
  }

  /// Gives up, since what follows cannot be told apart.
  void cut_short() {
    is_cut_short_ = true;
    at_ = text_.size();
  }

  /// Whether the bytes are text; the parser is at the first that is not.
  bool is_sound() {
    const std::size_t start = at_;
    while (!is_at_end()) {
      const Utf8Character character = first_character(text_.substr(at_));
      if (!character.point || *character.point == 0) {
        error(line_, column(),
              text_[at_] == '\0' ? "the file holds zero bytes" : "the text is not valid UTF-8",
              "save the file as CSV in UTF-8; if it was, it is damaged");
        return false;
      }
      at_ += character.length;
      if (text_[at_ - 1] == '\n') count_line(at_);
    }
    at_ = line_start_ = start;
    line_ = 1;
    return true;
  }

  bool read_header() {
    if (!skip_idle_lines(" \t\r,;")) {
      error(1, 1, "the file is empty", "the first line names the columns, and values follow");
      return false;
    }
    table_.separator_ = find_separator();
    table_.header_ = read_record();
    std::map<std::string, const CsvCell*> seen;
    for (CsvCell& cell : table_.header_.cells) {
      cell.text = std::string{trim(cell.text)};
      if (cell.text.empty()) continue;
      const auto [first, is_new] = seen.emplace(fold_case(cell.text), &cell);
      if (is_new) continue;
      error(cell.line, cell.column,
            "the column " + quote_cell(cell.text) + " stands twice in the header",
            "name each column once, also when upper and lower case are taken as one");
    }
    return true;
  }

  char find_separator() const {
    bool is_quoted = false;
    bool has_tab = false;
    bool has_semicolon = false;
    for (std::size_t i = at_; i < text_.size() && (is_quoted || text_[i] != '\n'); ++i) {
      if (text_[i] == '"') is_quoted = !is_quoted;
      has_tab = has_tab || (!is_quoted && text_[i] == '\t');
      has_semicolon = has_semicolon || (!is_quoted && text_[i] == ';');
    }
    return has_tab ? '\t' : has_semicolon ? ';' : ',';
  }

  void read_records() {
    const std::string idle = std::string{" \t\r"} + table_.separator_;
    while (findings_.size() <= most_findings && skip_idle_lines(idle)) {
      CsvRecord record = read_record();
      if (is_cut_short_) return;
      check_count(record);
      table_.records_.push_back(std::move(record));
    }
  }

  void check_count(const CsvRecord& record) {
    const std::size_t expected = table_.header_.cells.size();
    const std::size_t found = record.cells.size();
    if (found == expected) return;
    const CsvCell& place = record.cells[found > expected ? expected : 0];
    const std::string hint =
        found < expected ? "every line has as many separators as the header"
        : table_.separator_ == ','
            ? "write decimals with a point, or separate the cells with semicolons; put a text "
              "that has a comma in quotes"
            : "put a text that has a separator in quotes";
    error(place.line, place.column,
          "expected " + std::to_string(expected) + " cells, as in the header, found " +
              std::to_string(found),
          hint);
  }

  /// Skips what holds nothing; false at the end of the text.
  /// idle: the characters that make a line of them alone empty.
  bool skip_idle_lines(std::string_view idle) {
    while (!is_at_end()) {
      const std::size_t end = std::min(text_.find('\n', at_), text_.size());
      const std::string_view line = text_.substr(at_, end - at_);
      const bool is_idle =
          line.starts_with('#') || line.find_first_not_of(idle) == std::string_view::npos;
      if (!is_idle) return true;
      at_ = std::min(end + 1, text_.size());
      count_line(at_);
    }
    return false;
  }

  CsvRecord read_record() {
    CsvRecord record{line_, {}};
    do {
      record.cells.push_back(read_cell());
    } while (take(table_.separator_));
    end_line();
    return record;
  }

  bool take(char c) {
    if (is_at_end() || text_[at_] != c) return false;
    ++at_;
    return true;
  }

  void skip_blanks() {
    while (take(' ') || (table_.separator_ != '\t' && take('\t'))) {
    }
  }

  bool is_at_cell_end() const {
    return is_at_end() || text_[at_] == table_.separator_ || text_[at_] == '\n' ||
           text_[at_] == '\r';
  }

  std::string_view take_to_cell_end() {
    const std::size_t start = at_;
    while (!is_at_cell_end()) ++at_;
    return text_.substr(start, at_ - start);
  }

  CsvCell read_cell() {
    skip_blanks();
    CsvCell cell{{}, line_, column()};
    if (take('"')) {
      read_quoted(cell);
      return cell;
    }
    cell.text = std::string{trim(take_to_cell_end())};
    if (const auto quote = cell.text.find('"'); quote != std::string::npos) {
      error(cell.line, cell.column + quote, "a quote stands inside a cell",
            "put quotes around the whole cell, and write a quote inside it twice");
    }
    return cell;
  }

  void read_quoted(CsvCell& cell) {
    while (take_to_quote(cell)) {
      if (!take('"')) {
        end_quoted();
        return;
      }
      cell.text += '"';
    }
    error(cell.line, cell.column, "the quote that opens here is never closed",
          "close it; a quote inside a cell is written twice");
    cut_short();
  }

  /// Past the next quote; false if there is none.
  bool take_to_quote(CsvCell& cell) {
    const std::size_t quote = text_.find('"', at_);
    if (quote == std::string_view::npos) return false;
    cell.text += text_.substr(at_, quote - at_);
    for (; at_ < quote; ++at_) {
      if (text_[at_] == '\n') count_line(at_ + 1);
    }
    ++at_;
    return true;
  }

  void end_quoted() {
    skip_blanks();
    if (is_at_cell_end()) return;
    error(line_, column(), "text stands after the quote that closes a cell",
          "put quotes around the whole cell, and write a quote inside it twice");
    take_to_cell_end();
  }

  void end_line() {
    if (is_at_end()) return;
    const std::size_t return_column = column();
    const bool has_return = take('\r');
    if (take('\n')) {
      count_line(at_);
    } else if (has_return) {
      error(line_, return_column, "a carriage return stands alone",
            "save the file with line ends of LF or CR LF");
      cut_short();
    }
  }

  std::string_view text_;
  std::size_t at_ = 0;
  std::size_t line_ = 1;
  std::size_t line_start_ = 0;
  bool is_cut_short_ = false;
  CsvTable table_;
  Findings findings_;
};

ReadResult<CsvTable> parse_csv(const std::string& file, std::string_view text) {
  return CsvParser{file, text}.parse();
}

ReadResult<CsvTable> read_csv(const std::string& file) {
  const auto text = read_text_file(file);
  if (!text) return tl::make_unexpected(text.error());
  return parse_csv(file, *text);
}

}  // namespace slowdawn
