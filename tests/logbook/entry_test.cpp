#include "slowdawn/logbook/entry.hpp"

#include <gtest/gtest.h>

#include <string>
#include <vector>

#include "logbook/story.hpp"

namespace slowdawn {
namespace {

using testing::Json;

const Date march_1{2026, 3, 1};
const Date march_5{2026, 3, 5};

LogEntry stored_entry(std::int64_t seq, const std::string& kind, const std::string& body) {
  return {seq, march_1, march_5, kind, body, ""};
}

/// An entry as it comes back from what is stored of it.
Entry through_store(const EntryBody& body) {
  const NewLogEntry added = to_log_entry(march_1, march_5, body, "[]");
  EXPECT_EQ(added.made, march_1);
  EXPECT_EQ(added.date, march_5);
  EXPECT_EQ(added.plan, "[]");
  const auto parsed =
      parse_entries("reef.logbook", {{1, added.made, added.date, added.kind, added.body, "[]"}});
  if (!parsed) throw std::runtime_error(parsed.error().findings.front().what);
  EXPECT_EQ(parsed->size(), 1u);
  return parsed->front();
}

/// The stored form again: two entries that say the same are stored alike.
std::string stored_form(const EntryBody& body) {
  return to_log_entry(march_1, march_5, body, "").body;
}

TEST(Entry, ComesBackWithItsDates) {
  const Entry entry = through_store(MovedEntry{"chalice", "sand"});
  EXPECT_EQ(entry.seq, 1);
  EXPECT_EQ(entry.made, march_1);
  EXPECT_EQ(entry.date, march_5);
  EXPECT_FALSE(entry.undone);
}

TEST(Entry, OfAFollowedPlanComesBack) {
  for (const Pace pace : {Pace::gentle, Pace::standard, Pace::brisk}) {
    const FollowEntry followed{
        "{\"name\": \"R\u00e9cif \\\"\\n\"}", {{"acropora", "{}\n"}, {"b", ""}}, march_1, 28, pace};
    const Entry entry = through_store(followed);
    EXPECT_EQ(kind_of(*entry.body), "follow");
    EXPECT_EQ(std::get<FollowEntry>(*entry.body), followed);
  }
}

TEST(Entry, OfALookComesBack) {
  std::vector<CheckInEntry> looks{{"chalice", {}, "", "", false},
                                  {"caf\u00e9 \"x\"", {}, "two\nlines", "a b/\\c.jpg", true}};
  for (const Extension extension : {Extension::less, Extension::usual, Extension::more}) {
    for (const Tissue tissue : {Tissue::whole, Tissue::white_patches, Tissue::lost}) {
      for (const bool mucus : {false, true}) {
        looks.push_back({"chalice",
                         {.colour = -2,
                          .card = 6,
                          .extension = extension,
                          .mucus = mucus,
                          .tissue = tissue,
                          .fv_fm = 0.1 + 0.2},
                         "",
                         "",
                         false});
      }
    }
  }
  for (const CheckInEntry& look : looks) {
    SCOPED_TRACE(stored_form(look));
    const Entry entry = through_store(look);
    EXPECT_EQ(kind_of(*entry.body), "checkin");
    const auto& back = std::get<CheckInEntry>(*entry.body);
    EXPECT_EQ(back.group, look.group);
    EXPECT_EQ(back.seen.day, 0);
    EXPECT_EQ(back.seen.colour, look.seen.colour);
    EXPECT_EQ(back.seen.card, look.seen.card);
    EXPECT_EQ(back.seen.extension, look.seen.extension);
    EXPECT_EQ(back.seen.mucus, look.seen.mucus);
    EXPECT_EQ(back.seen.tissue, look.seen.tissue);
    EXPECT_EQ(back.seen.fv_fm, look.seen.fv_fm) << "to the last digit";
    EXPECT_EQ(back.note, look.note);
    EXPECT_EQ(back.photo, look.photo);
    EXPECT_EQ(back.restart, look.restart);
  }
}

TEST(Entry, OfADialComesBack) {
  for (const std::optional<Date>& until : {std::optional<Date>{}, std::optional{march_5}}) {
    const DialedEntry dialed{
        {{"bars", Percent::of_full(100.0 / 3.0)}, {"tubes", Percent::of_full(0.0)}}, until};
    const Entry entry = through_store(dialed);
    EXPECT_EQ(kind_of(*entry.body), "dialed");
    EXPECT_EQ(std::get<DialedEntry>(*entry.body).dials, dialed.dials);
    EXPECT_EQ(std::get<DialedEntry>(*entry.body).until, until);
  }
}

TEST(Entry, OfAMoveComesBack) {
  const Entry entry = through_store(MovedEntry{"chalice", "sand"});
  EXPECT_EQ(kind_of(*entry.body), "moved");
  EXPECT_EQ(std::get<MovedEntry>(*entry.body).group, "chalice");
  EXPECT_EQ(std::get<MovedEntry>(*entry.body).spot, "sand");
}

TEST(Entry, OfAnUndoComesBack) {
  const Entry entry = through_store(UndoEntry{7});
  EXPECT_EQ(kind_of(*entry.body), "undo");
  EXPECT_EQ(std::get<UndoEntry>(*entry.body).seq, 7);
}

/// Bodies that this program does not write, each wrong in one place.
struct Foreign {
  const char* name;
  const char* kind;
  const char* body;
};

const Foreign foreign[] = {
    {"no JSON", "checkin", "{"},
    {"nothing", "moved", ""},
    {"a list", "moved", "[]"},
    {"unknown kind", "fed", "{}"},
    {"no kind", "", "{}"},
    {"look without a group", "checkin", R"({"extension":"usual","mucus":false,"tissue":"whole"})"},
    {"unknown extension", "checkin",
     R"({"group":"a","extension":"Less","mucus":false,"tissue":"whole"})"},
    {"unknown tissue", "checkin",
     R"({"group":"a","extension":"usual","mucus":false,"tissue":"holes"})"},
    {"mucus as a number", "checkin",
     R"({"group":"a","extension":"usual","mucus":1,"tissue":"whole"})"},
    {"colour as text", "checkin",
     R"({"group":"a","colour_steps":"-1","extension":"usual","mucus":false,"tissue":"whole"})"},
    {"colour of a step and a half", "checkin",
     R"({"group":"a","colour_steps":-1.5,"extension":"usual","mucus":false,"tissue":"whole"})"},
    {"colour out of range", "checkin",
     R"({"group":"a","colour_steps":-4294967297,"extension":"usual","mucus":false,"tissue":"whole"})"},
    {"card of seven steps", "checkin",
     R"({"group":"a","card_score":7,"extension":"usual","mucus":false,"tissue":"whole"})"},
    {"Fv/Fm over 1", "checkin",
     R"({"group":"a","extension":"usual","mucus":false,"tissue":"whole","fv_fm":7})"},
    {"Fv/Fm under 0", "checkin",
     R"({"group":"a","extension":"usual","mucus":false,"tissue":"whole","fv_fm":-0.1})"},
    {"key of a newer version", "checkin",
     R"({"group":"a","extension":"usual","mucus":false,"tissue":"whole","smell":"bad"})"},
    {"dials missing", "dialed", "{}"},
    {"dial as text", "dialed", R"({"dials":{"bars":"40"}})"},
    {"dial over 100", "dialed", R"({"dials":{"bars":101}})"},
    {"dial under 0", "dialed", R"({"dials":{"bars":-1}})"},
    {"until on no day", "dialed", R"({"dials":{"bars":40},"until":"2026-02-30"})"},
    {"move without a spot", "moved", R"({"group":"a"})"},
    {"undo of text", "undo", R"({"seq":"1"})"},
    {"undo of one and a half", "undo", R"({"seq":1.5})"},
    {"undo of number 0", "undo", R"({"seq":0})"},
    {"undo of number -1", "undo", R"({"seq":-1})"},
    {"follow without a tank", "follow",
     R"({"profile_texts":{},"start":"2026-03-01","every_days":1,"pace":"gentle"})"},
    {"follow on no day", "follow",
     R"({"tank_text":"","profile_texts":{},"start":"2026-02-30","every_days":1,"pace":"gentle"})"},
    {"unknown pace", "follow",
     R"({"tank_text":"","profile_texts":{},"start":"2026-03-01","every_days":1,"pace":"fast"})"},
    {"a step every 0 days", "follow",
     R"({"tank_text":"","profile_texts":{},"start":"2026-03-01","every_days":0,"pace":"gentle"})"},
    {"a step every -1 days", "follow",
     R"({"tank_text":"","profile_texts":{},"start":"2026-03-01","every_days":-1,"pace":"gentle"})"},
    {"a step every 29 days", "follow",
     R"({"tank_text":"","profile_texts":{},"start":"2026-03-01","every_days":29,"pace":"gentle"})"},
};

TEST(ParseEntries, RefusesForeignBodiesByTheirNumber) {
  for (const Foreign& each : foreign) {
    SCOPED_TRACE(each.name);
    const auto parsed =
        parse_entries("reef.logbook", {stored_entry(1, "moved", R"({"group":"a","spot":"b"})"),
                                       stored_entry(2, each.kind, each.body)});
    if (parsed) {
      ADD_FAILURE() << "taken";
      continue;
    }
    EXPECT_EQ(parsed.error().kind, ReadFailure::Kind::access);
    ASSERT_EQ(parsed.error().findings.size(), 1u);
    const Finding& finding = parsed.error().findings.front();
    EXPECT_EQ(finding.place.file, "reef.logbook");
    EXPECT_TRUE(finding.what.starts_with("entry 2 is not one of this program's: ")) << finding.what;
    EXPECT_FALSE(finding.hint.empty());
  }
}

/// For each entry, whether it is taken back.
std::string undone_in(const std::vector<EntryBody>& bodies) {
  std::vector<LogEntry> stored;
  for (const EntryBody& body : bodies) {
    const NewLogEntry added = to_log_entry(march_1, march_5, body, "");
    const auto seq = static_cast<std::int64_t>(stored.size()) + 1;
    stored.push_back({seq, added.made, added.date, added.kind, added.body, ""});
  }
  const auto entries = parse_entries("reef.logbook", stored);
  if (!entries) return entries.error().findings.front().what;
  std::string undone;
  for (const Entry& entry : *entries) undone += entry.undone ? 'x' : '.';
  return undone;
}

TEST(ParseEntries, MarksWhatIsTakenBack) {
  const MovedEntry move{"chalice", "sand"};
  EXPECT_EQ(undone_in({}), "");
  EXPECT_EQ(undone_in({move, move}), "..");
  EXPECT_EQ(undone_in({move, UndoEntry{1}}), "x.");
  EXPECT_EQ(undone_in({move, move, UndoEntry{1}, move}), "x...");
}

TEST(ParseEntries, BringsBackWhatAnUndoneUndoTook) {
  const MovedEntry move{"chalice", "sand"};
  EXPECT_EQ(undone_in({move, UndoEntry{1}, UndoEntry{2}}), ".x.");
  EXPECT_EQ(undone_in({move, UndoEntry{1}, UndoEntry{2}, UndoEntry{3}}), "x.x.");
  EXPECT_EQ(undone_in({move, UndoEntry{1}, UndoEntry{2}, UndoEntry{1}}), "xx..");
  EXPECT_EQ(undone_in({move, UndoEntry{1}, UndoEntry{1}, UndoEntry{2}}), "xx..") << "taken twice";
}

TEST(ParseEntries, TakesNothingBackThatIsNotThereYet) {
  const MovedEntry move{"chalice", "sand"};
  EXPECT_EQ(undone_in({move, UndoEntry{3}, move}), "...");
  EXPECT_EQ(undone_in({move, UndoEntry{2}}), "..") << "itself";
  EXPECT_EQ(undone_in({move, UndoEntry{99}}), "..");
}

TEST(FindFollowed, IsTheNewestThatIsNotTakenBack) {
  testing::Story story;
  const auto found = [&](int day) {
    const auto entries = parse_entries("reef.logbook", story.stored_on(day)).value();
    const Entry* followed = find_followed(entries);
    return followed == nullptr ? 0 : followed->seq;
  };
  EXPECT_EQ(found(0), 1);
  story.look(3, "chalice");
  EXPECT_EQ(found(3), 1);
  const auto second =
      story.add(4, FollowEntry{story.tank().text, {}, story.date_of(4), 2, Pace::gentle});
  EXPECT_EQ(found(4), second);
  const auto undo = story.undo(5, second);
  EXPECT_EQ(found(5), 1);
  story.undo(6, undo);
  EXPECT_EQ(found(6), second);
}

TEST(FindFollowed, FindsNothingInAnEmptyLogbook) { EXPECT_EQ(find_followed({}), nullptr); }

TEST(FollowedTank, HasTheRampAsItWasFollowed) {
  const Json text = testing::one_light_tank();
  const auto tank = followed_tank("reef.logbook", {text.dump(), {}, march_5, 3, Pace::gentle});
  ASSERT_TRUE(tank) << testing::to_text(tank.error().findings);
  EXPECT_EQ(tank->ramp.start, march_5);
  EXPECT_EQ(tank->ramp.every_days, 3);
  EXPECT_EQ(tank->ramp.pace, Pace::gentle);
  EXPECT_EQ(tank->text, text.dump());
}

TEST(FollowedTank, TakesTheProfilesThatWereFollowed) {
  Json profile = testing::good_profile_in_place();
  profile["name"] = "window coral";
  profile["covers"] = {"anything"};
  profile["light_class"] = "medium";
  profile["notes"] = Json::array();
  profile["basis"] = Json::object();
  for (const char* figure :
       {"light_class", "dose_band", "peak_ceiling", "headroom_percent", "weekly_rise_percent",
        "tau_up_days", "tau_down_days", "carryover", "floor_percent"}) {
    profile["basis"][figure] = "common practice, no source";
  }
  Json text = testing::one_light_tank();
  text["groups"][0]["profile"] = "window coral";
  const auto tank =
      followed_tank("reef.logbook",
                    {text.dump(), {{"window coral", profile.dump()}}, march_5, 1, Pace::standard});
  ASSERT_TRUE(tank) << testing::to_text(tank.error().findings);
  EXPECT_DOUBLE_EQ(tank->groups[0].profile.tolerance.tau_up.d(), 9.0);
  EXPECT_FALSE(followed_tank("reef.logbook", {text.dump(), {}, march_5, 1, Pace::standard}));
}

}  // namespace
}  // namespace slowdawn
