#include <algorithm>
#include <charconv>
#include <slowdawn/tank/calendar_file.hpp>
#include <slowdawn/tank/utf8.hpp>

namespace slowdawn {
namespace {

constexpr std::string_view line_end = "\r\n";

/// A content line, unfolded (RFC 5545, 3.1).
struct ContentLine {
  /// Where it begins in the file, from 1.
  std::size_t number;
  std::string text;
};

/// Empty if a line does not end in CR LF.
std::vector<ContentLine> unfold(std::string_view text) {
  std::vector<ContentLine> lines;
  for (std::size_t number = 1; !text.empty(); ++number) {
    const std::size_t end = text.find(line_end);
    if (end == std::string_view::npos) return {};
    const std::string_view line = text.substr(0, end);
    text.remove_prefix(end + line_end.size());
    if (line.starts_with(" ") && !lines.empty()) {
      lines.back().text += line.substr(1);
    } else {
      lines.push_back({number, std::string{line}});
    }
  }
  return lines;
}

/// Takes line after line; once one is not as expected, every later one is not
/// either, and the line that was wrong is kept.
class CalendarReader {
 public:
  explicit CalendarReader(std::vector<ContentLine> lines) : lines_(std::move(lines)) {}

  Calendar read() {
    Calendar calendar;
    expect("BEGIN:VCALENDAR");
    expect("VERSION:2.0");
    expect("PRODID:" + std::string{calendar_product});
    expect("CALSCALE:GREGORIAN");
    calendar.name = take_text("NAME:");
    while (is_next("BEGIN:VEVENT")) calendar.events.push_back(read_event());
    expect("END:VCALENDAR");
    if (next_ < lines_.size()) fail();
    return calendar;
  }

  /// The number of the line that is not as it was written.
  std::optional<std::size_t> failed_line() const { return failed_line_; }

 private:
  CalendarEvent read_event() {
    CalendarEvent event;
    expect("BEGIN:VEVENT");
    event.uid = take("UID:");
    event.stamp = take_date("DTSTAMP:", "T000000Z");
    event.sequence = take_number("SEQUENCE:");
    event.is_cancelled = is_next("STATUS:CANCELLED");
    expect(event.is_cancelled ? "STATUS:CANCELLED" : "STATUS:CONFIRMED");
    event.date = take_date("DTSTART;VALUE=DATE:");
    const Date end = take_date("DTEND;VALUE=DATE:");
    if (!failed_line_ && end != days_after(event.date, 1)) fail();
    event.summary = take_text("SUMMARY:");
    event.description = take_text("DESCRIPTION:");
    expect("TRANSP:TRANSPARENT");
    if (is_next("BEGIN:VALARM")) event.reminder = read_alarm(event.summary);
    expect("END:VEVENT");
    return event;
  }

  ClockTime read_alarm(const std::string& summary) {
    expect("BEGIN:VALARM");
    expect("ACTION:DISPLAY");
    const ClockTime time = take_time("TRIGGER:PT");
    if (take_text("DESCRIPTION:") != summary) fail();
    expect("END:VALARM");
    return time;
  }

  bool is_next(std::string_view line) const {
    return !failed_line_ && next_ < lines_.size() && lines_[next_].text == line;
  }

  void expect(std::string_view line) {
    if (!take(line).empty()) fail();
  }

  /// What follows the beginning of a line.
  std::string take(std::string_view beginning) {
    const bool is_there =
        !failed_line_ && next_ < lines_.size() && lines_[next_].text.starts_with(beginning);
    if (!is_there) {
      fail(next_ + 1);
      return "";
    }
    return lines_[next_++].text.substr(beginning.size());
  }

  /// A line of TEXT (RFC 5545, 3.3.11).
  std::string take_text(std::string_view beginning) {
    const std::string value = take(beginning);
    std::string text;
    for (std::size_t i = 0; i < value.size(); ++i) {
      const bool is_escape = value[i] == '\\' && i + 1 < value.size();
      if (is_escape) ++i;
      text += is_escape && value[i] == 'n' ? '\n' : value[i];
    }
    return text;
  }

  Date take_date(std::string_view beginning, std::string_view ending = "") {
    const std::string value = take(beginning);
    if (failed_line_) return {};
    if (value.size() != 8 + ending.size() || !value.ends_with(ending)) {
      fail();
      return {};
    }
    const auto date =
        parse_date(value.substr(0, 4) + "-" + value.substr(4, 2) + "-" + value.substr(6, 2));
    if (!date) fail();
    return date.value_or(Date{});
  }

  int take_number(std::string_view beginning) {
    const std::string value = take(beginning);
    int number = -1;
    const auto read = std::from_chars(value.data(), value.data() + value.size(), number);
    const bool is_number = read.ptr == value.data() + value.size() && number >= 0;
    if (!is_number || number > most_revisions) fail();
    return number;
  }

  /// A time of day as the duration from midnight: 9H30M, 9H, 30M, or 0S.
  ClockTime take_time(std::string_view beginning) {
    const std::string value = take(beginning);
    if (value == "0S") return {};
    std::string_view rest = value;
    const int hours = take_part(rest, 'H');
    const int minutes = take_part(rest, 'M');
    if (value.empty() || !rest.empty() || hours > 23 || minutes > 59) fail();
    return ClockTime::minute(60 * hours + minutes);
  }

  /// A number with its unit from the beginning of a duration; 0 if it has none.
  static int take_part(std::string_view& rest, char unit) {
    const std::size_t end = rest.find(unit);
    int number = 0;
    if (end == std::string_view::npos || end == 0 || rest.front() == '-') return number;
    const auto read = std::from_chars(rest.data(), rest.data() + end, number);
    if (read.ptr != rest.data() + end) return 0;
    rest.remove_prefix(end + 1);
    return number;
  }

  /// line: from 1; else the one just taken.
  void fail(std::optional<std::size_t> line = {}) {
    if (failed_line_) return;
    const std::size_t number = std::min(line.value_or(next_), lines_.size());
    failed_line_ = lines_[std::max<std::size_t>(number, 1) - 1].number;
  }

  /// Far above what any keeper revises, and far under what an int holds.
  static constexpr int most_revisions = 999'999'999;

  std::vector<ContentLine> lines_;
  std::size_t next_ = 0;
  std::optional<std::size_t> failed_line_;
};

tl::unexpected<ReadFailure> refuse_calendar(const std::string& file, std::size_t line,
                                            std::string what, std::string hint) {
  const Place place{file, line, line == 0 ? 0U : 1U, "", false};
  return tl::make_unexpected(
      ReadFailure{ReadFailure::Kind::content, {{place, std::move(what), std::move(hint)}}});
}

}  // namespace

ReadResult<Calendar> parse_calendar(const std::string& file, std::string_view text) {
  const std::string_view ours = calendar_product.substr(0, calendar_product.find("calendar"));
  const std::string product = "PRODID:" + std::string{ours};
  std::vector<ContentLine> lines = unfold(text);
  const auto is_product = [&](const ContentLine& line) { return line.text.starts_with(product); };
  const auto found = std::find_if(lines.begin(), lines.end(), is_product);
  if (lines.empty() || lines.front().text != "BEGIN:VCALENDAR" || found == lines.end()) {
    return refuse_calendar(file, 0, "this is no calendar that slowdawn wrote, so it is left alone",
                           "give another name after -o, or move this file away");
  }
  if (found->text.substr(7) != calendar_product) {
    return refuse_calendar(file, found->number,
                           "this calendar is from another version of slowdawn, so it is left alone",
                           "give another name after -o, or move this file away");
  }
  CalendarReader reader{std::move(lines)};
  Calendar calendar = reader.read();
  if (const auto line = reader.failed_line()) {
    return refuse_calendar(file, *line, "this is not as slowdawn wrote it, so it is left alone",
                           "another program has changed the file; move it away and write it anew");
  }
  if (!is_utf8(text)) {
    return refuse_calendar(file, 0, "the text is not valid UTF-8, so it is left alone",
                           "another program has changed the file; move it away and write it anew");
  }
  return calendar;
}

}  // namespace slowdawn
