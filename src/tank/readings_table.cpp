#include <slowdawn/tank/readings_table.hpp>

#include <algorithm>
#include <array>
#include <slowdawn/tank/answers.hpp>
#include <slowdawn/tank/nearest_name.hpp>
#include <slowdawn/tank/profile_search.hpp>

#include "tank/fold_case.hpp"

namespace slowdawn {
namespace {

const std::vector<std::string> readings_columns{"spot",         "before",      "after", "x_cm",
                                                "y_cm",         "depth_cm",    "group", "profile",
                                                "history_dose", "history_peak"};

class TableReader {
 public:
  TableReader(const CsvTable& table, const ProfileShelf& shelf, const std::string& profile)
      : table_(table), shelf_(shelf), profile_(profile) {}

  ReadResult<ReadingsTable> read() {
    find_columns();
    if (findings_.empty()) {
      for (const CsvRecord& record : table_.records()) read_record(record);
    }
    if (findings_.empty() && read_.spots.empty()) {
      error(table_.header(), *columns_[spot], "the table has no line of readings",
            "write one line for each spot under the header");
    }
    if (!findings_.empty()) return tl::make_unexpected(make_content_failure(std::move(findings_)));
    return std::move(read_);
  }

 private:
  /// In the order of readings_columns.
  enum Column : std::size_t { spot, before, after, x, y, depth, group, kind, dose, peak };

  void error(const CsvRecord& record, std::size_t column, std::string what, std::string hint) {
    findings_.push_back({table_.place(record, column), std::move(what), std::move(hint)});
  }

  void find_columns() {
    const auto& header = table_.header();
    for (std::size_t i = 0; i < header.cells.size(); ++i) {
      const std::string& name = header.cells[i].text;
      if (name.empty()) continue;
      const std::string folded = fold_case(name);
      const auto found = std::find(readings_columns.begin(), readings_columns.end(), folded);
      if (found == readings_columns.end()) {
        error(header, i, "the column " + quote_cell(name) + " is not known",
              hint_for_name(name, readings_columns) + "; or leave the column out");
        continue;
      }
      columns_[static_cast<std::size_t>(found - readings_columns.begin())] = i;
    }
    if (!columns_[spot] && findings_.empty()) {
      const auto missing = table_.find_column({&readings_columns[spot], 1});
      findings_.push_back(missing.error());
    }
    read_.has_before = columns_[before].has_value();
    read_.has_after = columns_[after].has_value();
  }

  /// A cell's text; empty where its column is not there.
  std::string text(const CsvRecord& record, Column column) const {
    return columns_[column] ? record.cells[*columns_[column]].text : std::string{};
  }

  std::optional<double> read_number(const CsvRecord& record, Column column, double low, double high,
                                    std::string_view hint = {}) {
    if (text(record, column).empty()) return std::nullopt;
    const auto value = table_.number(record, *columns_[column], low, high, hint);
    if (value) return *value;
    findings_.push_back(value.error());
    return std::nullopt;
  }

  std::optional<Length> read_length(const CsvRecord& record, Column column) {
    const auto cm = read_number(record, column, 0, 10000);
    return cm ? std::optional{Length::cm(*cm)} : std::nullopt;
  }

  /// Each repeat as if it stood in a cell of its own, so that its error has a place.
  std::vector<double> read_repeats(const CsvRecord& record, Column column) {
    std::vector<double> repeats;
    const std::string cell = text(record, column);
    for (std::size_t at = 0; at < cell.size();) {
      const std::size_t begin = cell.find_first_not_of(" \t", at);
      if (begin == std::string::npos) break;
      at = std::min(cell.find_first_of(" \t", begin), cell.size());
      CsvRecord one = record;
      CsvCell& repeat = one.cells[*columns_[column]];
      repeat.text = cell.substr(begin, at - begin);
      repeat.column += begin;
      const auto value = read_number(one, column, 0, 3000,
                                     "PPFD is about 2000 in full sun at the surface; is this lux?");
      if (value) repeats.push_back(*value);
    }
    return repeats;
  }

  void read_record(const CsvRecord& record) {
    const std::string name = text(record, spot);
    if (name.empty()) {
      error(record, *columns_[spot], "the spot has no name",
            "name the spot, or leave the line out");
      return;
    }
    const auto known = std::find_if(read_.spots.begin(), read_.spots.end(),
                                    [&](const DraftSpot& other) { return other.name == name; });
    const auto number = static_cast<std::size_t>(known - read_.spots.begin());
    if (known == read_.spots.end()) {
      DraftSpot made{name, read_repeats(record, before), read_repeats(record, after)};
      made.x = read_length(record, x);
      made.y = read_length(record, y);
      made.depth = read_length(record, depth);
      read_.spots.push_back(std::move(made));
    } else {
      check_further_line(record);
    }
    read_group(record, number);
  }

  /// A line for one more group at a spot that was read in a line above.
  void check_further_line(const CsvRecord& record) {
    for (const Column column : {before, after, x, y, depth}) {
      if (text(record, column).empty()) continue;
      error(record, *columns_[column],
            "the spot " + quote_cell(text(record, spot)) + " has a line above",
            "leave its readings and measures empty here, if the line is for one more group; else "
            "give the spot a name of its own");
      return;
    }
    if (text(record, group).empty()) {
      error(record, *columns_[spot],
            "the spot " + quote_cell(text(record, spot)) + " has a line above",
            "leave this line out, or give the spot a name of its own");
    }
  }

  void read_group(const CsvRecord& record, std::size_t spot_number) {
    const std::string name = text(record, group);
    if (name.empty()) {
      for (const Column column : {kind, dose, peak}) {
        if (text(record, column).empty()) continue;
        error(record, *columns_[column],
              "a " + quote_cell(readings_columns[column]) + " stands here, but no group",
              columns_[group] ? "name the corals in the column \"group\""
                              : "add a column \"group\" with a name for the corals");
        return;
      }
      return;
    }
    const auto is_same = [&](const DraftGroup& other) { return other.name == name; };
    if (std::any_of(read_.groups.begin(), read_.groups.end(), is_same)) {
      error(record, *columns_[group], "there are two groups of the name " + quote_cell(name),
            "give each group a name of its own");
    }
    read_.groups.push_back({name, read_profile(record), spot_number, read_history(record)});
  }

  std::string read_profile(const CsvRecord& record) {
    const bool is_own = !text(record, kind).empty();
    const std::size_t column = is_own ? *columns_[kind] : *columns_[group];
    const std::string wanted = is_own ? text(record, kind) : profile_;
    if (wanted.empty()) {
      error(record, column, "the group " + quote_cell(text(record, group)) + " has no profile",
            "write it into the column \"profile\", or give --profile for all; slowdawn profiles "
            "lists them");
      return {};
    }
    const std::vector<std::string> found = search_profiles(shelf_, wanted);
    if (found.size() == 1) return found.front();
    if (found.empty()) {
      error(record, column, "there is no profile for " + quote_cell(wanted),
            hint_for_profile(shelf_, wanted));
    } else {
      error(record, column, quote_cell(wanted) + " may be one of several profiles",
            hint_for_name("", found));
    }
    return {};
  }

  std::optional<History> read_history(const CsvRecord& record) {
    const bool has_dose = !text(record, dose).empty();
    const bool has_peak = !text(record, peak).empty();
    if (has_dose != has_peak) {
      error(record, *columns_[has_dose ? dose : peak], "a history is a dose and a peak",
            "fill both columns, \"history_dose\" and \"history_peak\", or neither");
      return std::nullopt;
    }
    const auto dose_value = read_number(record, dose, 0.01, 100);
    const auto peak_value = read_number(record, peak, 0.1, 3000);
    if (!dose_value || !peak_value) return std::nullopt;
    const auto made =
        make_earlier_light(DailyDose::mol_m2_d(*dose_value), Ppfd::umol_m2_s(*peak_value));
    if (made) return History{.light = *made};
    error(record, *columns_[dose], made.error().what, made.error().hint);
    return std::nullopt;
  }

  const CsvTable& table_;
  const ProfileShelf& shelf_;
  const std::string& profile_;
  std::array<std::optional<std::size_t>, 10> columns_;
  ReadingsTable read_;
  Findings findings_;
};

}  // namespace

ReadResult<ReadingsTable> read_readings(const CsvTable& table, const ProfileShelf& shelf,
                                        const std::string& profile) {
  return TableReader{table, shelf, profile}.read();
}

}  // namespace slowdawn
