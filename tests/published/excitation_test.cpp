// The excitation proxy, and the light curves that it stands on.
//
// What was read: the two forms of the curve, the parameters of colony ACR-139 with
// the Ik and Ic that its authors give, and the group means of their summary. What
// was computed from them for the tables stands as CALC.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numeric>
#include <slowdawn/coral/excitation.hpp>
#include <string>
#include <vector>

#include "published/light_curves.hpp"
#include "published/published_case.hpp"

namespace slowdawn {
namespace {

using published::describe;
using published::expect_sourced;
using published::expect_value;
using published::half_of_last_digit;
using published::rounding;
using published::Within;

struct ProxyCase {
  const char* name;
  double x;
  double value;
  Within within;
  const char* source;
};

const ProxyCase proxies[] = {
    {"half of Ek", 0.5, 0.0758, half_of_last_digit(1e-4), "CALC: 1 - tanh(x)/x"},
    {"at Ek", 1.0, 0.2384, half_of_last_digit(1e-4), "CALC: 1 - tanh(x)/x"},
    {"half as much again", 1.5, 0.3966, half_of_last_digit(1e-4), "CALC: 1 - tanh(x)/x"},
    {"twice Ek", 2.0, 0.5180, half_of_last_digit(1e-4), "CALC: 1 - tanh(x)/x"},
    {"three times Ek", 3.0, 0.6683, half_of_last_digit(1e-4), "CALC: 1 - tanh(x)/x"},
    {"four times Ek", 4.0, 0.7502, half_of_last_digit(1e-4), "CALC: 1 - tanh(x)/x"},
};

TEST(ExcitationProxyTable, EveryRowHasASource) { expect_sourced(proxies); }

TEST(ExcitationProxyTable, IsMet) {
  for (const ProxyCase& row : proxies) expect_value(row, excitation_proxy(row.x));
}

TEST(ExcitationProxyTable, IsMetBackwards) {
  for (const ProxyCase& row : proxies) {
    // Half of the proxy's last digit, over the slope of the proxy there.
    const double slope = (excitation_proxy(row.x + 1e-4) - excitation_proxy(row.x - 1e-4)) / 2e-4;
    EXPECT_NEAR(find_peak_over_ek(row.value), row.x, 1.001 * row.within.value / slope)
        << describe(row);
  }
}

/// A gross rate of the tanh form, Pm 1.278568711, alpha 0.003167421125.
struct GrossCase {
  const char* name;
  double light;
  double value;
  Within within;
  const char* source;
};
constexpr double mahana_pm = 1.278568711;
constexpr double mahana_alpha = 0.003167421125;
constexpr const char* source_of_mahana =
    "CALC: Pm tanh(alpha E / Pm), Jassby and Platt 1976, Limnol. Oceanogr. 21 (form "
    "READ: rdrr.io/cran/phytotools); Am and AQY READ: github.com/urol-e5/timeseries, "
    "Summary_Responses.csv at 8d8a056, January 2020, Mahana, Acropora";
const GrossCase gross[] = {
    {"50", 50.0, 0.157566, half_of_last_digit(1e-6), source_of_mahana},
    {"100", 100.0, 0.310418, half_of_last_digit(1e-6), source_of_mahana},
    {"200", 200.0, 0.586277, half_of_last_digit(1e-6), source_of_mahana},
    {"400", 400.0, 0.968845, half_of_last_digit(1e-6), source_of_mahana},
    {"800", 800.0, 1.230907, half_of_last_digit(1e-6), source_of_mahana},
    {"1500", 1500.0, 1.277056, half_of_last_digit(1e-6), source_of_mahana},
};

TEST(JassbyPlattTable, EveryRowHasASource) { expect_sourced(gross); }

TEST(JassbyPlattTable, IsMet) {
  for (const GrossCase& row : gross) {
    expect_value(row, published::jassby_platt(mahana_pm, mahana_alpha, row.light));
  }
}

TEST(JassbyPlattTable, IsWhatTheProxyIsMadeOf) {
  // The share of alpha E that the curve does not reach, from the table's own values.
  const Excitation coral{Ppfd::umol_m2_s(mahana_pm / mahana_alpha)};
  EXPECT_NEAR(coral.ek().umol_m2_s(), 403.662, 0.0005);
  for (const GrossCase& row : gross) {
    const double begun = mahana_alpha * row.light;
    EXPECT_NEAR(coral.proxy_at(Ppfd::umol_m2_s(row.light)), 1.0 - row.value / begun,
                row.within.value / begun)
        << describe(row);
  }
}

/// Colony ACR-139, January 2020, and what its authors give for it.
constexpr double acr139_am = 1.0423651179029103;
constexpr double acr139_aqy = 0.0022471376836441515;
constexpr double acr139_rd = 0.4110558336311509;

struct ColonyCase {
  const char* name;
  double (*compute)();
  double value;
  Within within;
  const char* source;
};

template <int light_e4>
double smith_net() {
  return published::smith(acr139_am, acr139_aqy, 1e-4 * light_e4) - acr139_rd;
}
template <int light_e4>
double tanh_net() {
  return published::jassby_platt(acr139_am, acr139_aqy, 1e-4 * light_e4) - acr139_rd;
}

constexpr const char* source_of_colony =
    "READ: github.com/urol-e5/timeseries, master_timeseries.csv, ACR-139, January 2020: "
    "Am, AQY, Rd and this value";
constexpr const char* source_of_colony_net =
    "CALC: from Am, AQY and Rd of ACR-139 (READ: github.com/urol-e5/timeseries, "
    "master_timeseries.csv), the form READ there in timepoint_1/scripts/pi_curves_nls_"
    "step2.Rmd (Smith) or at rdrr.io/cran/phytotools (tanh)";
const ColonyCase colony[] = {
    {"Ik of ACR-139", [] { return acr139_am / acr139_aqy; }, 463.8634853, half_of_last_digit(1e-7),
     source_of_colony},
    {"Ic of ACR-139",
     [] { return published::smith_compensation(acr139_am, acr139_aqy, acr139_rd); }, 199.0555113,
     half_of_last_digit(1e-7), source_of_colony},
    {"Smith, net at 100", smith_net<1000000>, -0.191389, half_of_last_digit(1e-6),
     source_of_colony_net},
    {"Smith, net at 463.8635", smith_net<4638635>, 0.326008, half_of_last_digit(1e-6),
     source_of_colony_net},
    {"Smith, net at 1000", smith_net<10000000>, 0.534531, half_of_last_digit(1e-6),
     source_of_colony_net},
    {"tanh, net at 100", tanh_net<1000000>, -0.189760, half_of_last_digit(1e-6),
     source_of_colony_net},
    {"tanh, net at 463.8635", tanh_net<4638635>, 0.382803, half_of_last_digit(1e-6),
     source_of_colony_net},
    {"tanh, net at 1000", tanh_net<10000000>, 0.603719, half_of_last_digit(1e-6),
     source_of_colony_net},
};

TEST(PublishedColony, EveryRowHasASource) { expect_sourced(colony); }

TEST(PublishedColony, IsMet) {
  for (const ColonyCase& row : colony) expect_value(row, row.compute());
}

TEST(PublishedColony, IsDarkAtItsCompensationBySmithAlone) {
  // Its authors fit Smith's form: with the same parameters the tanh form is over
  // the respiration there, so the two must not be mixed.
  EXPECT_NEAR(published::smith(acr139_am, acr139_aqy, 199.0555113), acr139_rd, 1e-9);
  EXPECT_GT(published::jassby_platt(acr139_am, acr139_aqy, 199.0555113), acr139_rd + 0.01);
}

TEST(PublishedColony, SaysHowMuchTheFormOfTheCurveMatters) {
  // The proxy as Smith's form would have it, over all x: no lower than ours, and by
  // 0.06 at the most, as coral/excitation.hpp says.
  double most = 0.0;
  for (double x = 0.01; x < 100.0; x *= 1.01) {
    const double by_smith = 1.0 - published::smith(1.0, 1.0, x) / x;
    const double more = by_smith - excitation_proxy(x);
    EXPECT_GE(more, 0.0) << x;
    most = std::max(most, more);
  }
  EXPECT_LT(most, 0.06);
  EXPECT_GT(most, 0.05);
}

/// The form with photoinhibition: Ps 10, alpha 0.1, beta 0.01.
struct InhibitedCase {
  const char* name;
  double (*compute)();
  double value;
  Within within;
  const char* source;
};
constexpr double ps = 10.0;
constexpr double alpha = 0.1;
constexpr double beta = 0.01;

template <int light>
double inhibited() {
  return published::platt_gallegos_harrison(ps, alpha, beta, light);
}
/// By golden section, so that the closed forms of the table are held against the curve.
double brightest() {
  const double share = 0.5 * (std::sqrt(5.0) - 1.0);
  double low = 0.0;
  double high = 2000.0;
  while (high - low > 1e-6) {
    const double a = high - share * (high - low);
    const double b = low + share * (high - low);
    const bool falls = published::platt_gallegos_harrison(ps, alpha, beta, a) >
                       published::platt_gallegos_harrison(ps, alpha, beta, b);
    (falls ? high : low) = falls ? b : a;
  }
  return low;
}
double highest() { return published::platt_gallegos_harrison(ps, alpha, beta, brightest()); }

constexpr const char* source_of_inhibited =
    "CALC: Ps (1 - exp(-alpha E / Ps)) exp(-beta E / Ps), Platt, Gallegos and Harrison 1980, "
    "J. Mar. Res. 38 (form READ: rdrr.io/cran/phytotools)";
const InhibitedCase inhibited_curve[] = {
    {"50", inhibited<50>, 3.742796, half_of_last_digit(1e-6), source_of_inhibited},
    {"100", inhibited<100>, 5.719663, half_of_last_digit(1e-6), source_of_inhibited},
    {"200", inhibited<200>, 7.079276, half_of_last_digit(1e-6), source_of_inhibited},
    {"500", inhibited<500>, 6.024439, half_of_last_digit(1e-6), source_of_inhibited},
    {"1000", inhibited<1000>, 3.678627, half_of_last_digit(1e-6), source_of_inhibited},
    {"2000", inhibited<2000>, 1.353353, half_of_last_digit(1e-6), source_of_inhibited},
    {"brightest use",
     brightest,
     239.7895,
     {1e-3, "the curve is flat there"},
     "MEM: (Ps / alpha) ln((alpha + beta) / beta)"},
    {"highest rate", highest, 7.152668, half_of_last_digit(1e-6),
     "MEM: Ps (alpha / (alpha + beta)) (beta / (alpha + beta))^(beta / alpha)"},
    {"its Ek", [] { return highest() / alpha; }, 71.5267, half_of_last_digit(1e-4),
     "MEM: highest rate over alpha"},
};

TEST(PlattGallegosHarrisonTable, EveryRowHasASource) { expect_sourced(inhibited_curve); }

TEST(PlattGallegosHarrisonTable, IsMet) {
  for (const InhibitedCase& row : inhibited_curve) expect_value(row, row.compute());
}

/// Group means of Acropora, Moorea lagoon, January, March and November 2020, sites
/// Hilton, Mahana and Manava in each.
struct GroupMean {
  double am;
  double aqy;
};
constexpr GroupMean acropora_means[] = {
    {0.7934393205396558, 0.002255584883821899},  {1.278568710773706, 0.003167421124932018},
    {1.0213171494898359, 0.0025379076884398384}, {1.0679085339338683, 0.0021656676438084246},
    {1.0783412400760266, 0.0021582192267867732}, {1.0954214056540512, 0.002230974039660027},
    {0.6497268678531952, 0.0018540728585567548}, {1.4017980792832931, 0.0028522001475031764},
    {0.7990368613108545, 0.0022016396825145345}};

TEST(MooreaAcropora, HasTheIkThatTheProfileAndReadmeName) {
  // READ: github.com/urol-e5/timeseries, time_series_analysis/Output/
  // Summary_Responses.csv at 8d8a056, columns Am and AQY; Ik = Am / AQY is CALC.
  std::vector<double> iks;
  for (const GroupMean& mean : acropora_means) iks.push_back(mean.am / mean.aqy);
  const auto [low, high] = std::minmax_element(iks.begin(), iks.end());
  EXPECT_NEAR(*low, 350.0, 0.5);
  EXPECT_NEAR(*high, 500.0, 0.5);
  EXPECT_NEAR(std::accumulate(iks.begin(), iks.end(), 0.0) / 9.0, 427.0, 0.5);
}

}  // namespace
}  // namespace slowdawn
