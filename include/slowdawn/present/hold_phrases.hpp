// The words for who holds the dial: on a day, over a plan, and for good.
#pragma once

#include <slowdawn/present/planned_ramp.hpp>
#include <string>
#include <vector>

namespace slowdawn {

/// Why a group's check-ins allow no more.
enum class CheckInCause { sign, no_look, accident };

/// Of a group that a limit of its check-ins holds on a day.
CheckInCause check_in_cause(const PlannedRamp& ramp, std::size_t day, std::size_t group);
/// "sign", "no_look", "accident": the word of the JSON.
std::string check_in_cause_key(CheckInCause cause);
/// "its check-ins ask for patience (last sign on 2026-10-08)", "not looked at since
/// 2026-10-01".
std::string check_in_words(const PlannedRamp& ramp, std::size_t day, std::size_t group);

/// "staghorn thicket (pace of its peak)", "chalice (not looked at since 2026-10-01)",
/// or that it waits for a step day. day: one that is not at the goal.
std::string held_by_text(const PlannedRamp& ramp, std::size_t day);
/// The same in so few words that a table has room for it.
std::string held_by_cell(const PlannedRamp& ramp, std::size_t day);
/// What stands there on a day that only waits for a step day.
inline constexpr const char* between_steps_text = "waits for the next step day";

/// As summarize_holds; holds by check-ins are apart by their cause.
struct CausedHold {
  Hold hold;
  std::optional<CheckInCause> cause;
  /// The last day of it.
  std::size_t last_day;
};
std::vector<CausedHold> list_caused_holds(const PlannedRamp& ramp);
/// "pace of its peak", "not looked at".
std::string cause_phrase(Cap cap, const std::optional<CheckInCause>& cause);

/// After "held for good": "by chalice (high end of its dose band)", or that the lowest
/// setting is over a limit; empty where the plan is not held for good.
std::string held_for_good_text(const PlannedRamp& ramp);
/// The same as a sentence.
std::string held_for_good_sentence(const PlannedRamp& ramp);

}  // namespace slowdawn
