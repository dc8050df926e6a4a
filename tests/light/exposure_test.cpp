#include <gtest/gtest.h>

#include <boost/math/quadrature/gauss_kronrod.hpp>
#include <random>
#include <slowdawn/light/exposure.hpp>
#include <string>

#include "light/courses.hpp"

namespace slowdawn {
namespace {

using courses::make_curve;

constexpr ClockTime at(int hour, double minute = 0) {
  return ClockTime::minute(60.0 * hour + minute);
}
Percent percent(double value) { return Percent::of_full(value); }
Ppfd ppfd(double value) { return Ppfd::umol_m2_s(value); }

LightCourse square(ClockTime on, ClockTime off) {
  return {Photoperiod::between(on, off, {}, {}).value(), {}};
}

Exposure expose(const std::vector<LightCourse>& lights, const std::vector<double>& dials,
                const std::vector<double>& full_output) {
  std::vector<Percent> percents;
  for (const double dial : dials) percents.push_back(percent(dial));
  std::vector<Ppfd> ppfds;
  for (const double value : full_output) ppfds.push_back(ppfd(value));
  return LitDay{lights, percents}.at(ppfds);
}

TEST(FullOutputHours, OfASquareDayAreItsHoursTimesTheDial) {
  const LightCourse light = square(at(9), at(19));
  EXPECT_DOUBLE_EQ(full_output_hours(light, percent(100.0)).h(), 10.0);
  EXPECT_DOUBLE_EQ(full_output_hours(light, percent(35.0)).h(), 3.5);
  EXPECT_EQ(full_output_hours(light, percent(0.0)).h(), 0.0);
}

TEST(FullOutputHours, CountRiseAndFallByHalf) {
  const LightCourse light{
      Photoperiod::between(at(9), at(19), Minutes::min(60.0), Minutes::min(120.0)).value(), {}};
  EXPECT_DOUBLE_EQ(full_output_hours(light, percent(100.0)).h(), 7.0 + 1.5);
  EXPECT_DOUBLE_EQ(full_output_hours(light, percent(40.0)).h(), 0.4 * 8.5);
}

TEST(FullOutputHours, RunAcrossMidnight) {
  EXPECT_DOUBLE_EQ(full_output_hours(square(at(18), at(4)), percent(50.0)).h(), 5.0);
  const LightCourse points{
      Photoperiod::through({{at(0), 1.0}, {at(5), 0.0}, {at(20), 0.0}}).value(), {}};
  EXPECT_DOUBLE_EQ(full_output_hours(points, percent(100.0)).h(), 2.5 + 2.0);
}

TEST(FullOutputHours, BendTheRiseByTheCurve) {
  // phi through (50 %, 20 %): see DimmingCurve.MeanOfOnePairByHand. The day is
  // 8 h at phi(dial) and 2 h at the mean of phi up to the dial.
  const LightCourse light{
      Photoperiod::between(at(9), at(19), Minutes::min(60.0), Minutes::min(60.0)).value(),
      make_curve({{50.0, 20.0}})};
  const double mean_to_half = (0.5 * 0.1 + 0.25 * (0.4 - 0.64) / 12.0) / 0.5;
  EXPECT_NEAR(full_output_hours(light, percent(50.0)).h(), 8.0 * 0.2 + 2.0 * mean_to_half, 1e-13);
}

TEST(FullOutputHours, AgreeWithQuadrature) {
  using boost::math::quadrature::gauss_kronrod;
  for (unsigned seed = 1; seed <= 150; ++seed) {
    SCOPED_TRACE("seed " + std::to_string(seed));
    std::mt19937 random(seed);
    const courses::Day day = courses::random_day(random);
    const DimmingCurve curve = make_curve(courses::random_pairs(random, 1 + seed % 6));
    const double dial = std::uniform_real_distribution<double>(1.0, 100.0)(random);

    const auto output = [&](double since_on) {
      return curve.output(
          percent(dial * day.after(std::fmod(day.on + since_on, courses::minutes_per_day))));
    };
    double minutes = 0.0;
    const double corners[] = {0.0, day.rise, day.length() - day.fall, day.length()};
    for (std::size_t i = 0; i + 1 < std::size(corners); ++i) {
      if (corners[i + 1] <= corners[i]) continue;
      minutes +=
          gauss_kronrod<double, 31>::integrate(output, corners[i], corners[i + 1], 20, 1e-12);
    }
    const LightCourse light{day.photoperiod(), curve};
    EXPECT_NEAR(full_output_hours(light, percent(dial)).h(), minutes / 60.0, 1e-8);
  }
}

TEST(LitDay, GivesDoseAndPeakOfASquareDay) {
  const Exposure day = expose({square(at(9), at(19))}, {50.0}, {400.0});
  EXPECT_DOUBLE_EQ(day.dose.mol_m2_d(), 7.2);
  EXPECT_DOUBLE_EQ(day.peak.umol_m2_s(), 200.0);
}

TEST(LitDay, AddsTwoLights) {
  // 09 to 19 h at 100 and 13 to 17 h at 60 umol: 3.6 and 0.864 mol, together
  // 160 umol at the brightest.
  const Exposure day =
      expose({square(at(9), at(19)), square(at(13), at(17))}, {50.0, 20.0}, {200.0, 300.0});
  EXPECT_NEAR(day.dose.mol_m2_d(), 3.6 + 0.864, 1e-14);
  EXPECT_DOUBLE_EQ(day.peak.umol_m2_s(), 160.0);
}

TEST(LitDay, DoesNotAddLightsThatAreLitApart) {
  const Exposure day =
      expose({square(at(6), at(12)), square(at(13), at(19))}, {100.0, 100.0}, {200.0, 150.0});
  EXPECT_DOUBLE_EQ(day.peak.umol_m2_s(), 200.0);
  EXPECT_NEAR(day.dose.mol_m2_d(), 0.0036 * 6.0 * 350.0, 1e-13);
}

TEST(LitDay, DoesNotAddLightsThatTakeTurnsAtAStep) {
  const Exposure day =
      expose({square(at(6), at(12)), square(at(12), at(18))}, {100.0, 100.0}, {200.0, 150.0});
  EXPECT_DOUBLE_EQ(day.peak.umol_m2_s(), 200.0);
}

TEST(LitDay, CountsTheSideBeforeAStep) {
  // The one light rises to its highest at noon and steps to dark; the other is
  // lit all along: the day peaks just before noon.
  const LightCourse ends_bright{
      Photoperiod::through({{at(8), 0.0}, {at(12), 1.0}, {at(12), 0.0}}).value(), {}};
  const Exposure day = expose({ends_bright, square(at(8), at(18))}, {100.0, 100.0}, {100.0, 50.0});
  EXPECT_DOUBLE_EQ(day.peak.umol_m2_s(), 150.0);
}

TEST(LitDay, CountsTheSideAfterAStep) {
  const LightCourse begins_bright{
      Photoperiod::through({{at(12), 0.0}, {at(12), 1.0}, {at(18), 0.0}}).value(), {}};
  const Exposure day =
      expose({begins_bright, square(at(8), at(18))}, {100.0, 100.0}, {100.0, 50.0});
  EXPECT_DOUBLE_EQ(day.peak.umol_m2_s(), 150.0);
}

TEST(LitDay, CountsTheSideBeforeAStepAtMidnight) {
  const Exposure day =
      expose({square(at(14), at(0)), square(at(20), at(0))}, {100.0, 100.0}, {100.0, 50.0});
  EXPECT_DOUBLE_EQ(day.peak.umol_m2_s(), 150.0);
}

TEST(LitDay, LeavesALightAtDialZeroOut) {
  const std::vector<LightCourse> lights{square(at(9), at(19)), square(at(6), at(20))};
  const Exposure day = expose(lights, {50.0, 0.0}, {400.0, 9999.0});
  EXPECT_EQ(day, expose({lights[0]}, {50.0}, {400.0}));
}

TEST(LitDay, IsDarkWithEveryDialAtZero) {
  const Exposure day = expose({square(at(9), at(19))}, {0.0}, {400.0});
  EXPECT_EQ(day, Exposure{});
}

TEST(LitDay, AppliesToEverySpot) {
  const std::vector<LightCourse> lights{square(at(9), at(19))};
  const std::vector<Percent> dials{percent(50.0)};
  const LitDay day{lights, dials};
  const std::vector<Ppfd> crest{ppfd(400.0)};
  const std::vector<Ppfd> sand{ppfd(100.0)};
  EXPECT_DOUBLE_EQ(day.at(crest).peak.umol_m2_s(), 200.0);
  EXPECT_DOUBLE_EQ(day.at(sand).peak.umol_m2_s(), 50.0);
}

TEST(LitDay, PeaksAtACornerWhereLinearLightsCross) {
  const LightCourse falls{Photoperiod::through({{at(8), 0.0}, {at(8), 1.0}, {at(18), 0.0}}).value(),
                          {}};
  const LightCourse rises{
      Photoperiod::through({{at(8), 0.0}, {at(18), 1.0}, {at(18), 0.0}}).value(), {}};
  const Exposure day = expose({falls, rises}, {100.0, 100.0}, {100.0, 80.0});
  EXPECT_DOUBLE_EQ(day.peak.umol_m2_s(), 100.0);
}

TEST(LitDay, FindsThePeakBetweenCornersWhereCurvesCross) {
  // Two curved lights of 100 umol cross over 10 h: the sum of
  // phi(share) + phi(1 - share) is 100 umol at both ends and, as phi rises fast
  // at first, more in the middle.
  const DimmingCurve fast = make_curve({{25.0, 50.0}, {50.0, 75.0}, {75.0, 90.0}});
  const LightCourse falls{Photoperiod::through({{at(8), 0.0}, {at(8), 1.0}, {at(18), 0.0}}).value(),
                          fast};
  const LightCourse rises{
      Photoperiod::through({{at(8), 0.0}, {at(18), 1.0}, {at(18), 0.0}}).value(), fast};
  const Exposure day = expose({falls, rises}, {100.0, 100.0}, {100.0, 100.0});
  EXPECT_NEAR(day.peak.umol_m2_s(), 150.0, 1.0);
  EXPECT_GE(day.peak.umol_m2_s(), 200.0 * fast.output(percent(50.0)) - 1e-9);
}

TEST(LitDay, FindsThePeakBetweenCornersWhereOneLightAloneIsCurved) {
  const DimmingCurve fast = make_curve({{25.0, 60.0}});
  const LightCourse falls{Photoperiod::through({{at(8), 0.0}, {at(8), 1.0}, {at(18), 0.0}}).value(),
                          {}};
  const LightCourse rises{
      Photoperiod::through({{at(8), 0.0}, {at(18), 1.0}, {at(18), 0.0}}).value(), fast};
  const Exposure day = expose({falls, rises}, {100.0, 100.0}, {100.0, 100.0});
  // A quarter of the way up the rising light gives 60, the falling one 75.
  EXPECT_GE(day.peak.umol_m2_s(), 135.0 - 1e-9);
}

TEST(LitDay, SaysWhatEachLightGivesAtThePeak) {
  const LightCourse falls{Photoperiod::through({{at(8), 0.0}, {at(8), 1.0}, {at(18), 0.0}}).value(),
                          {}};
  const LightCourse rises{
      Photoperiod::through({{at(8), 0.0}, {at(18), 1.0}, {at(18), 0.0}}).value(), {}};
  const std::vector<LightCourse> lights{falls, rises};
  const std::vector<Percent> dials{percent(80.0), percent(50.0)};
  const LitDay day{lights, dials};
  // Whichever light counts for more has the peak where it stands highest.
  EXPECT_EQ(day.outputs_at_peak(std::vector{ppfd(100.0), ppfd(100.0)}),
            (std::vector<double>{0.8, 0.0}));
  EXPECT_EQ(day.outputs_at_peak(std::vector{ppfd(100.0), ppfd(300.0)}),
            (std::vector<double>{0.0, 0.5}));
  EXPECT_EQ(day.outputs_at_peak(std::vector{ppfd(0.0), ppfd(0.0)}),
            (std::vector<double>{0.0, 0.0}));
}

TEST(LitDay, HasItsPeakWhereItSaysOnRandomDays) {
  std::mt19937 random{20261128};
  std::uniform_real_distribution<double> any(0.0, 1.0);
  const DimmingCurve fast = make_curve({{25.0, 60.0}});
  for (int repeat = 0; repeat < 50; ++repeat) {
    SCOPED_TRACE(repeat);
    std::vector<LightCourse> lights;
    std::vector<Percent> dials;
    std::vector<Ppfd> full;
    for (int j = 0; j < 3; ++j) {
      const int on = 7 + static_cast<int>(4.0 * any(random));
      lights.push_back({Photoperiod::between(at(on), at(on + 9), Minutes::min(200.0 * any(random)),
                                             Minutes::min(200.0 * any(random)))
                            .value(),
                        j == 0 ? fast : DimmingCurve{}});
      dials.push_back(percent(std::round(100.0 * any(random))));
      full.push_back(ppfd(300.0 * any(random)));
    }
    const LitDay day{lights, dials};
    const std::vector<double> outputs = day.outputs_at_peak(full);
    double sum = 0.0;
    for (std::size_t j = 0; j < 3; ++j) sum += full[j].umol_m2_s() * outputs[j];
    EXPECT_DOUBLE_EQ(sum, day.at(full).peak.umol_m2_s());
  }
}

TEST(LitDay, FindsThePeakBetweenCornersAcrossMidnight) {
  const DimmingCurve fast = make_curve({{25.0, 60.0}});
  const LightCourse falls{
      Photoperiod::through({{at(3), 0.0}, {at(21), 0.0}, {at(21), 1.0}}).value(), {}};
  const LightCourse rises{Photoperiod::through({{at(3), 1.0}, {at(3), 0.0}, {at(21), 0.0}}).value(),
                          fast};
  const Exposure day = expose({falls, rises}, {100.0, 100.0}, {100.0, 100.0});
  EXPECT_GE(day.peak.umol_m2_s(), 135.0 - 1e-9);
}

TEST(LitDay, AgreesWithAScanOfTheDayByMinute) {
  for (unsigned seed = 1; seed <= 400; ++seed) {
    SCOPED_TRACE("seed " + std::to_string(seed));
    std::mt19937 random(seed);
    std::uniform_real_distribution<double> any(0.0, 1.0);
    std::vector<courses::Day> days;
    std::vector<LightCourse> lights;
    std::vector<double> dials;
    std::vector<double> full_output;
    for (unsigned j = 0; j < 1 + seed % 4; ++j) {
      days.push_back(courses::random_day(random));
      const bool is_curved = any(random) < 0.5;
      lights.push_back(
          {days.back().photoperiod(),
           is_curved ? make_curve(courses::random_pairs(random, 1 + j)) : DimmingCurve{}});
      dials.push_back(any(random) < 0.2 ? 0.0 : 1.0 + 99.0 * any(random));
      full_output.push_back(500.0 * any(random));
    }

    double peak = 0.0;
    for (double minute = 0.0; minute < courses::minutes_per_day; minute += 1.0) {
      double before = 0.0;
      double after = 0.0;
      for (std::size_t j = 0; j < lights.size(); ++j) {
        const DimmingCurve& curve = lights[j].dimming;
        before += full_output[j] * curve.output(percent(dials[j] * days[j].before(minute)));
        after += full_output[j] * curve.output(percent(dials[j] * days[j].after(minute)));
      }
      peak = std::max({peak, before, after});
    }
    double dose = 0.0;
    for (std::size_t j = 0; j < lights.size(); ++j) {
      dose += 0.0036 * full_output[j] * full_output_hours(lights[j], percent(dials[j])).h();
    }
    // Corners lie on whole minutes, so the scan sees all that counts.
    const Exposure day = expose(lights, dials, full_output);
    EXPECT_NEAR(day.peak.umol_m2_s(), peak, 1e-10);
    EXPECT_NEAR(day.dose.mol_m2_d(), dose, 1e-12);
  }
}

TEST(LitDay, FindsPeaksAtCornersBetweenWholeMinutes) {
  const LightCourse early{Photoperiod::between(at(8, 0.25), at(12, 0.5), {}, {}).value(), {}};
  const LightCourse late{Photoperiod::between(at(12, 0.25), at(18), {}, {}).value(), {}};
  const Exposure day = expose({early, late}, {100.0, 100.0}, {100.0, 80.0});
  EXPECT_DOUBLE_EQ(day.peak.umol_m2_s(), 180.0);
}

}  // namespace
}  // namespace slowdawn
