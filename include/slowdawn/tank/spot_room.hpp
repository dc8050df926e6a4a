// Which spots of a tank have room for one more group, and until when those that live
// there stay.
#pragma once

#include <optional>
#include <slowdawn/tank/ramp_setup.hpp>
#include <vector>

namespace slowdawn {

/// How full the spots are from each day of a plan on. A spot is full while as many
/// groups as its capacity live there, and before that where they are still to come: a
/// group that is moved away makes room on its day.
class SpotRoom {
 public:
  /// plan: may be without days; a group then counts where it begins and where it is
  ///   to live in the end. The tank and the setup must outlive it.
  SpotRoom(const Tank& tank, const RampSetup& setup, const Plan& plan);

  /// Whether one more group could live at a spot from a day on.
  bool has_room(std::size_t spot, std::size_t day) const;

  /// Whether a group that may be moved could go to a spot that is dimmer at the goal
  /// than its own on that day, or to a brighter one. Spots without a known light at
  /// the goal do not count.
  bool has_dimmer_spot(std::size_t group, std::size_t day) const;
  bool has_brighter_spot(std::size_t group, std::size_t day) const;

 private:
  template <class Compare>
  bool has_spot(std::size_t group, std::size_t day, const Compare& is_better) const;
  std::size_t spot_of(std::size_t group, std::size_t day) const;

  const Tank& tank_;
  const RampSetup& setup_;
  const Plan& plan_;
  /// The first days of stretches on which nothing moves, and for each the most groups
  /// at each spot from then on.
  std::vector<std::size_t> first_days_;
  std::vector<std::vector<int>> most_from_;
  /// By spot; empty where a light of the goal is not known.
  std::vector<std::optional<DailyDose>> doses_at_goal_;
};

}  // namespace slowdawn
