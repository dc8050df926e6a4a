#include <gtest/gtest.h>

#include <cmath>
#include <map>
#include <slowdawn/ramp/planner.hpp>
#include <slowdawn/tank/ramp_setup.hpp>
#include <slowdawn/tank/survey_report.hpp>
#include <slowdawn/tank/tank.hpp>
#include <string>

#include "tank/good_tank.hpp"

namespace slowdawn {
namespace {

using testing::good_tank;
using testing::Json;

constexpr std::size_t tubes = 0;
constexpr std::size_t bars = 1;
constexpr std::size_t crest = 0;

using Files = std::map<std::string, std::string>;

FileSource from(const Files& files) {
  return [&files](const std::string& name) -> ReadResult<std::string> {
    const auto found = files.find(name);
    if (found != files.end()) return found->second;
    return tl::make_unexpected(
        ReadFailure{ReadFailure::Kind::access, {{{name, 0, 0, "", false}, "no such file", ""}}});
  };
}

Tank read(const Json& tank, const Files& files = {}) {
  auto parsed = parse_tank("reef.tank.json", tank.dump(2), ProfileShelf::built_in(), from(files));
  if (parsed) return std::move(*parsed);
  throw std::runtime_error(parsed.error().findings.front().what);
}

/// A table of every 5 nm from 400 to 700.
template <class Value>
std::string csv(const std::string& column, const Value& value) {
  std::string text = "wavelength_nm," + column + "\n";
  for (int nm = 400; nm <= 700; nm += 5) {
    text += std::to_string(nm) + "," + std::to_string(value(nm)) + "\n";
  }
  return text;
}

std::string flat(const std::string& column) {
  return csv(column, [](int) { return 1.0; });
}

std::string peak_at(double centre_nm) {
  return csv("power", [=](int nm) { return std::exp(-std::pow((nm - centre_nm) / 25.0, 2.0)); });
}

TEST(LightSpectrum, SaysWhatTheLightIsMadeOf) {
  Json file = good_tank();
  file["lights"][bars]["spectrum"] = "bars.csv";
  const Tank tank = read(file, {{"bars.csv", flat("power")}});
  ASSERT_TRUE(tank.lights[bars].spectrum.has_value());
  EXPECT_FALSE(tank.lights[tubes].spectrum.has_value());
  EXPECT_NEAR(tank.lights[bars].spectrum->figures.photons_per_joule.umol_per_joule(), 4.5976, 5e-5);
  EXPECT_FALSE(tank.lights[bars].spectrum->meter_error.has_value());
  EXPECT_EQ(tank.attached.at("bars.csv"), flat("power"));
  EXPECT_TRUE(tank.warnings.empty());
}

TEST(LightSpectrum, TurnsLuxIntoPpfd) {
  Json file = good_tank();
  file["lights"][bars]["spectrum"] = "bars.csv";
  const Files files{{"bars.csv", peak_at(460)}};
  const double factor = read(file, files).lights[bars].lux_factor().value().lux_per_umol();
  EXPECT_GT(factor, 5.0);
  EXPECT_LT(factor, 20.0);
  file["surveys"][1]["unit"] = "lux";
  file["surveys"][1]["ppfd"] = {{"crest", 160.0 * factor}, {"sand", 40.0 * factor}};
  const Tank tank = read(file, files);
  EXPECT_NEAR(tank.full_output[crest][bars]->ppfd.umol_m2_s(), 400.0, 1e-9);
  // And says so, with a caution.
  ASSERT_EQ(tank.warnings.size(), 1U);
  EXPECT_NE(tank.warnings[0].what.find("become PPFD by its spectrum"), std::string::npos);
  EXPECT_NE(tank.warnings[0].hint.find("blue"), std::string::npos);
  EXPECT_EQ(tank.warnings[0].place.pointer, "/lights/1");
  const SurveyReport report = report_survey(tank, *tank.surveys[0].taken);
  ASSERT_FALSE(report.warnings.empty());
  EXPECT_NE(report.warnings.back().find("become PPFD by its spectrum"), std::string::npos);
}

TEST(LightSpectrum, IsOutrankedByWhatTheKeeperCompared) {
  Json file = good_tank();
  file["lights"][bars]["spectrum"] = "bars.csv";
  file["lights"][bars]["lux_per_ppfd"] = 20;
  file["surveys"][1]["unit"] = "lux";
  file["surveys"][1]["ppfd"] = {{"crest", 3200}, {"sand", 800}};
  const Tank tank = read(file, {{"bars.csv", peak_at(460)}});
  EXPECT_NEAR(tank.full_output[crest][bars]->ppfd.umol_m2_s(), 400.0, 1e-9);
  EXPECT_TRUE(tank.warnings.empty());
}

TEST(MeterResponse, GivesTheErrorUnderEachLightAndCorrectsNothing) {
  Json file = good_tank();
  file["meter"]["response"] = "meter.csv";
  file["meter"]["calibrated_under"] = "lamp.csv";
  file["lights"][tubes]["spectrum"] = "lamp.csv";
  file["lights"][bars]["spectrum"] = "bars.csv";
  // Near the dial that the bars were read at, which is no other warning then.
  file["ramp"]["to"]["bars"] = 44;
  // A meter that sees blue half as well as the rest.
  const Files files{{"meter.csv", csv("response", [](int nm) { return nm < 500 ? 0.5 : 1.0; })},
                    {"lamp.csv", peak_at(600)},
                    {"bars.csv", peak_at(440)}};
  const Tank tank = read(file, files);
  EXPECT_NEAR(tank.lights[tubes].spectrum->meter_error.value(), 0.0, 1e-12);
  EXPECT_NEAR(tank.lights[bars].spectrum->meter_error.value(), -0.5, 1e-2);
  EXPECT_EQ(tank.full_output[crest][bars]->ppfd.umol_m2_s(), 400.0);
  ASSERT_EQ(tank.warnings.size(), 1U);
  EXPECT_EQ(tank.warnings[0].what, "the meter shows 50 % too little under \"bars\"");
  EXPECT_NE(tank.warnings[0].hint.find("ratio"), std::string::npos);
  EXPECT_EQ(report_survey(tank, *tank.surveys[0].taken).warnings.size(), 1U);
}

TEST(MeterResponse, IsTakenToBeSetRightUnderDaylight) {
  Json file = good_tank();
  file["meter"]["response"] = "meter.csv";
  file["lights"][bars]["spectrum"] = "bars.csv";
  const Files files{{"meter.csv", csv("response", [](int nm) { return nm / 700.0; })},
                    {"bars.csv", peak_at(440)}};
  const Tank tank = read(file, files);
  EXPECT_NEAR(tank.lights[bars].spectrum->meter_error.value(),
              compute_spectral_error(tank.meter.response->signal,
                                     tank.lights[bars].spectrum->spectrum, daylight_spectrum())
                  .value(),
              1e-12);
  // Daylight has a mean wavelength of about 560 nm, the bars one of 440.
  EXPECT_NEAR(*tank.lights[bars].spectrum->meter_error, 440.0 / 560.0 - 1.0, 0.03);
}

TEST(UsableWeight, IsOneWhereNothingIsSaid) {
  const Tank tank = read(good_tank());
  EXPECT_EQ(tank.lights[bars].usable_weight, 1.0);
  EXPECT_FALSE(tank.has_weights());
}

/// What the caps see under a weight is what they see of readings that many times as
/// high, and the keeper still sees what was read.
TEST(UsableWeight, PlansAsIfTheReadingsWereThatMuchHigher) {
  for (const double weight : {0.5, 1.3, 2.0}) {
    Json weighed = good_tank();
    // Half a digit of a display does not grow with the reading; a relative meter has none.
    weighed["meter"]["relative"] = true;
    weighed["lights"][bars]["usable_weight"] = weight;
    Json scaled = good_tank();
    scaled["meter"]["relative"] = true;
    for (auto& value : scaled["surveys"][1]["ppfd"]) value = weight * value.get<double>();
    const Tank tank = read(weighed);
    const RampSetup setup = make_ramp_setup(tank);
    const RampSetup other = make_ramp_setup(read(scaled));
    const Plan plan = compute_plan(setup.problem);
    const Plan plan_of_scaled = compute_plan(other.problem);
    ASSERT_EQ(plan.days.size(), plan_of_scaled.days.size()) << weight;
    EXPECT_EQ(plan.goal_day, plan_of_scaled.goal_day);
    EXPECT_EQ(plan.status, plan_of_scaled.status);
    for (std::size_t day = 0; day < plan.days.size(); ++day) {
      EXPECT_EQ(plan.days[day].setting, plan_of_scaled.days[day].setting) << day;
      for (std::size_t g = 0; g < tank.groups.size(); ++g) {
        const GroupDay& one = plan.days[day].groups[g];
        const GroupDay& same = plan_of_scaled.days[day].groups[g];
        EXPECT_NEAR(one.light.real.dose / same.light.real.dose, 1.0, 1e-12);
        EXPECT_NEAR(one.state.used_to.peak / same.state.used_to.peak, 1.0, 1e-12);
        const Exposure measured =
            measured_exposure(tank, setup.seats[setup.problem.groups[g].spot],
                              {{bars, setup.problem.path.settings[plan.days[day].setting][0]}});
        EXPECT_NEAR(one.light.real.dose / measured.dose, weight, 1e-12);
        EXPECT_NEAR(one.light.real.peak / measured.peak, weight, 1e-12);
      }
    }
    EXPECT_TRUE(tank.has_weights());
  }
}

TEST(UsableWeight, CountsBeforeForTheLightsThatWereLit) {
  Json file = good_tank();
  const Exposure plain = read(file).before(read(file).groups[0]);
  file["lights"][tubes]["usable_weight"] = 0.7;
  file["groups"][1]["history"] = {{"dose", 5}, {"peak", 200}};
  const Tank tank = read(file);
  EXPECT_NEAR(tank.before(tank.groups[0]).dose / plain.dose, 0.7, 1e-12);
  EXPECT_NEAR(tank.before(tank.groups[0]).peak / plain.peak, 0.7, 1e-12);
  EXPECT_EQ(tank.measured_before(tank.groups[0]), plain);
  // Light from elsewhere has weight 1.
  EXPECT_EQ(tank.before(tank.groups[1]).dose.mol_m2_d(), 5.0);
  EXPECT_EQ(tank.measured_before(tank.groups[1]).dose.mol_m2_d(), 5.0);
}

TEST(UsableWeight, CountsForAHistoryAtASpotOfThisTank) {
  Json file = good_tank();
  file["lights"][bars]["usable_weight"] = 2;
  file["groups"][1]["history"] = {{"spot", "crest"}, {"dials", {{"bars", 20}}}};
  const Tank tank = read(file);
  const Exposure measured = tank.exposure(crest, {{bars, Percent::of_full(20.0)}});
  EXPECT_EQ(tank.measured_before(tank.groups[1]), measured);
  EXPECT_EQ(tank.before(tank.groups[1]).dose, 2.0 * measured.dose);
}

TEST(UsableWeight, WeighsTheLightsOfASumEachByItsOwn) {
  Json file = good_tank();
  file["lights"][tubes]["usable_weight"] = 0.5;
  file["lights"][bars]["usable_weight"] = 2;
  const Tank tank = read(file);
  const std::map<std::size_t, Percent> both{{tubes, Percent::of_full(100.0)},
                                            {bars, Percent::of_full(10.0)}};
  const DailyDose old_light = tank.exposure(crest, {{tubes, Percent::of_full(100.0)}}).dose;
  const DailyDose new_light = tank.exposure(crest, {{bars, Percent::of_full(10.0)}}).dose;
  EXPECT_NEAR(tank.usable_exposure(crest, both).dose.mol_m2_d(),
              (0.5 * old_light + 2.0 * new_light).mol_m2_d(), 1e-12);
  EXPECT_NEAR(tank.exposure(crest, both).dose.mol_m2_d(), (old_light + new_light).mol_m2_d(),
              1e-12);
}

}  // namespace
}  // namespace slowdawn
