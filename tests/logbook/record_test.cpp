#include <gtest/gtest.h>

#include <slowdawn/logbook/entry.hpp>
#include <slowdawn/logbook/record.hpp>
#include <stdexcept>

namespace slowdawn {
namespace {

using Dials = std::map<std::string, Percent>;

Dials bars(double percent) { return {{"bars", Percent::of_full(percent)}}; }

Date date(const std::string& text) { return parse_date(text).value(); }

std::string refusal_of(const std::string& json) {
  try {
    parse_record(json);
    return "";
  } catch (const std::invalid_argument& problem) {
    return problem.what();
  }
}

TEST(Record, IsKeptAsJson) {
  const Record record{{Date{2026, 12, 1}, bars(34.5), 12},
                      {Date{2026, 12, 3}, bars(40), 13, bars(38)}};
  const std::string json =
      R"([{"date":"2026-12-01","dials":{"bars":34.5},"at":12},)"
      R"({"date":"2026-12-03","dials":{"bars":40.0},"at":13,"low":{"bars":38.0}}])";
  EXPECT_EQ(record_json(record), json);
  EXPECT_EQ(parse_record(json), record);
  EXPECT_EQ(record_json({}), "[]");
  EXPECT_TRUE(parse_record("[]").empty());
}

TEST(Record, RefusesWhatItWouldNotWrite) {
  const std::string good = R"({"date":"2026-12-01","dials":{"bars":34},"at":12})";
  EXPECT_EQ(refusal_of("[" + good + "]"), "");
  for (const auto& [json, words] : {
           std::pair<std::string, std::string>{"", "its record is not a list of days"},
           {"{}", "its record is not a list of days"},
           {"[" + good, "its record is not a list of days"},
           {"[3]", "a day of its record is not an object"},
           {R"([{"date":"2026-12-01","dials":{"bars":34},"at":12,"lows":{}}])",
            "unknown key \"lows\" in a day of its record"},
           {R"([{"dials":{"bars":34},"at":12}])", "a day of its record lacks \"date\""},
           {R"([{"date":"2026-12-01","at":12}])", "a day of its record lacks \"dials\""},
           {R"([{"date":"2026-12-01","dials":{"bars":34}}])", "a day of its record lacks \"at\""},
           {R"([{"date":"2026-02-30","dials":{"bars":34},"at":12}])",
            "in its record, the date 2026-02-30 does not exist"},
           {R"([{"date":5,"dials":{"bars":34},"at":12}])", "in its record, \"5\" is not a date"},
           {R"([{"date":"2026-12-01","dials":{},"at":12}])", "a day of its record without a light"},
           {R"([{"date":"2026-12-01","dials":{"bars":101},"at":12}])",
            "\"bars\" is not at 0 to 100 %"},
           {R"([{"date":"2026-12-01","dials":{"bars":-1},"at":12}])",
            "\"bars\" is not at 0 to 100 %"},
           {R"([{"date":"2026-12-01","dials":{"bars":"34"},"at":12}])",
            "\"bars\" is not at 0 to 100 %"},
           {R"([{"date":"2026-12-01","dials":{"bars":34},"at":-1}])",
            "\"at\" of a day of its record is not a whole number"},
           {R"([{"date":"2026-12-01","dials":{"bars":34},"at":1.5}])",
            "\"at\" of a day of its record is not a whole number"},
           {R"([{"date":"2026-12-01","dials":{"bars":34},"at":12,"low":{}}])",
            "\"low\" of a day of its record without a light"},
           {R"([{"date":"2026-12-01","dials":{"bars":34},"at":12,"low":{"tubes":1}}])",
            "\"low\" of a day of its record names \"tubes\", its \"dials\" do not"},
           {"[" + good + "," + good + "]", "the days of its record do not rise at 2026-12-01"},
           {"[" + good + R"(,{"date":"2026-11-30","dials":{"bars":34},"at":12}])",
            "the days of its record do not rise at 2026-11-30"},
       }) {
    EXPECT_EQ(refusal_of(json), words) << json;
  }
}

/// A logbook of version 1 with plans as a test needs them; what it says of light is
/// asked day by day.
class OldLogbook {
 public:
  void add(const std::string& made, const std::string& day, const EntryBody& body,
           const std::vector<std::pair<std::string, double>>& steps) {
    std::string plan;
    for (const auto& [from, percent] : steps) {
      plan += (plan.empty() ? "" : ",") + ("{\"date\":\"" + from + "\",\"dials\":{\"bars\":") +
              std::to_string(percent) + "}}";
    }
    const NewLogEntry entry = to_log_entry(date(made), date(day), body, "[" + plan + "]");
    stored.push_back({static_cast<std::int64_t>(stored.size()) + 1, entry.made, entry.date,
                      entry.kind, entry.body, entry.plan});
  }
  void follow(const std::string& made, const std::string& start,
              const std::vector<std::pair<std::string, double>>& steps) {
    add(made, start,
        FollowEntry{R"({"groups": [{"name": "chalice"}, {"name": "torch"}]})",
                    {},
                    date(start),
                    7,
                    Pace::standard},
        steps);
  }
  void look(const std::string& made, const std::string& day, const std::string& group,
            const std::vector<std::pair<std::string, double>>& steps) {
    CheckInEntry entry;
    entry.group = group;
    add(made, day, entry, steps);
  }
  /// The percentages from the first day of the record to the last, in words.
  std::string lit(const std::string& until) const {
    std::string text;
    for (const RecordedDay& day : legacy_record(stored, date(until))) {
      EXPECT_EQ(day.at, 0u);
      EXPECT_EQ(day.low, std::nullopt);
      if (text.empty()) text = to_iso(day.date) + ":";
      text += " " + std::to_string(static_cast<int>(day.dials.at("bars").percent()));
    }
    return text;
  }

  std::vector<LogEntry> stored;
};

const std::vector<std::pair<std::string, double>> every_three_days{
    {"2026-03-01", 40}, {"2026-03-04", 43}, {"2026-03-07", 46},
    {"2026-03-10", 49}, {"2026-03-13", 52}, {"2026-03-16", 55}};

TEST(LegacyRecord, IsThePlanUntilNobodyHasLookedForAWeek) {
  OldLogbook logbook;
  logbook.follow("2026-02-27", "2026-03-01", every_three_days);
  EXPECT_EQ(logbook.lit("2026-03-01"), "");
  EXPECT_EQ(logbook.lit("2026-03-05"), "2026-03-01: 40 40 40 43");
  // Day 8 is the first without a look for over 7 days.
  EXPECT_EQ(logbook.lit("2026-03-15"), "2026-03-01: 40 40 40 43 43 43 46 46 46 46 46 46 46 46");
}

TEST(LegacyRecord, IsHeldForOneGroupAlone) {
  OldLogbook logbook;
  logbook.follow("2026-03-01", "2026-03-01", every_three_days);
  logbook.look("2026-03-06", "2026-03-06", "torch", every_three_days);
  EXPECT_EQ(logbook.lit("2026-03-12"), "2026-03-01: 40 40 40 43 43 43 46 46 46 46 46");
  logbook.look("2026-03-11", "2026-03-11", "chalice",
               {{"2026-03-11", 46}, {"2026-03-12", 49}, {"2026-03-15", 52}});
  EXPECT_EQ(logbook.lit("2026-03-17"),
            "2026-03-01: 40 40 40 43 43 43 46 46 46 46 46 49 49 49 49 49");
}

TEST(LegacyRecord, KnowsALateLookFromTheDayOnWhichItWasLogged) {
  OldLogbook logbook;
  logbook.follow("2026-03-01", "2026-03-01", every_three_days);
  for (const char* group : {"chalice", "torch"}) {
    // The plan stored with it says what would have been.
    logbook.look("2026-03-14", "2026-03-08", group,
                 {every_three_days.begin() + 2, every_three_days.end()});
  }
  EXPECT_EQ(logbook.lit("2026-03-19"),
            "2026-03-01: 40 40 40 43 43 43 46 46 46 46 46 46 46 52 52 52 52 52");
}

TEST(LegacyRecord, KnowsAnUndoFromTheDayOnWhichItWasLogged) {
  OldLogbook logbook;
  logbook.follow("2026-03-01", "2026-03-01", every_three_days);
  logbook.look("2026-03-08", "2026-03-08", "chalice", every_three_days);
  logbook.look("2026-03-08", "2026-03-08", "torch", every_three_days);
  logbook.add("2026-03-12", "2026-03-08", UndoEntry{3}, {{"2026-03-08", 46}});
  EXPECT_EQ(logbook.lit("2026-03-15"), "2026-03-01: 40 40 40 43 43 43 46 46 46 49 49 46 46 46");
}

TEST(LegacyRecord, BeginsWithTheDaysBeforeItWasFollowed) {
  OldLogbook logbook;
  logbook.follow("2026-03-05", "2026-03-01", every_three_days);
  EXPECT_EQ(logbook.lit("2026-03-08"), "2026-03-01: 40 40 40 43 43 43 46");
}

TEST(LegacyRecord, StaysWhereItStoodUntilAnotherPlanBegins) {
  OldLogbook logbook;
  logbook.follow("2026-03-01", "2026-03-01", every_three_days);
  logbook.follow("2026-03-05", "2026-03-09", {{"2026-03-09", 30}, {"2026-03-12", 31}});
  EXPECT_EQ(logbook.lit("2026-03-14"), "2026-03-01: 40 40 40 43 43 43 43 43 30 30 30 31 31");
}

TEST(LegacyRecord, TakesADarkDayFromThePlanAndGoesOnHeld) {
  OldLogbook logbook;
  logbook.follow("2026-03-01", "2026-03-01", every_three_days);
  const Date dark{2026, 3, 11};
  logbook.add("2026-03-11", "2026-03-11", DialedEntry{bars(0), dark + boost::gregorian::days(1)},
              {{"2026-03-11", 0}, {"2026-03-13", 44}, {"2026-03-15", 49}});
  EXPECT_EQ(logbook.lit("2026-03-17"), "2026-03-01: 40 40 40 43 43 43 46 46 46 46 0 0 44 44 44 44");
}

TEST(LegacyRecord, NeverRisesOutOfADarkDayWithinAHold) {
  OldLogbook logbook;
  logbook.follow("2026-03-01", "2026-03-01", every_three_days);
  logbook.add("2026-03-11", "2026-03-11", DialedEntry{bars(0), {}},
              {{"2026-03-11", 0}, {"2026-03-12", 49}, {"2026-03-15", 52}});
  EXPECT_EQ(logbook.lit("2026-03-17"),
            "2026-03-01: 40 40 40 43 43 43 46 46 46 46 0 46 46 46 46 46");
}

TEST(LegacyRecord, GoesOnAlongAnEvenRampWithoutLooks) {
  OldLogbook logbook;
  FollowEntry even{R"({"groups": [{"name": "chalice"}]})", {}, Date{2026, 3, 1}, 7, Pace::standard};
  even.even = FollowedLine{bars(40), bars(55), 15};
  logbook.add("2026-03-01", "2026-03-01", even, every_three_days);
  EXPECT_EQ(logbook.lit("2026-03-17"),
            "2026-03-01: 40 40 40 43 43 43 46 46 46 49 49 49 52 52 52 55");
}

TEST(LegacyRecord, AsksNoEntryThatHasARecordOfItsOwn) {
  OldLogbook logbook;
  logbook.follow("2026-03-01", "2026-03-01", every_three_days);
  logbook.look("2026-03-02", "2026-03-02", "torch", {{"2026-03-02", 10}});
  logbook.stored.back().record = "[]";
  EXPECT_EQ(logbook.lit("2026-03-05"), "2026-03-01: 40 40 40 43");
  EXPECT_TRUE(legacy_record({}, Date{2026, 3, 5}).empty());
}

TEST(LegacyRecord, RefusesAPlanOfNobody) {
  OldLogbook logbook;
  logbook.follow("2026-03-01", "2026-03-01", {{"2026-02-30", 40}});
  EXPECT_THROW((void)logbook.lit("2026-03-05"), std::invalid_argument);
}

}  // namespace
}  // namespace slowdawn
