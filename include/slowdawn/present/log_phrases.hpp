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

/// That the dial holds because groups were not looked at; empty where they were.
std::string want_of_a_look_text(const PlannedRamp& ramp);

/// The two above for all groups, a line each.
std::vector<std::string> standing_texts(const PlannedRamp& ramp);

/// "at_ease" and so on.
std::string judgement_key(Judgement judgement);

}  // namespace slowdawn
