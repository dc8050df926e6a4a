#include <algorithm>
#include <charconv>
#include <cmath>
#include <optional>
#include <slowdawn/tank/csv_table.hpp>
#include <slowdawn/tank/nearest_name.hpp>
#include <slowdawn/tank/utf8.hpp>
#include <system_error>

#include "tank/fold_case.hpp"
#include "tank/json_reader.hpp"

namespace slowdawn {
namespace {

/// "time", "timestamp" or "datetime", in quotes.
std::string list_names(std::span<const std::string> names) {
  std::string list;
  for (std::size_t i = 0; i < names.size(); ++i) {
    if (i > 0) list += i + 1 == names.size() ? " or " : ", ";
    list += quote_cell(names[i]);
  }
  return list;
}

bool is_one_of(std::string_view name, std::span<const std::string> names) {
  const std::string folded = fold_case(name);
  return std::any_of(names.begin(), names.end(),
                     [&](const std::string& other) { return fold_case(other) == folded; });
}

}  // namespace

Place CsvTable::place(const CsvRecord& record, std::size_t column) const {
  const CsvCell& cell = record.cells.at(column);
  return {file_, cell.line, cell.column, "", false};
}

tl::expected<std::size_t, Finding> CsvTable::find_column(std::span<const std::string> names) const {
  std::optional<std::size_t> found;
  for (std::size_t i = 0; i < header_.cells.size(); ++i) {
    const std::string& name = header_.cells[i].text;
    if (!is_one_of(name, names)) continue;
    if (found) {
      return tl::make_unexpected(Finding{place(header_, i),
                                         "the columns " + quote_cell(header_.cells[*found].text) +
                                             " and " + quote_cell(name) + " are both taken for " +
                                             quote_cell(names.front()),
                                         "rename the one that is not meant"});
    }
    found = i;
  }
  if (!found) return tl::make_unexpected(lacks_column(names));
  return *found;
}

Finding CsvTable::lacks_column(std::span<const std::string> names) const {
  const std::string what = "there is no column " + list_names(names);
  std::vector<std::string> here;
  for (std::size_t i = 0; i < header_.cells.size(); ++i) {
    here.push_back(header_.cells[i].text);
    if (const auto nearest = find_nearest_name(here.back(), names)) {
      return {place(header_, i), what,
              "did you mean " + quote_cell(*nearest) + " by " + quote_cell(here.back()) + "?"};
    }
  }
  // Without a wrong name to compare, the hint lists those there are.
  return {place(header_, 0), what,
          hint_for_name("", here) + "; name the right one " + quote_cell(names.front())};
}

tl::expected<double, Finding> CsvTable::number(const CsvRecord& record, std::size_t column,
                                               double low, double high,
                                               std::string_view hint) const {
  const std::string& cell = record.cells.at(column).text;
  const auto refuse = [&](std::string what, std::string_view remedy) {
    return tl::make_unexpected(
        Finding{place(record, column), std::move(what), std::string{remedy}});
  };
  if (cell.empty()) {
    return refuse("expected a number, found an empty cell",
                  "write the number, or leave the whole line out");
  }
  std::string text = cell;
  const auto commas = std::count(text.begin(), text.end(), ',');
  const bool has_point = text.find('.') != std::string::npos;
  const bool is_decimal_comma = separator_ != ',' && commas == 1 && !has_point;
  if (is_decimal_comma) text[text.find(',')] = '.';
  const char* const end = text.data() + text.size();
  double value = 0.0;
  const auto [stop, problem] = std::from_chars(text.data(), end, value);
  if (stop == end && problem == std::errc::result_out_of_range) {
    return refuse("the number " + quote_cell(cell) + " is too large or too small",
                  "look for a slip in the exponent");
  }
  if (stop != end || problem != std::errc{} || !std::isfinite(value)) {
    return refuse("expected a number, found " + quote_cell(cell),
                  commas > 0 && !is_decimal_comma
                      ? "write it with a decimal point and nothing between the thousands"
                      : "write the bare number, without a unit");
  }
  if (value < low || value > high) {
    const std::string range = "from " + number_text(low) + " to " + number_text(high);
    return refuse(number_text(value) + " is out of range, which goes " + range,
                  hint.empty() ? "write a number " + range : std::string{hint});
  }
  return value;
}

ReadFailure make_content_failure(Findings findings) {
  std::stable_sort(findings.begin(), findings.end(), [](const Finding& a, const Finding& b) {
    return std::pair{a.place.line, a.place.column} < std::pair{b.place.line, b.place.column};
  });
  if (findings.size() > most_findings) {
    findings.resize(most_findings);
    findings.back().hint += " (there are more errors; mend these first)";
  }
  return {ReadFailure::Kind::content, std::move(findings)};
}

std::string quote_cell(std::string_view text) {
  constexpr std::size_t longest = 60;
  if (text.size() <= longest) return "\"" + std::string{text} + "\"";
  std::size_t end = longest;
  // Not in the middle of a character.
  while (end > 0 && is_continuation(text[end])) --end;
  return "\"" + std::string{text.substr(0, end)} + "...\"";
}

}  // namespace slowdawn
