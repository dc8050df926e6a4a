#include <gtest/gtest.h>

#include <clocale>
#include <fstream>
#include <random>
#include <slowdawn/tank/csv_table.hpp>
#include <string>
#include <vector>

namespace slowdawn {
namespace {

using Names = std::vector<std::string>;

CsvTable parsed(const std::string& text) {
  auto table = parse_csv("reef.csv", text);
  if (!table) throw std::runtime_error(table.error().findings.front().what);
  return *std::move(table);
}

/// "LINE:COLUMN: WHAT"
std::string describe(const Finding& finding) {
  EXPECT_EQ(finding.place.file, "reef.csv");
  EXPECT_FALSE(finding.hint.empty());
  return std::to_string(finding.place.line) + ":" + std::to_string(finding.place.column) + ": " +
         finding.what;
}

/// Everything that is wrong with a text, one finding a line.
std::string refusal(const std::string& text) {
  const auto table = parse_csv("reef.csv", text);
  if (table) return "no refusal";
  EXPECT_EQ(table.error().kind, ReadFailure::Kind::content);
  std::string list;
  for (const Finding& finding : table.error().findings) {
    list += (list.empty() ? "" : "\n") + describe(finding);
  }
  return list;
}

/// A record's cells, each in brackets.
std::string show(const CsvRecord& record) {
  std::string text;
  for (const CsvCell& cell : record.cells) text += "[" + cell.text + "]";
  return text;
}

/// The records, each behind its line.
std::string show(const CsvTable& table) {
  std::string text = show(table.header());
  for (const CsvRecord& record : table.records()) {
    text += " " + std::to_string(record.line) + show(record);
  }
  return text;
}

std::string show(const std::string& text) { return show(parsed(text)); }

TEST(CsvTable, HasAHeaderAndRecordsWithTheirLines) {
  EXPECT_EQ(show("spot,ppfd\ncrest,212\nsand,74\n"), "[spot][ppfd] 2[crest][212] 3[sand][74]");
  EXPECT_EQ(show("spot,ppfd\ncrest,212"), "[spot][ppfd] 2[crest][212]");
  EXPECT_EQ(show("spot\n"), "[spot]");
  EXPECT_EQ(parsed("spot\n").file(), "reef.csv");
}

TEST(CsvTable, KnowsWhereEachCellStands) {
  const CsvTable table = parsed("# bars\nspot, \"ppfd\" ,x\n\n\"a\nb\",  7 ,\n");
  std::string places;
  for (const CsvRecord* record : {&table.header(), table.records().data()}) {
    for (std::size_t i = 0; i < record->cells.size(); ++i) {
      const Place place = table.place(*record, i);
      EXPECT_EQ(place.file, "reef.csv");
      places += std::to_string(place.line) + ":" + std::to_string(place.column) + " ";
    }
  }
  EXPECT_EQ(places, "2:1 2:7 2:15 4:1 5:6 5:9 ");
  EXPECT_EQ(table.records().front().line, 4u);
}

TEST(CsvTable, CountsColumnsInBytes) {
  const CsvTable table = parsed(
      "spot,ppfd\nr\xC3\xA9"
      "cif,12\n");
  EXPECT_EQ(table.place(table.records().front(), 1).column, 8u);
}

TEST(CsvTable, FindsItsSeparatorInTheHeader) {
  EXPECT_EQ(parsed("spot,ppfd\n").separator(), ',');
  EXPECT_EQ(parsed("spot;ppfd\n").separator(), ';');
  EXPECT_EQ(parsed("spot\tppfd\n").separator(), '\t');
  EXPECT_EQ(parsed("spot\n").separator(), ',');
  // Commas in a name do not make a file one of commas.
  EXPECT_EQ(show("spot;PPFD, umol, wet\ncrest;3,5\n"), "[spot][PPFD, umol, wet] 2[crest][3,5]");
  EXPECT_EQ(show("spot\ta;b,c\ncrest\t1\n"), "[spot][a;b,c] 2[crest][1]");
}

TEST(CsvTable, DoesNotTakeASeparatorInQuotesForOne) {
  EXPECT_EQ(show("\"a;b\tc\",d\n1,2\n"), "[a;b\tc][d] 2[1][2]");
  EXPECT_EQ(show("\"a\"\";\",d\n1,2\n"), "[a\";][d] 2[1][2]");
  EXPECT_EQ(show("spot,\"ppfd\nby; meter\"\n1,2\n"), "[spot][ppfd\nby; meter] 3[1][2]");
}

TEST(CsvTable, KeepsWhatStandsInQuotes) {
  EXPECT_EQ(show("spot,ppfd\n\"crest, left\",1\n"), "[spot][ppfd] 2[crest, left][1]");
  EXPECT_EQ(show("spot,ppfd\n\"the \"\"wall\"\"\",1\n"), "[spot][ppfd] 2[the \"wall\"][1]");
  EXPECT_EQ(show("spot,ppfd\n\"two\r\nlines\",1\nsand,2\n"),
            "[spot][ppfd] 2[two\r\nlines][1] 4[sand][2]");
  EXPECT_EQ(show("spot,ppfd\n\"\",\"\"\n"), "[spot][ppfd] 2[][]");
  EXPECT_EQ(show("spot,ppfd\n\" crest \",1\n"), "[spot][ppfd] 2[ crest ][1]");
  EXPECT_EQ(show("spot,ppfd\n\"\n\n#\n\",1\n"), "[spot][ppfd] 2[\n\n#\n][1]");
}

TEST(CsvTable, TrimsBlanksAroundCells) {
  EXPECT_EQ(show(" spot , ppfd \n crest pump\t,\t1 \n"), "[spot][ppfd] 2[crest pump][1]");
  EXPECT_EQ(show("\" spot \";ppfd\n \"a\" ; 1\n"), "[spot][ppfd] 2[a][1]");
  EXPECT_EQ(show("spot\t ppfd\n\t1 \n"), "[spot][ppfd] 2[][1]");
}

TEST(CsvTable, TakesLineEndsOfTwoKinds) {
  EXPECT_EQ(show("spot,ppfd\r\ncrest,1\r\nsand,2\n"), "[spot][ppfd] 2[crest][1] 3[sand][2]");
}

TEST(CsvTable, SkipsAByteOrderMark) {
  const CsvTable table = parsed("\xEF\xBB\xBFspot,ppfd\ncrest,1\n");
  EXPECT_EQ(show(table), "[spot][ppfd] 2[crest][1]");
  EXPECT_EQ(table.place(table.header(), 0).column, 1u);
  EXPECT_EQ(table.place(table.header(), 1).column, 6u);
  EXPECT_EQ(show("\xEF\xBB\xBF# note\nspot\n"), "[spot]");
}

TEST(CsvTable, SkipsBlankLinesAndComments) {
  EXPECT_EQ(
      show("\n# read, with pumps off\n \t\r\n;;\nspot,ppfd\n\n#sand,3\n  \n,\ncrest,1\n,,,\n"),
      "[spot][ppfd] 10[crest][1]");
  EXPECT_EQ(show("spot;ppfd\n;\ncrest;#1\n"), "[spot][ppfd] 3[crest][#1]");
  EXPECT_EQ(show("spot\n\"#1\"\n"), "[spot] 2[#1]");
}

TEST(CsvTable, RefusesAnEmptyFile) {
  for (const char* text : {"", "\n", "  \r\n\t", "\xEF\xBB\xBF", "# nothing\n", ";;;\n", ",\n"}) {
    EXPECT_EQ(refusal(text), "1:1: the file is empty") << text;
  }
}

TEST(CsvTable, RefusesWhatIsNotUtf8) {
  EXPECT_EQ(refusal("spot,ppfd\nr\xE9"
                    "cif,1\n"),
            "2:2: the text is not valid UTF-8");
  for (const char* bad :
       {"\x80", "\xC0\xAF", "\xC1\xBF", "\xC3", "\xC3(", "\xE0\x9F\xBF", "\xED\xA0\x80", "\xE2\x82",
        "\xF0\x8F\xBF\xBF", "\xF4\x90\x80\x80", "\xF5\x80\x80\x80", "\xF0\x9F\x90", "\xFF\xFE"}) {
    EXPECT_EQ(refusal(std::string{"a"} + bad), "1:2: the text is not valid UTF-8");
    EXPECT_EQ(refusal(std::string{"a"} + bad + "\nb\n"), "1:2: the text is not valid UTF-8");
  }
  for (const char* good : {"\xC2\x80", "\xDF\xBF", "\xE0\xA0\x80", "\xED\x9F\xBF", "\xEE\x80\x80",
                           "\xEF\xBF\xBF", "\xF0\x90\x80\x80", "\xF4\x8F\xBF\xBF"}) {
    EXPECT_EQ(show(std::string{good} + "\n"), "[" + std::string{good} + "]");
  }
}

TEST(CsvTable, RefusesZeroBytes) {
  EXPECT_EQ(refusal(std::string{"spot\ncre\0st\n", 12}), "2:4: the file holds zero bytes");
  EXPECT_EQ(refusal(std::string{"s\0p\0", 4}), "1:2: the file holds zero bytes");
}

TEST(CsvTable, RefusesAQuoteThatIsNotClosed) {
  EXPECT_EQ(refusal("spot,ppfd\ncrest, \"12\nsand,3\n"),
            "2:8: the quote that opens here is never closed");
  EXPECT_EQ(refusal("\"spot,ppfd\n"), "1:1: the quote that opens here is never closed");
  EXPECT_EQ(refusal("a\n\""), "2:1: the quote that opens here is never closed");
  EXPECT_EQ(refusal("a\n\"b\"\""), "2:1: the quote that opens here is never closed");
}

TEST(CsvTable, RefusesQuotesInsideACell) {
  EXPECT_EQ(refusal("spot,ppfd\n12\" shelf,1\n"), "2:3: a quote stands inside a cell");
  EXPECT_EQ(refusal("spot,ppfd\n\"left\" shelf,1\n"),
            "2:8: text stands after the quote that closes a cell");
}

TEST(CsvTable, RefusesACarriageReturnAlone) {
  EXPECT_EQ(refusal("spot,ppfd\rcrest,1\rsand,2\r"), "1:10: a carriage return stands alone");
}

TEST(CsvTable, RefusesANameTwiceInTheHeader) {
  EXPECT_EQ(refusal("spot,PPFD,ppfd,spot\n"),
            "1:11: the column \"ppfd\" stands twice in the header\n"
            "1:16: the column \"spot\" stands twice in the header");
  EXPECT_EQ(show("spot,,\ncrest,1,\n"), "[spot][][] 2[crest][1][]");
}

TEST(CsvTable, RefusesARecordOfAnotherLength) {
  EXPECT_EQ(refusal("spot,ppfd\ncrest\nsand,1,2\nledge,3\n"),
            "2:1: expected 2 cells, as in the header, found 1\n"
            "3:8: expected 2 cells, as in the header, found 3");
  const auto table = parse_csv("reef.csv", "spot,ppfd\ncrest,3,5\n");
  EXPECT_NE(table.error().findings.front().hint.find("decimals"), std::string::npos);
}

TEST(CsvTable, NamesTwentyErrorsAndSaysThatThereAreMore) {
  const auto lines = [](int count) {
    std::string text = "spot,ppfd\n";
    for (int i = 0; i < count; ++i) text += "crest\n";
    return parse_csv("reef.csv", text).error().findings;
  };
  EXPECT_EQ(lines(20).size(), 20u);
  EXPECT_EQ(lines(20).back().hint.find("more errors"), std::string::npos);
  EXPECT_EQ(lines(500).size(), 20u);
  EXPECT_EQ(lines(500).back().place.line, 21u);
  EXPECT_NE(lines(500).back().hint.find("more errors"), std::string::npos);
}

TEST(CsvTable, NamesNoMoreOfOneLine) {
  std::string line = "a\n";
  for (int i = 0; i < 100000; ++i) line += "x\"x,";
  EXPECT_EQ(parse_csv("reef.csv", line).error().findings.size(), 20u);
}

TEST(CsvTable, FindsAColumnByAnyOfItsNames) {
  const Names names{"ppfd", "ppfd_umol_m2_s", "par"};
  EXPECT_EQ(parsed("spot,ppfd\n").find_column(names).value(), 1u);
  EXPECT_EQ(parsed("PAR;spot\n").find_column(names).value(), 0u);
  EXPECT_EQ(parsed("a,b, \"Ppfd_umol_m2_s\"\n").find_column(names).value(), 2u);
}

/// Why there is no such column, and the hint.
std::string missing(const std::string& header, const Names& names) {
  const auto column = parsed(header).find_column(names);
  return column ? "found" : describe(column.error()) + "; " + column.error().hint;
}

TEST(CsvTable, HasTheNearestNameForAColumnThatIsNotThere) {
  EXPECT_EQ(missing("spot,ppdf\n", {"ppfd", "par"}),
            "1:6: there is no column \"ppfd\" or \"par\"; did you mean \"ppfd\" by \"ppdf\"?");
  EXPECT_EQ(missing("spot,date time\n", {"time", "timestamp", "date_time"}),
            "1:6: there is no column \"time\", \"timestamp\" or \"date_time\"; "
            "did you mean \"date_time\" by \"date time\"?");
  EXPECT_EQ(missing("where;,light\n", {"spot"}),
            "1:1: there is no column \"spot\"; there is \"where\", \",light\"; "
            "name the right one \"spot\"");
}

TEST(CsvTable, RefusesTwoColumnsOfOneMeaning) {
  EXPECT_EQ(missing("ppfd,spot,PAR\n", {"par", "ppfd"}),
            "1:11: the columns \"ppfd\" and \"PAR\" are both taken for \"par\"; "
            "rename the one that is not meant");
}

/// A cell in a table of this separator, as a number or as why it is none.
std::string number(const std::string& cell, char separator = ',') {
  const std::string header = std::string{"spot"} + separator + "ppfd\ncrest" + separator;
  const CsvTable table = parsed(header + cell + "\n");
  const auto value = table.number(table.records().front(), 1, -5.0, 3000.0);
  if (!value) return describe(value.error());
  return std::to_string(*value);
}

TEST(CsvTable, ReadsNumbers) {
  EXPECT_EQ(number("212"), "212.000000");
  EXPECT_EQ(number("0"), "0.000000");
  EXPECT_EQ(number("-4.25"), "-4.250000");
  EXPECT_EQ(number("1.5e2"), "150.000000");
  EXPECT_EQ(number(" 7 "), "7.000000");
  EXPECT_EQ(number("\"7\""), "7.000000");
  EXPECT_EQ(number("3000"), "3000.000000");
}

TEST(CsvTable, TakesADecimalCommaWhereItSeparatesNothing) {
  EXPECT_EQ(number("3,5", ';'), "3.500000");
  EXPECT_EQ(number("3,5", '\t'), "3.500000");
  EXPECT_EQ(number("3.5", ';'), "3.500000");
  EXPECT_EQ(number("-0,5", ';'), "-0.500000");
  EXPECT_EQ(number("\"3,5\""), "2:7: expected a number, found \"3,5\"");
  EXPECT_EQ(number("1.234,5", ';'), "2:7: expected a number, found \"1.234,5\"");
  EXPECT_EQ(number("1,234.5", ';'), "2:7: expected a number, found \"1,234.5\"");
  EXPECT_EQ(number("1,234,5", ';'), "2:7: expected a number, found \"1,234,5\"");
  EXPECT_EQ(number(",", ';'), "2:7: expected a number, found \",\"");
}

TEST(CsvTable, RefusesWhatIsNoNumber) {
  EXPECT_EQ(number(""), "2:7: expected a number, found an empty cell");
  EXPECT_EQ(number("\"\""), "2:7: expected a number, found an empty cell");
  for (const char* text : {"nan", "NaN", "inf", "-infinity", "12abc", "abc", "1 2", "0x10", "+5",
                           "--5", "5-", "1e", ".", "-", "12 umol", "1_000", "5%"}) {
    EXPECT_EQ(number(text), "2:7: expected a number, found \"" + std::string{text} + "\"");
  }
  EXPECT_EQ(number("1e999"), "2:7: the number \"1e999\" is too large or too small");
  EXPECT_EQ(number("-1e999"), "2:7: the number \"-1e999\" is too large or too small");
  EXPECT_EQ(number("1e-999"), "2:7: the number \"1e-999\" is too large or too small");
  EXPECT_EQ(number("1e999x"), "2:7: expected a number, found \"1e999x\"");
}

TEST(CsvTable, RefusesNumbersOutOfRange) {
  EXPECT_EQ(number("3000.1"), "2:7: 3000.1 is out of range, which goes from -5 to 3000");
  EXPECT_EQ(number("-5.1"), "2:7: -5.1 is out of range, which goes from -5 to 3000");
  const CsvTable table = parsed("ppfd\n9\n");
  const CsvRecord& record = table.records().front();
  EXPECT_EQ(table.number(record, 0, 0, 1).error().hint, "write a number from 0 to 1");
  EXPECT_EQ(table.number(record, 0, 0, 1, "is this lux?").error().hint, "is this lux?");
}

TEST(CsvTable, ReadsNumbersAlikeInEveryLocale) {
  const std::string before = std::setlocale(LC_NUMERIC, nullptr);
  for (const char* name : {"de_DE.UTF-8", "de_DE.utf8", "fr_FR.UTF-8", "C.UTF-8", "C"}) {
    if (std::setlocale(LC_NUMERIC, name) == nullptr) continue;
    const CsvTable table = parsed("ppfd\n3.5\n");
    EXPECT_EQ(table.number(table.records().front(), 0, 0, 10).value(), 3.5) << name;
  }
  std::setlocale(LC_NUMERIC, before.c_str());
}

TEST(CsvTable, CutsLongCellsInMessages) {
  EXPECT_EQ(quote_cell("crest"), "\"crest\"");
  EXPECT_EQ(quote_cell(std::string(60, 'a')), "\"" + std::string(60, 'a') + "\"");
  EXPECT_EQ(quote_cell(std::string(61, 'a')), "\"" + std::string(60, 'a') + "...\"");
  EXPECT_EQ(quote_cell(std::string(59, 'a') + "\xE2\x82\xAC"),
            "\"" + std::string(59, 'a') + "...\"");
}

std::string in_quotes(const std::string& text) {
  std::string cell = "\"";
  for (const char c : text) cell += c == '"' ? std::string{"\"\""} : std::string{c};
  return cell + "\"";
}

TEST(CsvTable, GivesBackWhatWasWritten) {
  const Names pieces{"a", "7", "\"", ",", ";", "\t", "\n", "\r\n", " ", "#", "\xC3\xA9", ""};
  for (unsigned seed = 1; seed <= 300; ++seed) {
    SCOPED_TRACE("seed " + std::to_string(seed));
    std::mt19937 random(seed);
    const auto pick = [&](std::size_t count) { return random() % count; };
    const char separator = ",;\t"[pick(3)];
    const std::string line_end = pick(2) == 0 ? "\n" : "\r\n";
    const std::size_t columns = 1 + pick(4);
    std::string text;
    std::vector<Names> written;
    for (std::size_t i = 0; i < 1 + pick(5); ++i) {
      written.emplace_back();
      for (std::size_t j = 0; j < columns; ++j) {
        std::string cell = i == 0 ? "c" + std::to_string(j) : "";
        for (std::size_t k = 0; i > 0 && k < pick(6); ++k) cell += pieces[pick(pieces.size())];
        written.back().push_back(cell);
        text += (j > 0 ? std::string{separator} : "") + in_quotes(cell);
      }
      text += line_end;
    }
    const CsvTable table = parsed(text);
    ASSERT_EQ(table.records().size() + 1, written.size());
    for (std::size_t i = 0; i < table.records().size(); ++i) {
      for (std::size_t j = 0; j < columns; ++j) {
        ASSERT_EQ(table.records()[i].cells[j].text, written[i + 1][j]);
      }
    }
  }
}

TEST(CsvTable, NeverLosesItsPlaceInNoise) {
  const std::string alphabet = "ab1.,;\t\"\n\r #\xC3\xA9";
  for (unsigned seed = 1; seed <= 3000; ++seed) {
    SCOPED_TRACE("seed " + std::to_string(seed));
    std::mt19937 random(seed);
    std::string text;
    for (std::size_t i = random() % 60; i > 0; --i) text += alphabet[random() % alphabet.size()];
    Names lines{""};
    for (const char c : text) {
      if (c == '\n') {
        lines.emplace_back();
      } else {
        lines.back() += c;
      }
    }
    const auto expect_inside = [&](std::size_t line, std::size_t column) {
      ASSERT_GE(line, 1u);
      ASSERT_LE(line, lines.size());
      ASSERT_GE(column, 1u);
      ASSERT_LE(column, lines[line - 1].size() + 1);
    };
    const auto table = parse_csv("reef.csv", text);
    if (!table) {
      ASSERT_FALSE(table.error().findings.empty());
      ASSERT_LE(table.error().findings.size(), most_findings);
      for (const Finding& finding : table.error().findings) {
        expect_inside(finding.place.line, finding.place.column);
      }
      continue;
    }
    for (const CsvRecord& record : table->records()) {
      ASSERT_EQ(record.cells.size(), table->header().cells.size());
      for (const CsvCell& cell : record.cells) expect_inside(cell.line, cell.column);
    }
  }
}

TEST(CsvTable, IsReadFromAFile) {
  const std::string file = ::testing::TempDir() + "slowdawn_table.csv";
  std::ofstream{file, std::ios::binary} << "spot,ppfd\r\ncrest,1\r\n";
  EXPECT_EQ(show(read_csv(file).value()), "[spot][ppfd] 2[crest][1]");
  std::ofstream{file, std::ios::binary} << "spot,ppfd\ncrest\n";
  EXPECT_EQ(read_csv(file).error().kind, ReadFailure::Kind::content);
  EXPECT_EQ(read_csv(file).error().findings.front().place.file, file);
  EXPECT_EQ(read_csv(::testing::TempDir()).error().kind, ReadFailure::Kind::access);
}

}  // namespace
}  // namespace slowdawn
