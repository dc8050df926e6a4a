// What the risk draws of a tank's plan.
#include <slowdawn/tank/risk_setup.hpp>

#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "tank/good_tank.hpp"
#include "tank/ratio_error.hpp"

namespace slowdawn {
namespace {

using testing::Json;
using testing::read;

constexpr double carryover = 0.8;
constexpr std::size_t crest = 0;
constexpr std::size_t panel = 0;
constexpr std::size_t bar = 1;

/// Each light on for ten hours, straight dimming, read once at 100 %.
Json panel_and_bar() {
  return Json::parse(R"({
    "format": "slowdawn-tank/1", "name": "Annex reef",
    "meter": {"repeat_percent": 5, "calibration_percent": 10},
    "lights": [{"name": "panel", "photoperiod": {"on": "10:00", "off": "20:00"}},
               {"name": "bar", "photoperiod": {"on": "10:00", "off": "20:00"}}],
    "spots": [{"name": "crest"}, {"name": "sand"}],
    "surveys": [{"dials": {"panel": 100}, "ppfd": {"crest": 200, "sand": 50}},
                {"dials": {"bar": 100}, "ppfd": {"crest": 100, "sand": 25}}],
    "groups": [{"name": "staghorn", "spot": "crest",
                "profile": {"dose_band": [1, 30], "peak_ceiling": 1000, "headroom_percent": 30,
                            "weekly_rise_percent": 15, "tau_up_days": 10, "tau_down_days": 5,
                            "carryover": 0.8, "floor_percent": 50}}],
    "ramp": {"from": {"panel": 80}, "to": {"panel": 80, "bar": 60}, "start": "2026-03-01"}
  })");
}

/// A plan of a tank, and what is drawn of it.
struct Asked {
  explicit Asked(const Json& file) : tank(read(file)) {}

  Tank tank;
  RampSetup setup = make_ramp_setup(tank);
  Plan plan = compute_plan(setup.problem);
  std::vector<Dials> dials = dials_by_day(setup, plan);
  RiskCourse course = make_risk_course({tank, setup, plan, dials}, 0);

  /// By output, F.
  std::vector<double> read_outputs() const {
    std::vector<double> outputs;
    for (const RiskCourse::Spot& spot : course.spots) {
      for (const RiskCourse::Output& output : spot.outputs) {
        outputs.push_back(output.full.umol_m2_s());
      }
    }
    return outputs;
  }
};

double dose_of(const RiskCourse::Row& row, const std::vector<double>& outputs) {
  double dose = row.certain.dose.mol_m2_d();
  for (const RiskCourse::Part& part : row.parts) dose += part.to_dose * outputs[part.output];
  return dose;
}

/// What the last day brings, without doubt, over what the group is used to.
double last_ratio(const Asked& asked) {
  const RiskCourse::Group& group = asked.course.groups[0];
  const std::vector<double> outputs = asked.read_outputs();
  return dose_of(group.rows.back(), outputs) / dose_of(group.start, outputs);
}

// 200 and 100 umol of ten hours at 100 % are 7.2 and 3.6 mol.
TEST(RiskSetup, CountsLightByItsCarryoverAndWithoutItsDoubt) {
  Json file = panel_and_bar();
  EXPECT_NEAR(last_ratio(Asked{file}), (0.8 * 7.2 + 0.6 * 3.6 / carryover) / (0.8 * 7.2), 1e-12);
  file["ramp"]["to"] = {{"panel", 90}};
  EXPECT_NEAR(last_ratio(Asked{file}), 90.0 / 80.0, 1e-12);
  file["ramp"]["to"] = {{"bar", 100}};
  EXPECT_NEAR(last_ratio(Asked{file}), 3.6 / carryover / (0.8 * 7.2), 1e-12);
}

TEST(RiskSetup, CountsLightAtAnotherSpotWithoutTheDoubtOfBoth) {
  Json file = panel_and_bar();
  file["groups"][0]["spot"] = "sand";
  file["groups"][0]["to_spot"] = "crest";
  file["groups"][0]["profile"]["headroom_percent"] = 100;
  file["ramp"]["from"] = {{"panel", 100}};
  file["ramp"]["to"] = {{"panel", 50}};
  const Asked had{file};
  ASSERT_GT(had.setup.starts[0].doubts[panel], 1.1);
  EXPECT_NEAR(last_ratio(had), 0.5 * 7.2 / 1.8, 1e-12);
  file["ramp"]["to"] = {{"panel", 40}, {"bar", 20}};
  EXPECT_NEAR(last_ratio(Asked{file}), (0.4 * 7.2 + 0.2 * 3.6 / carryover) / 1.8, 1e-12);
}

TEST(RiskSetup, HasThePlansOwnAmountsWithTheDoubtOfItsWeights) {
  const Asked asked{panel_and_bar()};
  const std::vector<double> outputs = asked.read_outputs();
  const RiskCourse::Group& group = asked.course.groups[0];
  const GroupStart& start = asked.setup.starts[0];
  EXPECT_EQ(start.doubts[panel], 1.0);
  EXPECT_NEAR(start.doubts[bar], std::exp(1.645 * *start.new_light_error), 1e-12);
  EXPECT_NEAR(dose_of(group.start, outputs), start.used_to.dose.mol_m2_d(), 1e-12);
  std::size_t day = 0;
  for (const RiskCourse::Row& row : group.rows) {
    double dose = 0.0;
    double peak = 0.0;
    for (const RiskCourse::Part& part : row.parts) {
      const double doubt = start.doubts[asked.course.spots[0].outputs[part.output].light];
      dose += doubt * part.to_dose * outputs[part.output];
      peak += doubt * part.to_peak * outputs[part.output];
    }
    const Exposure& told = asked.plan.days[row.first_day].groups.light_of(0).effective;
    EXPECT_NEAR(dose, told.dose.mol_m2_d(), 1e-12);
    EXPECT_NEAR(peak, told.peak.umol_m2_s(), 1e-10);
    day = row.first_day;
  }
  EXPECT_GT(day, 3u);
  EXPECT_LE(group.rows.size(), asked.plan.days.size());
}

/// The same course with outputs that are known.
RiskCourse without_errors(RiskCourse course) {
  for (RiskCourse::Spot& spot : course.spots) {
    for (RiskCourse::Output& output : spot.outputs) output.root.clear();
  }
  return course;
}

TEST(RiskSetup, DoubtsANewBarBesideAPanelThatStays) {
  Json file = panel_and_bar();
  file["ramp"]["pace"] = "brisk";
  // Hardly known, and no 25 % off yet.
  file["meter"]["repeat_percent"] = 15;
  const Asked asked{file};
  ASSERT_EQ(asked.setup.problem.groups[0].doubt, 0.0);
  const Chance known = compute_risk(without_errors(asked.course), 1, 100000).any;
  const Chance doubted = compute_risk(asked.course, 1, 100000).any;
  EXPECT_GT(doubted.share(), known.share() + 4.0 * (known.standard_error() + 0.001));
  EXPECT_GT(doubted.share(), 0.02);
}

TEST(RiskSetup, ScattersARatioByItsError) {
  Json file = panel_and_bar();
  file["meter"]["repeat_percent"] = 2;
  // The bar is known by what it adds to the panel.
  file["surveys"][1]["dials"]["panel"] = 30;
  file["surveys"][1]["ppfd"] = {{"crest", 160}, {"sand", 40}};
  const Asked asked{file};
  const double u = *asked.setup.starts[0].new_light_error;
  const RiskCourse::Group& group = asked.course.groups[0];
  RiskCourse::Row fresh = group.rows.back();
  std::erase_if(fresh.parts, [&](const RiskCourse::Part& part) {
    return asked.course.spots[0].outputs[part.output].light != bar;
  });
  ASSERT_EQ(fresh.parts.size(), 1u);
  std::mt19937 random{7};
  std::normal_distribution<double> normal;
  constexpr int draws = 200000;
  double sum = 0.0;
  double squares = 0.0;
  for (int i = 0; i < draws; ++i) {
    const double z[] = {normal(random), normal(random)};
    std::vector<double> outputs = asked.read_outputs();
    for (std::size_t j = 0; j < outputs.size(); ++j) {
      const std::vector<double>& root = asked.course.spots[0].outputs[j].root;
      for (std::size_t column = 0; column < root.size(); ++column) {
        outputs[j] += root[column] * z[column];
      }
    }
    const double ratio = std::log(dose_of(fresh, outputs) / dose_of(group.start, outputs));
    sum += ratio / draws;
    squares += ratio * ratio / draws;
  }
  // The scatter of a scatter is u / sqrt(2 n); 0.2 % is left for what is of second order.
  EXPECT_NEAR(std::sqrt(squares - sum * sum) / u, 1.0, 4.0 / std::sqrt(2.0 * draws) + 0.002);
  EXPECT_GT(u, 0.04);
}

TEST(RiskSetup, KeepsAHistoryFromElsewhereWithItsError) {
  Json file = panel_and_bar();
  file["groups"][0]["history"] = {{"dose", 5.0}, {"peak", 140.0}, {"error_percent", 12}};
  const Asked asked{file};
  const RiskCourse::Group& group = asked.course.groups[0];
  EXPECT_TRUE(group.start.parts.empty());
  EXPECT_NEAR(group.start.certain.dose.mol_m2_d(), 5.0 * asked.setup.starts[0].unit, 1e-12);
  EXPECT_NEAR(group.history_error.value(), 0.12, 1e-15);
  EXPECT_NEAR(asked.course.calibration_error, 0.10, 1e-15);
  EXPECT_GT(asked.setup.starts[0].doubts[panel], std::exp(1.645 * 0.15));
}

/// It came from elsewhere 20 days ago: what it has had since is what counts.
TEST(RiskSetup, TakesTheLightOfHereForAGroupThatHasBeenHere) {
  Json file = panel_and_bar();
  file["groups"][0]["history"] = {{"dose", 4.0}, {"peak", 110.0}, {"since", "2026-02-09"}};
  const Asked asked{file};
  const GroupStart& start = asked.setup.starts[0];
  EXPECT_EQ(start.basis.kind, StartBasis::Kind::spot_here);
  EXPECT_EQ(start.doubts[panel], 1.0);
  EXPECT_NEAR(start.doubts[bar], std::exp(1.645 * *start.new_light_error), 1e-12);
  EXPECT_FALSE(asked.course.groups[0].history_error);
  EXPECT_NEAR(dose_of(asked.course.groups[0].start, asked.read_outputs()),
              start.used_to.dose.mol_m2_d(), 1e-12);
}

TEST(RiskSetup, DoubtsMeshesAndEstimatesByTheirOwnErrors) {
  Json file = panel_and_bar();
  file["groups"][0]["history"] = {{"dose", 3.6}, {"peak", 100.0}};
  file["ramp"]["to"] = {{"panel", 80}, {"bar", 5}};
  file["groups"][0]["shade"] = {{"transmission", {0.5, 0.56, 0.62, 0.69, 0.76, 0.84, 0.92}},
                                {"until", "ready"}};
  Asked asked{file};
  ASSERT_FALSE(asked.plan.moves.empty());
  const RiskCourse& course = asked.course;
  const RiskCourse::Group& group = course.groups[0];
  EXPECT_EQ(group.start.mesh, RiskCourse::no_mesh);
  ASSERT_NE(group.rows.front().mesh, RiskCourse::no_mesh);
  EXPECT_EQ(group.rows.back().mesh, RiskCourse::no_mesh);
  const RiskCourse::Mesh& mesh = course.meshes[group.rows.front().mesh];
  EXPECT_NEAR(mesh.log_error, std::sqrt(2.0) * 0.05, 1e-15);
  EXPECT_LT(asked.setup.seats[mesh.number].transmission, 1.0);

  asked.tank.full_output[crest][bar]->log_error = 0.3;
  const RiskCourse guessed =
      make_risk_course({asked.tank, asked.setup, asked.plan, asked.dials}, 0);
  for (const RiskCourse::Output& output : guessed.spots[0].outputs) {
    EXPECT_EQ(output.log_error.has_value(), output.light == bar);
    EXPECT_EQ(output.root.empty(), output.light == bar);
  }
}

TEST(RiskSetup, TakesAnAmountThatNoReadingTellsAsCertain) {
  Asked asked{panel_and_bar()};
  asked.tank.full_output[crest][panel].reset();
  asked.tank.full_output[crest][bar].reset();
  const RiskCourse course = make_risk_course({asked.tank, asked.setup, asked.plan, asked.dials}, 0);
  const RiskCourse::Group& group = course.groups[0];
  EXPECT_EQ(group.start.certain.dose, asked.setup.starts[0].used_to.dose);
  EXPECT_TRUE(group.rows[0].parts.empty());
  EXPECT_EQ(group.rows[0].certain, asked.plan.days[0].groups.light_of(0).effective);
}

TEST(NewLightWeight, SaysWhatOfItIsDoubtBesideLightThatIsDoubted) {
  Json file = panel_and_bar();
  const Tank tank = read(file);
  const double of_panel = std::exp(1.645 * 0.1) / carryover;
  // The panel came as all new light once; in the unit of then it weighs 1.
  for (const double unit : {1.0, of_panel}) {
    const LightWeights had{of_panel / unit, 0.0};
    const std::vector<double> doubts{std::exp(1.645 * 0.1), 1.0};
    const auto fresh =
        weight_of_new_lights(tank, crest, tank.ramp.from, of_panel / unit, had, doubts, carryover);
    ASSERT_TRUE(fresh);
    const double u = std::hypot(std::hypot(0.05, 0.5 / 200.0), std::hypot(0.05, 0.5 / 100.0));
    EXPECT_NEAR(fresh->weight, had[panel] * std::exp(1.645 * u) / carryover, 1e-12);
    // Of both: without any doubt its photon counts 1 / carryover of one of the panel.
    EXPECT_NEAR(fresh->weight / fresh->doubt, had[panel] / doubts[panel] / carryover, 1e-12);
  }
}

}  // namespace
}  // namespace slowdawn
