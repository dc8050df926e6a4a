#include <gtest/gtest.h>

#include <cmath>
#include <fstream>
#include <slowdawn/tank/ppfd_log.hpp>
#include <string>
#include <vector>

namespace slowdawn {
namespace {

PpfdLog parsed(const std::string& text) {
  auto log = parse_ppfd_log("crest.csv", text);
  if (!log) throw std::runtime_error(log.error().findings.front().what);
  return *std::move(log);
}

/// Everything that is wrong with a text, "LINE:COLUMN: WHAT" on a line each.
std::string refusal(const std::string& text) {
  const auto log = parse_ppfd_log("crest.csv", text);
  if (log) return "no refusal";
  EXPECT_EQ(log.error().kind, ReadFailure::Kind::content);
  std::string list;
  for (const Finding& finding : log.error().findings) {
    EXPECT_EQ(finding.place.file, "crest.csv");
    EXPECT_FALSE(finding.hint.empty());
    list += (list.empty() ? "" : "\n") + std::to_string(finding.place.line) + ":" +
            std::to_string(finding.place.column) + ": " + finding.what;
  }
  return list;
}

/// The minutes of the samples under a header of time and PPFD.
std::vector<double> minutes(const std::string& lines) {
  std::vector<double> list;
  for (const LightSample& sample : parsed("time,ppfd\n" + lines).samples) {
    list.push_back(sample.time.minute());
  }
  return list;
}

using Minutes = std::vector<double>;

TEST(PpfdLog, HasSamplesFromTheFirstMidnightOn) {
  const PpfdLog log = parsed(
      "time,ppfd_umol_m2_s\n2026-12-01 09:00,0.2\n2026-12-01 09:10,38\n2026-12-02 00:05,0\n");
  EXPECT_EQ(log.file, "crest.csv");
  EXPECT_EQ(to_iso(log.first_date), "2026-12-01");
  ASSERT_EQ(log.samples.size(), 3u);
  EXPECT_EQ(log.samples[0].time.minute(), 540.0);
  EXPECT_EQ(log.samples[0].ppfd.umol_m2_s(), 0.2);
  EXPECT_EQ(log.samples[1].time.minute(), 550.0);
  EXPECT_EQ(log.samples[1].ppfd.umol_m2_s(), 38.0);
  EXPECT_EQ(log.samples[2].time.minute(), 1445.0);
}

TEST(PpfdLog, TakesEveryNameOfItsColumns) {
  for (const char* time : {"time", "Timestamp", "date_time", "DateTime"}) {
    for (const char* ppfd : {"ppfd", "PPFD_umol_m2_s", "PAR", "umol_m2_s"}) {
      const std::string header = std::string{"meter,"} + ppfd + ",note," + time;
      EXPECT_EQ(parsed(header + "\nb,12,,2026-12-01 09:00\n").samples.front().ppfd.umol_m2_s(),
                12.0)
          << header;
    }
  }
}

TEST(PpfdLog, TakesSeveralFormsOfTime) {
  EXPECT_EQ(minutes("2026-12-01 09:00,1\n2026-12-01T09:01,1\n2026-12-01 09:01:30,1\n"
                    "2026-12-01T09:01:45.0,1\n2026-12-01 09:02:07.5,1\n"
                    "2026-12-01 23:59:59.999999999,1\n"),
            (Minutes{540.0, 541.0, 541.5, 541.75, 542.125, 1439.0 + 59.999999999 / 60.0}));
  EXPECT_EQ(parsed("time;ppfd\n2026-12-01 09:00:30,5;3,5\n").samples.front().time.minute(),
            540.0 + 30.5 / 60.0);
}

TEST(PpfdLog, CrossesMonthsAndLeapDays) {
  EXPECT_EQ(minutes("2028-02-28 12:00,1\n2028-02-29 12:00,1\n2028-03-01 12:00,1\n"),
            (Minutes{720.0, 720.0 + 1440.0, 720.0 + 2 * 1440.0}));
  EXPECT_EQ(minutes("2026-12-31 23:59,1\n2027-01-01 00:00,1\n"), (Minutes{1439.0, 1440.0}));
}

TEST(PpfdLog, CountsTheClockTimeAsWritten) {
  for (const char* offset : {"Z", "+02:00", "-09:30", "+00:00"}) {
    const std::string line = std::string{"2026-12-01T23:50:00"} + offset + ",1\n";
    EXPECT_EQ(minutes(line), Minutes{1430.0}) << offset;
    EXPECT_EQ(to_iso(parsed("time,ppfd\n" + line).first_date), "2026-12-01") << offset;
  }
  EXPECT_EQ(minutes("2026-12-01 09:00Z,1\n2026-12-01 09:10+00:00,1\n"), (Minutes{540.0, 550.0}));
}

TEST(PpfdLog, RefusesAnOffsetThatChanges) {
  EXPECT_EQ(refusal("time,ppfd\n2026-10-25 02:50+02:00,0\n2026-10-25 02:55+02:00,0\n"
                    "2026-10-25 03:00+01:00,0\n2026-10-25 03:05+01:00,0\n2026-10-25 03:10,0\n"),
            "4:1: the offset from UTC is not that of \"2026-10-25 02:50+02:00\" on line 2\n"
            "6:1: the offset from UTC is not that of \"2026-10-25 03:00+01:00\" on line 4");
  EXPECT_EQ(refusal("time,ppfd\n2026-12-01 09:00,0\n2026-12-01 09:10Z,0\n").substr(0, 4), "3:1:");
  EXPECT_EQ(refusal("time,ppfd\n2026-12-01 09:00+05:00,0\n2026-12-01 09:10-05:00,0\n"),
            "3:1: the offset from UTC is not that of \"2026-12-01 09:00+05:00\" on line 2");
}

TEST(PpfdLog, RefusesOtherFormsOfTime) {
  for (const char* text : {"2026-12-01",
                           "09:00",
                           "2026-12-01 9:00",
                           "2026-12-01_09:00",

                           "2026-12-01 09:00 +01:00",
                           "2026-12-01 09:00:",
                           "2026-12-01 09:00:5",
                           "2026-12-01 09:00:05.",
                           "2026-12-01 09:00:60",
                           "2026-12-01 09:00:005",
                           "2026-12-01 09:00.5",
                           "2026-12-01 09:00z",
                           "2026-12-01 09:00+1",
                           "2026-12-01 09:00+0100",
                           "2026-12-01 09:00+24:00",
                           "2026-12-01 09:00ZZ",
                           "2026-12-01 09:00 am",
                           "1764579600",
                           "noon",
                           ""}) {
    EXPECT_EQ(refusal(std::string{"time,ppfd\n"} + text + ",1\n"),
              "2:1: \"" + std::string{text} + "\" is not a date and a time of day");
  }
  EXPECT_EQ(refusal("time,ppfd\n2026-02-30 09:00,1\n"), "2:1: the date 2026-02-30 does not exist");
  EXPECT_EQ(refusal("time,ppfd\n2026/12/01 09:00,1\n"), "2:1: \"2026/12/01\" is not a date");
  EXPECT_EQ(refusal("time,ppfd\n2026-12-01 24:00,1\n"), "2:1: \"24:00\" is not a time of day");
}

TEST(PpfdLog, RefusesATimeThatStandsTwice) {
  EXPECT_EQ(refusal("ppfd,time\n1,2026-12-01 09:00\n\n2,2026-12-01T09:00:00\n"),
            "4:3: the time is that of the line before, \"2026-12-01 09:00\" on line 2");
}

TEST(PpfdLog, RefusesATimeThatGoesBack) {
  const std::string autumn =
      "time,ppfd\n2026-10-25 02:50,0\n2026-10-25 02:55,0\n2026-10-25 02:00,0\n"
      "2026-10-25 02:05,0\n2026-10-25 03:00,0\n";
  EXPECT_EQ(refusal(autumn),
            "4:1: the time goes back: the line before has \"2026-10-25 02:55\" on line 3");
  const auto log = parse_ppfd_log("crest.csv", autumn);
  EXPECT_NE(log.error().findings.front().hint.find("autumn"), std::string::npos);
  EXPECT_EQ(refusal("time,ppfd\n2026-12-02 00:00,0\n2026-12-01 23:50,0\n").substr(0, 4), "3:1:");
}

TEST(PpfdLog, NamesOneErrorWhereTheNewestLineStandsFirst) {
  std::string text = "time,ppfd\n";
  for (int hour = 20; hour >= 10; --hour) text += "2026-12-01 " + std::to_string(hour) + ":00,1\n";
  EXPECT_EQ(refusal(text),
            "3:1: the time goes back: the line before has \"2026-12-01 20:00\" on line 2");
}

TEST(PpfdLog, TakesNoiseInTheDarkForNothing) {
  const PpfdLog log = parsed(
      "time,ppfd\n2026-12-01 09:00,-0.3\n2026-12-01 09:01,-5\n2026-12-01 09:02,-0\n"
      "2026-12-01 09:03,3000\n");
  EXPECT_EQ(log.samples[0].ppfd.umol_m2_s(), 0.0);
  EXPECT_EQ(log.samples[1].ppfd.umol_m2_s(), 0.0);
  EXPECT_FALSE(std::signbit(log.samples[2].ppfd.umol_m2_s()));
  EXPECT_EQ(log.samples[3].ppfd.umol_m2_s(), 3000.0);
}

TEST(PpfdLog, RefusesPpfdThatCannotBe) {
  EXPECT_EQ(refusal("time,ppfd\n2026-12-01 09:00,-5.1\n2026-12-01 09:01,3001\n"
                    "2026-12-01 09:02,nan\n2026-12-01 09:03,\n2026-12-01 09:04,12 umol\n"
                    "2026-12-01 09:05,1e999\n"),
            "2:18: -5.1 is out of range, which goes from -5 to 3000\n"
            "3:18: 3001 is out of range, which goes from -5 to 3000\n"
            "4:18: expected a number, found \"nan\"\n"
            "5:18: expected a number, found an empty cell\n"
            "6:18: expected a number, found \"12 umol\"\n"
            "7:18: the number \"1e999\" is too large or too small");
}

TEST(PpfdLog, CollectsErrorsInFileOrder) {
  EXPECT_EQ(refusal("ppfd,time\nx,noon\n1,2026-12-01 09:00\ny,2026-12-01 08:00\n"),
            "2:1: expected a number, found \"x\"\n"
            "2:3: \"noon\" is not a date and a time of day\n"
            "4:1: expected a number, found \"y\"\n"
            "4:3: the time goes back: the line before has \"2026-12-01 09:00\" on line 3");
  std::string many = "time,ppfd\n";
  for (int i = 0; i < 100; ++i) many += "noon,x\n";
  EXPECT_EQ(parse_ppfd_log("crest.csv", many).error().findings.size(), most_findings);
}

TEST(PpfdLog, RefusesAFileWithoutItsColumnsOrSamples) {
  EXPECT_EQ(refusal("tiem,lux\n2026-12-01 09:00,1\n"),
            "1:1: there is no column \"time\", \"timestamp\", \"date_time\" or \"datetime\"\n"
            "1:1: there is no column \"ppfd\", \"ppfd_umol_m2_s\", \"par\" or \"umol_m2_s\"");
  EXPECT_EQ(refusal("n,time,ppfd\n"), "1:3: the log has no samples");
  EXPECT_EQ(refusal(""), "1:1: the file is empty");
}

TEST(PpfdLog, KnowsWhereEachSampleStands) {
  const PpfdLog log =
      parsed("n;time;ppfd\n# a note\n1;2026-12-01 09:00;3,5\n22; 2026-12-01 09:10;4\n");
  EXPECT_EQ(log.place(0).file, "crest.csv");
  EXPECT_EQ(log.place(0).line, 3u);
  EXPECT_EQ(log.place(0).column, 3u);
  EXPECT_EQ(log.place(1).line, 4u);
  EXPECT_EQ(log.place(1).column, 5u);
}

TEST(PpfdLog, IsIntegratedByItsDays) {
  std::string text = "time;ppfd\n";
  for (const char* date : {"2026-12-01", "2026-12-02"}) {
    for (int hour = 9; hour <= 19; ++hour) {
      const std::string ppfd = hour == 9 || hour == 19 ? "-0,2" : "250";
      text +=
          date + std::string{hour < 10 ? " 0" : " "} + std::to_string(hour) + ":00;" + ppfd + "\n";
    }
  }
  const PpfdLog log = parsed(text);
  const auto days = integrate_logged_light(log.samples);
  ASSERT_TRUE(days.has_value()) << days.error().what;
  ASSERT_EQ(days->size(), 2u);
  for (const LoggedDay& day : *days) {
    EXPECT_NEAR(day.dose.mol_m2_d(), 8.1, 1e-13);
    EXPECT_NEAR(day.lit.h(), 10.0, 1e-12);
  }
}

TEST(PpfdLog, IsReadFromAFile) {
  const std::string file = ::testing::TempDir() + "slowdawn_ppfd_log.csv";
  std::ofstream{file, std::ios::binary} << "\xEF\xBB\xBFtime;ppfd\r\n2026-12-01 09:00;1\r\n";
  EXPECT_EQ(read_ppfd_log(file)->samples.size(), 1u);
  EXPECT_EQ(read_ppfd_log(file)->file, file);
  EXPECT_EQ(read_ppfd_log(::testing::TempDir()).error().kind, ReadFailure::Kind::access);
}

}  // namespace
}  // namespace slowdawn
