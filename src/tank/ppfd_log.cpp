#include <algorithm>
#include <charconv>
#include <optional>
#include <slowdawn/light/photoperiod.hpp>
#include <slowdawn/tank/ppfd_log.hpp>
#include <slowdawn/tank/text_file.hpp>
#include <utility>

namespace slowdawn {
namespace {

/// A moment of the clock as a line gives it.
struct Stamp {
  Date date;
  ClockTime time;
  /// East of UTC, where there is an offset.
  std::optional<Minutes> offset;
};

tl::unexpected<Fault> not_a_time(std::string_view text) {
  return fault(quote_cell(text) + " is not a date and a time of day",
               "write year-month-day and hours:minutes, for example 2026-12-01 09:30 or "
               "2026-12-01T09:30:00");
}

/// Takes ":SS" or ":SS.fff" off the front of the text, and returns the seconds.
/// Errors: none where there are no seconds; empty where they are wrong.
std::optional<double> take_seconds(std::string_view& text) {
  if (!text.starts_with(':')) return 0.0;
  const auto is_digit = [](char c) { return c >= '0' && c <= '9'; };
  const auto digits_end = [&](std::size_t from) {
    return static_cast<std::size_t>(
        std::find_if_not(text.begin() + static_cast<std::ptrdiff_t>(from), text.end(), is_digit) -
        text.begin());
  };
  std::size_t end = digits_end(1);
  if (end != 3) return std::nullopt;
  std::string digits{text.substr(1, 2)};
  // ISO 8601 has a comma for the fraction as well.
  if (end < text.size() && (text[end] == '.' || text[end] == ',')) {
    const std::size_t fraction = end + 1;
    end = digits_end(fraction);
    if (end == fraction) return std::nullopt;
    digits += "." + std::string{text.substr(fraction, end - fraction)};
  }
  double seconds = 0.0;
  std::from_chars(digits.data(), digits.data() + digits.size(), seconds);
  if (seconds >= 60.0) return std::nullopt;
  text.remove_prefix(end);
  return seconds;
}

/// "", "Z" or "+HH:MM".
Result<std::optional<Minutes>> parse_offset(std::string_view text) {
  if (text.empty()) return std::nullopt;
  if (text == "Z") return Minutes{};
  const auto time = parse_clock_time(text.substr(1));
  const bool is_offset = (text.front() == '+' || text.front() == '-') && time;
  if (!is_offset) return not_a_time(text);
  return text.front() == '-' ? ClockTime{} - *time : *time - ClockTime{};
}

Result<Stamp> parse_stamp(std::string_view text) {
  constexpr std::size_t date_length = 10;
  constexpr std::size_t minute_length = 16;
  const bool has_form =
      text.size() >= minute_length && (text[date_length] == ' ' || text[date_length] == 'T');
  if (!has_form) return not_a_time(text);
  const auto date = parse_date(text.substr(0, date_length));
  if (!date) return tl::make_unexpected(date.error());
  const auto clock = parse_clock_time(text.substr(date_length + 1, 5));
  if (!clock) return tl::make_unexpected(clock.error());
  std::string_view rest = text.substr(minute_length);
  const auto seconds = take_seconds(rest);
  if (!seconds) return not_a_time(text);
  const auto offset = parse_offset(rest);
  if (!offset) return not_a_time(text);
  return Stamp{*date, *clock + Minutes::min(*seconds / 60.0), *offset};
}

/// Collects the samples of a table, and what is wrong with them.
class LogReader {
 public:
  LogReader(const CsvTable& table, std::size_t time_column, std::size_t ppfd_column)
      : table_(table), time_column_(time_column), ppfd_column_(ppfd_column) {
    log_.file = table.file();
  }

  ReadResult<PpfdLog> read() {
    if (table_.records().empty()) {
      findings_.push_back({table_.place(table_.header(), time_column_), "the log has no samples",
                           "the header is there, but no line with a time and a PPFD after it"});
    }
    for (const CsvRecord& record : table_.records()) {
      if (findings_.size() > most_findings) break;
      const auto moment = read_moment(record);
      const auto ppfd = read_ppfd(record);
      if (!moment || !ppfd) continue;
      const CsvCell& time = record.cells[time_column_];
      log_.samples.push_back({*moment, *ppfd});
      log_.positions.push_back({time.line, time.column});
    }
    if (!findings_.empty()) {
      return tl::make_unexpected(make_content_failure(std::move(findings_)));
    }
    return std::move(log_);
  }

 private:
  void error(const CsvRecord& record, std::string what, std::string hint) {
    findings_.push_back({table_.place(record, time_column_), std::move(what), std::move(hint)});
  }

  std::optional<ClockTime> read_moment(const CsvRecord& record) {
    const auto stamp = parse_stamp(record.cells[time_column_].text);
    if (!stamp) {
      error(record, stamp.error().what, stamp.error().hint);
      return std::nullopt;
    }
    if (offset_record_ == nullptr) {
      offset_record_ = &record;
      offset_ = stamp->offset;
      log_.first_date = stamp->date;
    }
    check_offset(record, *stamp);
    const auto days = static_cast<double>((stamp->date - log_.first_date).days());
    const ClockTime moment = stamp->time + whole_day * days;
    check_order(record, moment);
    return moment;
  }

  void check_offset(const CsvRecord& record, const Stamp& stamp) {
    if (stamp.offset == offset_) return;
    error(record,
          "the offset from UTC is not that of " + time_text(*offset_record_) + " on line " +
              std::to_string(offset_record_->line),
          "a log keeps one offset, or has none; if the clocks were changed, split the file there");
    // One finding for each change.
    offset_ = stamp.offset;
    offset_record_ = &record;
  }

  /// Of a run of lines that go back one after the other, the first is named.
  void check_order(const CsvRecord& record, ClockTime moment) {
    const CsvRecord* const before = std::exchange(before_, &record);
    const ClockTime moment_before = std::exchange(moment_before_, moment);
    const bool went_back_before = std::exchange(went_back_, before && moment < moment_before);
    if (before == nullptr || moment > moment_before || (went_back_ && went_back_before)) return;
    const std::string line_before = time_text(*before) + " on line " + std::to_string(before->line);
    if (moment == moment_before) {
      error(record, "the time is that of the line before, " + line_before,
            "keep one of the two; give seconds if the log is that fine");
      return;
    }
    error(record, "the time goes back: the line before has " + line_before,
          "were the clocks set back here, as in autumn? then split the file; if the newest line "
          "stands first, sort the lines by time");
  }

  std::string time_text(const CsvRecord& record) const {
    return quote_cell(record.cells[time_column_].text);
  }

  std::optional<Ppfd> read_ppfd(const CsvRecord& record) {
    const auto value = table_.number(
        record, ppfd_column_, lowest_logged_noise.umol_m2_s(), highest_logged_ppfd.umol_m2_s(),
        "PPFD is 0 or more, give or take the noise of a dark sensor, and about 2000 "
        "in full sun at the surface; is this lux, or a slip of the decimal point?");
    if (!value) {
      findings_.push_back(value.error());
      return std::nullopt;
    }
    return Ppfd::umol_m2_s(std::max(0.0, *value));
  }

  const CsvTable& table_;
  std::size_t time_column_;
  std::size_t ppfd_column_;
  PpfdLog log_;
  Findings findings_;
  /// The record whose offset counts.
  const CsvRecord* offset_record_ = nullptr;
  std::optional<Minutes> offset_;
  const CsvRecord* before_ = nullptr;
  ClockTime moment_before_;
  bool went_back_ = false;
};

}  // namespace

Place PpfdLog::place(std::size_t sample) const {
  const LinePosition& position = positions.at(sample);
  return {file, position.line, position.column, "", false};
}

ReadResult<PpfdLog> parse_ppfd_log(const std::string& file, std::string_view text) {
  static const std::vector<std::string> time_names{"time", "timestamp", "date_time", "datetime"};
  static const std::vector<std::string> ppfd_names{"ppfd", "ppfd_umol_m2_s", "par", "umol_m2_s"};
  const auto table = parse_csv(file, text);
  if (!table) return tl::make_unexpected(table.error());
  const auto time = table->find_column(time_names);
  const auto ppfd = table->find_column(ppfd_names);
  if (time && ppfd) return LogReader{*table, *time, *ppfd}.read();
  Findings findings;
  if (!time) findings.push_back(time.error());
  if (!ppfd) findings.push_back(ppfd.error());
  return tl::make_unexpected(make_content_failure(std::move(findings)));
}

ReadResult<PpfdLog> read_ppfd_log(const std::string& file) {
  const auto table_text = read_text_file(file);
  if (!table_text) return tl::make_unexpected(table_text.error());
  return parse_ppfd_log(file, *table_text);
}

}  // namespace slowdawn
