#include <gtest/gtest.h>

#include <slowdawn/tank/survey_report.hpp>

#include "tank/good_tank.hpp"

namespace slowdawn {
namespace {

using testing::Json;

/// The warnings of a survey whose repeats scatter by so many percent of their mean, spot by
/// spot.
std::vector<std::string> warnings_of(const std::vector<int>& scatter_percent) {
  // A goal that was read, which gives no cause for a warning of its own.
  Json file = testing::with("/ramp/to/bars", 40);
  for (std::size_t i = 0; i < scatter_percent.size(); ++i) {
    const std::string name = "spot " + std::to_string(i + 1);
    file["spots"].push_back({{"name", name}});
    const double half = 0.5 * scatter_percent[i];
    file["surveys"][1]["ppfd"][name] = {100.0 - half, 100.0 + half};
  }
  const Tank tank = testing::read(file);
  return report_survey(tank, *tank.surveys[0].taken).warnings;
}

std::string scatter_warning(const std::string& spots) {
  return "In survey 2 of 2026-11-21 the repeats scatter by over 15 % at " + spots +
         ". Pumps off, sensor level and still; read them once more.";
}

TEST(SurveyReport, NamesTheWorstSpotsFirst) {
  EXPECT_TRUE(warnings_of({10, 4}).empty());
  EXPECT_EQ(warnings_of({20, 10, 36}),
            std::vector<std::string>{scatter_warning("spot 3 (36 %), spot 1 (20 %)")});
  EXPECT_EQ(warnings_of({36, 10, 20}),
            std::vector<std::string>{scatter_warning("spot 1 (36 %), spot 3 (20 %)")});
}

TEST(SurveyReport, NamesFourOfFive) {
  EXPECT_EQ(warnings_of({20, 48, 16, 28, 40}),
            std::vector<std::string>{scatter_warning(
                "spot 2 (48 %), spot 5 (40 %), spot 4 (28 %), spot 1 (20 %) and 1 more")});
}

}  // namespace
}  // namespace slowdawn
