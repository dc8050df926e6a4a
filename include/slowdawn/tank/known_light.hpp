// How well the readings of a tank tell its light, and what to read next.
#pragma once

#include <map>
#include <optional>
#include <slowdawn/tank/tank.hpp>
#include <vector>

namespace slowdawn {

/// What a light gives at a spot where it was read.
struct KnownLight {
  std::size_t spot;
  std::size_t light;
  /// At 100 %; one solution of many where it is known in combination only.
  Ppfd full_output;
  /// Relative standard error; empty where it is known in combination only, or gives
  /// nothing.
  std::optional<double> error;
  /// Lit there, and left with nothing by the readings.
  bool is_held_at_zero;
  bool is_in_combination_only;
};

/// By spot and light, those that were read.
std::vector<KnownLight> list_known_lights(const Tank& tank);

/// Whether the readings tell what dials bring to a spot, as a plan has them, cut back to
/// their steps: whether the lights stand within a step of what is told, so far as it hangs
/// on lights that are known there in combination only.
bool tells_dials_nearly(const Tank& tank, std::size_t spot,
                        const std::map<std::size_t, Percent>& dials);

/// How well the ratio is known of the light that is new to a group at the goal, where it
/// lives on the first day, to the light that it had, and what that comes from: relative standard
/// errors, each of its part alone. Errors that both lights share cancel in the ratio.
struct GroupDoubt {
  double ratio;
  /// Of the readings of the light before; empty for a history measured elsewhere.
  std::optional<double> before;
  /// Of a history measured elsewhere, which also has that of this tank's calibration.
  std::optional<double> history;
  std::optional<double> calibration;
  /// Of the readings of the goal's light, as far as it is new.
  double goal;
  /// Nothing is new to it, and it stays where it is: there is no ratio.
  bool is_same_light = false;
  /// Its lights stay and its spot changes: compared is its old light at both.
  bool is_moved = false;
};

/// group: of a tank without `plan_errors`.
/// source: tank/ratio_error.hpp.
GroupDoubt compute_group_doubt(const Tank& tank, const Group& group);

/// One reading more, of lights under dials at a spot.
struct ReadingToTake {
  std::size_t spot;
  std::map<std::size_t, Percent> dials;
  /// The group whose ratio is better known by it, and how well, now and then; empty
  /// where without it there is no plan.
  struct Gain {
    std::size_t group;
    double now;
    double then;
  };
  std::optional<Gain> gain = {};
};

/// The one reading that helps most: one without which there is no plan, else the one by
/// which the ratios of all groups, in squares, are better known by most; empty where none
/// helps. Looked for are each light of before and of the goal alone, and either mix, at
/// the spots of groups, read once.
std::optional<ReadingToTake> find_reading_to_take(const Tank& tank);

}  // namespace slowdawn
