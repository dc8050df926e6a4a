// A map of one light: PPFD anywhere in the tank from readings at some spots.
//
// ln PPFD is taken for a constant mean plus a field that varies smoothly with
// place, and is estimated by ordinary kriging: of all weighted means of the
// readings, weights adding up to 1, the one with the least expected error.
//
//   z       ln of the readings        m   their mean, by generalised least squares
//   a, b    ranges across and in depth, cm
//   s       sill, variance of the field
//   g       nugget, variance of a reading about the field, (repeat error)^2
//
//   h^2 = (dx^2 + dy^2) / a^2 + dz^2 / b^2                                   (1)
//   C(h) = s (1 + sqrt(3) h) exp(-sqrt(3) h)            Matern, nu = 3/2     (2)
//   K = C + g I,   m = 1'K^-1 z / 1'K^-1 1                                   (3)
//   estimate = m + c'K^-1 (z - m),   c = C between place and readings        (4)
//   variance = s - c'K^-1 c + (1 - 1'K^-1 c)^2 / 1'K^-1 1                    (5)
//   ln likelihood = -(n ln 2 pi + ln |K| + (z - m)'K^-1 (z - m)) / 2         (6)
//   without reading i, with B = K^-1 - K^-1 1 1'K^-1 / 1'K^-1 1:
//     estimate = z_i - (B z)_i / B_ii,   variance = 1 / B_ii - g             (7)
//
// The ln, since light fades by shares and meters err by shares. Smoothness 3/2 is
// fixed, since a dozen readings do not tell it: such a field has slopes, as light
// between lamps has, but no more is asked of it, as at the edge of a shadow.
//
// source: (3) to (5) Cressie 1993, Statistics for Spatial Data, by way of the
//   SAS/STAT guide, KRIGE2D, "Details of Ordinary Kriging"; (2) Rasmussen and
//   Williams 2006, Gaussian Processes for Machine Learning, ch. 4 (from memory);
//   (7) own derivation after the idea of Dubrule 1983, Math. Geol. 15:687.
#pragma once

#include <cstddef>
#include <memory>
#include <slowdawn/light/quantity.hpp>
#include <slowdawn/light/result.hpp>
#include <span>
#include <vector>

namespace slowdawn {

/// A place in the tank; depth counts down from the surface.
struct Position {
  Length x;
  Length y;
  Length depth;
};

/// What was read at a place; ppfd > 0.
struct MapReading {
  Position at;
  Ppfd ppfd;
};

struct LightEstimate {
  /// The median: exp of the kriged ln PPFD.
  Ppfd ppfd;
  /// Standard error of ln PPFD, about the relative error: of the light itself,
  /// without the repeat error of a new reading.
  double log_error;
};

/// Equation (2) with its nugget, of ln PPFD.
struct MaternCovariance {
  Length horizontal_range;
  Length depth_range;
  double sill;
  double nugget;
};

/// Of the readings that were fitted.
struct MaternFit : MaternCovariance {
  double mean;
  double log_likelihood;
};

inline constexpr std::size_t fewest_map_readings = 6;
/// Of more readings so many, spread evenly, tell the covariance: each trial costs
/// the third power of their number, and more of them tell little more of four
/// figures (design choice). The estimates rest on all.
inline constexpr std::size_t most_readings_to_fit = 150;

/// Of more readings than this an estimate rests on those that are nearest by equation (1)
/// alone, and on their mean: all at once, which costs the third power of their number, took
/// minutes for 10,000. It is then a little less sure, and says so: among 1,500 invented
/// readings it was 0.8 % off that of all at once where they erred by 5 %, 0.03 % where they
/// did not err (root mean square; design choice).
inline constexpr std::size_t most_readings_at_once = 1000;
inline constexpr std::size_t most_readings_around = 60;

/// Places closer than this are one place: no probe is held steadier (design choice).
inline constexpr Length same_place = Length::cm(1.0);

/// Ranges are sought within what n readings tell, their widest distance being S:
/// across from S / sqrt(n), about how far neighbours lie apart, to 2 S; in depth
/// from S, since light under lamps falls without layers, to 5 S. With wider bounds
/// estimates under invented lamps are hardly better, but pass for surer (design choice).
inline constexpr double most_horizontal_range_per_span = 2.0;
inline constexpr double most_depth_range_per_span = 5.0;

/// Depth range over horizontal range where readings at one depth, or all above each
/// other, leave it open (design choice: fits to invented lamps gave 0.2 to 1.2).
inline constexpr double default_depth_range_share = 0.5;

struct KrigingSolution;
class PlaceTree;

class LightMap {
 public:
  /// Fits a, b and s by maximum likelihood; the same for readings in any order.
  /// repeat_error: relative repeatability of a reading, >= 0. Where two readings
  ///   are at one place it is at least 0.001, so that they may differ.
  /// Errors: fewer than 6 readings; a reading of 0; all readings at one place.
  static Result<LightMap> fit(std::vector<MapReading> readings, double repeat_error);

  /// With known ranges, sill and nugget, for at least one reading. Throws
  /// std::invalid_argument where K is singular, as with two readings at one place
  /// and no nugget.
  static LightMap with(std::vector<MapReading> readings, const MaternCovariance& covariance);

  /// Equations (4) and (5); exact, with no error, at a reading without nugget.
  /// validity: among the readings. Away from them it returns to their mean, also
  ///   below and above them, and its error grows to that of the whole field.
  /// accuracy: of twelve well-spread readings with 5 % repeat error about 7 % of PPFD
  ///   under two even lamps, 22 % under sharp beams (invented; tests, suite Survey).
  LightEstimate at(const Position& place) const;

  /// Equation (7): each reading's place from the other readings, of which there is
  /// at least one, with the same covariance; in the order of the readings.
  std::vector<LightEstimate> leave_one_out() const;

  const MaternFit& parameters() const { return parameters_; }

 private:
  LightMap() = default;

  std::vector<MapReading> readings_;
  MaternFit parameters_{};
  /// Either all readings at once,
  std::shared_ptr<const KrigingSolution> solution_;
  /// or what finds those around a place.
  std::shared_ptr<const PlaceTree> tree_;
};

/// Equation (6), with m of equation (3); minus infinity where K is singular.
double log_likelihood(std::span<const MapReading> readings, const MaternCovariance& covariance);

}  // namespace slowdawn
