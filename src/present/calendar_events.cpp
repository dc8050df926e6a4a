#include <fmt/format.h>

#include <algorithm>
#include <slowdawn/present/calendar.hpp>
#include <slowdawn/present/history_phrases.hpp>
#include <slowdawn/present/hold_phrases.hpp>
#include <slowdawn/present/life_phrases.hpp>
#include <slowdawn/present/log_phrases.hpp>
#include <slowdawn/present/phrases.hpp>
#include <slowdawn/present/seat_phrases.hpp>
#include <slowdawn/present/text.hpp>

namespace slowdawn {
namespace {

const char* const words_before_a_step =
    "Look at the animals before you turn the dial. If one looks worse than is its habit (paler, "
    "closed, more mucus), no step up: leave the light as it is. Before you blame the light, check "
    "temperature, salinity, alkalinity, flow and pests.";

/// "bars 35 %"; what is moved besides, before it where the dial stands still.
std::string calendar_step_summary(const PlannedRamp& ramp, const Step& step) {
  std::string setting = step_text(ramp, step);
  const std::string moves = list_words(moves_on(ramp, step.first_day), ", ");
  if (moves.empty()) return setting;
  const bool is_turned = step.is_even() || !changes_since_yesterday(ramp, step.first_day).empty();
  return is_turned ? setting + "; " + moves : moves + "; " + setting;
}

/// Why it is not further; one sentence.
std::string calendar_step_reason(const PlannedRamp& ramp, const Step& step) {
  const PlanDay& day = ramp.plan.days[step.first_day];
  if (day.by_hand && !day.is_as_recorded) return "Dialled by hand, as the logbook says.";
  if (step.is_even()) {
    return "Set it once, and let the light or its controller go on evenly; or turn it a little "
           "every day.";
  }
  if (!day.held_by) return "This is the goal.";
  if (!day.held_by->by) return "Not further yet: it waits for the next step day.";
  const HeldBy::Group& by = *day.held_by->by;
  const RampGroup group = group_on_day(ramp.setup.problem, ramp.plan, step.first_day, by.group);
  return fmt::format("Not further yet because of {}: {}.", to_safe_text(group.name),
                     by.breach.cap == Cap::check_in
                         ? check_in_words(ramp, step.first_day, by.group)
                         : cap_reason(by.breach.cap, group, ramp.tank.has_weights()));
}

std::string calendar_step_description(const PlannedRamp& ramp, const Step& step) {
  std::string text =
      fmt::format("Day {} of the ramp of {}.", step.first_day, to_safe_text(ramp.tank.name));
  if (is_turned_up(ramp, step.first_day)) text += std::string{" "} + only_after_a_look;
  const auto changes = changes_since_yesterday(ramp, step.first_day);
  if (!changes.empty()) text += " Changed: " + list_changes(ramp, changes) + ".";
  const auto moves = moves_on(ramp, step.first_day);
  if (!moves.empty()) {
    text += "\nBefore the lights come on: " + list_words(moves, ", ") + ".";
    if (ramp.followed != nullptr && step.first_day > 0) {
      text += " Log it once it is done: slowdawn moved";
    }
  }
  text += "\n" + calendar_step_reason(ramp, step) + "\n" + words_before_a_step;
  if (const std::string guess = guess_words(ramp.tank); !guess.empty()) text += "\n" + guess;
  if (ramp.followed != nullptr) text += "\nLog what you see: slowdawn checkin";
  return text;
}

/// The groups to look at on a day. Of a followed plan: on the day on which a look
/// is due, or today where it is overdue, and every seventh day from there on.
std::vector<std::string> groups_of_look_event(const PlannedRamp& ramp, std::size_t day,
                                              const Date& today, const std::vector<Wait>& waits) {
  if (ramp.followed == nullptr) return groups_due(ramp, day);
  const long now = (today - ramp.start).days();
  std::vector<std::string> names;
  for (std::size_t g = 0; g < ramp.tank.groups.size(); ++g) {
    if (!ramp.is_there(day, g)) continue;
    const long first = std::max(now, long{ramp.followed->standings[g].next_look_day});
    const long after = static_cast<long>(day) - first;
    const bool is_of_week = day < ramp.plan.days.size() && after >= 0 &&
                            is_day_to_look(static_cast<std::size_t>(after));
    const bool is_waited_for = std::any_of(waits.begin(), waits.end(), [&](const Wait& wait) {
      return wait.group == g && look_day_of(ramp, wait) == day;
    });
    if (is_of_week || is_waited_for) names.push_back(ramp.tank.groups[g].name);
  }
  return names;
}

/// What a look on a day can end, in words; empty where it can end nothing.
std::string waiting_words(const PlannedRamp& ramp, const std::vector<Wait>& waits,
                          std::size_t day) {
  const bool is_day = std::any_of(waits.begin(), waits.end(),
                                  [&](const Wait& wait) { return look_day_of(ramp, wait) == day; });
  if (!is_day) return "";
  std::string words = "\nThe plan waits for this.";
  for (const std::string& wait : wait_texts(ramp)) words += " " + wait;
  return words;
}

/// The last day on which there can be something to look at: what is waited for may come
/// after the days of a plan that waits.
std::size_t last_day_to_look(const PlannedRamp& ramp, const std::vector<Wait>& waits) {
  std::size_t last = ramp.plan.days.size() - 1;
  for (const Wait& wait : waits) last = std::max(last, look_day_of(ramp, wait).value_or(0));
  return last;
}

CalendarEvent look_event(const PlannedRamp& ramp, std::size_t day,
                         const std::vector<std::string>& groups) {
  std::size_t there = 0;
  for (std::size_t g = 0; g < ramp.tank.groups.size(); ++g)
    there += ramp.is_there(day, g) ? 1U : 0U;
  std::vector<std::string> names;
  for (const std::string& group : groups) names.push_back(to_safe_text(group));
  const std::string list = list_words(names, ", ");
  const bool is_round = groups.size() > 1 && groups.size() == there;
  CalendarEvent event;
  event.summary = "Look at " + (is_round ? "every group" : list);
  event.description =
      "Look, at the same hour as last time and with the polyps out, at: " + list +
      ".\nColour, extension, mucus and tissue, each against its own habit. If one looks worse, no "
      "step up.";
  event.description += ramp.followed != nullptr
                           ? "\nLog it: slowdawn checkin. Without a good look in the last 7 days, "
                             "leave the light as it is."
                           : "\nThe plan is not followed yet, so nothing that you see is in it; "
                             "slowdawn follow changes that.";
  return event;
}

}  // namespace

std::vector<CalendarEvent> list_calendar_events(const PlannedRamp& ramp, const Date& today,
                                                std::optional<ClockTime> reminder) {
  std::vector<CalendarEvent> events;
  const auto add = [&](CalendarEventKind kind, std::size_t day, CalendarEvent event) {
    event.date = ramp.date(day);
    event.uid = calendar_uid(ramp.tank.name, kind, event.date);
    event.summary += " (" + to_safe_text(ramp.tank.name) + ")";
    if (event.date >= today) event.reminder = reminder;
    event.stamp = today;
    events.push_back(std::move(event));
  };
  const std::vector<Wait> waits = waits_that_hold(ramp);
  for (const Step& step : list_steps(ramp.plan)) {
    // A leg that begins with the light as it is asks for nothing.
    const bool is_idle = ramp.begins_leg(step.first_day) && !step.is_even() &&
                         changes_since_yesterday(ramp, step.first_day).empty() &&
                         moves_on(ramp, step.first_day).empty();
    if (is_idle) continue;
    CalendarEvent event;
    event.summary = calendar_step_summary(ramp, step);
    event.description = calendar_step_description(ramp, step);
    add(CalendarEventKind::step, step.first_day, std::move(event));
  }
  for (std::size_t day = 0; day <= last_day_to_look(ramp, waits); ++day) {
    const auto groups = groups_of_look_event(ramp, day, today, waits);
    if (groups.empty()) continue;
    CalendarEvent event = look_event(ramp, day, groups);
    event.description += waiting_words(ramp, waits, day);
    add(CalendarEventKind::look, day, std::move(event));
  }
  return events;
}

}  // namespace slowdawn
