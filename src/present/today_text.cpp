#include <fmt/format.h>

#include <slowdawn/present/hold_phrases.hpp>
#include <slowdawn/present/life_phrases.hpp>
#include <slowdawn/present/log_phrases.hpp>
#include <slowdawn/present/phrases.hpp>
#include <slowdawn/present/present.hpp>
#include <slowdawn/present/seat_phrases.hpp>
#include <utility>

namespace slowdawn {
namespace {

using Phase = TodayView::Phase;

/// One line a light, the percentage first.
std::string dial_lines(const PlannedRamp& ramp, const std::map<std::size_t, Percent>& dials,
                       const TextStyle& style) {
  std::string text;
  for (const auto& [number, dial] : dials) {
    const TankLight& light = ramp.tank.lights[number];
    const std::string channels = channels_text(light, dial);
    text += emphasise(to_text(dial), style) + "  " + to_safe_text(light.name) +
            (channels.empty() ? "" : ": " + channels) + "\n";
  }
  return text;
}

}  // namespace

EvenAdvice even_advice(const PlannedRamp& ramp, std::size_t day) {
  if (!ramp.plan.even) return {};
  Step before{0, 0, 0};
  Step step{0, 0, 0};
  for (const Step& each : list_steps(ramp.plan)) {
    if (each.first_day > day) break;
    before = std::exchange(step, each);
  }
  // An even ramp that ends before its line does was, or is to be, stopped.
  const auto is_cut_short = [&](const Step& each) {
    return each.is_even() && ramp.plan.days[each.reached_day].setting != ramp.plan.even->end;
  };
  const std::string words = step_text(ramp, step);
  if (step.is_even() && step.first_day == day) {
    return {"Set the light today to run by itself: " + words + ".", true, true};
  }
  if (step.is_even() && day < step.reached_day) {
    return {
        fmt::format("Running by itself since {}: {}.", to_iso(ramp.date(step.first_day)), words),
        false, true};
  }
  // It stands short of its line's end: the light would run on by itself.
  const auto& days = ramp.plan.days;
  if (days[day].setting == ramp.plan.even->end) return {};
  const bool was_changed = ramp.change && ramp.change->made == ramp.date(day);
  const bool stops_here = is_cut_short(step) && day == step.reached_day;
  const bool goes_back = day > 0 && days[day].setting < days[day - 1].setting;
  const std::string dials = dials_text(ramp.tank, ramp.dials(day));
  if (stops_here || goes_back || was_changed) {
    return {"Stop the light's own ramp today and hold it at " + dials + ".", true};
  }
  return {"The light's own ramp is stopped: hold it at " + dials + ".", false};
}

namespace {

/// Whether what is waited for says all of the next change, or that none is planned.
bool is_said_by_waits(const PlannedRamp& ramp, const std::optional<std::size_t>& next) {
  const std::vector<Wait> waits = waits_that_hold(ramp);
  if (waits.empty()) return false;
  if (!next) return true;
  const Wait& wait = waits.front();
  return wait.earliest && *wait.earliest <= *next && ramp.dials(*next) == wait.dials &&
         moves_on(ramp, *next).empty();
}

}  // namespace

std::string next_step_text(const PlannedRamp& ramp, std::size_t day) {
  const auto next = find_next_change(ramp.plan, day);
  if (is_said_by_waits(ramp, next)) return "";
  if (!next) return "No further step is planned.";
  std::string text = fmt::format("Next: {} on {}", dials_text(ramp.tank, ramp.dials(*next)),
                                 to_iso(ramp.date(*next)));
  const std::vector<std::string> moves = moves_on(ramp, *next);
  if (!moves.empty()) text += ", and " + list_words(moves, ", and ");
  if (ramp.plan.goal_day && *ramp.plan.goal_day >= *next) {
    text += fmt::format("; the goal on {}", to_iso(ramp.date(*ramp.plan.goal_day)));
  }
  return text + ".";
}

namespace {

/// A line for each, at most `most_listed`.
std::string bullets(const std::vector<std::string>& sentences, const TextStyle& style) {
  std::string text;
  const std::size_t shown = std::min(sentences.size(), most_listed);
  for (std::size_t i = 0; i < shown; ++i) text += wrap(sentences[i], style, "  - ", "    ");
  if (sentences.size() > shown) {
    text += fmt::format("  - and {} more; slowdawn plan --csv has all\n", sentences.size() - shown);
  }
  return text;
}

std::string before_start(const PlannedRamp& ramp, const TextStyle& style) {
  std::string text = dial_lines(ramp, ramp.tank.ramp.from, style) + "\n";
  text += wrap(fmt::format("The ramp of {} begins on {} with {}. Leave the light as it is until "
                           "then.",
                           to_safe_text(ramp.tank.name), to_iso(ramp.start),
                           dials_text(ramp.tank, ramp.dials(0))),
               style);
  const std::vector<std::string> moves = moves_on(ramp, 0);
  if (!moves.empty())
    text += wrap("On that day, before the lights: " + list_words(moves) + ".", style);
  return text;
}

/// What a followed plan has to add: what was seen, how the groups stand.
std::string followed_lines(const PlannedRamp& ramp, const TodayView& view, const TextStyle& style) {
  std::string text;
  for (const std::string& event : event_texts(ramp, news_around(ramp, view.day))) {
    text += wrap(event, style, "  - ", "    ");
  }
  if (view.day == ramp.followed->today) text += bullets(standing_texts(ramp), style);
  return text.empty() ? text : "\n" + text;
}

/// ", leg 2 since 2026-12-07" where plans were followed one after another.
std::string leg_words(const PlannedRamp& ramp, std::size_t day) {
  const std::size_t leg = ramp.leg(day);
  if (leg == 1) return "";
  return fmt::format(", leg {} since {}", leg, to_iso(ramp.date(ramp.followed->leg_days[leg - 2])));
}

std::string day_line(const PlannedRamp& ramp, const TodayView& view, const TextStyle& style) {
  const long day = (view.date - ramp.start).days();
  return wrap(fmt::format("{}, {}, day {} of the ramp{}", to_safe_text(ramp.tank.name),
                          to_iso(view.date), day, leg_words(ramp, view.day)),
              style);
}

/// The newest change and what is waited for; of a day to come, that it is one.
std::string first_lines(const PlannedRamp& ramp, const TodayView& view, const TextStyle& style) {
  if (ramp.followed == nullptr) return "";
  std::string text;
  const Date today = ramp.date(ramp.followed->today);
  if (view.date < today) return text;
  const std::vector<std::string> news = view.date == today ? first_news(ramp) : wait_texts(ramp);
  if (view.date > today) {
    text +=
        wrap("This is how it goes if every group is looked at in time and nothing is seen.", style);
  }
  for (const std::string& sentence : news) text += wrap(sentence, style);
  return text;
}

std::string look_today(const PlannedRamp& ramp, std::size_t day, const TextStyle& style) {
  std::vector<std::string> names;
  for (const std::string& name : groups_due(ramp, day)) names.push_back(to_safe_text(name));
  if (names.empty()) return "";
  return "\n" + wrap("Look today, at the same hour as last time and with the polyps out, at: " +
                         list_words(names) + ".",
                     style);
}

std::string in_plan(const PlannedRamp& ramp, const TodayView& view, const TextStyle& style) {
  std::string text = dial_lines(ramp, ramp.dials(view.day), style) + "\n";
  text += day_line(ramp, view, style) + first_lines(ramp, view, style);
  const auto changes = changes_since_yesterday(ramp, view.day);
  const EvenAdvice even = even_advice(ramp, view.day);
  if (!even.words.empty()) {
    text +=
        even.is_to_be_done ? emphasise(wrap(even.words, style), style) : wrap(even.words, style);
  }
  if (!changes.empty() && (even.words.empty() || view.day == 0)) {
    text += wrap((view.day == 0 ? "Changed from before: " : "Changed since yesterday: ") +
                     list_changes(ramp, changes) + ".",
                 style);
  }
  const std::vector<std::string> moves = moves_to_make(ramp, view.day);
  if (!moves.empty()) {
    text += emphasise(wrap("Before the lights come on: " + list_words(moves) + ".", style), style);
    if (ramp.followed != nullptr) text += "Log it once it is done: slowdawn moved\n";
  }
  const PlanDay& day = ramp.plan.days[view.day];
  if (day.by_hand && !day.is_as_recorded) text += "Dialled by hand, as the logbook says.\n";
  if (const std::string next = next_step_text(ramp, view.day); !next.empty()) {
    text += wrap(next, style);
  }
  if (day.held_by && !even.runs) {
    text += wrap("Not further today: " + held_by_text(ramp, view.day) + ".", style);
  }
  if (ramp.followed != nullptr) text += followed_lines(ramp, view, style);

  text += look_today(ramp, view.day, style);
  text += "\n" + wrap(
                     "If one pales, closes or slimes more than is its habit, do not step up. "
                     "Before you blame the light, check temperature, salinity, alkalinity, flow "
                     "and pests.",
                     style);
  return text;
}

std::string after_end(const PlannedRamp& ramp, const TodayView& view, const TextStyle& style) {
  std::string text = dial_lines(ramp, ramp.dials(view.day), style) + "\n";
  const std::string tank = to_safe_text(ramp.tank.name);
  const std::size_t end = ramp.plan.settled_day.value_or(ramp.plan.days.size() - 1);
  if (ramp.plan.goal_day) {
    text +=
        wrap(fmt::format("The ramp of {} is done: the goal was reached on {}, and the plan ended "
                         "on {}.",
                         tank, to_iso(ramp.date(*ramp.plan.goal_day)), to_iso(ramp.date(end))),
             style) +
        first_lines(ramp, view, style);
  } else if (is_waiting(ramp)) {
    text += day_line(ramp, view, style) + first_lines(ramp, view, style);
  } else {
    text += wrap(fmt::format("The plan of {} ended on {} short of its goal; `slowdawn plan` says "
                             "why.",
                             tank, to_iso(ramp.date(end))),
                 style);
    text += first_lines(ramp, view, style);
    if (ramp.plan.held_for_good_by) text += wrap(held_for_good_sentence(ramp), style);
  }
  std::vector<std::string> ends;
  for (std::size_t g = 0; g < ramp.tank.groups.size(); ++g) {
    const GroupOutcome& outcome = ramp.plan.groups[g];
    std::string line = fmt::format("{}: dose {}", to_safe_text(ramp.tank.groups[g].name),
                                   to_text(ramp.measured(view.day, g).dose));
    if (ramp.tank.has_weights()) {
      line += ", usable " + to_text(ramp.plan.days[view.day].groups.exposure(g).dose);
    }
    if (!ramp.tank.meter.is_relative) line += fmt::format(", {} its band", fit_text(*outcome.fit));
    if (ramp.is_there(view.day, g)) ends.push_back(std::move(line));
  }
  text += bullets(ends, style);
  if (ramp.followed != nullptr) text += followed_lines(ramp, view, style);
  return is_waiting(ramp) ? text + look_today(ramp, view.day, style) : text;
}

}  // namespace

std::string today_text(const PlannedRamp& ramp, const TodayView& view, const TextStyle& style) {
  std::string text = proposal_text(ramp, style);
  switch (view.phase) {
    case Phase::before_start: text += before_start(ramp, style); break;
    case Phase::in_plan: text += in_plan(ramp, view, style); break;
    case Phase::after_end: text += after_end(ramp, view, style); break;
  }
  text += light_remarks(ramp.tank, ramp.setup, style);
  if (view.tank_has_changed) {
    text += wrap(
        "The tank file has changed since this plan was followed; the plan is the one of "
        "then. `slowdawn follow` follows the file as it is now.",
        style);
  }
  if (!ramp.clock_notice.empty()) text += wrap("Mind: " + ramp.clock_notice + ".", style);
  if (ramp.followed == nullptr) {
    text += wrap(
        "This plan is not followed yet, so nothing that you see or do is in it. Follow it "
        "with `slowdawn follow`.",
        style);
  }
  return text;
}

}  // namespace slowdawn
