// The words for how a plan is lived with: what it waits for, who is gone, where a leg
// began, and what several looks of one round did.
#pragma once

#include <slowdawn/present/planned_ramp.hpp>
#include <string>
#include <vector>

namespace slowdawn {

/// Several names as "a", "a and b", "a, b and c".
std::string name_list(const std::vector<std::string>& names);

/// What really keeps the light from rising: not a wait beside which the plan goes on
/// all the same, nor one at the goal.
std::vector<Wait> waits_that_hold(const PlannedRamp& ramp);
/// Whether a plan ends where check-ins hold it, so that good looks bring it on.
bool is_waiting(const PlannedRamp& ramp);

/// What stands first wherever a plan is shown: the newest change, light by accident, what
/// it waits for. A sentence or two each.
std::vector<std::string> first_news(const PlannedRamp& ramp);

/// "leg 2 begins" on the day on which it does; else empty.
std::string leg_mark(const PlannedRamp& ramp, std::size_t day);

/// "Gone since 2026-10-08: chalice.", of all groups that are gone today; empty where
/// none is.
std::string gone_text(const PlannedRamp& ramp);
bool is_gone_today(const PlannedRamp& ramp, std::size_t group);

/// The dose that a group had before its first day of the plan, whichever leg that was.
std::string dose_before(const PlannedRamp& ramp, std::size_t group);

/// That nobody has looked of late while the light runs by itself, which goes on rising;
/// empty where it does not run, or somebody has.
std::string unwatched_ramp_text(const PlannedRamp& ramp);

/// What looks did, in their order; those that say the same are one sentence.
std::vector<std::string> event_texts(const PlannedRamp& ramp,
                                     const std::vector<const ReplayEvent*>& events);

/// The looks of a day and of the one before it that did more than say that all is well.
std::vector<const ReplayEvent*> news_around(const PlannedRamp& ramp, std::size_t day);

/// The day on which a look can first end a wait, from today on; empty where it is not
/// known.
std::optional<std::size_t> look_day_of(const PlannedRamp& ramp, const Wait& wait);

/// Whether a light is turned up on a day, and on no opening day.
bool is_turned_up(const PlannedRamp& ramp, std::size_t day);
/// What every step that is printed says: paper does not know whether anybody has looked.
inline constexpr const char* only_after_a_look =
    "Only after a good look at every group in the last 7 days; without one, leave the light as it "
    "is.";

}  // namespace slowdawn
