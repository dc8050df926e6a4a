// The table "What each number rests on" of README.md against the code: whoever
// changes a default is told to change what keepers are told.
#include <gtest/gtest.h>

#include <algorithm>
#include <cctype>
#include <cmath>
#include <map>
#include <set>
#include <slowdawn/coral/acclimation.hpp>
#include <slowdawn/coral/response.hpp>
#include <slowdawn/light/light_map.hpp>
#include <slowdawn/light/logged_light.hpp>
#include <slowdawn/light/origin.hpp>
#include <slowdawn/light/photoperiod.hpp>
#include <slowdawn/light/spectrum.hpp>
#include <slowdawn/ramp/advice.hpp>
#include <slowdawn/ramp/planner.hpp>
#include <slowdawn/ramp/risk.hpp>
#include <slowdawn/tank/history.hpp>
#include <slowdawn/tank/ppfd_log.hpp>
#include <slowdawn/tank/profile_shelf.hpp>
#include <slowdawn/tank/survey_report.hpp>
#include <slowdawn/tank/tank.hpp>
#include <slowdawn/tank/text_file.hpp>
#include <sstream>
#include <string>
#include <vector>

namespace slowdawn {
namespace {

std::vector<std::string> cells_of(const std::string& line) {
  std::vector<std::string> cells;
  std::string cell;
  std::istringstream stream{line.substr(1)};
  while (std::getline(stream, cell, '|')) {
    const auto first = cell.find_first_not_of(' ');
    const auto last = cell.find_last_not_of(' ');
    cells.push_back(first == std::string::npos ? "" : cell.substr(first, last - first + 1));
  }
  return cells;
}

/// The rows of the table, as cells.
std::vector<std::vector<std::string>> table_rows() {
  const std::string text = read_text_file(SLOWDAWN_SOURCE_FOLDER "/README.md").value();
  std::istringstream lines{text.substr(text.find("## What each number rests on"))};
  std::vector<std::vector<std::string>> rows;
  for (std::string line; std::getline(lines, line);) {
    if (line.starts_with("| ") && !line.starts_with("| number |")) rows.push_back(cells_of(line));
  }
  return rows;
}

/// Figure and value of a row, as one text.
std::string stated(const std::string& figure) {
  for (const auto& row : table_rows()) {
    if (row[0].starts_with(figure)) return row[0] + " | " + row[1];
  }
  return "no row of " + figure;
}

/// The numbers of a text, in their order; one in `code` is none.
std::vector<double> numbers_of(const std::string& text) {
  std::vector<double> numbers;
  bool is_code = false;
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (text[i] == '`') is_code = !is_code;
    const auto is_digit = [&](std::size_t at) {
      return at < text.size() && std::isdigit(static_cast<unsigned char>(text[at])) != 0;
    };
    const bool is_negative = text[i] == '-' && is_digit(i + 1);
    if (is_code || (!is_digit(i) && !is_negative)) continue;
    std::size_t length = 0;
    numbers.push_back(std::stod(text.substr(i), &length));
    i += length - 1;
  }
  return numbers;
}

using Numbers = std::vector<double>;

TEST(StatedNumbers, HaveAKindAndAReasonInEveryRow) {
  const auto rows = table_rows();
  ASSERT_GT(rows.size(), 30U);
  std::set<std::string> figures;
  for (const auto& row : rows) {
    ASSERT_EQ(row.size(), 4U) << row[0];
    EXPECT_TRUE(figures.insert(row[0]).second) << row[0];
    const auto is_of_kind = [&](const char* kind) { return row[2].starts_with(kind); };
    const char* const kinds[] = {"published", "derived", "common practice", "design choice",
                                 "your own"};
    EXPECT_TRUE(std::any_of(std::begin(kinds), std::end(kinds), is_of_kind)) << row[0];
    EXPECT_GT(row[3].size(), 5U) << row[0];
  }
}

TEST(StatedNumbers, AreThoseOfTheProfiles) {
  std::map<LightClass, DoseBand> widest;
  std::map<LightClass, double> highest;
  std::set<double> headrooms;
  const ProfileShelf shelf = ProfileShelf::built_in();
  for (const std::string& name : shelf.names()) {
    const Profile profile = shelf.find(name).value();
    const Tolerance& t = profile.tolerance;
    const auto [band, is_new] = widest.try_emplace(profile.light_class, t.dose_band);
    band->second.low = std::min(band->second.low, t.dose_band.low);
    band->second.high = std::max(band->second.high, t.dose_band.high);
    double& ceiling = highest[profile.light_class];
    ceiling = std::max(ceiling, t.peak_ceiling.umol_m2_s());
    headrooms.insert(t.headroom.percent());
    const bool is_slow = name == "acropora" || name == "pocilloporid";
    EXPECT_EQ(t.tau_up.d(), numbers_of(stated("`tau_up_days`"))[is_slow ? 1 : 0]) << name;
    EXPECT_EQ(Numbers{t.tau_down.d()}, numbers_of(stated("`tau_down_days`"))) << name;
    EXPECT_EQ(Numbers{t.weekly_rise.percent()}, numbers_of(stated("`weekly_rise_percent`")));
    EXPECT_EQ(Numbers{t.carryover}, numbers_of(stated("`carryover`"))) << name;
    EXPECT_EQ(Numbers{t.floor.percent()}, numbers_of(stated("`floor_percent`"))) << name;
  }
  Numbers bands;
  Numbers ceilings;
  for (const LightClass light : {LightClass::low, LightClass::medium, LightClass::high}) {
    bands.push_back(widest[light].low.mol_m2_d());
    bands.push_back(widest[light].high.mol_m2_d());
    ceilings.push_back(highest[light]);
  }
  EXPECT_EQ(bands, numbers_of(stated("dose bands by class")));
  EXPECT_EQ(ceilings, numbers_of(stated("peak ceilings by class")));
  EXPECT_EQ(Numbers(headrooms.rbegin(), headrooms.rend()),
            numbers_of(stated("`headroom_percent`")));
}

TEST(StatedNumbers, AreThoseOfTheCode) {
  const MeterAccuracy meter;
  const OriginError error;
  // The exponents of m-2 and s-1 are numbers of the text, too.
  const std::map<std::string, Numbers> rows{
      {"`calibration_percent`", {meter.calibration.percent(), meter.repeat.percent()}},
      {"error of a light that was told", {100.0 * error_of_told_light}},
      {"a day's light is warned of", {lit_day_worth_a_warning.h(), longest_lit_day.h()}},
      {"note over a peak", {peak_worth_a_note.umol_m2_s(), -2.0, -1.0}},
      {"a plan ends", {static_cast<double>(last_plan_day)}},
      {"a look at each group", {days_to_next_look, days_to_next_look_after_sign}},
      {"the dial holds without a look", {days_without_look_that_hold}},
      {"two signs in a row", {days_between_two_signs}},
      {"note over a dose", {dose_worth_a_note.mol_m2_d(), -2.0, -1.0}},
      {"a strain",
       {100.0 * (1.0 - share_left_by_strain), 7.0, days_a_strain_holds, strain_slows_by, 40.0,
        days_between_strains}},
      {"learning", {lesson_quickens_by, clean_steps_that_teach, days_between_clean_steps, 5.0}},
      {"hurt", {steady_days_before_restart, good_look_days_before_restart}},
      {"light by accident", {days_from_accident_to_good_look}},
      {"going on after", {days_between_good_looks}},
      {"a stop on the way lasts", {static_cast<double>(MoveWish{}.min_stay_days)}},
      {"room at a spot", {static_cast<double>(Spot{}.capacity)}},
      {"advice is given from", {static_cast<double>(days_worth_advice)}},
      {"a logged light needs", {60.0 * longest_even_step.h()}},
      {"gaps of a logged light are errors", {60.0 * longest_lit_gap.h(), longest_dark_gap.h()}},
      {"dark, noise and highest",
       {default_dark.umol_m2_s(), lowest_logged_noise.umol_m2_s(), highest_logged_ppfd.umol_m2_s(),
        -2.0, -1.0}},
      {"`risk`: spread", {100.0 * headroom_spread, 100.0 * tau_spread}},
      {"`survey` doubts",
       {100.0 * scatter_worth_a_warning, 100.0 * misfit_worth_a_warning, dial_reach,
        static_cast<double>(age_worth_a_warning), separation_worth_a_warning}},
      {"estimates of unread spots",
       {static_cast<double>(fewest_map_readings), most_horizontal_range_per_span,
        most_depth_range_per_span}},
      {"a spectral error is warned of", {100.0 * spectral_error_worth_a_warning}},
      {"steps of a spectrum", {widest_spectral_step.nm()}},
      {"error of an `origin`",
       {100.0 * error.sky, 100.0 * error.photons, 100.0 * error.surface, 100.0 * water_type_error,
        100.0 * guessed_water_error, 100.0 * measured_kd_error, known_cloud_error,
        guessed_cloud_error}},
      {"cloud that nobody says", {guessed_cloud_share}},
  };
  for (const auto& [figure, expected] : rows) {
    Numbers said = numbers_of(stated(figure));
    ASSERT_EQ(said.size(), expected.size()) << stated(figure);
    for (std::size_t i = 0; i < said.size(); ++i) {
      EXPECT_NEAR(said[i], expected[i], 1e-9 * std::abs(expected[i])) << stated(figure);
    }
  }
}

}  // namespace
}  // namespace slowdawn
