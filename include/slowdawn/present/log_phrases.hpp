// The words for what check-ins did and how groups stand.
#pragma once

#include <slowdawn/logbook/ways.hpp>
#include <slowdawn/present/planned_ramp.hpp>
#include <slowdawn/present/text.hpp>
#include <string>

namespace slowdawn {

/// One sentence or two on what a check-in did: the group, the sign, the date, and
/// what the plan does now.
std::string event_text(const PlannedRamp& ramp, const ReplayEvent& event);
/// The same of several groups: those of looks that differ in nothing else.
std::string event_text(const PlannedRamp& ramp, const ReplayEvent& event,
                       const std::vector<std::string>& names);

/// Whether a check-in did more than say that all is well.
bool is_news(const ReplayEvent& event);

/// How a group of a followed plan stands; empty where nothing is to be said.
std::string standing_text(const PlannedRamp& ramp, std::size_t group);

/// That the light does not rise because groups were not looked at, or runs by itself
/// unwatched; empty where they were.
std::string want_of_a_look_text(const PlannedRamp& ramp);

/// The two above for all groups; those that stand alike are one sentence.
std::vector<std::string> standing_texts(const PlannedRamp& ramp);

/// "at_ease" and so on.
std::string judgement_key(Judgement judgement);

inline constexpr const char* proposal_words =
    "A proposal: what would come if the plan were followed again so. The same options with "
    "slowdawn follow do it.";
/// The first line of what only would come; empty for a plan that is followed or of a file.
std::string proposal_text(const PlannedRamp& ramp, const TextStyle& style);

/// What the plan waits for, and until when; a sentence for each that is told apart.
std::vector<std::string> wait_texts(const PlannedRamp& ramp);
/// How the first of them begins.
inline constexpr std::string_view waits_word = "Waits ";
/// The newest change: from, to, when, why, and the goal's day before and after; empty
/// where there is none.
std::string change_text(const PlannedRamp& ramp);
/// What happened by accident, and what the plan waits for since; empty where nothing did.
std::string accident_text(const PlannedRamp& ramp);
/// A way to spare the others, and the line to type for it.
std::string way_text(const PlannedRamp& ramp, const Way& way);
std::string way_command(const PlannedRamp& ramp, const Way& way);
/// Which dials the record has for a past day, and how to correct them.
std::string record_text(const PlannedRamp& ramp, const Date& date);
/// What following again has left as the logbook has it, against the file.
std::vector<std::string> leg_notices(const PlannedRamp& ramp);
/// When the goal is reached, or that it is not.
std::string goal_day_text(const PlannedRamp& ramp);

}  // namespace slowdawn
