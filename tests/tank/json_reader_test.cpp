#include "tank/json_reader.hpp"

#include <gtest/gtest.h>

#include <string>
#include <vector>

namespace slowdawn {
namespace {

using Kind = JsonValue::Kind;
using Texts = std::vector<std::string>;

/// A reader together with the document that it reads.
struct Reading {
  explicit Reading(const std::string& text)
      : document(JsonDocument::parse("reef.tank.json", text).value()), reader(document) {}
  JsonNode at(std::string_view key) const { return reader.root().find(key).value(); }
  /// "LINE:COLUMN POINTER: WHAT", a line for each error.
  std::string errors() { return to_text(reader.take_failure().findings); }
  std::string warnings() { return to_text(reader.take_warnings()); }
  static std::string to_text(const Findings& findings) {
    std::string text;
    for (const auto& [place, what, hint] : findings) {
      EXPECT_FALSE(hint.empty()) << what;
      text += std::to_string(place.line) + ":" + std::to_string(place.column) + " " +
              place.pointer + ": " + what + "\n";
    }
    return text;
  }

  JsonDocument document;
  JsonReader reader;
};

TEST(JsonReader, PutsFindingsInTheOrderOfTheFile) {
  Reading reading{"{\"a\": 1,\n \"b\": 2, \"c\": 3}"};
  reading.reader.error(reading.at("c"), "third", "hint");
  reading.reader.error(reading.at("a"), "first", "hint");
  reading.reader.error_at_key(reading.reader.root(), "b", "second", "hint");
  reading.reader.error(reading.at("c"), "fourth", "hint");
  EXPECT_EQ(reading.errors(), "1:7 /a: first\n2:2 /b: second\n2:15 /c: third\n2:15 /c: fourth\n");
}

TEST(JsonReader, KeepsTheFirst20OfTheFile) {
  std::string text = "[0";
  for (int i = 1; i < 30; ++i) text += ", " + std::to_string(i);
  Reading reading{text + "]"};
  const auto items = reading.reader.root().items();
  for (std::size_t i = items.size(); i > 0; --i) {
    reading.reader.error(items[i - 1], "wrong", "hint");
  }
  const ReadFailure failure = reading.reader.take_failure();
  EXPECT_EQ(failure.kind, ReadFailure::Kind::content);
  ASSERT_EQ(failure.findings.size(), most_findings);
  EXPECT_EQ(most_findings, 20u);
  EXPECT_EQ(failure.findings.front().place.pointer, "/0");
  EXPECT_EQ(failure.findings.back().place.pointer, "/19");
}

TEST(JsonReader, KeepsWarningsApartFromErrors) {
  Reading reading{"{\"a\": 1, \"b\": 2}"};
  reading.reader.warn(reading.at("b"), "odd", "hint");
  reading.reader.warn(reading.at("a"), "odd too", "hint");
  EXPECT_FALSE(reading.reader.has_errors());
  reading.reader.error(reading.at("a"), "wrong", "hint");
  EXPECT_TRUE(reading.reader.has_errors());
  EXPECT_EQ(reading.warnings(), "1:7 /a: odd too\n1:15 /b: odd\n");
  EXPECT_EQ(reading.errors(), "1:7 /a: wrong\n");
}

TEST(JsonReader, NamesEveryUnknownKey) {
  Reading reading{R"({"name": "x", "nmae": "y", "z/": 1})"};
  const Texts keys{"name", "depth_cm"};
  EXPECT_FALSE(reading.reader.expect_object(reading.reader.root(), "a spot", keys));
  const ReadFailure failure = reading.reader.take_failure();
  EXPECT_EQ(Reading::to_text(failure.findings),
            "1:15 /nmae: unknown key \"nmae\" in a spot\n"
            "1:28 /z~1: unknown key \"z/\" in a spot\n");
  EXPECT_EQ(failure.findings[0].hint, "did you mean \"name\"?");
  EXPECT_EQ(failure.findings[1].hint, "there is \"name\", \"depth_cm\"");
}

TEST(JsonReader, RefusesWhatIsNoObject) {
  Reading reading{R"({"a": [], "b": {}})"};
  EXPECT_FALSE(reading.reader.expect_object(reading.at("a"), "a spot", {}));
  EXPECT_TRUE(reading.reader.expect_object(reading.at("b"), "a spot", {}));
  EXPECT_EQ(reading.errors(), "1:7 /a: expected a spot, found a list\n");
}

TEST(JsonReader, RequiresKeysWithAnExample) {
  Reading reading{R"({"a": {"b": null}})"};
  EXPECT_TRUE(reading.reader.require(reading.at("a"), "b", "\"b\": 1").has_value());
  EXPECT_FALSE(reading.reader.require(reading.at("a"), "c", "\"c\": 1").has_value());
  const ReadFailure failure = reading.reader.take_failure();
  EXPECT_EQ(Reading::to_text(failure.findings), "1:7 /a: \"c\" is missing\n");
  EXPECT_EQ(failure.findings.front().hint, "for example \"c\": 1");
}

TEST(JsonReader, TakesTheEndsOfARange) {
  Reading reading{"[1, 28, 0.999, 28.001, -1, 1e300]"};
  const auto items = reading.reader.root().items();
  const NumberRange range{1, 28, "days"};
  EXPECT_EQ(reading.reader.read_number(items[0], range), 1.0);
  EXPECT_EQ(reading.reader.read_number(items[1], range), 28.0);
  for (std::size_t i = 2; i < items.size(); ++i) {
    EXPECT_FALSE(reading.reader.read_number(items[i], range).has_value());
  }
  EXPECT_EQ(reading.errors(),
            "1:9 /2: 0.999 is out of range, which goes from 1 to 28 days\n"
            "1:16 /3: 28.001 is out of range, which goes from 1 to 28 days\n"
            "1:24 /4: -1 is out of range, which goes from 1 to 28 days\n"
            "1:28 /5: 1e+300 is out of range, which goes from 1 to 28 days\n");
}

TEST(JsonReader, TakesNothingForANumberThatIsNone) {
  Reading reading{R"(["85%", "85", null, true, [85], {"a": 85}])"};
  for (const JsonNode& item : reading.reader.root().items()) {
    EXPECT_FALSE(reading.reader.read_number(item, {0, 100, "%"}).has_value());
  }
  const ReadFailure failure = reading.reader.take_failure();
  EXPECT_EQ(Reading::to_text(failure.findings),
            "1:2 /0: expected a number in %, found the text \"85%\"\n"
            "1:9 /1: expected a number in %, found the text \"85\"\n"
            "1:15 /2: expected a number in %, found null\n"
            "1:21 /3: expected a number in %, found true\n"
            "1:27 /4: expected a number in %, found a list\n"
            "1:33 /5: expected a number in %, found an object\n");
  EXPECT_NE(failure.findings.front().hint.find("without quotes"), std::string::npos);
}

TEST(JsonReader, TakesWholeNumbersOnly) {
  Reading reading{"[7, 7.0, 0.7e1, 1.5, 0.5, \"7\"]"};
  const auto items = reading.reader.root().items();
  const NumberRange range{0, 28, "days"};
  for (std::size_t i = 0; i < 3; ++i) EXPECT_EQ(reading.reader.read_integer(items[i], range), 7);
  for (std::size_t i = 3; i < 6; ++i) {
    EXPECT_FALSE(reading.reader.read_integer(items[i], range).has_value());
  }
  EXPECT_EQ(reading.errors(),
            "1:17 /3: 1.5 is not a whole number\n"
            "1:22 /4: 0.5 is not a whole number\n"
            "1:27 /5: expected a number in days, found the text \"7\"\n");
}

TEST(JsonReader, TakesTextThatIsNotEmpty) {
  Reading reading{R"(["a", "", 5])"};
  const auto items = reading.reader.root().items();
  EXPECT_EQ(reading.reader.read_text(items[0], "a date"), "a");
  EXPECT_FALSE(reading.reader.read_text(items[1], "a date").has_value());
  EXPECT_FALSE(reading.reader.read_text(items[2], "a date").has_value());
  EXPECT_EQ(reading.errors(),
            "1:7 /1: a date is empty\n1:11 /2: expected a date as text, found the number 5\n");
}

TEST(JsonReader, NamesEveryTextOfAListThatIsNone) {
  Reading reading{R"({"good": ["a", "b"], "bad": [1, "b", ""], "none": "a"})"};
  EXPECT_EQ(reading.reader.read_texts(reading.at("good"), "the notes"), (Texts{"a", "b"}));
  EXPECT_FALSE(reading.reader.read_texts(reading.at("bad"), "the notes").has_value());
  EXPECT_FALSE(reading.reader.read_texts(reading.at("none"), "the notes").has_value());
  EXPECT_EQ(reading.errors(),
            "1:30 /bad/0: expected the notes as text, found the number 1\n"
            "1:38 /bad/2: the notes is empty\n"
            "1:51 /none: expected a list of the notes, found the text \"a\"\n");
}

TEST(JsonReader, FindsNamesByNumber) {
  Reading reading{R"(["brisk", "brisc", "Brisk", 3])"};
  const auto items = reading.reader.root().items();
  const Texts names{"gentle", "standard", "brisk"};
  EXPECT_EQ(reading.reader.read_name(items[0], "pace", names), 2u);
  for (std::size_t i = 1; i < 4; ++i) {
    EXPECT_FALSE(reading.reader.read_name(items[i], "pace", names).has_value());
  }
  const ReadFailure failure = reading.reader.take_failure();
  EXPECT_EQ(failure.findings[0].what, "there is no pace \"brisc\"");
  EXPECT_EQ(failure.findings[0].hint, "did you mean \"brisk\"?");
  EXPECT_EQ(failure.findings[1].hint, "did you mean \"brisk\"?");
}

TEST(JsonReader, DescribesEveryKindOfValue) {
  Reading reading{R"([null, true, false, 1.5, "a", [], {}])"};
  Texts described;
  for (const JsonNode& item : reading.reader.root().items()) {
    described.push_back(describe(item.value()));
  }
  EXPECT_EQ(described, (Texts{"null", "true", "false", "the number 1.5", "the text \"a\"", "a list",
                              "an object"}));
}

}  // namespace
}  // namespace slowdawn
