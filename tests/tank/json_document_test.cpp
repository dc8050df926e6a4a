#include "tank/json_document.hpp"

#include <gtest/gtest.h>
#include <unistd.h>

#include <filesystem>
#include <fstream>
#include <random>
#include <slowdawn/tank/text_file.hpp>
#include <sstream>
#include <string>

#include "tank/json_reader.hpp"

namespace slowdawn {
namespace {

using Kind = JsonValue::Kind;

JsonDocument parsed(const std::string& text) {
  auto document = JsonDocument::parse("reef.tank.json", text);
  if (!document) throw std::runtime_error(document.error().findings.front().what);
  return std::move(*document);
}

/// "LINE:COLUMN POINTER" of everything in the document, keys before values.
std::string layout(const JsonDocument& document, const JsonNode& node) {
  std::ostringstream out;
  const auto put = [&](std::size_t offset, const std::string& pointer) {
    const Place place = document.place(offset, pointer);
    out << place.line << ":" << place.column << " " << place.pointer << "\n";
  };
  put(node.value().offset, node.pointer());
  for (const JsonNode& item : node.items()) out << layout(document, item);
  const auto members = node.members();
  for (std::size_t i = 0; i < members.size(); ++i) {
    put(node.value().members[i].key_offset, "key of " + members[i].node.pointer());
    out << layout(document, members[i].node);
  }
  return out.str();
}

std::string layout(const JsonDocument& document) {
  return layout(document, JsonNode{document.root(), ""});
}

/// Every value as it stands in the text, a line for each.
std::string texts_of(const JsonDocument& document, const JsonValue& value) {
  std::string out = document.text().substr(value.offset, value.end - value.offset) + "\n";
  for (const JsonValue& item : value.items) out += texts_of(document, item);
  for (const JsonMember& member : value.members) out += texts_of(document, member.value);
  return out;
}

/// Expects a refusal of the content; returns "LINE:COLUMN POINTER: WHAT".
std::string refusal(const std::string& text) {
  const auto document = JsonDocument::parse("reef.tank.json", text);
  if (document) return "no refusal";
  EXPECT_EQ(document.error().kind, ReadFailure::Kind::content);
  EXPECT_EQ(document.error().findings.size(), 1u);
  const Finding& finding = document.error().findings.front();
  EXPECT_EQ(finding.place.file, "reef.tank.json");
  EXPECT_FALSE(finding.hint.empty());
  return std::to_string(finding.place.line) + ":" + std::to_string(finding.place.column) + " " +
         finding.place.pointer + ": " + finding.what;
}

bool is_refused(const std::string& text) {
  return !JsonDocument::parse("reef.tank.json", text).has_value();
}

TEST(JsonDocument, KnowsWhereEachValueEnds) {
  const auto ends = [](const std::string& text) {
    const JsonDocument document = parsed(text);
    return texts_of(document, document.root());
  };
  EXPECT_EQ(ends("12"), "12\n");
  EXPECT_EQ(ends(" -1.5e+2 \n"), "-1.5e+2\n");
  EXPECT_EQ(ends("[1,2 ,3\t]"), "[1,2 ,3\t]\n1\n2\n3\n");
  EXPECT_EQ(ends(R"( { "a" : "}\"" , "b":[] ,"c":{ }} )"), R"({ "a" : "}\"" , "b":[] ,"c":{ }})"
                                                           "\n\"}\\\"\"\n[]\n{ }\n");
  EXPECT_EQ(ends("[true,false,null,1e3]"), "[true,false,null,1e3]\ntrue\nfalse\nnull\n1e3\n");
}

TEST(JsonDocument, KnowsWhereEveryKindOfValueStands) {
  const JsonDocument document = parsed(R"({
  "none": null,
  "yes": true, "no" :false,
  "number":
    -1.5e2,
  "text" : "a \"b\" ]",
  "list": [ 1, [], "x" ],
  "object": {"a":{}}
})");
  EXPECT_EQ(layout(document), R"(1:1 
2:3 key of /none
2:11 /none
3:3 key of /yes
3:10 /yes
3:16 key of /no
3:22 /no
4:3 key of /number
5:5 /number
6:3 key of /text
6:12 /text
7:3 key of /list
7:11 /list
7:13 /list/0
7:16 /list/1
7:20 /list/2
8:3 key of /object
8:13 /object
8:14 key of /object/a
8:18 /object/a
)");
}

TEST(JsonDocument, KnowsWhereThingsStandAfterNumbers) {
  // The parser must read one byte past a number to know its end.
  const JsonDocument document = parsed("[[1],[2,3],{\"a\":4},{\"b\":5,\"c\":[6]},7]");
  EXPECT_EQ(layout(document), R"(1:1 
1:2 /0
1:3 /0/0
1:6 /1
1:7 /1/0
1:9 /1/1
1:12 /2
1:13 key of /2/a
1:17 /2/a
1:20 /3
1:21 key of /3/b
1:25 /3/b
1:27 key of /3/c
1:31 /3/c
1:32 /3/c/0
1:36 /4
)");
}

TEST(JsonDocument, TakesAnyValueAtTheTop) {
  EXPECT_EQ(parsed(" 12 ").root().number, 12.0);
  EXPECT_EQ(parsed("12").root().offset, 0u);
  EXPECT_EQ(parsed("\n\"a\"").root().text, "a");
  EXPECT_EQ(parsed("\n\"a\"").root().offset, 1u);
  EXPECT_EQ(parsed("null").root().kind, Kind::null);
}

TEST(JsonDocument, KeepsNumbersAsTheyStand) {
  const auto number = [](const std::string& text) { return parsed(text).root().number; };
  EXPECT_EQ(number("1.7"), 1.7);
  EXPECT_EQ(number("-1"), -1.0);
  EXPECT_EQ(number("0.1"), 0.1);
  EXPECT_EQ(number("4294967296"), 4294967296.0);
  EXPECT_EQ(number("18446744073709551616"), 18446744073709551616.0);
  EXPECT_EQ(number("-9223372036854775809"), -9223372036854775809.0);
  EXPECT_EQ(number("1e308"), 1e308);
  EXPECT_EQ(number("1e-999"), 0.0);
}

TEST(JsonDocument, RefusesNumbersOutOfRange) {
  EXPECT_EQ(refusal("1e999").substr(0, 5), "1:1 :");
  EXPECT_NE(refusal("1e999").find("too large"), std::string::npos);
  EXPECT_EQ(refusal("{\"a\": 1,\n \"b\": -1e999}").substr(0, 4), "2:7 ");
  EXPECT_EQ(refusal("[1, 2, 1e400]").substr(0, 4), "1:8 ");
}

TEST(JsonDocument, RefusesWhatJsonForbids) {
  for (const char* text :
       {"NaN",        "Infinity",    "-Infinity", "+1",        ".5",         "5.",      "01",
        "0x10",       "1e",          "--1",       "1,5",       "tru",        "True",    "nul",
        "'a'",        "\"a",         "\"\\x\"",   "\"\\u12\"", "\"\t\"",     "\"\n\"",  "[1,]",
        "[,1]",       "[1 2]",       "{\"a\" 1}", "{\"a\":}",  "{\"a\":1,}", "{a:1}",   "{1:1}",
        "{\"a\":1;}", "[",           "{",         "]",         "}",          "[1",      "{\"a\":1",
        "{\"a\"",     "[}",          "1 2",       "{} {}",     "{}x",        "// a\n1", "/* a */ 1",
        "1 # a",      "\xEF\xBB\xBF"}) {
    EXPECT_TRUE(is_refused(text)) << text;
  }
  EXPECT_TRUE(is_refused(std::string{"\"a\0b\"", 5}));
}

TEST(JsonDocument, RefusesZeroBytes) {
  // What a power cut may leave at the end of a file; the parser alone takes the
  // first one for the end of the text.
  EXPECT_TRUE(is_refused(std::string(4, '\0')));
  EXPECT_TRUE(is_refused(std::string{"[1,\0 2]", 7}));
  EXPECT_TRUE(is_refused(std::string{"[1]\0", 4}));
  EXPECT_TRUE(is_refused(std::string{"[1]\n\0 [2]", 9}));
}

TEST(JsonDocument, SaysWhereJsonEnds) {
  EXPECT_EQ(refusal("{\n  \"a\": [1,\n    2 3]}").substr(0, 6), "3:7 /a");
  EXPECT_EQ(refusal("{}\n}").substr(0, 4), "2:1 ");
  EXPECT_EQ(refusal("[1, {\"a\": x}]").substr(0, 8), "1:11 /1:");
  EXPECT_EQ(refusal("{\"a\": 1").substr(0, 4), "1:8 ");
}

TEST(JsonDocument, RefusesAKeyThatStandsTwice) {
  EXPECT_EQ(refusal("{\"a\": 1, \"b\": {\"c\": 1,\n \"c\": 2}}"),
            "2:2 /b/c: the key \"c\" stands twice in one object");
  EXPECT_EQ(refusal("[0, {\"a\": 1, \"\\u0061\": 1}]"),
            "1:14 /1/a: the key \"a\" stands twice in one object");
  EXPECT_FALSE(is_refused("{\"a\": {\"a\": 1}, \"b\": {\"a\": 1}}"));
  EXPECT_TRUE(is_refused("{\"\": 1, \"\": 1}"));
}

TEST(JsonDocument, EscapesKeysInPointers) {
  EXPECT_EQ(escape_pointer("a/b~c"), "a~1b~0c");
  EXPECT_EQ(escape_pointer("~1"), "~01");
  EXPECT_EQ(escape_pointer("/~/"), "~1~0~1");
  EXPECT_EQ(escape_pointer(""), "");
  const JsonDocument document = parsed(R"({"a/b": {"~": [1]}})");
  const JsonNode root{document.root(), ""};
  EXPECT_EQ(root.find("a/b")->find("~")->items().front().pointer(), "/a~1b/~0/0");
  EXPECT_EQ(refusal(R"({"a/b": {"~": 1, "~": 1}})").substr(0, 12), "1:18 /a~1b/~");
}

TEST(JsonDocument, ReadsEscapesInText) {
  EXPECT_EQ(parsed(R"("\u00e9\ud83d\udc20\n\\\/")").root().text, "\xC3\xA9\xF0\x9F\x90\xA0\n\\/");
}

TEST(JsonDocument, Takes64LevelsAndNoMore) {
  const auto lists = [](std::size_t levels) {
    return std::string(levels, '[') + std::string(levels, ']');
  };
  const auto objects = [](std::size_t levels) {
    std::string text;
    for (std::size_t i = 0; i < levels; ++i) text += "{\"a\":";
    return text + "1" + std::string(levels, '}');
  };
  EXPECT_FALSE(is_refused(lists(64)));
  EXPECT_FALSE(is_refused(objects(64)));
  EXPECT_EQ(refusal(lists(65)).substr(0, 5), "1:65 ");
  EXPECT_NE(refusal(lists(65)).find("over 64 levels"), std::string::npos);
  EXPECT_EQ(refusal(objects(65)).substr(0, 6), "1:321 ");
  EXPECT_TRUE(is_refused(std::string(1'000'000, '[')));
}

TEST(JsonDocument, RefusesTextThatIsNotUtf8) {
  const struct {
    const char* name;
    const char* bytes;
  } cases[] = {
      {"lone continuation", "\x80"},
      {"Latin-1", "\xE9t"},
      {"overlong", "\xC0\xAF"},
      {"surrogate", "\xED\xA0\x80"},
      {"over U+10FFFF", "\xF4\x90\x80\x80"},
      {"cut short", "\xE2\x82"},
      {"no lead byte", "\xFF"},
  };
  for (const auto& [name, bytes] : cases) {
    const std::string answer = refusal("[\n\"a" + std::string{bytes} + "\"]");
    EXPECT_NE(answer.find("not valid UTF-8"), std::string::npos) << name << ": " << answer;
    EXPECT_EQ(answer.substr(0, 2), "2:") << name;
  }
  EXPECT_TRUE(is_refused("\"\\ud800\""));
  EXPECT_TRUE(is_refused("\"\\udc00\""));
  EXPECT_FALSE(is_refused("\"\xC3\xA9\xF0\x9F\x90\xA0\""));
}

TEST(JsonDocument, PassesOverAByteOrderMark) {
  const JsonDocument document = parsed("\xEF\xBB\xBF{\n \"a\": [1]}");
  EXPECT_EQ(layout(document), "1:1 \n2:2 key of /a\n2:7 /a\n2:8 /a/0\n");
}

TEST(JsonDocument, RefusesAnEmptyFile) {
  for (const char* text : {"", " ", "\n", "\r\n\t  \n"}) {
    EXPECT_EQ(refusal(text), "1:1 : the file is empty") << text;
  }
}

TEST(JsonDocument, CountsLinesByLineFeedAlone) {
  EXPECT_EQ(layout(parsed("{\r\n \"a\": 1,\r\n\r\n  \"b\": 2\r\n}")),
            "1:1 \n2:2 key of /a\n2:7 /a\n4:3 key of /b\n4:8 /b\n");
  EXPECT_EQ(layout(parsed("[\r1]")), "1:1 \n1:3 /0\n");
}

TEST(LineColumn, CountsFromOneAndInBytes) {
  EXPECT_EQ(line_column("ab\ncd", 0).line, 1u);
  EXPECT_EQ(line_column("ab\ncd", 0).column, 1u);
  EXPECT_EQ(line_column("ab\ncd", 2).column, 3u);
  EXPECT_EQ(line_column("ab\ncd", 3).line, 2u);
  EXPECT_EQ(line_column("ab\ncd", 4).column, 2u);
  EXPECT_EQ(line_column("\xC3\xA9x", 2).column, 3u);
  EXPECT_EQ(line_column("ab\ncd", 99).line, 2u);
  EXPECT_EQ(line_column("ab\ncd", 99).column, 3u);
  EXPECT_EQ(line_column("", 0).column, 1u);
}

/// Writes a random document and, as it goes, the layout that must be found.
class RandomDocument {
 public:
  explicit RandomDocument(unsigned seed) : random_(seed) { put_value("", 0); }
  const std::string& text() const { return text_; }
  const std::string& expected() const { return expected_; }

 private:
  std::size_t die(std::size_t sides) { return random_() % sides; }

  void put_space() {
    static const char* const spaces[] = {"", "", "", " ", "\n", "\r\n", "\t ", "\n\n  "};
    text_ += spaces[die(std::size(spaces))];
  }
  void note(const std::string& pointer) {
    const auto [line, column] = line_column(text_, text_.size());
    expected_ += std::to_string(line) + ":" + std::to_string(column) + " " + pointer + "\n";
  }
  void put_value(const std::string& pointer, int level) {
    static const char* const scalars[] = {"null",         "true", "false", "0",         "-1",
                                          "12.5e-3",      "1E5",  "\"\"",  "\"x,:]}\"", "\"\\\"[\"",
                                          "\"\xC3\xA9\"", "-0.0", "7"};
    put_space();
    note(pointer);
    const std::size_t kind = level < 5 ? die(4) : 3;
    if (kind == 0) {
      put_list(pointer, level);
    } else if (kind == 1) {
      put_object(pointer, level);
    } else {
      text_ += scalars[die(std::size(scalars))];
    }
    put_space();
  }
  void put_list(const std::string& pointer, int level) {
    text_ += "[";
    const std::size_t count = die(5);
    for (std::size_t i = 0; i < count; ++i) {
      if (i > 0) text_ += ",";
      put_value(pointer + "/" + std::to_string(i), level + 1);
    }
    put_space();
    text_ += "]";
  }
  void put_object(const std::string& pointer, int level) {
    static const std::pair<const char*, const char*> keys[] = {
        {"a", "a"}, {"b/c", "b~1c"}, {"~d", "~0d"}, {"", ""}, {"e:,]", "e:,]"}};
    text_ += "{";
    const std::size_t count = die(std::size(keys) + 1);
    for (std::size_t i = 0; i < count; ++i) {
      if (i > 0) text_ += ",";
      put_space();
      const std::string child = pointer + "/" + keys[i].second;
      note("key of " + child);
      text_ += "\"" + std::string{keys[i].first} + "\"";
      put_space();
      text_ += ":";
      put_value(child, level + 1);
    }
    put_space();
    text_ += "}";
  }

  std::mt19937 random_;
  std::string text_;
  std::string expected_;
};

TEST(JsonDocument, KnowsWhereThingsStandHoweverTheyAreSpaced) {
  for (unsigned seed = 1; seed <= 2000; ++seed) {
    const RandomDocument made{seed};
    ASSERT_EQ(layout(parsed(made.text())), made.expected()) << "seed " << seed << "\n"
                                                            << made.text();
  }
}

TEST(JsonDocument, NeverFailsOtherwiseOnTextCutShortOrSpoilt) {
  std::mt19937 random{20261201};
  for (unsigned seed = 1; seed <= 500; ++seed) {
    std::string text = RandomDocument{seed}.text();
    text.resize(random() % (text.size() + 1));
    if (!text.empty()) text[random() % text.size()] = static_cast<char>(random() % 256);
    const auto document = JsonDocument::parse("reef.tank.json", text);
    if (document) continue;
    const Place& place = document.error().findings.front().place;
    const LineColumn end = line_column(text, text.size());
    EXPECT_GE(place.line, 1u) << "seed " << seed;
    EXPECT_GE(place.column, 1u) << "seed " << seed;
    EXPECT_LE(place.line, end.line) << "seed " << seed;
  }
}

class TextFile : public ::testing::Test {
 protected:
  void TearDown() override { std::filesystem::remove_all(folder_); }
  std::string write(const std::string& content) {
    std::ofstream{file_, std::ios::binary} << content;
    return file_;
  }
  static std::string why(const std::string& file) {
    const auto text = read_text_file(file);
    if (text) return "";
    EXPECT_EQ(text.error().kind, ReadFailure::Kind::access);
    EXPECT_EQ(text.error().findings.front().place.file, file);
    EXPECT_EQ(text.error().findings.front().place.line, 0u);
    EXPECT_FALSE(text.error().findings.front().hint.empty());
    return text.error().findings.front().what;
  }

 private:
  /// Tests may run side by side, also those of two checkouts: each has its own folder.
  static std::string make_folder() {
    std::string name = ::testing::TempDir() + "slowdawn-text-file-XXXXXX";
    if (::mkdtemp(name.data()) == nullptr) throw std::runtime_error("no folder for the test");
    return name;
  }
  const std::string folder_ = make_folder();
  const std::string file_ = folder_ + "/reef.tank.json";
};

TEST_F(TextFile, IsReadByteForByte) {
  const std::string content{"{\r\n\0\xFF}", 6};
  EXPECT_EQ(read_text_file(write(content)).value(), content);
  EXPECT_EQ(read_text_file(write("")).value(), "");
}

TEST_F(TextFile, HasAtMost16Megabytes) {
  EXPECT_EQ(read_text_file(write(std::string(16'000'000, ' ')))->size(), 16'000'000u);
  EXPECT_EQ(why(write(std::string(16'000'001, ' '))), "the file is larger than 16 MB");
}

/// What it holds would have to be waited for, and may never end.
TEST_F(TextFile, IsNoDevice) { EXPECT_EQ(why("/dev/zero"), "this is a device, not a file"); }

TEST_F(TextFile, SaysWhyItCannotBeRead) {
  EXPECT_EQ(why(::testing::TempDir() + "slowdawn_no_such_file.json"), "there is no such file");
  EXPECT_EQ(why(write("{}") + "/reef.tank.json"), "there is no such file");
  EXPECT_EQ(why(::testing::TempDir()), "this is a folder, not a file");
}

TEST_F(TextFile, IsParsedAsADocument) {
  EXPECT_EQ(JsonDocument::read(write("[1, 2]"))->root().items.size(), 2u);
  EXPECT_EQ(JsonDocument::read(write("[1, 2")).error().kind, ReadFailure::Kind::content);
  EXPECT_EQ(JsonDocument::read(::testing::TempDir()).error().kind, ReadFailure::Kind::access);
}

}  // namespace
}  // namespace slowdawn
