#include <fmt/format.h>

#include <algorithm>
#include <numeric>
#include <slowdawn/present/text.hpp>
#include <slowdawn/tank/utf8.hpp>

namespace slowdawn {

std::string to_safe_text(std::string_view text) {
  std::string safe;
  for (std::size_t at = 0; at < text.size();) {
    const auto [point, length] = first_character(text.substr(at));
    if (!point) {
      safe += fmt::format("<0x{:02X}>", static_cast<unsigned char>(text[at]));
    } else if (must_be_spelled_out(*point)) {
      safe += fmt::format("<U+{:04X}>", static_cast<unsigned>(*point));
    } else {
      safe += text.substr(at, length);
    }
    at += length;
  }
  return safe;
}

std::size_t display_width(std::string_view text) { return count_characters(text); }

std::string fit_left(std::string_view text, std::size_t width) {
  const std::size_t taken = display_width(text);
  if (taken <= width) return std::string{text} + std::string(width - taken, ' ');
  const std::size_t end = width < 2 ? 0 : (width - 2) / 2;
  const std::size_t start = width < 2 ? 0 : width - 2 - end;
  std::string cut;
  std::size_t column = 0;
  for (std::size_t at = 0; at < text.size(); ++column) {
    const std::size_t length = first_character(text.substr(at)).length;
    if (column == start) cut += std::string(std::min<std::size_t>(width, 2), '.');
    if (column < start || column >= taken - end) cut += text.substr(at, length);
    at += length;
  }
  return cut;
}

std::string fit_right(std::string_view text, std::size_t width) {
  const std::size_t taken = display_width(text);
  return std::string(width > taken ? width - taken : 0, ' ') + std::string{text};
}

std::string wrap(std::string_view text, const TextStyle& style, std::string_view first,
                 std::string_view rest) {
  std::string out;
  std::string line{first};
  bool is_empty = true;
  for (std::size_t at = 0; at < text.size();) {
    std::size_t end = std::min(text.find(' ', at), text.size());
    // A number stays with its percent sign.
    while (text.substr(end).starts_with(" %")) end = std::min(text.find(' ', end + 1), text.size());
    const std::string_view word = text.substr(at, end - at);
    at = end + 1;
    if (word.empty()) continue;
    if (!is_empty && display_width(line) + 1 + display_width(word) > style.width) {
      out += line + "\n";
      line = rest;
      is_empty = true;
    }
    if (!is_empty) line += " ";
    line += word;
    is_empty = false;
  }
  return out + line + "\n";
}

std::vector<std::size_t> rows_to_show(const std::vector<double>& importance) {
  std::vector<std::size_t> rows(importance.size());
  std::iota(rows.begin(), rows.end(), std::size_t{0});
  if (rows.size() <= most_rows) return rows;
  std::stable_sort(rows.begin(), rows.end(),
                   [&](std::size_t a, std::size_t b) { return importance[a] > importance[b]; });
  rows.resize(most_rows);
  std::sort(rows.begin(), rows.end());
  return rows;
}

std::string list_words(const std::vector<std::string>& words, std::string_view between) {
  std::string list;
  const std::size_t shown = std::min(words.size(), most_listed);
  for (std::size_t i = 0; i < shown; ++i) {
    if (i > 0) list += between;
    list += words[i];
  }
  const std::size_t left_out = words.size() - shown;
  return left_out == 0 ? list : list + " and " + std::to_string(left_out) + " more";
}

std::string emphasise(std::string_view text, const TextStyle& style) {
  if (!style.colour) return std::string{text};
  return "\x1b[1m" + std::string{text} + "\x1b[0m";
}

std::string TextTable::to_text(const TextStyle& style) const {
  constexpr std::size_t gap = 2;
  constexpr std::size_t narrowest = 8;
  std::vector<std::size_t> widths;
  std::size_t total = 0;
  for (std::size_t c = 0; c < columns_.size(); ++c) {
    std::size_t width = display_width(columns_[c].heading);
    for (const auto& row : rows_) width = std::max(width, display_width(row[c]));
    widths.push_back(width);
    total += width + (c > 0 ? gap : 0);
  }
  if (total > style.width) {
    const std::size_t over = total - style.width;
    widths[0] = std::max(narrowest, widths[0] > over ? widths[0] - over : 0);
  }
  const auto write_row = [&](const auto& cell_of) {
    std::string line;
    for (std::size_t c = 0; c < columns_.size(); ++c) {
      const std::string& cell = cell_of(c);
      if (c > 0) line += std::string(gap, ' ');
      line +=
          columns_[c].align == Align::left ? fit_left(cell, widths[c]) : fit_right(cell, widths[c]);
    }
    line.erase(line.find_last_not_of(' ') + 1);
    return line + "\n";
  };
  std::string out = emphasise(
      write_row([&](std::size_t c) -> const std::string& { return columns_[c].heading; }), style);
  for (auto row : rows_) {
    if (columns_.front().is_wrapped) {
      std::string name = wrap(row[0], {.width = widths[0]});
      name.pop_back();
      // The numbers stand beside its last line.
      const std::size_t last = name.rfind('\n') + 1;
      out += name.substr(0, last);
      row[0] = name.substr(last);
    }
    out += write_row([&](std::size_t c) -> const std::string& { return row[c]; });
  }
  return out;
}

}  // namespace slowdawn
