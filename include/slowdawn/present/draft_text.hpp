// What the answers so far come to, while a tank file is made.
#pragma once

#include <slowdawn/present/planned_ramp.hpp>
#include <slowdawn/present/text.hpp>
#include <slowdawn/tank/tank_draft.hpp>
#include <string>

namespace slowdawn {

/// A light's day: "11 h of light, worth 9.5 h of full output".
std::string draft_day_text(const DraftLight& light, const TextStyle& style);

/// What was read at a spot, and the dose that it means.
/// spot: at least one reading.
std::string draft_spot_text(const TankDraft& draft, const DraftSpot& spot, const TextStyle& style);

/// The light that a group had elsewhere.
std::string draft_history_text(const DraftGroup& group, const TextStyle& style);

/// What the goal means for each group.
std::string draft_goal_text(const Tank& tank, const RampSetup& setup, const TextStyle& style);

/// The plan that there would be: its first day, its goal and who holds it up.
std::string draft_plan_text(const PlannedRamp& ramp, const TextStyle& style);

}  // namespace slowdawn
