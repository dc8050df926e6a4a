// What the readings of a tank say: how even the light is, what changes where,
// and what is doubtful about them.
#pragma once

#include <optional>
#include <slowdawn/tank/known_light.hpp>
#include <slowdawn/tank/light_maps.hpp>
#include <slowdawn/tank/tank.hpp>
#include <string>
#include <vector>

namespace slowdawn {

/// The light at a number of spots.
struct LightSpread {
  std::size_t spots;
  Ppfd lowest;
  Ppfd mean;
  Ppfd highest;
  double lowest_over_mean;
  /// Sample standard deviation (n - 1) over the mean; empty for one spot.
  std::optional<double> coefficient_of_variation;
};

/// A survey as it was read: the mean of the repeats at each spot, times the
/// immersion factor, in PPFD.
struct SurveySummary {
  std::optional<Date> taken;
  /// By light of the tank, those that were on.
  std::map<std::size_t, Percent> dials;
  LightSpread spread;
};

/// What the ramp does to a spot: PPFD with the lights steady at `ramp.from` and
/// at `ramp.to`.
struct SpotChange {
  std::size_t spot;
  Ppfd before;
  Ppfd after;
  bool is_estimated;
  double ratio() const { return after / before; }
};

/// How well a light's map foretells a spot that it does not know.
struct MapTrial {
  std::size_t light;
  std::size_t readings;
  /// Root mean square of the relative errors, each reading left out in turn.
  double leave_one_out;
  /// The reading that the others foretell worst.
  std::size_t worst_spot;
  double worst_error;
};

struct SurveyReport {
  std::vector<SurveySummary> surveys;
  /// Empty where no spot is known under it.
  std::optional<LightSpread> before;
  std::optional<LightSpread> goal;
  /// Largest change first: by how far the ratio lies from 1, either way.
  std::vector<SpotChange> changes;
  std::vector<MapTrial> maps;
  /// The reading that would tell most of spots that were not read.
  std::optional<SpotToRead> read_next;
  /// The worst known first: those in combination only, those held at 0, then by error.
  std::vector<KnownLight> known;
  /// The reading that would tell most of the lights of groups.
  std::optional<ReadingToTake> take_next;
  /// One or two sentences each.
  std::vector<std::string> warnings;
};

// What a warning takes; all of it design choices.

/// Highest less lowest repeat, over their mean.
inline constexpr double scatter_worth_a_warning = 0.15;
/// Reading less what the fitted full outputs give, over the reading.
inline constexpr double misfit_worth_a_warning = 0.20;
/// Goal over the only dial that a light was read at, or the other way round.
inline constexpr double dial_reach = 1.5;
/// Days.
inline constexpr long age_worth_a_warning = 365;
/// The smallest singular value of the readings' columns at length 1: under it
/// the lights were lit in nearly the same proportions.
inline constexpr double separation_worth_a_warning = 0.1;

/// today: for the age of readings.
SurveyReport report_survey(const Tank& tank, const Date& today);

/// PPFD at a spot with the lights steady at their dials; empty where a light was
/// neither read nor estimated there.
std::optional<Ppfd> steady_ppfd(const Tank& tank, std::size_t spot,
                                const std::map<std::size_t, Percent>& dials);

}  // namespace slowdawn
