#include <algorithm>
#include <slowdawn/ramp/even_ramp.hpp>
#include <slowdawn/tank/answers.hpp>
#include <slowdawn/tank/csv_table.hpp>
#include <slowdawn/tank/nearest_name.hpp>
#include <slowdawn/tank/schedule_reader.hpp>

#include "tank/dial_words.hpp"

namespace slowdawn {
namespace {

/// The part before the first blank; the rest stays in `text`.
std::string_view take_word(std::string_view& text) {
  text = without_blanks(text);
  const std::string_view word = text.substr(0, text.find_first_of(" \t\r\n"));
  text = without_blanks(text.substr(word.size()));
  return word;
}

/// Puts points together one by one.
class ScheduleMaker {
 public:
  ScheduleMaker(const Tank& tank, const std::vector<std::size_t>& path_lights)
      : tank_(tank), lights_(path_lights), dials_(path_lights.size()) {
    for (const std::size_t light : path_lights) names_.push_back(tank.lights[light].name);
  }

  const std::vector<std::string>& names() const { return names_; }
  const std::string& name(std::size_t column) const { return names_[column]; }
  std::size_t size() const { return lights_.size(); }

  Result<void> set(std::size_t column, Percent dial) {
    if (auto checked = check_dial(tank_.lights[lights_[column]], dial); !checked) return checked;
    dials_[column] = dial;
    return {};
  }

  Result<void> add(const Date& date) {
    for (std::size_t j = 0; j < size(); ++j) {
      if (dials_[j]) continue;
      return fault("the first date says nothing of " + name(j),
                   "give every light of the goal on the first date; 0 for one that is off");
    }
    if (!schedule_.empty() && date <= schedule_.back().date) {
      return fault(to_iso(date) + " does not come after " + to_iso(schedule_.back().date),
                   "put the dates in order, each once");
    }
    constexpr long longest = static_cast<long>(last_plan_day);
    if (!schedule_.empty() && (date - schedule_.front().date).days() > longest) {
      return fault(to_iso(date) + " is over a year after the first date",
                   "judge a schedule of at most 365 days");
    }
    Setting setting;
    for (const auto& dial : dials_) setting.push_back(*dial);
    schedule_.push_back({date, std::move(setting)});
    return {};
  }

  Result<Schedule> finish() && {
    if (schedule_.empty()) {
      return fault("there is no date in this schedule", "give it as \"2026-12-01 40, ...\"");
    }
    return std::move(schedule_);
  }

 private:
  const Tank& tank_;
  const std::vector<std::size_t>& lights_;
  std::vector<std::string> names_;
  std::vector<std::optional<Percent>> dials_;
  Schedule schedule_;
};

constexpr std::string_view point_ends = ",;\n";

/// "40", or "front bar 40 rear bar 35", up to the comma after a percentage: names
/// may have commas. The rest stays in `text`.
Result<void> parse_dials(ScheduleMaker& maker, std::string_view& text) {
  for (bool is_first = true;; is_first = false) {
    const auto light = find_leading_name(text, maker.names());
    if (!light && (maker.size() > 1 || !is_first)) {
      if (text.empty() || point_ends.find(text.front()) != std::string_view::npos) {
        return fault("a date has no dials", "give lights and percentages in turn after each date");
      }
      const std::string_view point = text.substr(0, text.find_first_of(point_ends));
      return fault("\"" + std::string{point} + "\" does not begin with a light of the goal",
                   hint_for_name(words_before_number(point), maker.names()));
    }
    if (light) text = without_blanks(text.substr(maker.name(*light).size()));
    const auto dial = parse_percent(take_number(text));
    if (!dial) return tl::make_unexpected(dial.error());
    if (auto set = maker.set(light.value_or(0), *dial); !set) return set;
    if (text.empty()) return {};
    if (point_ends.find(text.front()) == std::string_view::npos) continue;
    text = without_blanks(text.substr(1));
    return {};
  }
}

}  // namespace

Result<Schedule> parse_schedule(const Tank& tank, const std::vector<std::size_t>& path_lights,
                                std::string_view text) {
  ScheduleMaker maker{tank, path_lights};
  text = without_blanks(text);
  while (!text.empty()) {
    const auto date = parse_date(take_word(text));
    if (!date) return tl::make_unexpected(date.error());
    if (const auto dials = parse_dials(maker, text); !dials) {
      return tl::make_unexpected(dials.error());
    }
    if (const auto added = maker.add(*date); !added) return tl::make_unexpected(added.error());
  }
  return std::move(maker).finish();
}

namespace {

class ScheduleFileReader {
 public:
  ScheduleFileReader(const CsvTable& table, ScheduleMaker maker)
      : table_(table), maker_(std::move(maker)) {}

  ReadResult<Schedule> read() {
    if (!find_columns()) return tl::make_unexpected(make_content_failure(std::move(findings_)));
    for (const CsvRecord& record : table_.records()) {
      read_record(record);
      if (findings_.size() >= most_findings) break;
    }
    if (!findings_.empty()) return tl::make_unexpected(make_content_failure(std::move(findings_)));
    auto made = std::move(maker_).finish();
    if (made) return std::move(*made);
    findings_.push_back({{table_.file(), 0, 0, "", false},
                         made.error().what,
                         "put a line under the header for each date"});
    return tl::make_unexpected(make_content_failure(std::move(findings_)));
  }

 private:
  bool find_columns() {
    const std::vector<std::string> dates{"date"};
    take(table_.find_column(dates), date_column_);
    columns_.resize(maker_.size());
    for (std::size_t j = 0; j < maker_.size(); ++j) {
      std::vector<std::string> names{maker_.name(j)};
      if (maker_.size() == 1) names.insert(names.begin(), "dial");
      take(table_.find_column(names), columns_[j]);
    }
    return findings_.empty();
  }

  void take(const tl::expected<std::size_t, Finding>& found, std::size_t& column) {
    if (found) {
      column = *found;
    } else {
      findings_.push_back(found.error());
    }
  }

  void read_record(const CsvRecord& record) {
    const auto report = [&](std::size_t column, const Fault& fault) {
      findings_.push_back({table_.place(record, column), fault.what, fault.hint});
    };
    const std::size_t before = findings_.size();
    for (std::size_t j = 0; j < columns_.size(); ++j) {
      if (record.cells[columns_[j]].text.empty()) continue;
      const auto dial = table_.number(record, columns_[j], 0.0, 100.0);
      if (!dial) {
        findings_.push_back(dial.error());
      } else if (const auto set = maker_.set(j, Percent::of_full(*dial)); !set) {
        report(columns_[j], set.error());
      }
    }
    const auto date = parse_date(record.cells[date_column_].text);
    if (!date) report(date_column_, date.error());
    if (!date || findings_.size() > before) return;
    if (const auto added = maker_.add(*date); !added) report(date_column_, added.error());
  }

  const CsvTable& table_;
  ScheduleMaker maker_;
  std::size_t date_column_ = 0;
  std::vector<std::size_t> columns_;
  Findings findings_;
};

}  // namespace

ReadResult<Schedule> read_schedule(const Tank& tank, const std::vector<std::size_t>& path_lights,
                                   const std::string& file) {
  const auto table = read_csv(file);
  if (!table) return tl::make_unexpected(table.error());
  return ScheduleFileReader{*table, ScheduleMaker{tank, path_lights}}.read();
}

std::vector<Setting> daily_settings(const Schedule& schedule, bool even) {
  std::vector<Setting> days{schedule.front().dials};
  for (std::size_t i = 1; i < schedule.size(); ++i) {
    const SchedulePoint& from = schedule[i - 1];
    const SchedulePoint& to = schedule[i];
    const auto length = static_cast<std::size_t>((to.date - from.date).days());
    const EvenLine line{from.dials, to.dials, length};
    for (std::size_t day = 1; day < length; ++day) {
      days.push_back(even ? setting_on(line, day) : from.dials);
    }
    days.push_back(to.dials);
  }
  return days;
}

}  // namespace slowdawn
