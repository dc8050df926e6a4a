#include "slowdawn/logbook/step_trace.hpp"

#include <gtest/gtest.h>

namespace slowdawn {
namespace {

Date march(int day) { return parse_date("2026-03-0" + std::to_string(day)).value(); }

/// The plan from a day on: one step a number, none for 0.
DatedPlan plan_from(int first_day, std::initializer_list<int> percents) {
  std::string steps;
  int day = first_day;
  for (const int percent : percents) {
    if (percent > 0) {
      steps += (steps.empty() ? "" : ",") + std::string{R"({"date":")"} + to_iso(march(day)) +
               R"(","dials":{"bars":)" + std::to_string(percent) + "}}";
    }
    ++day;
  }
  return {march(first_day), "[" + steps + "]"};
}

StepTraces trace(const std::vector<DatedPlan>& plans) {
  return trace_steps("reef.logbook", plans).value();
}

/// "1:40,0 2:45,1-": day, percentage, changes, and a minus where it is not planned.
std::string text_of(const StepTraces& traces) {
  std::string text;
  for (const auto& [date, step] : traces) {
    if (!text.empty()) text += " ";
    text += std::to_string(date.day().as_number()) + ":" +
            std::to_string(static_cast<int>(step.dials.at("bars").percent())) + "," +
            std::to_string(step.changes) + (step.is_planned ? "" : "-");
  }
  return text;
}

TEST(StepTrace, OfOnePlanHasItsSteps) {
  EXPECT_EQ(text_of(trace({plan_from(1, {40, 0, 45})})), "1:40,0 3:45,0");
  EXPECT_EQ(text_of(trace({})), "");
}

TEST(StepTrace, CountsChangesAndKeepsWhatFellAway) {
  const DatedPlan first = plan_from(1, {40, 45, 50, 55});
  EXPECT_EQ(text_of(trace({first, plan_from(3, {0, 60})})), "1:40,0 2:45,0 3:50,1- 4:60,1");
  EXPECT_EQ(text_of(trace({first, plan_from(3, {0, 60}), plan_from(3, {50, 55})})),
            "1:40,0 2:45,0 3:50,2 4:55,2");
  EXPECT_EQ(text_of(trace({first, first, first})), "1:40,0 2:45,0 3:50,0 4:55,0");
}

TEST(StepTrace, DaysBeforeAPlanAreNotItsMatter) {
  EXPECT_EQ(text_of(trace({plan_from(1, {40, 45, 50}), plan_from(3, {55})})),
            "1:40,0 2:45,0 3:55,1");
}

TEST(StepTrace, FirstDayThatOnlySaysHowTheLightsStandIsNoStep) {
  // The third day of the second plan goes on with what the second day of the first one set.
  EXPECT_EQ(text_of(trace({plan_from(1, {40, 45, 0, 50}), plan_from(3, {45, 50})})),
            "1:40,0 2:45,0 4:50,0");
  EXPECT_EQ(text_of(trace({plan_from(1, {40, 45, 50}), plan_from(3, {45})})),
            "1:40,0 2:45,0 3:50,1-");
}

TEST(StepTrace, EntryThatLeavesNoPlanTakesEveryStepAway) {
  EXPECT_EQ(text_of(trace({plan_from(1, {40, 45}), {march(2), ""}})), "1:40,0 2:45,1-");
}

TEST(StepTrace, EvenRampIsOneStepThatChangesWithItsEnd) {
  const auto even = [](const std::string& last) {
    return DatedPlan{march(1), R"([{"date":"2026-03-01","dials":{"bars":40}},
      {"date":"2026-03-02","dials":{"bars":41},"even":true},
      {"date":"2026-03-03","dials":{"bars":)" +
                                   last + R"(},"even":true}])"};
  };
  EXPECT_EQ(text_of(trace({even("42")})), "1:40,0");
  EXPECT_EQ(text_of(trace({even("42"), even("42")})), "1:40,0");
  EXPECT_EQ(text_of(trace({even("42"), even("43")})), "1:40,1");
}

TEST(StepTrace, MoveOnADayIsPartOfItsStep) {
  const auto moving = [](const std::string& spot) {
    return DatedPlan{march(1), R"([{"date":"2026-03-01","dials":{"bars":40},
      "moves":[{"group":"chalice","spot":")" +
                                   spot + R"("}]}])"};
  };
  EXPECT_EQ(text_of(trace({moving("sand"), moving("sand")})), "1:40,0");
  EXPECT_EQ(text_of(trace({moving("sand"), moving("ledge")})), "1:40,1");
}

TEST(StepTrace, RefusesAPlanThatIsNone) {
  for (const char* steps : {"{", R"([{"date":"2026-13-01","dials":{}}])", R"([{"dials":{}}])",
                            R"([{"date":"2026-03-01","dials":{"bars":"x"}}])"}) {
    const auto traced = trace_steps("reef.logbook", {{march(1), steps}});
    ASSERT_FALSE(traced.has_value()) << steps;
    EXPECT_EQ(traced.error().kind, ReadFailure::Kind::access);
    EXPECT_EQ(traced.error().findings.at(0).place.file, "reef.logbook");
  }
}

TEST(StepTrace, FollowEntrySpeaksFromTheDayItWasMade) {
  const auto plans = list_plans({{1, march(2), march(5), "follow", "{}", "[]"},
                                 {2, march(7), march(6), "checkin", "{}", "[]"},
                                 {3, march(8), march(3), "follow", "{}", "[]"}});
  ASSERT_EQ(plans.size(), 3U);
  EXPECT_EQ(plans[0].from, march(2));
  EXPECT_EQ(plans[1].from, march(6));
  EXPECT_EQ(plans[2].from, march(3));
}

}  // namespace
}  // namespace slowdawn
