// The legs of a followed life: one for each time that a plan was followed, each with
// the tank as it was then. A leg goes on from where the one before it left the corals.
#pragma once

#include <slowdawn/logbook/entry.hpp>
#include <slowdawn/tank/tank.hpp>

namespace slowdawn {

/// What lights give at spots, from a day on.
struct OutputsSince {
  Date from;
  std::vector<std::vector<std::optional<FullOutput>>> full_output;
};

struct Leg {
  const Entry* entry;
  const FollowEntry* followed;
  /// Its first day.
  Date start;
  /// As it was kept, its ramp as it was followed, with the newest readings in the place
  /// of its own, and with the lights, spots and groups of the legs before that it does
  /// not name.
  Tank tank;
  /// By group of the tank: it is not named any more, and is gone from this leg on.
  std::vector<bool> is_dropped;
  /// By group: whether its file says so itself, in place of a leg before.
  std::vector<bool> is_named;
  /// Where a lamp was changed within the leg: what was read before and after. Rising;
  /// the first from the leg's start.
  std::vector<OutputsSince> outputs;
};

/// The legs of a logbook, first to last: from the newest plan that begins afresh, or
/// from the first. A plan that is followed again without a change, or before the day on
/// which it begins, adds none.
/// Errors: as followed_tank.
ReadResult<std::vector<Leg>> list_legs(const std::string& tank_file,
                                       const std::vector<Entry>& entries);

/// Whether two follow entries mean the same plan, from whatever day on.
bool is_same_plan(const FollowEntry& one, const FollowEntry& other);

}  // namespace slowdawn
