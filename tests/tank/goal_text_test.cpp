#include <gtest/gtest.h>
#include <sys/stat.h>
#include <unistd.h>

#include <filesystem>
#include <slowdawn/tank/goal_text.hpp>
#include <slowdawn/tank/text_file.hpp>

#include "property/dice.hpp"
#include "tank/good_tank.hpp"

namespace slowdawn {
namespace {

using testing::Dice;
using testing::Json;

/// Lights with names that a line of words could be read in more than one way.
const std::vector<std::string> light_names{"bar", "bar 2", "colours", "wei\xC3\x9F / \"blau\""};

Json tank_json() {
  Json tank = testing::good_tank();
  Json light = tank["lights"][0];
  Json survey = tank["surveys"][0];
  tank["lights"] = Json::array();
  tank["surveys"] = Json::array();
  for (const std::string& name : light_names) {
    light["name"] = name;
    tank["lights"].push_back(light);
    survey["dials"] = {{name, 100}};
    tank["surveys"].push_back(survey);
  }
  tank["lights"][1]["dial"] = Json::parse(R"({"lowest": 5, "highest": 90, "step": 2})");
  tank["ramp"]["from"] = {{"bar", 100}};
  tank["ramp"]["to"] = {{"bar", 80}};
  return tank;
}

Tank tank_of_four() { return testing::read(tank_json()); }

/// "bar 2 40, colours 60", or what is wrong.
std::string read_goal(const Tank& tank, const std::string& words) {
  const auto goal = parse_goal(tank, words);
  if (!goal) return goal.error().what + " | " + goal.error().hint;
  std::string text;
  for (const auto& [light, dial] : *goal) {
    text += (text.empty() ? "" : ", ") + tank.lights[light].name + " " +
            std::to_string(dial.percent()).substr(0, 4);
  }
  return text;
}

TEST(GoalText, ReadsLightsAndPercentagesInTurn) {
  const Tank tank = tank_of_four();
  const struct {
    const char* words;
    const char* goal;
  } cases[] = {
      {"bar 2 40 colours 60", "bar 2 40.0, colours 60.0"},
      {"  colours 60 % bar 2 40%\n", "bar 2 40.0, colours 60.0"},
      {"colours 60, bar 2 40", "bar 2 40.0, colours 60.0"},
      {"colours 60; bar 2 0", "bar 2 0.00, colours 60.0"},
      {"bar 2", "bar 2.00"},
      {"bar 2 colours 60", "bar 2.00, colours 60.0"},
      {"\"bar\" 2 colours 60", "bar 2.00, colours 60.0"},
      {"'bar 2' 62.5", "bar 2 62.5"},
      {"'wei\xC3\x9F / \"blau\"' 20 bar 30", "bar 30.0, wei\xC3\x9F / \"blau\" 20.0"},
      {"wei\xC3\x9F / \"blau\" 20", "wei\xC3\x9F / \"blau\" 20.0"},
      {"55", "bar 55.0"},
      {"55 %", "bar 55.0"},
  };
  for (const auto& one : cases) EXPECT_EQ(read_goal(tank, one.words), one.goal) << one.words;
}

TEST(GoalText, RefusesWhatIsNoGoal) {
  const Tank tank = tank_of_four();
  const struct {
    const char* words;
    const char* what;
    const char* hint;
  } cases[] = {
      {"", "the goal is empty", "lights and percentages"},
      {"colour 60", "there is no light \"colour\"", "did you mean \"colours\"?"},
      {"colors 60 bar 40", "there is no light \"colors\"", "did you mean \"colours\"?"},
      {"bar 40 'colors' 60", "there is no light \"colors\"", "did you mean \"colours\"?"},
      {"moon 60", "there is no light \"moon\"", "there is \"bar\", \"bar 2\", \"colours\""},
      {"bar 60 40", "\"40\" does not begin with a light", "lights and percentages"},
      {"'colours 60", "a quote is not closed", "lights and percentages"},
      {"colours", "\"colours\" has no percentage", "\"colours 40\""},
      {"colours sixty", "\"sixty\" is no percentage", "a number from 0 to 100"},
      {"colours 101", "101 is out of range", "0 to 100"},
      {"bar 2 95", "bar 2 cannot be dialled to 95 %", "from 5 to 90 %, or 0"},
      {"colours 60 bar 40 colours 50", "\"colours\" stands twice", "once"},
      {"colours 0.4", "a percentage, not a share: 0.4 would be 0.4 %", "write 40;"},
      {"bar 0 colours 0", "the goal is dark", "over 0"},
      {"0", "the goal is dark", "over 0"},
  };
  for (const auto& one : cases) {
    const auto goal = parse_goal(tank, one.words);
    ASSERT_FALSE(goal) << one.words;
    EXPECT_NE(goal.error().what.find(one.what), std::string::npos) << goal.error().what;
    EXPECT_NE(goal.error().hint.find(one.hint), std::string::npos) << goal.error().hint;
    EXPECT_EQ(goal.error().place.file, tank.file);
  }
}

TEST(GoalText, TakesOnePercentageOnlyForAGoalOfOneLight) {
  Json file = tank_json();
  file["ramp"]["to"] = {{"bar", 80}, {"colours", 20}};
  EXPECT_EQ(read_goal(testing::read(file), "55").substr(0, 35),
            "\"55\" does not begin with a light | ");
}

/// Writes JSON as nobody would, and remembers where ramp/to stands.
class WildWriter {
 public:
  explicit WildWriter(Dice& dice) : dice_(dice) {}

  std::string write(const Json& file) {
    text_.clear();
    blank();
    put(file, "");
    blank();
    return text_;
  }

  std::size_t goal_begin() const { return goal_begin_; }
  std::size_t goal_end() const { return goal_end_; }

 private:
  void blank() {
    static const char* const blanks[] = {" ", "\n", "\r\n", "\t", "  ", "\n      "};
    while (dice_.chance(0.4)) text_ += dice_.one_of(blanks);
  }

  void put(const Json& value, const std::string& pointer) {
    const bool is_goal = pointer == "/ramp/to";
    if (is_goal) goal_begin_ = text_.size();
    if (value.is_object()) {
      put_object(value, pointer);
    } else if (value.is_array()) {
      put_list(value, pointer);
    } else if (value.is_number()) {
      put_number(value.get<double>());
    } else {
      put_text(value.get<std::string>());
    }
    if (is_goal) goal_end_ = text_.size();
  }

  void put_object(const Json& value, const std::string& pointer) {
    std::vector<std::string> keys;
    for (const auto& member : value.items()) keys.push_back(member.key());
    for (std::size_t i = keys.size(); i > 1; --i) {
      std::swap(keys[i - 1],
                keys[static_cast<std::size_t>(dice_.whole(0, static_cast<int>(i) - 1))]);
    }
    text_ += "{";
    for (std::size_t i = 0; i < keys.size(); ++i) {
      if (i > 0) text_ += ",";
      blank();
      put_text(keys[i]);
      blank();
      text_ += ":";
      blank();
      put(value[keys[i]], pointer + "/" + keys[i]);
      blank();
    }
    text_ += "}";
  }

  void put_list(const Json& value, const std::string& pointer) {
    text_ += "[";
    for (std::size_t i = 0; i < value.size(); ++i) {
      if (i > 0) text_ += ",";
      blank();
      put(value[i], pointer + "/" + std::to_string(i));
      blank();
    }
    text_ += "]";
  }

  void put_number(double value) {
    const std::string plain = Json(value).dump();
    const bool is_whole = plain.ends_with(".0");
    const std::string digits = is_whole ? plain.substr(0, plain.size() - 2) : plain;
    const int form = dice_.whole(0, 3);
    text_ += form == 0 ? digits : form == 1 ? plain : digits + (form == 2 ? "e0" : "E+00");
  }

  void put_text(const std::string& value) {
    std::string quoted = Json(value).dump();
    // A letter by its number is the same letter.
    if (quoted[1] == 'b' && dice_.chance(0.3)) quoted.replace(1, 1, "\\u0062");
    text_ += quoted;
  }

  Dice& dice_;
  std::string text_;
  std::size_t goal_begin_ = 0;
  std::size_t goal_end_ = 0;
};

Goal random_goal(Dice& dice) {
  Goal goal;
  while (goal.empty()) {
    for (std::size_t light = 0; light < light_names.size(); ++light) {
      if (dice.chance(0.5)) goal[light] = Percent::of_full(dice.whole(10, 180) / 2.0);
    }
  }
  return goal;
}

Json to_json(const Goal& goal) {
  Json json = Json::object();
  for (const auto& [light, dial] : goal) json[light_names[light]] = dial.percent();
  return json;
}

/// Without the order of keys.
bool is_same(const std::string& text, const Json& expected) {
  return nlohmann::json::parse(text) == nlohmann::json::parse(expected.dump());
}

/// The lights of a text's goal, in order.
std::vector<std::string> lights_of(const std::string& goal_text) {
  std::vector<std::string> names;
  const Json goal = Json::parse(goal_text);
  for (const auto& member : goal.items()) names.push_back(member.key());
  return names;
}

TEST(GoalText, IsTheOnlyThingThatChangesInAFile) {
  const std::uint64_t seed = 20261203;
  SCOPED_TRACE("seed " + std::to_string(seed));
  Dice dice{seed};
  const Tank tank = tank_of_four();
  for (int round = 0; round < 2000; ++round) {
    Json file = tank_json();
    const Goal old = random_goal(dice);
    file["ramp"]["to"] = to_json(old);
    // What could be taken for the goal, and is not.
    if (dice.chance(0.5)) file["groups"][0]["name"] = R"("ramp": {"to": {"bar": 5}})";
    if (dice.chance(0.5)) file["surveys"][0]["to"] = {{"bar", 7}};
    WildWriter writer{dice};
    const std::string text = writer.write(file);
    ASSERT_TRUE(is_same(text, file)) << text;

    const Goal goal = random_goal(dice);
    const auto made = with_goal("reef.tank.json", text, tank, goal);
    ASSERT_TRUE(made) << text;
    file["ramp"]["to"] = to_json(goal);
    EXPECT_TRUE(is_same(*made, file)) << text << "\n" << *made;

    const std::string head = text.substr(0, writer.goal_begin());
    const std::string tail = text.substr(writer.goal_end());
    ASSERT_GE(made->size(), head.size() + tail.size());
    EXPECT_EQ(made->substr(0, head.size()), head);
    EXPECT_EQ(made->substr(made->size() - tail.size()), tail);

    // Lights that stay keep their order, and new ones come after them.
    std::vector<std::string> kept =
        lights_of(text.substr(writer.goal_begin(), writer.goal_end() - writer.goal_begin()));
    std::erase_if(kept,
                  [&](const std::string& name) { return !file["ramp"]["to"].contains(name); });
    std::vector<std::string> now =
        lights_of(made->substr(head.size(), made->size() - head.size() - tail.size()));
    ASSERT_GE(now.size(), kept.size());
    now.resize(kept.size());
    EXPECT_EQ(now, kept) << *made;

    EXPECT_EQ(with_goal("reef.tank.json", text, tank, old).value_or("refused"), text);
  }
}

TEST(GoalText, KeepsTheLayoutOfTheGoal) {
  const Tank tank = tank_of_four();
  const auto change = [&](const std::string& to, const Goal& goal) {
    return with_goal("reef.tank.json", R"({"ramp": {"to": )" + to + "}}", tank, goal)
        .value_or("refused");
  };
  const auto whole = [](const std::string& to) { return R"({"ramp": {"to": )" + to + "}}"; };
  const auto percent = [](double value) { return Percent::of_full(value); };
  const std::string lines = "{\r\n    \"colours\" : 60.0,\r\n    \"bar\" : 8e1\r\n  }";
  // The digits of a percentage that stays are kept.
  EXPECT_EQ(change(lines, {{0, percent(80)}, {2, percent(47.5)}}),
            whole("{\r\n    \"colours\" : 47.5,\r\n    \"bar\" : 8e1\r\n  }"));
  EXPECT_EQ(change(lines, {{0, percent(70)}}), whole("{\r\n    \"bar\" : 70\r\n  }"));
  EXPECT_EQ(
      change(lines, {{0, percent(70)}, {1, percent(30)}, {2, percent(60)}}),
      whole("{\r\n    \"colours\" : 60.0,\r\n    \"bar\" : 70,\r\n    \"bar 2\" : 30\r\n  }"));
  EXPECT_EQ(change("{\"bar\":80}", {{0, percent(80)}, {3, percent(5)}}),
            whole("{\"bar\":80, \"wei\xC3\x9F / \\\"blau\\\"\":5}"));
  EXPECT_EQ(change("{\n  \"bar\": 80\n}", {{0, percent(80)}, {2, percent(5)}}),
            whole("{\n  \"bar\": 80,\n  \"colours\": 5\n}"));
  EXPECT_EQ(change("{ }", {{2, percent(5)}}), whole("{\"colours\": 5 }"));
  // The highest of "bar 2" is 90.
  EXPECT_EQ(change("{\"bar 2\": \"highest\"}", {{1, percent(90)}}),
            whole("{\"bar 2\": \"highest\"}"));
  EXPECT_EQ(change("{\"bar 2\": \"highest\"}", {{1, percent(88)}}), whole("{\"bar 2\": 88}"));
}

TEST(GoalText, RefusesATextWithoutAGoal) {
  const Tank tank = tank_of_four();
  const Goal goal{{0, Percent::of_full(50)}};
  for (const char* text : {"{}", "[]", R"({"ramp": {}})", R"({"ramp": {"to": 80}})",
                           R"({"ramp": {"to": {"bar": 80})", ""}) {
    const auto made = with_goal("reef.tank.json", text, tank, goal);
    ASSERT_FALSE(made) << text;
    EXPECT_EQ(made.error().kind, ReadFailure::Kind::content);
    EXPECT_EQ(made.error().findings.front().place.file, "reef.tank.json");
    EXPECT_FALSE(made.error().findings.front().hint.empty());
  }
}

class WrittenGoal : public ::testing::Test {
 protected:
  void SetUp() override {
    std::string name = (std::filesystem::temp_directory_path() / "slowdawn-goal-XXXXXX").string();
    ASSERT_NE(::mkdtemp(name.data()), nullptr);
    folder_ = name;
    file_ = (folder_ / "reef.tank.json").string();
    text_ = tank_json().dump(2);
    ASSERT_TRUE(write_text_file(file_, text_));
  }
  void TearDown() override { std::filesystem::remove_all(folder_); }

  std::filesystem::path folder_;
  std::string file_;
  std::string text_;
  Tank tank_ = tank_of_four();
  Goal goal_{{2, Percent::of_full(65)}};
};

TEST_F(WrittenGoal, IsReadBack) {
  ASSERT_TRUE(write_goal(file_, text_, tank_, goal_));
  const auto tank = read_tank(file_, ProfileShelf::built_in());
  ASSERT_TRUE(tank) << testing::to_text(tank.error().findings);
  EXPECT_EQ(tank->ramp.to, goal_);
}

TEST_F(WrittenGoal, IsNotWrittenOverAFileThatWasChangedMeanwhile) {
  ASSERT_TRUE(write_text_file(file_, text_ + "\n"));
  const auto written = write_goal(file_, text_, tank_, goal_);
  ASSERT_FALSE(written);
  EXPECT_EQ(written.error().kind, ReadFailure::Kind::content);
  EXPECT_NE(written.error().findings.front().what.find("changed meanwhile"), std::string::npos);
  EXPECT_EQ(read_text_file(file_).value_or(""), text_ + "\n");
}

TEST_F(WrittenGoal, LeavesAFileAloneThatSaysItAlready) {
  struct stat before {};
  struct stat after {};
  ASSERT_EQ(::stat(file_.c_str(), &before), 0);
  ASSERT_TRUE(write_goal(file_, text_, tank_, tank_.ramp.to));
  ASSERT_EQ(::stat(file_.c_str(), &after), 0);
  EXPECT_EQ(before.st_ino, after.st_ino);
}

TEST_F(WrittenGoal, SaysThatTheFileIsGone) {
  std::filesystem::remove(file_);
  const auto written = write_goal(file_, text_, tank_, goal_);
  ASSERT_FALSE(written);
  EXPECT_EQ(written.error().kind, ReadFailure::Kind::access);
  EXPECT_FALSE(std::filesystem::exists(file_));
}

}  // namespace
}  // namespace slowdawn
