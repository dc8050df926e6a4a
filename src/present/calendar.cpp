#include <fmt/format.h>

#include <algorithm>
#include <boost/date_time/gregorian/gregorian.hpp>
#include <boost/uuid/name_generator_sha1.hpp>
#include <boost/uuid/string_generator.hpp>
#include <boost/uuid/uuid_io.hpp>
#include <slowdawn/present/calendar.hpp>
#include <slowdawn/present/phrases.hpp>
#include <slowdawn/present/text.hpp>

namespace slowdawn {
namespace {

/// The name space of our UUIDs; drawn once at random.
constexpr const char* uid_name_space = "a1045ed2-b5ec-4f2b-b61b-ab82d91c022c";

/// A line may have so many octets without its end (RFC 5545, 3.1).
constexpr std::size_t longest_line = 75;

bool is_inside_a_letter(char byte) { return (static_cast<unsigned char>(byte) & 0xC0U) == 0x80U; }

/// A content line, folded between letters.
std::string fold_line(std::string_view line) {
  std::string folded;
  std::size_t room = longest_line;
  while (line.size() > room) {
    std::size_t end = room;
    while (is_inside_a_letter(line[end])) --end;
    folded += line.substr(0, end);
    folded += "\r\n ";
    line.remove_prefix(end);
    room = longest_line - 1;
  }
  folded += line;
  return folded + "\r\n";
}

/// TEXT (RFC 5545, 3.3.11); a colon is never escaped.
std::string escape_calendar_text(std::string_view text) {
  std::string escaped;
  for (const char c : text) {
    if (c == '\n') {
      escaped += "\\n";
      continue;
    }
    if (c == '\\' || c == ';' || c == ',') escaped += '\\';
    escaped += c;
  }
  return escaped;
}

std::string calendar_date(const Date& date) { return boost::gregorian::to_iso_string(date); }

/// The time from midnight: "PT9H30M" (RFC 5545, 3.3.6).
std::string trigger_text(ClockTime time) {
  const int minutes = static_cast<int>(time.minute());
  if (minutes == 0) return "PT0S";
  std::string text = "PT";
  if (minutes >= 60) text += fmt::format("{}H", minutes / 60);
  if (minutes % 60 != 0) text += fmt::format("{}M", minutes % 60);
  return text;
}

std::string alarm_text(ClockTime reminder, const std::string& summary) {
  return "BEGIN:VALARM\r\nACTION:DISPLAY\r\n" + fold_line("TRIGGER:" + trigger_text(reminder)) +
         fold_line("DESCRIPTION:" + escape_calendar_text(summary)) + "END:VALARM\r\n";
}

std::string calendar_event_text(const CalendarEvent& event) {
  std::string text = "BEGIN:VEVENT\r\n" + fold_line("UID:" + event.uid);
  text += fold_line("DTSTAMP:" + calendar_date(event.stamp) + "T000000Z");
  text += fold_line("SEQUENCE:" + std::to_string(event.sequence));
  text += event.is_cancelled ? "STATUS:CANCELLED\r\n" : "STATUS:CONFIRMED\r\n";
  text += fold_line("DTSTART;VALUE=DATE:" + calendar_date(event.date));
  // The end is not part of it (RFC 5545, 3.6.1).
  text += fold_line("DTEND;VALUE=DATE:" + calendar_date(days_after(event.date, 1)));
  text += fold_line("SUMMARY:" + escape_calendar_text(event.summary));
  text += fold_line("DESCRIPTION:" + escape_calendar_text(event.description));
  // A day with a step is not a day on which the keeper is busy.
  text += "TRANSP:TRANSPARENT\r\n";
  if (event.reminder) text += alarm_text(*event.reminder, event.summary);
  return text + "END:VEVENT\r\n";
}

/// An event taken back. Programs that do not heed STATUS show its words, so they
/// say it, too; and nothing rings.
CalendarEvent cancelled_event(CalendarEvent event, const Date& today) {
  if (event.is_cancelled) return event;
  event.summary = "Cancelled: " + event.summary;
  event.description =
      "The plan has changed, and this is no part of it any more. Do not dial by it; `slowdawn "
      "today` says what to dial in.";
  event.reminder.reset();
  event.is_cancelled = true;
  event.stamp = today;
  return event;
}

std::string dials_of_trace(const StepTrace& trace) {
  std::string text;
  for (const auto& [light, dial] : trace.dials) {
    text += (text.empty() ? "" : ", ") + to_safe_text(light) + " " + to_text(dial);
  }
  return text;
}

}  // namespace

std::string calendar_uid(std::string_view tank_name, CalendarEventKind kind, const Date& date) {
  const boost::uuids::name_generator_sha1 name_uuid{
      boost::uuids::string_generator{}(uid_name_space)};
  const std::string kind_name = kind == CalendarEventKind::step ? "step" : "look";
  return to_string(name_uuid(kind_name + "\n" + to_iso(date) + "\n" + std::string{tank_name}));
}

std::string calendar_name(std::string_view tank_name) { return to_safe_text(tank_name); }

Calendar revise_calendar(std::string_view tank_name, const std::vector<CalendarEvent>& planned,
                         const std::vector<CalendarEvent>& earlier, const StepTraces& traces,
                         const Date& today) {
  std::map<std::string, CalendarEvent> by_uid;
  std::map<std::string, int> logged_changes;
  for (const auto& [date, trace] : traces) {
    const std::string uid = calendar_uid(tank_name, CalendarEventKind::step, date);
    logged_changes[uid] = trace.changes;
    if (trace.is_planned || date < today) continue;
    CalendarEvent event{uid, date, dials_of_trace(trace) + " (" + calendar_name(tank_name) + ")"};
    by_uid[uid] = cancelled_event(std::move(event), today);
  }
  for (const CalendarEvent& event : planned) by_uid[event.uid] = event;
  for (auto& [uid, event] : by_uid) event.sequence = logged_changes[uid];

  for (const CalendarEvent& before : earlier) {
    if (before.date < today) {
      by_uid[before.uid] = before;
      continue;
    }
    const auto found = by_uid.find(before.uid);
    const bool is_planned = found != by_uid.end() && !found->second.is_cancelled;
    CalendarEvent now = is_planned ? found->second : cancelled_event(before, today);
    const int risen = before.sequence + (now.says_the_same(before) ? 0 : 1);
    now.sequence = std::max(risen, logged_changes[before.uid]);
    now.stamp = now.sequence == before.sequence ? before.stamp : today;
    by_uid[before.uid] = std::move(now);
  }

  Calendar calendar{calendar_name(tank_name), {}};
  for (auto& [uid, event] : by_uid) calendar.events.push_back(std::move(event));
  std::stable_sort(calendar.events.begin(), calendar.events.end(),
                   [](const auto& a, const auto& b) { return a.date < b.date; });
  return calendar;
}

std::string calendar_text(const Calendar& calendar) {
  std::string text = "BEGIN:VCALENDAR\r\nVERSION:2.0\r\n";
  text += fold_line("PRODID:" + std::string{calendar_product});
  text += "CALSCALE:GREGORIAN\r\n" + fold_line("NAME:" + escape_calendar_text(calendar.name));
  for (const CalendarEvent& event : calendar.events) text += calendar_event_text(event);
  return text + "END:VCALENDAR\r\n";
}

std::string calendar_summary(const PlannedRamp& ramp, const Calendar& calendar, const Date& today) {
  const auto count = [&](auto&& is_meant) {
    return std::count_if(calendar.events.begin(), calendar.events.end(), is_meant);
  };
  const auto to_come =
      count([&](const CalendarEvent& event) { return event.date >= today && !event.is_cancelled; });
  const auto gone = count([](const CalendarEvent& event) { return event.is_cancelled; });
  std::string text = to_come > 0
                         ? fmt::format("{} from today on are planned",
                                       to_come == 1 ? "1 event" : fmt::format("{} events", to_come))
                         : "The plan ended on " + to_iso(ramp.date(ramp.plan.days.size() - 1)) +
                               ", so nothing in it is still to come";
  if (gone > 0) text += fmt::format("; {} cancelled", gone);
  return text + ".";
}

}  // namespace slowdawn
