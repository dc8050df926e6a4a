// What the search of moves and its tests share.
#pragma once

#include <slowdawn/ramp/moves.hpp>

namespace slowdawn {

/// Days of one group under dials that are known, at one spot or another.
class MoverDays {
 public:
  explicit MoverDays(const MoveOutlook& outlook);

  std::size_t setting(std::size_t day) const;
  /// The last day on which the dial may still change.
  std::size_t last_day() const { return outlook_.day + outlook_.settings.size() - 1; }

  /// The group's state after a move to another spot.
  GroupState moved(const GroupState& state, std::size_t from, std::size_t to,
                   std::size_t day) const;

  /// Whether the group at `spot` bears a day: its setting, and those that the
  /// dial passes on the way to it; on the day of a move the floor as well.
  bool bears(std::size_t day, std::size_t spot, const GroupState& state, std::size_t left) const;

  /// The state after the day.
  GroupState after(std::size_t day, std::size_t spot, const GroupState& state) const;

  /// Whether it bears every later day at `spot`, `state` being that before `day`.
  bool bears_from(std::size_t day, std::size_t spot, GroupState state) const;

 private:
  GroupLight light(std::size_t setting, std::size_t spot) const {
    return outlook_.problem.light(setting, outlook_.now, spot);
  }
  Exposure effective(std::size_t setting, std::size_t spot) const {
    return light(setting, spot).effective;
  }

  const MoveOutlook& outlook_;
  DailyRates rates_;
};

}  // namespace slowdawn
