// The words for what check-ins did and how groups stand.
#pragma once

#include <slowdawn/present/planned_ramp.hpp>
#include <string>

namespace slowdawn {

/// One sentence or two on what a check-in did: the group, the sign, the date, and
/// what the plan does now.
std::string event_text(const PlannedRamp& ramp, const ReplayEvent& event);

/// Whether a check-in did more than say that all is well.
bool is_news(const ReplayEvent& event);

/// How a group of a followed plan stands; empty where nothing is to be said.
std::string standing_text(const PlannedRamp& ramp, std::size_t group);

/// "at_ease" and so on.
std::string judgement_key(Judgement judgement);

}  // namespace slowdawn
