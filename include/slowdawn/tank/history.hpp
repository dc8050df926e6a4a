// The light that a group had before it came under the light of this ramp, and how
// that is known.
#pragma once

#include <map>
#include <optional>
#include <slowdawn/light/quantity.hpp>
#include <slowdawn/tank/date.hpp>
#include <string>

namespace slowdawn {

struct History {
  enum class Basis {
    /// Dose and peak, measured with another meter.
    measured,
    /// A PPFD and a day's length that somebody told.
    told,
    /// A spot of this tank under other dials.
    spot_here,
    /// A spot of another tank, by that tank's own file.
    other_tank,
    /// A depth on a reef.
    origin,
    /// Not known: the low end of the band of its kind stands for it. A guess.
    unknown,
  };

  Basis basis = Basis::measured;
  /// D0 and P0. Of a spot here, and of what is not known, once the readings are.
  Exposure light = {};
  /// Relative standard error that is its own, besides that of this tank's meter
  /// and of the reading at the spot; empty: as good as a reading.
  std::optional<double> error = {};
  /// Of a spot here.
  std::size_t spot = 0;
  std::map<std::size_t, Percent> dials = {};
  /// Where it is from, in words: another tank's spot, a depth on a reef.
  std::string place = {};
  /// Days without light after that.
  int dark_days = 0;
  /// The day since when it has lived at its spot under `ramp.from`.
  std::optional<Date> since = {};

  bool is_guess() const { return basis == Basis::unknown; }
};

/// Relative standard error of a PPFD that somebody told, where none is given: twice
/// the calibration error of a meter of one's own.
/// source: design choice; another meter, another place of the sensor, and a memory.
inline constexpr double error_of_told_light = 0.20;

}  // namespace slowdawn
