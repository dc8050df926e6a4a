#include <gtest/gtest.h>

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <cstdint>
#include <limits>
#include <numbers>
#include <numeric>
#include <random>
#include <slowdawn/light/light_map.hpp>
#include <stdexcept>
#include <string>
#include <utility>
#include <vector>

namespace slowdawn {
namespace {

using Readings = std::vector<MapReading>;

/// The same with every standard library: engines are fixed by the standard,
/// distributions are not.
class Chance {
 public:
  explicit Chance(std::uint64_t seed) : engine_(seed) {}
  double real(double low, double high) {
    return low + (high - low) * static_cast<double>(engine_() >> 11U) * 0x1p-53;
  }
  /// Standard normal, after Box and Muller.
  double normal() {
    const double radius = std::sqrt(-2.0 * std::log(1.0 - real(0.0, 1.0)));
    return radius * std::cos(2.0 * std::numbers::pi * real(0.0, 1.0));
  }

 private:
  std::mt19937_64 engine_;
};

Ppfd ppfd(double value) { return Ppfd::umol_m2_s(value); }
double log_ppfd(const LightEstimate& estimate) { return std::log(estimate.ppfd.umol_m2_s()); }
Position place_at(double x_cm, double y_cm, double depth_cm) {
  return {Length::cm(x_cm), Length::cm(y_cm), Length::cm(depth_cm)};
}

MaternCovariance covariance_of(double horizontal_cm, double depth_cm, double sill, double nugget) {
  return {Length::cm(horizontal_cm), Length::cm(depth_cm), sill, nugget};
}

MapReading reading(double x_cm, double y_cm, double depth_cm, double value) {
  return {place_at(x_cm, y_cm, depth_cm), ppfd(value)};
}

/// Two lamps over a tank of 150 x 60 x 55 cm: inverse square of the straight way,
/// times attenuation with depth, times the cosine of the slant to `beam`.
struct InventedTank {
  double lamp_height_cm = 40.0;
  double left_x_cm = 40.0;
  double right_x_cm = 110.0;
  double right_share = 1.0;
  double attenuation_per_cm = 0.006;
  double beam = 0.0;

  double ppfd_at(const Position& place) const {
    const double down = lamp_height_cm + place.depth.cm();
    double sum = 0.0;
    for (const auto& [lamp_x, power] : {std::pair{left_x_cm, 1.0}, {right_x_cm, right_share}}) {
      const double way = std::hypot(place.x.cm() - lamp_x, place.y.cm() - 30.0, down);
      sum += power * std::pow(down / way, beam) / (way * way);
    }
    return 1e6 * sum * std::exp(-attenuation_per_cm * place.depth.cm());
  }

  Readings read(const std::vector<Position>& places, double repeat_error, Chance& chance) const {
    Readings readings;
    for (const Position& place : places) {
      const double error = repeat_error > 0.0 ? std::exp(repeat_error * chance.normal()) : 1.0;
      readings.push_back({place, ppfd(ppfd_at(place) * error)});
    }
    return readings;
  }
};

/// Twelve places of which no two share a level of x, y or depth (a lattice).
std::vector<Position> well_spread() {
  std::vector<Position> places;
  for (int i = 1; i <= 12; ++i) {
    places.push_back(place_at(10.0 + 130.0 * (i - 1) / 11.0, 10.0 + 40.0 * (7 * i % 13 - 1) / 11.0,
                              10.0 + 33.0 * (10 * i % 13 - 1) / 11.0));
  }
  return places;
}

Position somewhere(Chance& chance) {
  // One after the other, since the order of arguments is open.
  const double x = chance.real(10.0, 140.0);
  const double y = chance.real(10.0, 50.0);
  return place_at(x, y, chance.real(10.0, 43.0));
}

Readings random_survey(Chance& chance, std::size_t count) {
  const InventedTank tank{chance.real(25.0, 50.0), chance.real(30.0, 45.0),
                          chance.real(100.0, 120.0), chance.real(0.3, 1.5)};
  std::vector<Position> places;
  while (places.size() < count) places.push_back(somewhere(chance));
  return tank.read(places, 0.05, chance);
}

struct Span {
  double across_cm = 0.0;
  double down_cm = 0.0;
};

Span span_of(const Readings& readings) {
  Span span;
  for (const MapReading& one : readings) {
    for (const MapReading& other : readings) {
      span.across_cm = std::max(
          span.across_cm, std::hypot((one.at.x - other.at.x).cm(), (one.at.y - other.at.y).cm()));
      span.down_cm = std::max(span.down_cm, std::abs((one.at.depth - other.at.depth).cm()));
    }
  }
  return span;
}

// Worked by hand. Three readings in a row at steps of (6, 0, 4) cm, a = 10 sqrt 3
// and b = 5 sqrt 3 cm: one step is h^2 = 36/300 + 16/75 = 1/3, so sqrt(3) h is 1,
// 2 and 3 for one, two and three steps, and C / s is
//   p = 2/e = 0.735759,  q = 3/e^2 = 0.406006,  r = 4/e^3 = 0.199148.
// The place is one step beyond the third; v = g / s. The system is
//   | 1+v  p    q    1 | |w1|   |r|
//   | p    1+v  p    1 | |w2| = |q|
//   | q    p    1+v  1 | |w3|   |p|
//   | 1    1    1    0 | |mu|   |1|
// Third row less first:  (1+v-q) (w3 - w1) = p - r.
// First and third less twice the second, with u = w1 + w3 and w2 = 1 - u:
//   (3 (1+v) + q - 4p) u = r - p - 2q + 2 (1+v).
// Second row:  mu = q - p u - (1+v) w2.
// Variance / s = 1 - r w1 - q w2 - p w3 - mu.
struct ByHand {
  double nugget_share;
  double weights[3];
  double variance_share;
};
constexpr ByHand three_in_a_row[] = {
    {0.00, {0.251780, -0.406953, 1.155174}, 0.487374},
    {0.25, {0.156711, 0.050778, 0.792510}, 0.720944},
};

TEST(LightMap, SolvesThreeReadingsAsByHand) {
  const double sill = 0.3;
  for (const ByHand& row : three_in_a_row) {
    SCOPED_TRACE(row.nugget_share);
    const MaternCovariance covariance =
        covariance_of(10.0 * std::sqrt(3.0), 5.0 * std::sqrt(3.0), sill, row.nugget_share * sill);
    for (std::size_t bright = 0; bright < 3; ++bright) {
      // ln PPFD is 1 at one reading and 0 at the others: the estimate is its weight.
      Readings readings{reading(20, 9, 5, 1), reading(26, 9, 9, 1), reading(32, 9, 13, 1)};
      readings[bright].ppfd = ppfd(std::numbers::e);
      const LightEstimate found = LightMap::with(readings, covariance).at(place_at(38, 9, 17));
      EXPECT_NEAR(log_ppfd(found), row.weights[bright], 5e-7);
      EXPECT_NEAR(found.log_error * found.log_error, row.variance_share * sill, 5e-7);
    }
  }
}

TEST(LightMap, WeighsTheMeanOfThreeReadingsAsByHand) {
  // The mean has the weights K^-1 1 over their sum: w1 = w3 = k and w2 = 1 - 2k with
  // the first two rows equal, (1+q-2p) k = (1 - p) (1 - 2k) without nugget.
  const double p = 2.0 / std::numbers::e;
  const double q = 3.0 / (std::numbers::e * std::numbers::e);
  const double k = (1.0 - p) / (3.0 + q - 4.0 * p);
  const Readings readings{reading(20, 9, 5, std::numbers::e), reading(26, 9, 9, 1),
                          reading(32, 9, 13, 1)};
  const MaternFit fit =
      LightMap::with(readings, covariance_of(10.0 * std::sqrt(3.0), 5.0 * std::sqrt(3.0), 0.3, 0.0))
          .parameters();
  EXPECT_NEAR(fit.mean, k, 1e-12);
  EXPECT_EQ(fit.log_likelihood,
            log_likelihood(readings,
                           covariance_of(10.0 * std::sqrt(3.0), 5.0 * std::sqrt(3.0), 0.3, 0.0)));
}

TEST(LightMap, OfOneReadingIsThatReadingEverywhere) {
  // Variance: s - c^2/(s+g) + (1 - c/(s+g))^2 (s+g) = 2 (s - c) + g.
  const LightMap map =
      LightMap::with({reading(20, 9, 5, 130)}, covariance_of(30.0, 30.0, 0.2, 0.01));
  const LightEstimate here = map.at(place_at(20, 9, 5));
  const LightEstimate far = map.at(place_at(2000, 9, 5));
  EXPECT_NEAR(here.ppfd.umol_m2_s(), 130.0, 1e-10);
  EXPECT_NEAR(far.ppfd.umol_m2_s(), 130.0, 1e-10);
  EXPECT_NEAR(here.log_error, 0.1, 1e-12);
  EXPECT_NEAR(far.log_error, std::sqrt(0.41), 1e-12);
}

TEST(LightMap, LikelihoodOfTwoReadingsIsThatOfTheirDifference) {
  // z = +-d/2 about its mean: K has the eigenvalue s (1 - p) + g for (1, -1) and
  // s (1 + p) + g for (1, 1); the quadratic form is (d^2 / 2) over the first.
  const double step = 30.0 / std::sqrt(3.0);
  const double p = 2.0 / std::numbers::e;
  const double apart = 0.2 * (1.0 - p) + 0.01;
  const double alike = 0.2 * (1.0 + p) + 0.01;
  const double d = 0.7;
  const double expected = -0.5 * (2.0 * std::log(2.0 * std::numbers::pi) + std::log(apart * alike) +
                                  d * d / 2.0 / apart);
  const Readings readings{reading(0, 0, 5, 100), reading(step, 0, 5, 100 * std::exp(d))};
  EXPECT_NEAR(log_likelihood(readings, covariance_of(30.0, 99.0, 0.2, 0.01)), expected, 1e-12);
}

TEST(LightMap, PassesThroughItsReadingsWithoutNugget) {
  Chance chance(1);
  const Readings readings = InventedTank{}.read(well_spread(), 0.0, chance);
  const LightMap map = LightMap::fit(readings, 0.0).value();
  EXPECT_EQ(map.parameters().nugget, 0.0);
  for (const MapReading& one : readings) {
    const LightEstimate found = map.at(one.at);
    EXPECT_NEAR(found.ppfd / one.ppfd, 1.0, 1e-9);
    EXPECT_LT(found.log_error, 1e-6);
  }
}

TEST(LightMap, SmoothsItsReadingsWithANugget) {
  Chance chance(2);
  const Readings readings = InventedTank{}.read(well_spread(), 0.05, chance);
  const LightMap map = LightMap::fit(readings, 0.05).value();
  EXPECT_DOUBLE_EQ(map.parameters().nugget, 0.0025);
  for (const MapReading& one : readings) {
    // What is known of the light at a reading is at least what the reading tells.
    const double error = map.at(one.at).log_error;
    EXPECT_GT(error, 0.0);
    EXPECT_LE(error, 0.05 + 1e-12);
  }
}

TEST(LightMap, GrowsLessSureAwayFromItsReadings) {
  Chance chance(3);
  const LightMap map =
      LightMap::fit(InventedTank{}.read(well_spread(), 0.05, chance), 0.05).value();
  double before = map.at(place_at(140.0, 40.0, 40.0)).log_error;
  for (double x = 150.0; x <= 1000.0; x += 10.0) {
    const double error = map.at(place_at(x, 40.0, 40.0)).log_error;
    EXPECT_GE(error, before * (1.0 - 1e-9)) << x;
    before = error;
  }
  const MaternFit& fit = map.parameters();
  EXPECT_GT(before, 0.9 * std::sqrt(fit.sill));
  // Far away nothing is known but the mean and how much light varies about it.
  const LightEstimate far = map.at(place_at(1e5, 40.0, 40.0));
  EXPECT_NEAR(log_ppfd(far), fit.mean, 1e-9);
  EXPECT_GT(far.log_error, std::sqrt(fit.sill));
}

TEST(LightMap, LeavesOutAsIfTheReadingHadNotBeenTaken) {
  for (unsigned seed = 1; seed <= 20; ++seed) {
    SCOPED_TRACE("seed " + std::to_string(seed));
    Chance chance(seed);
    const Readings readings = random_survey(chance, 6 + seed % 10);
    const LightMap map = LightMap::fit(readings, seed % 3 == 0 ? 0.0 : 0.05).value();
    const std::vector<LightEstimate> left_out = map.leave_one_out();
    ASSERT_EQ(left_out.size(), readings.size());
    for (std::size_t i = 0; i < readings.size(); ++i) {
      Readings others = readings;
      others.erase(others.begin() + static_cast<std::ptrdiff_t>(i));
      const LightEstimate really = LightMap::with(others, map.parameters()).at(readings[i].at);
      EXPECT_NEAR(left_out[i].ppfd / really.ppfd, 1.0, 1e-8);
      EXPECT_NEAR(left_out[i].log_error, really.log_error, 1e-8);
    }
  }
}

TEST(LightMap, StatesErrorsAsTheyAreWhereTheModelHolds) {
  // Fields drawn from equation (2) itself, with the covariance known: squared errors
  // are on average what they are said to be, within four standard deviations.
  const MaternCovariance covariance = covariance_of(60.0, 35.0, 0.2, 0.0025);
  constexpr int draws = 2000;
  Chance chance(20);
  double sum = 0.0;
  int within_one = 0;
  for (int draw = 0; draw < draws; ++draw) {
    Readings places;
    for (int i = 0; i < 13; ++i) places.push_back({somewhere(chance), ppfd(1.0)});
    Eigen::MatrixXd k(13, 13);
    for (int i = 0; i < 13; ++i) {
      for (int j = 0; j < 13; ++j) {
        const Position& p = places.at(static_cast<std::size_t>(i)).at;
        const Position& q = places.at(static_cast<std::size_t>(j)).at;
        const double h = std::hypot((p.x - q.x).cm() / 60.0, (p.y - q.y).cm() / 60.0,
                                    (p.depth - q.depth).cm() / 35.0);
        k(i, j) = 0.2 * (1.0 + std::sqrt(3.0) * h) * std::exp(-std::sqrt(3.0) * h);
      }
    }
    const Eigen::VectorXd field =
        k.llt().matrixL() * Eigen::VectorXd::NullaryExpr(13, [&] { return chance.normal(); });
    for (int i = 0; i < 13; ++i) {
      const double error = i == 12 ? 0.0 : 0.05 * chance.normal();
      places.at(static_cast<std::size_t>(i)).ppfd = ppfd(std::exp(field[i] + error));
    }
    const MapReading unread = places.back();
    places.pop_back();
    const LightEstimate found = LightMap::with(places, covariance).at(unread.at);
    const double miss = std::log(found.ppfd / unread.ppfd) / found.log_error;
    sum += miss * miss;
    within_one += std::abs(miss) < 1.0 ? 1 : 0;
  }
  EXPECT_NEAR(sum / draws, 1.0, 4.0 * std::sqrt(2.0 / draws));
  EXPECT_NEAR(within_one / double{draws}, 0.6827, 4.0 * std::sqrt(0.6827 * 0.3173 / draws));
}

/// Root mean square errors as shares of PPFD, over surveys of one tank.
struct Accuracy {
  double left_out = 0.0;
  double unread = 0.0;
};

Accuracy survey_accuracy(const InventedTank& tank, double repeat_error, unsigned surveys) {
  constexpr int unread_spots = 200;
  Accuracy sums;
  for (unsigned seed = 1; seed <= surveys; ++seed) {
    Chance chance(seed);
    const std::vector<Position> places = well_spread();
    const LightMap map =
        LightMap::fit(tank.read(places, repeat_error, chance), repeat_error).value();
    const std::vector<LightEstimate> left_out = map.leave_one_out();
    for (std::size_t i = 0; i < places.size(); ++i) {
      const double miss = left_out[i].ppfd.umol_m2_s() / tank.ppfd_at(places[i]) - 1.0;
      sums.left_out += miss * miss / static_cast<double>(places.size() * surveys);
    }
    for (int i = 0; i < unread_spots; ++i) {
      const Position place = somewhere(chance);
      const double miss = map.at(place).ppfd.umol_m2_s() / tank.ppfd_at(place) - 1.0;
      sums.unread += miss * miss / static_cast<double>(unread_spots * surveys);
    }
  }
  return {std::sqrt(sums.left_out), std::sqrt(sums.unread)};
}

// Over forty surveys with repeat errors, or one without. Seen: 0.059 left out and
// 0.044 unread without, 0.093 and 0.065 with them.
TEST(Survey, OfTwelveReadingsUnderEvenLampsEstimatesWithinATenth) {
  for (const double repeat_error : {0.0, 0.05}) {
    SCOPED_TRACE(repeat_error);
    const Accuracy found = survey_accuracy({}, repeat_error, repeat_error > 0.0 ? 40 : 1);
    EXPECT_LT(found.left_out, 0.1);
    EXPECT_LT(found.unread, 0.1);
  }
}

// A limit of a dozen readings: lamps hung low, with beams, make peaks that stand
// between the readings. Seen: 0.234 left out, 0.223 unread.
TEST(Survey, OfTwelveReadingsUnderSharpLampsEstimatesWithinAQuarter) {
  InventedTank sharp;
  sharp.lamp_height_cm = 25.0;
  sharp.beam = 2.0;
  const Accuracy found = survey_accuracy(sharp, 0.05, 40);
  EXPECT_LT(found.left_out, 0.25);
  EXPECT_LT(found.unread, 0.25);
}

TEST(Survey, StatesErrorsThatCoverUnreadSpots) {
  // A tank each, from even to sharp. Of a field that is as assumed 68 % of the spots
  // lie within one error and 95 % within two. Lamps do not quite make such a field, and
  // a dozen readings leave its ranges uncertain. Seen: 68 and 94 % for this layout,
  // about 60 and 88 % for others.
  int spots = 0;
  int within_one = 0;
  int within_two = 0;
  for (unsigned seed = 1; seed <= 100; ++seed) {
    Chance chance(seed);
    const InventedTank tank{chance.real(20.0, 50.0),  chance.real(30.0, 50.0),
                            chance.real(95.0, 120.0), chance.real(0.3, 1.5),
                            chance.real(0.0, 0.012),  chance.real(0.0, 2.0)};
    const LightMap map = LightMap::fit(tank.read(well_spread(), 0.05, chance), 0.05).value();
    for (int i = 0; i < 100; ++i) {
      const Position place = somewhere(chance);
      const LightEstimate found = map.at(place);
      const double miss = std::abs(log_ppfd(found) - std::log(tank.ppfd_at(place)));
      ++spots;
      within_one += miss < found.log_error ? 1 : 0;
      within_two += miss < 2.0 * found.log_error ? 1 : 0;
    }
  }
  EXPECT_GT(within_one, 0.55 * spots);
  EXPECT_LT(within_one, 0.85 * spots);
  EXPECT_GT(within_two, 0.85 * spots);
}

/// A fit and the bounds within which it was sought.
struct Sought {
  Readings readings;
  MaternFit fit;
  MaternCovariance least;
  MaternCovariance most;
};

Sought random_fit(unsigned seed) {
  Chance chance(seed);
  Readings readings = random_survey(chance, 6 + seed % 13);
  if (seed % 3 == 0) {
    // No field at all, and so likelihoods that are flat or have several tops.
    for (MapReading& one : readings) one.ppfd = ppfd(100.0 * std::exp(0.5 * chance.normal()));
  }
  const double repeat_error = seed % 4 == 0 ? 0.0 : 0.05;
  const MaternFit fit = LightMap::fit(readings, repeat_error).value().parameters();
  const auto [across, down] = span_of(readings);
  const double nugget = repeat_error * repeat_error;
  const double gap = across / std::sqrt(static_cast<double>(readings.size()));
  return {std::move(readings), fit, covariance_of(gap, down, 1e-6, nugget),
          covariance_of(most_horizontal_range_per_span * across, most_depth_range_per_span * down,
                        1e4, nugget)};
}

TEST(LightMap, KeepsItsRangesWithinTheirBounds) {
  for (unsigned seed = 1; seed <= 60; ++seed) {
    SCOPED_TRACE("seed " + std::to_string(seed));
    const auto [readings, fit, least, most] = random_fit(seed);
    EXPECT_GE(fit.horizontal_range, least.horizontal_range * (1.0 - 1e-12));
    EXPECT_LE(fit.horizontal_range, most.horizontal_range * (1.0 + 1e-12));
    EXPECT_GE(fit.depth_range, least.depth_range * (1.0 - 1e-12));
    EXPECT_LE(fit.depth_range, most.depth_range * (1.0 + 1e-12));
    EXPECT_NEAR(log_likelihood(readings, fit), fit.log_likelihood, 1e-9);
  }
}

TEST(LightMap, IsAtLeastAsLikelyAsAnyPointOfADenseGrid) {
  constexpr int steps = 8;
  std::vector<unsigned> seeds(50);
  std::iota(seeds.begin(), seeds.end(), 1U);
  // Found among 3000: a search from fewer points ends on the lower of two tops.
  seeds.insert(seeds.end(), {168, 297, 1155, 1464});
  for (const unsigned seed : seeds) {
    SCOPED_TRACE("seed " + std::to_string(seed));
    const auto [readings, fit, least, most] = random_fit(seed);
    const double wide = most.horizontal_range / least.horizontal_range;
    for (int i = 0; i <= steps; ++i) {
      for (int j = 0; j <= steps; ++j) {
        for (int k = 0; k <= 24; ++k) {
          const MaternCovariance other{
              least.horizontal_range * std::pow(wide, i / double{steps}),
              least.depth_range * std::pow(most_depth_range_per_span, j / double{steps}),
              1e-4 * std::pow(1e6, k / 24.0), fit.nugget};
          ASSERT_LE(log_likelihood(readings, other), fit.log_likelihood + 1e-6)
              << other.horizontal_range.cm() << ' ' << other.depth_range.cm() << ' ' << other.sill;
        }
      }
    }
  }
}

TEST(LightMap, IsAtLeastAsLikelyAsItsNeighbours) {
  for (unsigned seed = 1; seed <= 60; ++seed) {
    SCOPED_TRACE("seed " + std::to_string(seed));
    const auto [readings, fit, least, most] = random_fit(seed);
    for (const double factor : {0.999, 1.001}) {
      const auto expect_no_better = [&, &readings = readings, &fit = fit, &least = least,
                                     &most = most](const auto parameter) {
        MaternCovariance other = fit;
        other.*parameter = other.*parameter * factor;
        if (other.*parameter < least.*parameter || other.*parameter > most.*parameter) return;
        EXPECT_LE(log_likelihood(readings, other), fit.log_likelihood + 1e-9);
      };
      expect_no_better(&MaternCovariance::horizontal_range);
      expect_no_better(&MaternCovariance::depth_range);
      expect_no_better(&MaternCovariance::sill);
    }
  }
}

TEST(LightMap, FindsTheRangesOfManyReadingsOfAKnownField) {
  // Waves of one length across and of half of it in depth: the ranges follow.
  Chance chance(5);
  Readings readings;
  while (readings.size() < 100) {
    const Position place = somewhere(chance);
    const double z = std::sin(place.x.cm() / 12.0) + std::cos(place.y.cm() / 12.0) +
                     std::sin(place.depth.cm() / 24.0);
    readings.push_back({place, ppfd(100.0 * std::exp(0.4 * z))});
  }
  const LightMap map = LightMap::fit(readings, 0.02).value();
  EXPECT_GT(map.parameters().depth_range, 1.3 * map.parameters().horizontal_range);
  for (const LightEstimate& left_out : map.leave_one_out()) EXPECT_LT(left_out.log_error, 0.3);
}

/// Root mean square of the ln ratio of estimates.
double distance_between(const std::vector<LightEstimate>& these,
                        const std::vector<LightEstimate>& those) {
  double squares = 0.0;
  for (std::size_t i = 0; i < these.size(); ++i) {
    squares += std::pow(log_ppfd(these[i]) - log_ppfd(those.at(i)), 2.0);
  }
  return std::sqrt(squares / static_cast<double>(these.size()));
}

TEST(LightMap, OfVeryManyReadingsIsNearlyThatOfAllAtOnce) {
  for (const auto& [repeat_error, tolerance] : {std::pair{0.05, 0.01}, {0.0, 0.001}}) {
    SCOPED_TRACE(repeat_error);
    Chance chance(21);
    std::vector<Position> places;
    while (places.size() < most_readings_at_once + 1) places.push_back(somewhere(chance));
    const Readings readings = InventedTank{}.read(places, repeat_error, chance);
    const LightMap near = LightMap::fit(readings, repeat_error).value();
    const LightMap all = LightMap::with(readings, near.parameters());
    EXPECT_LT(distance_between(near.leave_one_out(), all.leave_one_out()), tolerance);
    std::vector<LightEstimate> by_near;
    std::vector<LightEstimate> by_all;
    for (int i = 0; i < 50; ++i) {
      const Position place = somewhere(chance);
      by_near.push_back(near.at(place));
      by_all.push_back(all.at(place));
      // Fewer readings make nobody surer.
      EXPECT_GT(by_near.back().log_error, 0.999 * by_all.back().log_error);
      EXPECT_LT(by_near.back().log_error, 1.3 * by_all.back().log_error);
    }
    EXPECT_LT(distance_between(by_near, by_all), tolerance);
  }
}

TEST(LightMap, OfVeryManyReadingsLeavesOutAsIfTheReadingHadNotBeenTaken) {
  Chance chance(22);
  Readings readings = random_survey(chance, most_readings_at_once + 2);
  const LightMap map = LightMap::fit(readings, 0.05).value();
  const LightEstimate left_out = map.leave_one_out()[7];
  readings[7].ppfd = 1000.0 * readings[7].ppfd;
  const LightMap other = LightMap::fit(readings, 0.05).value();
  // The covariance is fitted to some of the readings, of which this is none.
  ASSERT_EQ(other.parameters().sill, map.parameters().sill);
  EXPECT_EQ(other.leave_one_out()[7].ppfd, left_out.ppfd);
  EXPECT_GT(other.at(readings[7].at).ppfd, 2.0 * map.at(readings[7].at).ppfd);
}

TEST(LightMap, TakesTwoOfVeryManyReadingsAtOnePlaceForRepeats) {
  Chance chance(23);
  Readings readings = random_survey(chance, most_readings_at_once);
  readings.push_back(readings.front());
  readings.back().ppfd = 1.1 * readings.back().ppfd;
  const LightMap map = LightMap::fit(readings, 0.0).value();
  const double between = map.at(readings.front().at).ppfd / readings.front().ppfd;
  EXPECT_GT(between, 1.0);
  EXPECT_LT(between, 1.1);
}

TEST(LightMap, NeedsSixReadings) {
  Chance chance(6);
  Readings readings = random_survey(chance, fewest_map_readings);
  EXPECT_TRUE(LightMap::fit(readings, 0.05).has_value());
  readings.pop_back();
  const auto map = LightMap::fit(readings, 0.05);
  ASSERT_FALSE(map.has_value());
  EXPECT_EQ(map.error().what, "a light map needs at least 6 readings, not 5");
  EXPECT_FALSE(LightMap::fit({}, 0.05).has_value());
}

TEST(LightMap, OfManyReadingsIsFittedToSomeFromAllOverTheTank) {
  // Twice as many as are fitted, less one: every second is. The left half of the tank is
  // even, the right one is not, so that either half alone gives other ranges: the first
  // 150 readings 19.5 cm in place of 24.3.
  const std::size_t count = 2 * most_readings_to_fit - 1;
  Readings all;
  Readings every_second;
  for (std::size_t i = 0; i < count; ++i) {
    const double x = 0.5 * static_cast<double>(i);
    const double wave = x < 75.0 ? 0.1 * std::sin(x / 40.0) : 0.6 * std::sin(x / 3.0);
    all.push_back(reading(x, 30.0, 20.0, 100.0 * std::exp(wave)));
    if (i % 2 == 0) every_second.push_back(all.back());
  }
  const MaternFit fit = LightMap::fit(all, 0.05).value().parameters();
  const MaternFit some = LightMap::fit(every_second, 0.05).value().parameters();
  EXPECT_EQ(fit.horizontal_range, some.horizontal_range);
  EXPECT_EQ(fit.sill, some.sill);
}

TEST(LightMap, RefusesAReadingOfZero) {
  Chance chance(7);
  Readings readings = random_survey(chance, 8);
  readings[3].ppfd = ppfd(0.0);
  const auto map = LightMap::fit(readings, 0.05);
  ASSERT_FALSE(map.has_value());
  EXPECT_EQ(map.error().what, "a light map cannot use a reading of 0");
}

TEST(LightMap, RefusesReadingsAtOnePlace) {
  Readings readings(6, reading(40, 30, 20, 120));
  readings[2].at.x = Length::cm(40.5);
  readings[4].at.depth = Length::cm(20.9);
  const auto map = LightMap::fit(readings, 0.05);
  ASSERT_FALSE(map.has_value());
  EXPECT_EQ(map.error().what, "all readings of the light map are at one place");
  readings[4].at.depth = Length::cm(21.1);
  EXPECT_TRUE(LightMap::fit(readings, 0.05).has_value());
}

TEST(LightMap, TakesTwoReadingsAtOnePlaceForRepeats) {
  Chance chance(8);
  const Readings readings = random_survey(chance, 10);
  for (const auto& [repeat_error, nudge_cm] : {std::pair{0.0, 0.0}, {0.05, 0.0}, {0.0, 0.5}}) {
    SCOPED_TRACE(repeat_error);
    Readings twice = readings;
    twice.push_back(readings[4]);
    twice.back().ppfd = readings[4].ppfd * 1.04;
    twice.back().at.y += Length::cm(nudge_cm);
    const LightMap map = LightMap::fit(twice, repeat_error).value();
    EXPECT_DOUBLE_EQ(map.parameters().nugget, std::max(repeat_error * repeat_error, 1e-6));
    if (nudge_cm > 0.0) continue;
    const LightEstimate found = map.at(readings[4].at);
    EXPECT_LT(found.log_error, std::max(repeat_error, 1e-3) / std::sqrt(2.0) * (1.0 + 1e-9));
    if (repeat_error > 0.0) continue;
    // Two sure readings: the light lies half way between.
    EXPECT_NEAR(found.ppfd / readings[4].ppfd, std::sqrt(1.04), 1e-3);
  }
}

TEST(LightMap, RefusesASingularCovariance) {
  const Readings readings{reading(40, 30, 20, 120), reading(40, 30, 20, 125)};
  const MaternCovariance without_nugget = covariance_of(30.0, 30.0, 0.2, 0.0);
  EXPECT_THROW(LightMap::with(readings, without_nugget), std::invalid_argument);
  EXPECT_EQ(log_likelihood(readings, without_nugget), -std::numeric_limits<double>::infinity());
  EXPECT_THROW(LightMap::with({}, without_nugget), std::invalid_argument);
}

TEST(LightMap, KeepsADepthRangeWhereAllReadingsAreAtOneDepth) {
  Chance chance(9);
  std::vector<Position> places = well_spread();
  for (Position& place : places) place.depth = Length::cm(25.0);
  const InventedTank tank;
  const LightMap map = LightMap::fit(tank.read(places, 0.0, chance), 0.0).value();
  const MaternFit& fit = map.parameters();
  EXPECT_DOUBLE_EQ(fit.depth_range / fit.horizontal_range, default_depth_range_share);
  const Position between = place_at(75.0, 30.0, 25.0);
  EXPECT_NEAR(map.at(between).ppfd.umol_m2_s() / tank.ppfd_at(between), 1.0, 0.05);
  // Other depths are less sure the farther they are.
  EXPECT_GT(map.at(place_at(75.0, 30.0, 35.0)).log_error, map.at(between).log_error);
  EXPECT_GT(map.at(place_at(75.0, 30.0, 45.0)).log_error,
            map.at(place_at(75.0, 30.0, 35.0)).log_error);
}

TEST(LightMap, KeepsAHorizontalRangeWhereAllReadingsAreAboveEachOther) {
  const InventedTank tank;
  Readings readings;
  for (double depth = 5.0; depth <= 50.0; depth += 9.0) {
    const Position place = place_at(40.0, 30.0, depth);
    readings.push_back({place, ppfd(tank.ppfd_at(place))});
  }
  const LightMap map = LightMap::fit(readings, 0.0).value();
  const MaternFit& fit = map.parameters();
  EXPECT_NEAR(fit.horizontal_range.cm(), fit.depth_range.cm() / default_depth_range_share, 1e-9);
  const Position between = place_at(40.0, 30.0, 30.0);
  EXPECT_NEAR(map.at(between).ppfd.umol_m2_s() / tank.ppfd_at(between), 1.0, 0.01);
}

TEST(LightMap, FitsReadingsOnALine) {
  const InventedTank tank;
  for (const double slope : {0.0, 0.25}) {
    SCOPED_TRACE(slope);
    Readings readings;
    for (double x = 10.0; x <= 140.0; x += 13.0) {
      const Position place = place_at(x, 30.0, 10.0 + slope * x);
      readings.push_back({place, ppfd(tank.ppfd_at(place))});
    }
    const LightMap map = LightMap::fit(readings, 0.02).value();
    const Position between = place_at(81.0, 30.0, 10.0 + slope * 81.0);
    EXPECT_NEAR(map.at(between).ppfd.umol_m2_s() / tank.ppfd_at(between), 1.0, 0.03);
  }
}

TEST(LightMap, OfEvenLightIsEven) {
  for (const double repeat_error : {0.0, 0.05}) {
    SCOPED_TRACE(repeat_error);
    Readings readings;
    for (const Position& place : well_spread()) readings.push_back({place, ppfd(150.0)});
    const LightMap map = LightMap::fit(readings, repeat_error).value();
    const LightEstimate found = map.at(place_at(75.0, 30.0, 25.0));
    EXPECT_NEAR(found.ppfd.umol_m2_s(), 150.0, 1e-6);
    EXPECT_LT(found.log_error, std::max(repeat_error, 2e-3));
  }
}

TEST(LightMap, DoesNotDependOnTheOrderOfReadings) {
  for (unsigned seed = 1; seed <= 10; ++seed) {
    SCOPED_TRACE("seed " + std::to_string(seed));
    Chance chance(seed);
    const Readings readings = random_survey(chance, 12);
    Readings turned = readings;
    std::rotate(turned.begin(), turned.begin() + 5, turned.end());
    std::swap(turned[2], turned[9]);
    const LightMap map = LightMap::fit(readings, 0.05).value();
    const LightMap other = LightMap::fit(turned, 0.05).value();
    EXPECT_EQ(map.parameters().horizontal_range, other.parameters().horizontal_range);
    EXPECT_EQ(map.parameters().depth_range, other.parameters().depth_range);
    EXPECT_EQ(map.parameters().sill, other.parameters().sill);
    const Position place = somewhere(chance);
    EXPECT_NEAR(map.at(place).ppfd / other.at(place).ppfd, 1.0, 1e-10);
    EXPECT_NEAR(map.at(place).log_error, other.at(place).log_error, 1e-10);
    EXPECT_NEAR(map.leave_one_out()[5].ppfd / other.leave_one_out()[0].ppfd, 1.0, 1e-10);
  }
}

TEST(LightMap, ScalesWithThePpfd) {
  for (unsigned seed = 1; seed <= 10; ++seed) {
    SCOPED_TRACE("seed " + std::to_string(seed));
    Chance chance(seed);
    const Readings readings = random_survey(chance, 12);
    Readings brighter = readings;
    for (MapReading& one : brighter) one.ppfd = one.ppfd * 3.7;
    const LightMap map = LightMap::fit(readings, 0.05).value();
    const LightMap other = LightMap::fit(brighter, 0.05).value();
    for (int i = 0; i < 5; ++i) {
      const Position place = somewhere(chance);
      EXPECT_NEAR(other.at(place).ppfd / map.at(place).ppfd, 3.7, 1e-6);
      EXPECT_NEAR(other.at(place).log_error, map.at(place).log_error, 1e-6);
    }
  }
}

TEST(LightMap, DoesNotDependOnWhereItIsMeasuredFrom) {
  // Shifted and turned about the vertical by the angle of 3, 4 and 5.
  Chance chance(11);
  const Readings readings = random_survey(chance, 12);
  const auto moved = [](const Position& p) {
    return Position{0.6 * p.x - 0.8 * p.y + Length::cm(300.0),
                    0.8 * p.x + 0.6 * p.y - Length::cm(50.0), p.depth + Length::cm(12.0)};
  };
  Readings elsewhere = readings;
  for (MapReading& one : elsewhere) one.at = moved(one.at);
  const LightMap map = LightMap::fit(readings, 0.05).value();
  const LightMap other = LightMap::fit(elsewhere, 0.05).value();
  for (int i = 0; i < 5; ++i) {
    const Position place = somewhere(chance);
    EXPECT_NEAR(other.at(moved(place)).ppfd / map.at(place).ppfd, 1.0, 1e-5);
    EXPECT_NEAR(other.at(moved(place)).log_error, map.at(place).log_error, 1e-5);
  }
}

}  // namespace
}  // namespace slowdawn
