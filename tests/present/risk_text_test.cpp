#include <gtest/gtest.h>

#include <slowdawn/present/present.hpp>

#include "tank/good_tank.hpp"

namespace slowdawn {
namespace {

using namespace slowdawn::testing;

/// The good tank's plan, and chances as if they had been drawn.
struct Shown {
  Tank tank = read(good_tank());
  RampSetup setup = make_ramp_setup(tank);
  Plan plan = compute_plan(setup.problem);
  RiskView view{.seed = 1};

  Shown(std::size_t met, std::size_t met_twice) {
    const Chance chance{.pairs = 4096, .met = met, .met_twice = met_twice, .worst_day = 0};
    view.risk = {8192, {chance, Chance{.pairs = 4096}}, chance};
    view.paces = {{{}, {}}, {view.risk, 40}, {view.risk, {}}};
  }

  PlannedRamp ramp() const { return {tank, setup, plan, *tank.ramp.start}; }
  std::string text() const { return risk_text(ramp(), view, {}); }
  Json json() const { return Json::parse(risk_json(ramp(), view)); }
};

void expect_said(const std::string& text, const std::string& words) {
  EXPECT_NE(text.find(words), std::string::npos) << words << "\n" << text;
}

TEST(RiskText, SaysWhichPaceHasNoSafeBeginning) {
  const Shown shown{1000, 20};
  expect_said(shown.text(), "gentle: no setting is safe on the first day.");
  expect_said(shown.text(), "days until settled       -              40           never\n");
  EXPECT_TRUE(shown.json()["paces"]["gentle"].is_null());
  EXPECT_TRUE(shown.json()["paces"]["brisk"]["settled"].is_null());
  EXPECT_EQ(shown.json()["paces"]["standard"]["settled"], "2027-01-10");
}

TEST(RiskText, ShowsAnErrorWithEachChance) {
  // 1000 of 8192, 960 pairs with one and 20 with both.
  expect_said(Shown(1000, 20).text(), "staghorn thicket: 12.2 % (+-0.3)");
}

TEST(RiskText, NeverReadsAsImpossibleOrCertain) {
  const std::string rare = Shown(2, 0).text();
  expect_said(rare, "staghorn thicket: under 0.2 %");
  expect_said(rare, "elephant ear      under 0.1 %  -\n");
  expect_said(Shown(8192, 4096).text(), "staghorn thicket: over 99.9 %");
  EXPECT_TRUE(Shown(2, 0).json()["groups"][1]["worst_day"].is_null());
}

}  // namespace
}  // namespace slowdawn
