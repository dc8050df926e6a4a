// A plan as a calendar (RFC 5545): an event for each step, and for each day on
// which groups are to be looked at.
//
// The same plan gives the same bytes. What an import of an earlier calendar has
// left in the user's own is put right by the next import: an event keeps its UID,
// its SEQUENCE rises when it changes, and what is no longer planned is cancelled.
#pragma once

#include <slowdawn/logbook/step_trace.hpp>
#include <slowdawn/present/planned_ramp.hpp>
#include <slowdawn/tank/calendar_file.hpp>
#include <string>
#include <string_view>
#include <vector>

namespace slowdawn {

enum class CalendarEventKind { step, look };

/// A name-based UUID (version 5 of RFC 4122, section 4.3: 122 bits of a SHA-1) of
/// the kind, the date and the tank's name, each in a line, within a name space of
/// our own. It says nothing of the user or the machine (RFC 7986, 5.3).
std::string calendar_uid(std::string_view tank_name, CalendarEventKind kind, const Date& date);

/// The events of a plan.
/// today: of a followed plan, looks are planned from then on. Events before it
///   have no alarm, which would ring at once.
/// reminder: when alarms ring; empty for none.
std::vector<CalendarEvent> list_calendar_events(const PlannedRamp& ramp, const Date& today,
                                                std::optional<ClockTime> reminder);

/// Makes new events the successors of earlier ones. One rule for both sources: what
/// was planned for today or later, by the calendar written before or by a plan of
/// the logbook, and is planned no more, is cancelled. SEQUENCE is what the calendar
/// written before has, one more where the event says something else now, and at
/// least as often as the logbook's plans changed it. What lies before today stays as
/// that calendar has it.
/// planned: from list_calendar_events.
/// earlier: of the calendar that is written anew; empty where there is none.
/// traces: of the logbook's plans, and of this one as the last; may be empty.
Calendar revise_calendar(std::string_view tank_name, const std::vector<CalendarEvent>& planned,
                         const std::vector<CalendarEvent>& earlier, const StepTraces& traces,
                         const Date& today);

/// The file: lines of at most 75 octets ended by CR LF, no letter split.
/// calendar: with one event at least, as the RFC demands.
std::string calendar_text(const Calendar& calendar);

/// A sentence or two on what was written.
std::string calendar_summary(const PlannedRamp& ramp, const Calendar& calendar, const Date& today);

/// What the calendar of a tank is called.
std::string calendar_name(std::string_view tank_name);

}  // namespace slowdawn
