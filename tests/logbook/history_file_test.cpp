#include "slowdawn/logbook/history_file.hpp"

#include <gtest/gtest.h>

#include <fstream>
#include <functional>
#include <iterator>
#include <nlohmann/json.hpp>
#include <slowdawn/logbook/entry.hpp>
#include <slowdawn/logbook/record.hpp>

namespace slowdawn {
namespace {

using Json = nlohmann::ordered_json;

/// As `history --json` writes it.
Json exported(const std::vector<LogEntry>& stored) {
  Json entries = Json::array();
  for (const LogEntry& entry : stored) {
    entries.push_back({{"seq", entry.seq},
                       {"date", to_iso(entry.date)},
                       {"kind", entry.kind},
                       {"made", to_iso(entry.made)},
                       {"body", Json::parse(entry.body)},
                       {"plan", entry.plan.empty() ? Json(nullptr) : Json::parse(entry.plan.str())},
                       {"record", Json::parse(entry.record)}});
  }
  return {{"format", "slowdawn-history/1"}, {"entries", std::move(entries)}};
}

/// What the story of tests/logbook/version_1/tell.py left.
std::vector<LogEntry> lived() {
  const std::string path =
      std::string{SLOWDAWN_SOURCE_FOLDER} + "/tests/logbook/version_1/window-bay.logbook";
  return with_legacy_record(LogbookFile::read(path, "Window bay").value().value());
}

/// "what / hint" of the first finding; empty if it is taken.
std::string refusal_of_text(const std::string& text) {
  const auto read = parse_history("history.json", text);
  if (read) return "";
  EXPECT_EQ(read.error().kind, ReadFailure::Kind::content);
  for (const Finding& finding : read.error().findings) {
    EXPECT_EQ(finding.place.file, "history.json");
    EXPECT_GT(finding.place.line, 0u) << finding.what;
    EXPECT_FALSE(finding.hint.empty()) << finding.what;
  }
  return read.error().findings.front().what + " / " + read.error().findings.front().hint;
}

TEST(HistoryFile, GivesBackEveryEntryToTheByte) {
  const std::vector<LogEntry> stored = lived();
  const auto read = parse_history("history.json", exported(stored).dump(1));
  ASSERT_TRUE(read.has_value()) << read.error().findings.front().what;
  ASSERT_EQ(read->size(), stored.size());
  for (std::size_t i = 0; i < stored.size(); ++i) {
    const NewLogEntry& entry = (*read)[i];
    EXPECT_EQ((LogEntry{stored[i].seq, entry.made, entry.date, entry.kind, entry.body, entry.plan,
                        entry.record}),
              stored[i]);
  }
}

struct Refusal {
  const char* name;
  std::function<void(Json& history)> change;
  std::string words;
};

/// Entries by number, as the messages name them: 1 follows, 2 is a look at staghorn, 8 is
/// a dial by hand; the others by their kind.
Json& entry(Json& history, std::size_t number) { return history["entries"][number - 1]; }
Json& first_of(Json& history, const std::string& kind) {
  for (Json& each : history["entries"]) {
    if (each["kind"] == kind) return each;
  }
  throw std::logic_error("no such entry in the story");
}

/// The tank of the follow entry, with another text in place of one in it.
void change_tank(Json& history, const std::string& from, const std::string& to) {
  std::string text = entry(history, 1)["body"]["tank_text"];
  const std::size_t at = text.find(from);
  if (at == std::string::npos) throw std::logic_error("not in the tank: " + from);
  entry(history, 1)["body"]["tank_text"] = text.replace(at, from.size(), to);
}

const Refusal refusals[] = {
    {"another document", [](Json& h) { h = Json::object(); }, "this is no history of slowdawn"},
    {"a list", [](Json& h) { h = Json::array(); }, "this is no history of slowdawn"},
    {"another format", [](Json& h) { h["format"] = "slowdawn-history/9"; },
     "this is no history of slowdawn"},
    {"no entries", [](Json& h) { h["entries"] = Json::array(); }, "this history has no entries"},
    {"a key beside them", [](Json& h) { h["notes"] = 1; }, "unknown key \"notes\" in a history"},
    {"a key in an entry", [](Json& h) { entry(h, 2)["mood"] = "calm"; },
     "unknown key \"mood\" in entry 2"},
    {"a key in a body", [](Json& h) { entry(h, 2)["body"]["mood"] = "calm"; }, "unknown key mood"},
    {"a key in a step", [](Json& h) { entry(h, 2)["plan"][0]["mood"] = "calm"; },
     "unknown key \"mood\" in a step of the plan of entry 2"},
    {"a key in a day", [](Json& h) { entry(h, 4)["record"][0]["mood"] = "calm"; },
     "entry 4: unknown key \"mood\" in a day of its record"},
    {"an entry that is none", [](Json& h) { entry(h, 2) = 7; }, "expected entry 2"},
    {"no record", [](Json& h) { entry(h, 3).erase("record"); },
     "entry 3 has no \"record\", so nobody knows which light there was / export it again with "
     "this slowdawn, from the logbook itself: slowdawn history --json > history.json"},
    {"no plan", [](Json& h) { entry(h, 3).erase("plan"); }, "entry 3 has no \"plan\""},
    {"no day of writing", [](Json& h) { entry(h, 3).erase("made"); }, "entry 3 has no \"made\""},
    {"no kind", [](Json& h) { entry(h, 3).erase("kind"); }, "entry 3: \"kind\" is missing"},
    {"a record that is no list", [](Json& h) { entry(h, 3)["record"] = nullptr; },
     "entry 3: its \"record\" is not a list of days"},
    {"an entry missing", [](Json& h) { h["entries"].erase(2); }, "entry 3: its \"seq\" is not 3"},
    {"the first missing", [](Json& h) { h["entries"].erase(0); }, "entry 1: its \"seq\" is not 1"},
    {"nothing followed",
     [](Json& h) {
       h["entries"] = Json::array({entry(h, 2)});
       entry(h, 1)["seq"] = 1;
     },
     "entry 1: no plan was followed when it was made"},
    {"a kind that nobody has", [](Json& h) { entry(h, 2)["kind"] = "danced"; },
     "unknown kind danced"},
    {"a day that does not exist", [](Json& h) { entry(h, 2)["date"] = "2026-02-30"; },
     "entry 2: the date 2026-02-30 does not exist / that month has 28 days"},
    {"a number for a day", [](Json& h) { entry(h, 2)["date"] = 20260301; },
     "entry 2: \"the number 20260301\" is not a date"},
    {"an end that does not exist",
     [](Json& h) { first_of(h, "dialed")["body"]["until"] = "2026-02-30"; },
     ": the date 2026-02-30 does not exist"},
    {"a start that does not exist", [](Json& h) { entry(h, 1)["body"]["start"] = "2026-13-01"; },
     "entry 1: the date 2026-13-01 does not exist"},
    {"an end before the beginning",
     [](Json& h) { first_of(h, "dialed")["body"]["until"] = "2026-03-01"; },
     "its \"until\" lies before its first day, 2026-03-17"},
    {"writing days that fall", [](Json& h) { entry(h, 4)["made"] = "2026-02-28"; },
     "entry 4: it was made on 2026-02-28, before an earlier entry"},
    {"an entry of the future", [](Json& h) { entry(h, 2)["date"] = "2026-03-02"; },
     "entry 2: it speaks of 2026-03-02 and was made on 2026-03-01"},
    {"an undo of what comes later", [](Json& h) { first_of(h, "undo")["body"]["seq"] = 500; },
     "it takes back entry 500, which is not before it"},
    {"undone by nobody", [](Json& h) { entry(h, 2)["undone"] = true; },
     "entry 2: no entry takes it back, \"undone\" says true"},
    {"a group that is not there", [](Json& h) { entry(h, 2)["body"]["group"] = "staghron"; },
     "entry 2: its tank has no group \"staghron\" / did you mean \"staghorn\"?"},
    {"Fv/Fm of nothing alive", [](Json& h) { entry(h, 2)["body"]["fv_fm"] = 0.95; },
     "entry 2: Fv/Fm goes from 0 to 0.9"},
    {"a spot that is not there", [](Json& h) { first_of(h, "moved")["body"]["spot"] = "sandd"; },
     "its tank has no spot \"sandd\" / did you mean \"sand\"?"},
    {"a spot that was not read",
     [](Json& h) { change_tank(h, R"("ledge": 16, "sand": 9)", R"("ledge": 16)"); },
     "\"sand\" has no reading of \"strip\""},
    {"a light that is not there",
     [](Json& h) { first_of(h, "dialed")["body"]["dials"]["barz"] = 30; },
     "its tank has no light \"barz\""},
    {"a light that was not read",
     [](Json& h) {
       change_tank(h, R"({"name": "strip",)",
                   R"({"name": "lamp", "photoperiod": {"on": "10:00", "off": "12:00"}},
                      {"name": "strip",)");
       first_of(h, "dialed")["body"]["dials"]["lamp"] = 30;
     },
     "\"lamp\" was not read at \"crest\""},
    {"dials of no mix that was read",
     [](Json& h) {
       change_tank(h, R"({"on": "09:00", "off": "21:00"})", R"({"on": "10:00", "off": "20:00"})");
       change_tank(h, R"({"bars": 50})", R"({"bars": 50, "strip": 25})");
       change_tank(h, R"({"strip": 50})", R"({"bars": 100, "strip": 50})");
       first_of(h, "dialed")["body"]["dials"] = {{"bars", 30}, {"strip", 60}};
     },
     "the readings at \"crest\" do not tell what its dials give there"},
    {"a tank that is none", [](Json& h) { entry(h, 1)["body"]["tank_text"] = "{}"; },
     "entry 1: the tank in it cannot be read: "},
    {"a light of no tank in a plan", [](Json& h) { entry(h, 2)["plan"][0]["dials"]["barz"] = 30; },
     "entry 2: its tank has no light \"barz\""},
    {"a dial in a plan", [](Json& h) { entry(h, 2)["plan"][0]["dials"]["bars"] = 130; },
     "entry 2: \"bars\" is not at 0 to 100 %"},
    {"a plan that goes back",
     [](Json& h) { entry(h, 2)["plan"][1]["date"] = entry(h, 2)["plan"][0]["date"]; },
     "entry 2: the dates of its plan do not rise"},
    {"a light of no tank in a record",
     [](Json& h) { entry(h, 4)["record"][0]["dials"]["barz"] = 30; },
     "entry 4: its tank has no light \"barz\""},
    {"a day twice in a record",
     [](Json& h) { entry(h, 4)["record"].push_back(entry(h, 4)["record"].back()); },
     "entry 4: the days of its record do not rise"},
    {"a day twice among records", [](Json& h) { entry(h, 6)["record"] = entry(h, 4)["record"]; },
     "entry 6: its record has 2026-03-01, and an entry before it has 2026-03-06"},
    {"a day in a record to come",
     [](Json& h) {
       entry(h, 2)["record"] =
           Json::parse(R"([{"date": "2026-03-02", "dials": {"bars": 40}, "at": 0}])");
     },
     "entry 2: its record has 2026-03-02, a day after it was made"},
};

TEST(HistoryFile, RefusesWhatTheCommandsWouldNotWrite) {
  Json good = exported(lived());
  // The rest of the plans says nothing more, and takes time to read so often.
  for (Json& each : good["entries"]) {
    while (each["plan"].size() > 3) each["plan"].erase(each["plan"].size() - 1);
  }
  ASSERT_EQ(refusal_of_text(good.dump(1)), "");
  for (const Refusal& each : refusals) {
    Json history = good;
    each.change(history);
    const std::string refusal = refusal_of_text(history.dump(1));
    EXPECT_NE(refusal.find(each.words), std::string::npos)
        << each.name << ": " << refusal << "\nhas not: " << each.words;
  }
}

TEST(HistoryFile, RefusesAKeyThatStandsTwice) {
  const std::string good = exported(lived()).dump();
  for (const std::string part : {R"("format":"slowdawn-history/1",)", R"("kind":"follow",)",
                                 R"("mucus":false,)", R"("dials":{"bars":40.0,"strip":20.0},)"}) {
    std::string text = good;
    const std::size_t at = text.find(part);
    ASSERT_NE(at, std::string::npos) << part;
    const std::string refusal = refusal_of_text(text.insert(at, part));
    EXPECT_NE(refusal.find("twice"), std::string::npos) << part << ": " << refusal;
  }
}

TEST(HistoryFile, TellsSeveralFaultsAtOnceInTheirOrder) {
  Json history = exported(lived());
  entry(history, 2)["body"]["group"] = "staghron";
  entry(history, 3)["date"] = "2026-02-30";
  const auto read = parse_history("history.json", history.dump(1));
  ASSERT_FALSE(read.has_value());
  ASSERT_EQ(read.error().findings.size(), 2u);
  EXPECT_EQ(read.error().findings[0].place.pointer, "/entries/1/body");
  EXPECT_EQ(read.error().findings[1].place.pointer, "/entries/2/date");
  EXPECT_LT(read.error().findings[0].place.line, read.error().findings[1].place.line);
}

/// What a group of the plan before did counts against that plan's names.
TEST(HistoryFile, ChecksAnEntryAgainstTheTankOfItsDay) {
  Json history = exported(lived());
  Json again = entry(history, 1);
  again["seq"] = history["entries"].size() + 1;
  again["made"] = history["entries"].back()["made"];
  again["date"] = "2026-05-25";
  again["body"]["start"] = "2026-05-25";
  again["plan"] = Json::array();
  again["record"] = Json::array();
  std::string text = again["body"]["tank_text"];
  text.replace(text.find("staghorn"), 8, "antlers.");
  again["body"]["tank_text"] = text;
  history["entries"].push_back(again);
  Json look = entry(history, 2);
  look["seq"] = history["entries"].size() + 1;
  look["made"] = again["made"];
  look["record"] = Json::array();
  look["date"] = "2026-03-20";
  history["entries"].push_back(look);
  EXPECT_EQ(refusal_of_text(history.dump(1)), "");
  history["entries"].back()["body"]["group"] = "antlers.";
  EXPECT_EQ(refusal_of_text(history.dump(1)), "");
  history["entries"].back()["body"]["group"] = "torch";
  EXPECT_NE(refusal_of_text(history.dump(1)).find("has no group \"torch\""), std::string::npos);
}

}  // namespace
}  // namespace slowdawn
