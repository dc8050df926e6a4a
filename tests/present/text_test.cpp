// Names from files and from the system as text that steers nothing and is UTF-8.
#include <gtest/gtest.h>

#include <slowdawn/present/csv.hpp>
#include <slowdawn/present/text.hpp>
#include <string>

#include "present/json_parts.hpp"

namespace slowdawn {
namespace {

TEST(SafeText, LeavesGoodCharactersAlone) {
  // At the ends of each length, but for controls.
  const std::string name =
      "reef \xC2\xA0\xDF\xBF\xE0\xA0\x80\xEF\xBF\xBF\xF0\x90\x80\x80\xF4\x8F\xBF\xBF";
  EXPECT_EQ(to_safe_text(name), name);
}

TEST(SafeText, WritesOutWhatSteersATerminal) {
  EXPECT_EQ(to_safe_text("\x1B[31m\x7F\xC2\x9B"), "<U+001B>[31m<U+007F><U+009B>");
  EXPECT_EQ(to_safe_text("\xE2\x80\xAE"), "<U+202E>");
}

TEST(SafeText, WritesOutWhatNobodySees) {
  // A soft hyphen, a space of no width, joiners, a byte order mark, a blank letter, a tag.
  EXPECT_EQ(to_safe_text("a\xC2\xAD"
                         "b\xE2\x80\x8B\xE2\x80\x8D"),
            "a<U+00AD>b<U+200B><U+200D>");
  EXPECT_EQ(to_safe_text("\xEF\xBB\xBF\xE3\x85\xA4\xF3\xA0\x81\x81"), "<U+FEFF><U+3164><U+E0041>");
  EXPECT_EQ(to_safe_text("\xE2\x80\xA8\xE2\x81\xA0"), "<U+2028><U+2060>");
  // A variation selector belongs to its emoji.
  EXPECT_EQ(to_safe_text("\xE2\x98\x80\xEF\xB8\x8F"), "\xE2\x98\x80\xEF\xB8\x8F");
}

TEST(SafeText, WritesOutBytesThatAreNoUtf8) {
  EXPECT_EQ(to_safe_text("\x80\xFF reef"), "<0x80><0xFF> reef");
  EXPECT_EQ(to_safe_text("cut \xE7\x8A"), "cut <0xE7><0x8A>");
  EXPECT_EQ(to_safe_text("\xC3("), "<0xC3>(");
  // Overlong forms, a surrogate, beyond the last code point.
  EXPECT_EQ(to_safe_text("\xC0\xAF"), "<0xC0><0xAF>");
  EXPECT_EQ(to_safe_text("\xE0\x9F\xBF"), "<0xE0><0x9F><0xBF>");
  EXPECT_EQ(to_safe_text("\xED\xA0\x80"), "<0xED><0xA0><0x80>");
  EXPECT_EQ(to_safe_text("\xF4\x90\x80\x80"), "<0xF4><0x90><0x80><0x80>");
}

TEST(SafeText, TakesAColumnForACharacterWhereItIsCut) {
  EXPECT_EQ(fit_left("\xC3\xA9\xC3\xA9\xC3\xA9\xC3\xA9\xC3\xA9", 4), "\xC3\xA9..\xC3\xA9");
  EXPECT_EQ(fit_left("rack 025 slot 08", 11), "rack ..t 08");
  EXPECT_EQ(fit_left("crest", 6), "crest ");
  EXPECT_EQ(fit_left("crest", 1), ".");
}

TEST(JsonText, IsUtf8WhateverAFileIsCalled) {
  EXPECT_EQ(print({{"file", "\x80reef"}}), "{\n \"file\": \"\xEF\xBF\xBDreef\"\n}\n");
}

TEST(JsonText, EscapesWhatNobodySeesAndReadsBackTheSame) {
  const std::string name = "a\xE2\x80\x8B\xE7\x8F\x8A\xF3\xA0\x81\x81\x7F";
  const std::string text = print({{name, name}});
  const std::string escaped = "\"a\\u200b\xE7\x8F\x8A\\udb40\\udc41\\u007f\"";
  EXPECT_EQ(text, "{\n " + escaped + ": " + escaped + "\n}\n");
  EXPECT_EQ(Json::parse(text).at(name), name);
}

TEST(CsvText, IsNoFormulaAfterSpaces) {
  for (const std::string space : {"", " ", "   ", "\n", " \n ", "\xC2\xA0", "\xE3\x80\x80 "}) {
    for (const std::string sign : {"=", "+", "-", "@", "\xEF\xBC\x9D"}) {
      const std::string cell = csv_text_cell(space + sign + "1");
      EXPECT_TRUE(cell.starts_with("'") || cell.starts_with("\"'")) << cell;
    }
  }
  for (const std::string text : {" 1", "a=1", "", "  ", "(-1)"})
    EXPECT_EQ(csv_text_cell(text), text);
}

}  // namespace
}  // namespace slowdawn
