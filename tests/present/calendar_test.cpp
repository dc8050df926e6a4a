#include "slowdawn/present/calendar.hpp"

#include <gtest/gtest.h>

#include "logbook/story.hpp"
#include "tank/good_tank.hpp"

namespace slowdawn {
namespace {

const Date today = parse_date("2026-03-01").value();

Date on(std::size_t day) { return days_after(today, day); }

CalendarEvent event_on(std::size_t day, const std::string& summary) {
  return {.uid = calendar_uid("Window reef", CalendarEventKind::step, on(day)),
          .date = on(day),
          .summary = summary,
          .description = "why",
          .stamp = today};
}

/// "0:bars 40 %,0 2:bars 45 %,1": day, summary, SEQUENCE.
std::string text_of(const Calendar& calendar) {
  std::string text;
  for (const CalendarEvent& event : calendar.events) {
    if (!text.empty()) text += " | ";
    text += std::to_string((event.date - today).days()) + ": " + event.summary + " " +
            std::to_string(event.sequence);
  }
  return text;
}

Calendar revise(const std::vector<CalendarEvent>& planned,
                const std::vector<CalendarEvent>& earlier, const StepTraces& traces = {},
                std::size_t day = 0) {
  return revise_calendar("Window reef", planned, earlier, traces, on(day));
}

TEST(RevisedCalendar, KeepsWhatSaysTheSame) {
  CalendarEvent old = event_on(1, "40");
  old.sequence = 4;
  CalendarEvent now = event_on(1, "40");
  now.stamp = on(1);
  const Calendar made = revise({now}, {old}, {}, 1);
  EXPECT_EQ(text_of(made), "1: 40 4");
  EXPECT_EQ(made.events[0].stamp, today);
}

TEST(RevisedCalendar, RaisesWhatChangedAndCancelsWhatIsGone) {
  EXPECT_EQ(text_of(revise({event_on(1, "45"), event_on(3, "50")},
                           {event_on(1, "40"), event_on(2, "45")})),
            "1: 45 1 | 2: Cancelled: 45 1 | 3: 50 0");
}

TEST(RevisedCalendar, CancelsOnceAndRevives) {
  const Calendar gone = revise({}, {event_on(1, "40")});
  EXPECT_EQ(text_of(gone), "1: Cancelled: 40 1");
  EXPECT_EQ(text_of(revise({}, gone.events)), "1: Cancelled: 40 1");
  const Calendar back = revise({event_on(1, "40")}, gone.events);
  EXPECT_EQ(text_of(back), "1: 40 2");
  EXPECT_FALSE(back.events[0].is_cancelled);
}

TEST(RevisedCalendar, LeavesWhatLiesBeforeToday) {
  EXPECT_EQ(text_of(revise({event_on(1, "45"), event_on(4, "50")},
                           {event_on(1, "40"), event_on(2, "42"), event_on(3, "44")}, {}, 3)),
            "1: 40 0 | 2: 42 0 | 3: Cancelled: 44 1 | 4: 50 0");
}

TEST(RevisedCalendar, TakesWhatTheLogbookHadWhereTheFileIsGone) {
  const std::map<std::string, Percent> dials{{"bars", Percent::of_full(45)}};
  const StepTraces traces{
      {on(0), {dials, 3, false}}, {on(1), {dials, 2, true}}, {on(2), {dials, 1, false}}};
  const std::string reef = " (Window reef)";
  EXPECT_EQ(text_of(revise({event_on(1, "50")}, {}, traces, 1)),
            "1: 50 2 | 2: Cancelled: bars 45 %" + reef + " 1");
  // With the file, whichever SEQUENCE is higher.
  CalendarEvent cancelled = event_on(2, "Cancelled: 45");
  cancelled.is_cancelled = true;
  cancelled.sequence = 7;
  EXPECT_EQ(text_of(revise({event_on(1, "50")}, {event_on(1, "48"), cancelled}, traces, 1)),
            "1: 50 2 | 2: Cancelled: 45 7");
}

TEST(CalendarText, ReadsBackAsItWas) {
  Calendar calendar{"a, b; c\\ d", {event_on(0, "one\\n, two; three: four"), event_on(9, "x")}};
  calendar.events[0].description = "line\nline, \\;\n";
  calendar.events[0].reminder = ClockTime{};
  calendar.events[1].reminder = ClockTime::minute(23 * 60 + 59);
  calendar.events[1].sequence = 12;
  calendar.events[1].is_cancelled = true;
  const std::string text = calendar_text(calendar);
  const auto read = parse_calendar("plan.ics", text);
  ASSERT_TRUE(read.has_value()) << read.error().findings[0].what;
  EXPECT_EQ(read->name, calendar.name);
  ASSERT_EQ(read->events.size(), 2U);
  for (std::size_t i = 0; i < 2; ++i) {
    EXPECT_TRUE(read->events[i].says_the_same(calendar.events[i])) << i;
    EXPECT_EQ(read->events[i].uid, calendar.events[i].uid);
    EXPECT_EQ(read->events[i].date, calendar.events[i].date);
    EXPECT_EQ(read->events[i].stamp, calendar.events[i].stamp);
    EXPECT_EQ(read->events[i].sequence, calendar.events[i].sequence);
  }
  EXPECT_EQ(calendar_text(*read), text);
}

/// A plan that goes from 40 % evenly to 50 %, and five days on.
class EvenCalendar : public ::testing::Test {
 protected:
  EvenCalendar() {
    const std::size_t base = *replay_.setup.problem.path.base;
    replay_.plan = compute_plan(replay_.setup.problem);
    replay_.plan.even = EvenRamp{base, base + 10, true};
    replay_.plan.days.resize(16);
    for (std::size_t day = 0; day < 16; ++day) {
      replay_.plan.days[day].setting = base + std::min<std::size_t>(day, 10);
    }
  }

  static Replay make() {
    Tank tank = testing::read(testing::one_light_tank());
    RampSetup setup = make_ramp_setup(tank);
    return {std::move(tank), std::move(setup), {}, today, {}, {}, {}};
  }

  Replay replay_ = make();
};

TEST_F(EvenCalendar, HasOneEventForTheWholeStep) {
  const PlannedRamp ramp{replay_.tank, replay_.setup, replay_.plan, replay_.start};
  std::vector<CalendarEvent> steps;
  for (const CalendarEvent& event : list_calendar_events(ramp, today, ClockTime::minute(540))) {
    if (event.uid == calendar_uid("Window reef", CalendarEventKind::step, event.date)) {
      steps.push_back(event);
    }
  }
  ASSERT_EQ(steps.size(), 1U);
  EXPECT_EQ(steps[0].date, today);
  EXPECT_EQ(steps[0].summary,
            "bars from 40 % evenly to 50 % on 2026-03-11 (10 days) (Window reef)");
  EXPECT_NE(steps[0].description.find("go on evenly"), std::string::npos);
  EXPECT_EQ(steps[0].reminder, ClockTime::minute(540));
}

TEST_F(EvenCalendar, KeepsItsDaysInTheLogbookAsNoSteps) {
  const std::vector<DatedPlan> plans{{today, plan_steps_json(replay_, today)},
                                     {on(4), plan_steps_json(replay_, on(4))}};
  const auto traces = trace_steps("reef.logbook", plans);
  ASSERT_TRUE(traces.has_value());
  ASSERT_EQ(traces->size(), 1U);
  EXPECT_EQ(traces->begin()->first, today);
  EXPECT_EQ(traces->begin()->second.changes, 0);
  EXPECT_TRUE(traces->begin()->second.is_planned);
}

}  // namespace
}  // namespace slowdawn
