// Ways to spare the others when one coral suffers: a look that asks for patience with
// one group dims everybody, and mostly need not.
#pragma once

#include <slowdawn/logbook/replay.hpp>
#include <vector>

namespace slowdawn {

struct Way {
  enum class Kind { mesh, spot };
  Kind kind;
  std::size_t group;
  /// Of a mesh: the share of light that it lets through.
  double transmission = 1.0;
  /// Of a spot: its number in the tank.
  std::size_t spot = 0;
  /// By light of the tank, once it is done today.
  std::map<std::size_t, Percent> dials_today = {};
  /// The first day at the goal then, looked at in time and with nothing seen; empty if
  /// the plan stops short of it.
  std::optional<std::size_t> goal_day = {};
};

/// For every group whose looks hold the dial today: the lightest mesh (0.9, 0.8, ... 0.2
/// of the light it has now) and every spot with room and known light under which it
/// holds nobody until its limit can end, and which does not take it under its floor.
/// Spots come by their light, the brightest first, three at the most.
std::vector<Way> find_ways_to_spare(const Replay& replayed);

/// What the plan waits for on its day of today, each group once.
std::vector<Wait> find_waits(const Replay& replayed);

}  // namespace slowdawn
