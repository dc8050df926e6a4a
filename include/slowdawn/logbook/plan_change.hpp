// What was logged last that changed the plan, for those who come to the tank after.
#pragma once

#include <slowdawn/logbook/replay.hpp>

namespace slowdawn {

struct PlanChange {
  /// The day on which it was written, and the entry.
  Date made;
  std::int64_t seq;
  /// "checkin", "moved" and so on.
  std::string kind;
  /// The lights of that day before and after, by light of the tank; the same where the
  /// days to come changed alone.
  std::map<std::size_t, Percent> from;
  std::map<std::size_t, Percent> to;
  /// The first day at the goal as planned before and after; empty if it was not reached.
  std::optional<Date> goal_before;
  std::optional<Date> goal_after;
};

/// How long a change is spoken of (design choice).
inline constexpr int days_a_change_is_news = 7;

/// The newest entry of the last days that changed the light of its day or the day of
/// the goal; empty if there is none.
/// stored: the entries with their plans.
std::optional<PlanChange> find_plan_change(const std::vector<LogEntry>& stored,
                                           const Replay& replayed, const Date& today);

}  // namespace slowdawn
