#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <numbers>
#include <random>
#include <slowdawn/light/logged_light.hpp>
#include <string>

#include "published/published_case.hpp"

namespace slowdawn {
namespace {

using published::describe;
using published::expect_sourced;
using published::expect_value;
using published::half_of_last_digit;
using published::rounding;
using published::Within;
using Samples = std::vector<LightSample>;
using Gaps = std::vector<LogGap>;

constexpr double at(int hour, int minute = 0) { return 60.0 * hour + minute; }

LightSample sample(double minute, double ppfd) {
  return {ClockTime::minute(minute), Ppfd::umol_m2_s(ppfd)};
}

LogGap gap(double start, double end, bool is_dark) {
  return {ClockTime::minute(start), ClockTime::minute(end), is_dark};
}

/// PPFD against the minute of the day.
using Course = std::function<double(double)>;

/// Evenly spaced samples, both ends included.
Samples sample_course(const Course& course, double from, double to, double step) {
  const auto count = static_cast<int>(std::lround((to - from) / step));
  Samples samples;
  for (int i = 0; i <= count; ++i) {
    const double minute = from + (to - from) * i / count;
    samples.push_back(sample(minute, course(minute)));
  }
  return samples;
}

Samples steady(double ppfd, double from, double to, double step = 5.0) {
  return sample_course([=](double) { return ppfd; }, from, to, step);
}

Samples operator+(Samples a, const Samples& b) {
  a.insert(a.end(), b.begin(), b.end());
  return a;
}

/// Days of a log that must be good.
std::vector<LoggedDay> integrate(const Samples& samples, const LogRules& rules = {}) {
  auto days = integrate_logged_light(samples, rules);
  if (!days) throw std::runtime_error(days.error().what);
  return *std::move(days);
}

/// "SAMPLE: WHAT" of a log that must be refused.
std::string refusal(const Samples& samples, const LogRules& rules = {}) {
  const auto days = integrate_logged_light(samples, rules);
  if (days) return "no refusal";
  EXPECT_FALSE(days.error().hint.empty());
  return std::to_string(days.error().sample) + ": " + days.error().what;
}

constexpr LogRules with_gaps{.allow_gaps = true};

/// Rises from `on` over an hour, flat for 8 h, falls over an hour.
double trapezoid(double minute) {
  const double since_on = minute - at(9);
  return 250.0 * std::clamp(std::min(since_on, 600.0 - since_on) / 60.0, 0.0, 1.0);
}

double half_sine(double minute) {
  const bool is_lit = minute > at(6) && minute < at(18);
  return is_lit ? 400.0 * std::sin(std::numbers::pi * (minute - at(6)) / 720.0) : 0.0;
}

double sine_squared(double minute) { return half_sine(minute) * half_sine(minute) / 400.0; }

double square(double) { return 200.0; }

double constant(double) { return 100.0; }

struct ClosedForm {
  const char* name;
  double (*course)(double);
  double from_minute;
  double to_minute;
  double step_minutes;
  /// mol m-2 d-1.
  double value;
  Within within;
  const char* source;
};

const ClosedForm closed_forms[] = {
    {"trapezoid", trapezoid, 0.0, 1440.0, 10.0, 8.1, rounding(1e-13),
     "CALC closed form, check: 0.0036 P (flat + (up + down) / 2)"},
    {"trapezoid, hourly", trapezoid, 0.0, 1440.0, 60.0, 8.1, rounding(1e-13),
     "CALC closed form, check: 0.0036 P (flat + (up + down) / 2); corners on the hour"},
    {"half-sine, at 0.6 s", half_sine, 360.0, 1080.0, 0.01, 11.000790, half_of_last_digit(1e-6),
     "CALC closed form, check: 0.0036 P h 2 / pi"},
    {"half-sine, at 5 min", half_sine, 0.0, 1440.0, 5.0, 11.000353, half_of_last_digit(1e-6),
     "CALC closed form, check: trapezoid rule over 144 intervals, 0.0036 P (h / n) cot(pi / 2 n)"},
    {"half-sine, at 30 min", half_sine, 0.0, 1440.0, 30.0, 10.985077, half_of_last_digit(1e-6),
     "CALC closed form, check: trapezoid rule over 24 intervals, 0.0036 P (h / n) cot(pi / 2 n)"},
    {"half-sine, hourly", half_sine, 0.0, 1440.0, 60.0, 10.937886, half_of_last_digit(1e-6),
     "CALC closed form, check: trapezoid rule over 12 intervals, 0.0036 P (h / n) cot(pi / 2 n)"},
    {"sine squared", sine_squared, 0.0, 1440.0, 10.0, 8.64, rounding(1e-13),
     "CALC closed form, check: 0.0036 P h / 2, exact for even steps"},
    {"square", square, 600.0, 1200.0, 10.0, 7.20, rounding(1e-13),
     "CALC closed form, check: 0.0036 P h"},
    {"constant", constant, 0.0, 1440.0, 10.0, 8.64, rounding(1e-13),
     "CALC closed form, check: 0.0036 P h"},
};

TEST(LoggedLight, HasASourceForEveryClosedForm) { expect_sourced(closed_forms); }

TEST(LoggedLight, HasTheDoseOfItsClosedForm) {
  for (const ClosedForm& row : closed_forms) {
    const auto days =
        integrate(sample_course(row.course, row.from_minute, row.to_minute, row.step_minutes));
    ASSERT_EQ(days.size(), 1u) << describe(row);
    expect_value(row, days.front().dose.mol_m2_d());
  }
}

TEST(LoggedLight, TakesTheStepsOfASquareDayForSteepLines) {
  const Samples day = steady(0.0, 0.0, at(10)) + steady(200.0, at(10) + 1.0 / 60.0, at(20)) +
                      steady(0.0, at(20) + 1.0 / 60.0, at(24));
  const LoggedDay logged = integrate(day).front();
  // Two steps of 1 s at half of 200 umol, less the second by which the light came late.
  EXPECT_NEAR(logged.dose.mol_m2_d(), 7.20, 1e-12);
  EXPECT_EQ(logged.peak.umol_m2_s(), 200.0);
  EXPECT_NEAR(logged.lit.h(), 10.0 + 1.0 / 3600.0, 1e-12);
  EXPECT_FALSE(logged.is_incomplete);
  EXPECT_TRUE(logged.gaps.empty());
}

TEST(LoggedLight, ComesToTheClosedFormAsSamplesGetDenser) {
  for (unsigned seed = 1; seed <= 20; ++seed) {
    SCOPED_TRACE("seed " + std::to_string(seed));
    std::mt19937 random(seed);
    for (const double step : {40.0, 20.0, 10.0, 5.0, 2.5, 1.25}) {
      std::uniform_real_distribution<double> length(0.2 * step, step);
      Samples samples{sample(0.0, 0.0)};
      while (samples.back().time.minute() < at(23)) {
        const double minute = samples.back().time.minute() + length(random);
        samples.push_back(sample(minute, sine_squared(minute)));
      }
      // source: error of the trapezoid rule, L step^2 max |E''| / 12, any text on the subject.
      const double curvature = 2.0 * 400.0 * std::pow(std::numbers::pi / 720.0, 2.0);
      const double bound = 0.0036 * 12.0 * step * step * curvature / 12.0;
      EXPECT_NEAR(integrate(samples).front().dose.mol_m2_d(), 8.64, bound) << step;
    }
  }
}

TEST(LoggedLight, HasPeakAndLitHoursAndCover) {
  const LoggedDay day = integrate(sample_course(trapezoid, at(8), at(20), 10.0)).front();
  EXPECT_EQ(day.peak.umol_m2_s(), 250.0);
  EXPECT_NEAR(day.lit.h(), 10.0, 1e-12);
  EXPECT_EQ(day.first.minute(), at(8));
  EXPECT_EQ(day.last.minute(), at(20));
}

TEST(LoggedLight, CountsAPieceAsLitIfEitherEndIs) {
  const LoggedDay day = integrate({sample(0, 0), sample(10, 0), sample(20, 90), sample(30, 0),
                                   sample(40, 0), sample(50, 0), sample(60, 0)})
                            .front();
  EXPECT_NEAR(day.lit.h(), 20.0 / 60.0, 1e-15);
}

TEST(LoggedLight, TakesNoiseForDark) {
  const Samples noise = steady(0.5, 0.0, at(24));
  EXPECT_EQ(integrate(noise).front().lit.h(), 0.0);
  EXPECT_NEAR(integrate(noise).front().dose.mol_m2_d(), 0.5 * 0.0864, 1e-14);
  EXPECT_NEAR(integrate(steady(0.51, 0.0, at(24))).front().lit.h(), 24.0, 1e-12);
  EXPECT_EQ(integrate(steady(3.0, 0.0, at(24)), {.dark = Ppfd::umol_m2_s(3.0)}).front().lit.h(),
            0.0);
  EXPECT_NEAR(integrate(noise, {.dark = Ppfd{}}).front().lit.h(), 24.0, 1e-12);
}

TEST(LoggedLight, SplitsThePieceThatCrossesMidnight) {
  const auto days = integrate({sample(at(23, 30), 300), sample(at(24, 30), 100)});
  ASSERT_EQ(days.size(), 2u);
  EXPECT_NEAR(days[0].dose.mol_m2_d(), 0.0036 * 250 * 0.5, 1e-15);
  EXPECT_NEAR(days[1].dose.mol_m2_d(), 0.0036 * 150 * 0.5, 1e-15);
  EXPECT_EQ(days[0].peak.umol_m2_s(), 300.0);
  EXPECT_NEAR(days[1].peak.umol_m2_s(), 200.0, 1e-12);
  EXPECT_EQ(days[0].lit.h(), 0.5);
  EXPECT_EQ(days[1].lit.h(), 0.5);
  EXPECT_EQ(days[0].first.minute(), at(23, 30));
  EXPECT_EQ(days[0].last.minute(), at(24));
  EXPECT_EQ(days[1].first.minute(), 0.0);
  EXPECT_EQ(days[1].last.minute(), 30.0);
  EXPECT_EQ(days[0].gaps, (Gaps{gap(at(23, 30), at(24), false)}));
  EXPECT_EQ(days[1].gaps, (Gaps{gap(0.0, 30.0, false)}));
}

TEST(LoggedLight, MakesNoDayOfAMidnightAlone) {
  EXPECT_EQ(integrate(steady(100.0, 0.0, at(24))).size(), 1u);
  EXPECT_EQ(integrate(steady(100.0, 0.0, at(48))).size(), 2u);
  EXPECT_EQ(integrate(steady(100.0, 0.0, at(48))).back().dose.mol_m2_d(),
            integrate(steady(100.0, 0.0, at(48))).front().dose.mol_m2_d());
}

TEST(LoggedLight, AddsUpToTheWholeOverItsDays) {
  for (unsigned seed = 1; seed <= 200; ++seed) {
    SCOPED_TRACE("seed " + std::to_string(seed));
    std::mt19937 random(seed);
    std::uniform_real_distribution<double> start(0.0, 1440.0);
    std::uniform_real_distribution<double> ppfd(0.0, 500.0);
    std::exponential_distribution<double> step(1.0 / std::pow(10.0, 1.0 + seed % 3));
    Samples samples{sample(start(random), ppfd(random))};
    double whole = 0.0;
    double highest = samples.front().ppfd.umol_m2_s();
    for (int i = 0; i < 400; ++i) {
      const LightSample& last = samples.back();
      const LightSample next = sample(last.time.minute() + step(random) + 1e-6, ppfd(random));
      whole += 0.0036 * (last.ppfd + next.ppfd).umol_m2_s() / 2 *
               (next.time.minute() - last.time.minute()) / 60;
      highest = std::max(highest, next.ppfd.umol_m2_s());
      samples.push_back(next);
    }
    double sum = 0.0;
    double hours = 0.0;
    double peak = 0.0;
    const auto days = integrate(samples, {.dark = Ppfd{}, .allow_gaps = true});
    for (const LoggedDay& day : days) {
      sum += day.dose.mol_m2_d();
      hours += day.lit.h();
      peak = std::max(peak, day.peak.umol_m2_s());
      EXPECT_EQ(day.first.minute(), &day == &days.front() ? samples.front().time.minute() : 0.0);
      if (&day != &days.back()) {
        EXPECT_EQ(day.last.minute(), at(24));
      }
    }
    EXPECT_NEAR(sum, whole, 1e-9 * whole);
    EXPECT_NEAR(hours, (samples.back().time.minute() - samples.front().time.minute()) / 60.0,
                1e-9 * hours);
    EXPECT_EQ(peak, highest);
  }
}

TEST(LoggedLight, NamesGapsOverTenMinutes) {
  const Samples day{sample(at(9), 100), sample(at(9, 10), 100), sample(at(9, 21), 100),
                    sample(at(10, 21), 100), sample(at(10, 22), 100)};
  EXPECT_EQ(integrate(day).front().gaps,
            (Gaps{gap(at(9, 10), at(9, 21), false), gap(at(9, 21), at(10, 21), false)}));
}

TEST(LoggedLight, TakesTenMinutesWithRoundedSecondsForNoGap) {
  Samples day;
  for (int i = 0; i <= 144; ++i) day.push_back(sample(at(0) + 7.3 / 60.0 + 10.0 * i, 100));
  for (const LoggedDay& logged : integrate(day)) EXPECT_TRUE(logged.gaps.empty());
}

TEST(LoggedLight, RefusesAGapOfOverAnHourInTheLight) {
  const Samples day{sample(at(9), 0), sample(at(10), 100), sample(at(11, 1), 100),
                    sample(at(11, 5), 100), sample(at(13, 40), 0)};
  EXPECT_EQ(refusal(day),
            "2: there is no sample for 1 h 1 min, from 10:00 on day 1 to 11:01 on day 1 (the first "
            "of 2 gaps that are too long)");
}

TEST(LoggedLight, RefusesALongGapWithLightAtOneEnd) {
  EXPECT_EQ(refusal({sample(at(9), 0.4), sample(at(11), 0.6)}),
            "1: there is no sample for 2 h 0 min, from 09:00 on day 1 to 11:00 on day 1");
  EXPECT_EQ(refusal({sample(at(9), 0.6), sample(at(11), 0.4)}).substr(0, 2), "1:");
}

TEST(LoggedLight, CrossesALongGapByTheStraightLineWhereAllowed) {
  const auto days = integrate({sample(at(22), 100), sample(at(28), 40)}, with_gaps);
  EXPECT_NEAR(days[0].dose.mol_m2_d(), 0.0036 * 90 * 2, 1e-14);
  EXPECT_NEAR(days[1].dose.mol_m2_d(), 0.0036 * 60 * 4, 1e-14);
  EXPECT_EQ(days[0].gaps, (Gaps{gap(at(22), at(24), false)}));
  EXPECT_EQ(days[1].gaps, (Gaps{gap(0.0, at(4), false)}));
}

/// Two days of a logger that sleeps in the dark.
Samples two_days_without_their_night() {
  return sample_course(trapezoid, at(9), at(19), 10.0) +
         sample_course([](double minute) { return trapezoid(minute - at(24)); }, at(33), at(43),
                       10.0);
}

TEST(LoggedLight, TakesANightWithoutSamplesForDark) {
  const auto days = integrate(two_days_without_their_night());
  ASSERT_EQ(days.size(), 2u);
  for (const LoggedDay& day : days) {
    EXPECT_NEAR(day.dose.mol_m2_d(), 8.1, 1e-13);
    EXPECT_NEAR(day.lit.h(), 10.0, 1e-12);
    EXPECT_FALSE(day.is_incomplete);
  }
  EXPECT_EQ(days[0].gaps, (Gaps{gap(at(19), at(24), true)}));
  EXPECT_EQ(days[1].gaps, (Gaps{gap(0.0, at(9), true)}));
}

TEST(LoggedLight, RefusesANightThatBeginsOrEndsLit) {
  Samples days = two_days_without_their_night();
  std::erase_if(days, [](const LightSample& s) { return s.time.minute() == at(19); });
  EXPECT_EQ(refusal(days),
            "60: there is no sample for 14 h 10 min, from 18:50 on day 1 to 09:00 on day 2");
}

TEST(LoggedLight, RefusesDarkOfOverADay) {
  EXPECT_EQ(refusal({sample(at(20), 0), sample(at(44), 0)}), "no refusal");
  const Samples lost{sample(at(20), 0), sample(at(44, 1), 0)};
  EXPECT_EQ(refusal(lost),
            "1: there is no sample for 24 h 1 min, from 20:00 on day 1 to 20:01 on day 2");
  EXPECT_EQ(integrate(lost, with_gaps).back().gaps, (Gaps{gap(0.0, at(20, 1), true)}));
}

TEST(LoggedLight, IsIncompleteWhereItBeginsOrEndsLit) {
  const auto incomplete = [](double from, double to) {
    std::string marks;
    for (const LoggedDay& day : integrate(sample_course(
             [](double minute) { return trapezoid(std::fmod(minute, at(24))); }, from, to, 10.0))) {
      marks += day.is_incomplete ? 'x' : '.';
    }
    return marks;
  };
  EXPECT_EQ(incomplete(at(8), at(20)), ".");
  EXPECT_EQ(incomplete(at(9), at(19)), ".");
  EXPECT_EQ(incomplete(at(12), at(20)), "x");
  EXPECT_EQ(incomplete(at(8), at(12)), "x");
  EXPECT_EQ(incomplete(at(8), at(44)), "..");
  EXPECT_EQ(incomplete(at(12), at(60)), "x.x");
  EXPECT_EQ(incomplete(at(0), at(24)), ".");
}

TEST(LoggedLight, IsIncompleteWhereOnlyTheDarkOfADayWasLogged) {
  const auto days =
      integrate(steady(0.0, at(22), at(24)) +
                sample_course([](double minute) { return trapezoid(minute - at(24)); },
                              at(24) + 5.0, at(48) + 35.0, 10.0));
  ASSERT_EQ(days.size(), 3u);
  EXPECT_TRUE(days[0].is_incomplete);
  EXPECT_FALSE(days[1].is_incomplete);
  EXPECT_TRUE(days[2].is_incomplete);
  // A day in the dark that is covered whole is what it is.
  EXPECT_FALSE(integrate(steady(0.0, 0.0, at(24))).front().is_incomplete);
}

TEST(LoggedLight, CoversAWholeDayThatIsLitThroughMidnight) {
  const auto days = integrate(steady(100.0, 0.0, at(72)));
  for (const LoggedDay& day : days) {
    EXPECT_FALSE(day.is_incomplete);
    EXPECT_NEAR(day.dose.mol_m2_d(), 8.64, 1e-12);
  }
}

TEST(LoggedLight, RefusesTimesThatDoNotRise) {
  const Samples good = steady(100.0, at(9), at(10));
  Samples doubled = good;
  doubled.insert(doubled.begin() + 4, doubled[3]);
  EXPECT_EQ(refusal(doubled), "4: the time of sample 5 is not after the one before");
  Samples permuted = good;
  std::swap(permuted[3], permuted[4]);
  EXPECT_EQ(refusal(permuted), "4: the time of sample 5 is not after the one before");
  EXPECT_EQ(refusal({good.rbegin(), good.rend()}).substr(0, 2), "1:");
  EXPECT_EQ(refusal(doubled, with_gaps).substr(0, 2), "4:");
}

TEST(LoggedLight, RefusesEveryPermutationButTheRisingOne) {
  Samples samples{sample(0, 1), sample(5, 2), sample(9, 3), sample(12, 4)};
  const auto earlier = [](const LightSample& a, const LightSample& b) {
    return a.time.minute() < b.time.minute();
  };
  int good = 0;
  do {
    good += integrate_logged_light(samples).has_value() ? 1 : 0;
  } while (std::next_permutation(samples.begin(), samples.end(), earlier));
  EXPECT_EQ(good, 1);
}

TEST(LoggedLight, RefusesWhatIsNoLog) {
  EXPECT_EQ(refusal({}), "0: a log needs at least two samples");
  EXPECT_EQ(refusal({sample(0, 100)}), "0: a log needs at least two samples");
  EXPECT_EQ(refusal({sample(0, 100), sample(5, -0.1)}), "1: the PPFD of sample 2 is negative");
  for (const double minute : {-1.0, 1440.0, 1e300, -1e300}) {
    EXPECT_EQ(refusal({sample(minute, 1), sample(1441, 1)}),
              "0: the first sample is not on the first day")
        << minute;
  }
  for (const double minute : {3660 * 1440.0 + 1.0, 1e300}) {
    EXPECT_EQ(refusal({sample(0, 1), sample(minute, 1)}, with_gaps),
              "1: the log spans over 3660 days")
        << minute;
  }
}

TEST(LoggedLight, GoesUpToTenYears) {
  const auto days = integrate({sample(0, 100), sample(3660 * 1440.0, 100)}, with_gaps);
  ASSERT_EQ(days.size(), most_logged_days);
  EXPECT_NEAR(days[1234].dose.mol_m2_d(), 8.64, 1e-12);
}

TEST(LoggedLight, FindsTheDayOfTheLastMomentBeforeMidnight) {
  for (int day = 1; day < 3660; day += day < 60 ? 1 : 97) {
    const double midnight = 1440.0 * day;
    const Samples samples{sample(0, 100), sample(std::nextafter(midnight, 0.0), 100),
                          sample(midnight + 600, 100)};
    const auto days = integrate(samples, with_gaps);
    ASSERT_EQ(days.size(), static_cast<std::size_t>(day) + 1) << day;
    EXPECT_EQ(days.back().first.minute(), 0.0) << day;
    EXPECT_GT(days.back().last.minute(), 0.0) << day;
    EXPECT_NEAR(days[static_cast<std::size_t>(day) - 1].dose.mol_m2_d(), 8.64, 1e-12) << day;
  }
}

}  // namespace
}  // namespace slowdawn
