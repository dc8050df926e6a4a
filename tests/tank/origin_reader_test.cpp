#include "tank/origin_reader.hpp"

#include <gtest/gtest.h>

#include <string>

namespace slowdawn {
namespace {

const std::string good = R"({"latitude": -20, "date": "2026-09-03", "depth_m": 3, "water": "II"})";

struct Reading {
  explicit Reading(const std::string& text)
      : document(JsonDocument::parse("reef.tank.json", text).value()),
        reader(document),
        origin(read_origin(reader, reader.root())) {}
  /// "POINTER: WHAT", a line for each.
  static std::string to_text(const Findings& findings) {
    std::string text;
    for (const Finding& finding : findings) {
      EXPECT_FALSE(finding.hint.empty()) << finding.what;
      text += finding.place.pointer + ": " + finding.what + "\n";
    }
    return text;
  }
  std::string errors() {
    EXPECT_EQ(origin.has_value(), !reader.has_errors());
    return reader.has_errors() ? to_text(reader.take_failure().findings) : "";
  }
  std::string warnings() { return to_text(reader.take_warnings()); }

  JsonDocument document;
  JsonReader reader;
  std::optional<ReadOrigin> origin;
};

std::string with(std::string text, const std::string& part, const std::string& instead) {
  const auto at = text.find(part);
  EXPECT_NE(at, std::string::npos) << part;
  return text.replace(at, part.size(), instead);
}

TEST(OriginReader, ReadsAPlaceAndItsDay) {
  Reading reading{good};
  ASSERT_EQ(reading.errors(), "");
  EXPECT_EQ(reading.warnings(), "");
  const Origin& origin = reading.origin->origin;
  EXPECT_NEAR(origin.latitude.degrees(), -20.0, 1e-12);
  EXPECT_EQ(origin.days, std::vector<int>{246});
  EXPECT_EQ(origin.depth, Depth::m(3));
  EXPECT_EQ(std::get<WaterType>(origin.water), WaterType::II);
  EXPECT_EQ(origin.cloud_share, guessed_cloud_share);
  EXPECT_EQ(origin.cloud_error, guessed_cloud_error);
  EXPECT_EQ(reading.origin->light.dose, compute_origin(origin)->dose);
}

TEST(OriginReader, ReadsKdCloudAndSpansOfDays) {
  std::string text = with(good, "\"water\": \"II\"", "\"kd\": 0.08, \"cloud\": 0.5");
  text =
      with(text, "\"date\": \"2026-09-03\"", "\"date\": \"2026-12-30\", \"until\": \"2027-01-02\"");
  Reading reading{text};
  ASSERT_EQ(reading.errors(), "");
  const Origin& origin = reading.origin->origin;
  EXPECT_EQ(origin.days, (std::vector<int>{364, 365, 1, 2}));
  EXPECT_EQ(std::get<Attenuation>(origin.water), Attenuation::per_m(0.08));
  EXPECT_EQ(origin.cloud_share, 0.5);
  EXPECT_EQ(origin.cloud_error, known_cloud_error);
}

TEST(OriginReader, SaysWhatIsWrong) {
  struct Case {
    const char* part;
    const char* instead;
    const char* errors;
  };
  const Case cases[] = {
      {"-20", "-91", "/latitude: -91 is out of range, which goes from -90 to 90 degrees\n"},
      {"\"latitude\": -20, ", "", ": \"latitude\" is missing\n"},
      {"2026-09-03", "2026-09-31", "/date: the date 2026-09-31 does not exist\n"},
      {"\"date\": \"2026-09-03\", ", "", ": an origin has either \"date\" or \"season\"\n"},
      {"\"date\"", "\"season\": \"year\", \"date\"",
       ": an origin has either \"date\" or \"season\"\n"},
      {"\"date\": \"2026-09-03\"", "\"season\": \"sumer\"",
       "/season: there is no season \"sumer\"\n"},
      {"\"date\": \"2026-09-03\"", "\"season\": \"summer\", \"until\": \"2026-09-03\"",
       "/until: \"until\" goes with \"date\", not with \"season\"\n"},
      {"\"2026-09-03\"", "\"2026-09-03\", \"until\": \"2026-09-02\"",
       "/until: the last day 2026-09-02 lies before the first, 2026-09-03\n"},
      {"\"2026-09-03\"", "\"2026-09-03\", \"until\": \"2027-09-05\"",
       "/until: from 2026-09-03 to 2027-09-05 is over a year\n"},
      {"\"depth_m\": 3", "\"depth_m\": 101",
       "/depth_m: 101 is out of range, which goes from 0 to 100 m\n"},
      {"\"depth_m\": 3, ", "", ": \"depth_m\" is missing\n"},
      {", \"water\": \"II\"", "", ": an origin has either \"water\" or \"kd\"\n"},
      {"\"II\"", "\"II\", \"kd\": 0.1", ": an origin has either \"water\" or \"kd\"\n"},
      {"\"II\"", "\"C1\"", "/water: there is no water type \"C1\"\n"},
      {"\"water\": \"II\"", "\"kd\": 8", "/kd: 8 is out of range, which goes from 0.02 to 3 m-1\n"},
      {"\"II\"", "\"II\", \"cloud\": 30", "/cloud: 30 is out of range, which goes from 0 to 1\n"},
      {"\"II\"", "\"II\", \"clouds\": 0.3", "/clouds: unknown key \"clouds\" in an origin\n"},
  };
  for (const Case& each : cases) {
    Reading reading{with(good, each.part, each.instead)};
    EXPECT_EQ(reading.errors(), each.errors) << each.part << " -> " << each.instead;
  }
}

TEST(OriginReader, PolarNightIsAnErrorAndFarFromReefsAWarning) {
  Reading north{with(with(good, "-20", "70"), "2026-09-03", "2026-12-21")};
  EXPECT_EQ(north.errors(), ": the sun does not rise there on that day\n");
  for (const char* latitude : {"45", "41", "-41", "-55"}) {
    Reading far{with(good, "-20", latitude)};
    EXPECT_EQ(far.errors(), "");
    EXPECT_EQ(far.warnings(), "/latitude: reefs are rare so far from the equator\n") << latitude;
  }
  for (const char* latitude : {"40", "-40"}) {
    EXPECT_EQ(Reading(with(good, "-20", latitude)).warnings(), "") << latitude;
  }
}

TEST(OriginDays, SeasonsAreThreeMonthsAndTurnWithTheHemisphere) {
  const Latitude north = Latitude::degrees(10);
  const Latitude south = Latitude::degrees(-10);
  EXPECT_EQ(season_days(Season::year, north).size(), 365u);
  const auto spring = season_days(Season::spring, north);
  EXPECT_EQ(spring.front(), 60);  // 1 March
  EXPECT_EQ(spring.back(), 151);  // 31 May
  EXPECT_EQ(spring.size(), 92u);
  EXPECT_EQ(spring, season_days(Season::autumn, south));
  // December to February: it begins and ends within the list.
  const auto winter = season_days(Season::winter, north);
  EXPECT_EQ(winter.size(), 90u);
  EXPECT_EQ(winter.front(), 1);
  EXPECT_EQ(winter.back(), 365);
  EXPECT_EQ(winter, season_days(Season::summer, south));
  std::size_t all = 0;
  for (const auto& [season, name] : seasons) {
    if (season != Season::year) all += season_days(season, south).size();
  }
  EXPECT_EQ(all, 365u);
}

TEST(OriginDays, KnowsLeapYears) {
  EXPECT_EQ(day_of_year(*parse_date("2026-09-03")), 246);  // FAO-56, example 8
  EXPECT_EQ(day_of_year(*parse_date("2028-12-31")), 366);
  EXPECT_EQ(days_between(*parse_date("2028-01-01"), *parse_date("2028-12-31"))->size(), 366u);
}

}  // namespace
}  // namespace slowdawn
