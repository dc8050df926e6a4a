#include <fmt/format.h>

#include <algorithm>
#include <slowdawn/present/excitation_phrases.hpp>
#include <slowdawn/present/hold_phrases.hpp>
#include <slowdawn/present/life_phrases.hpp>
#include <slowdawn/present/log_phrases.hpp>
#include <slowdawn/present/phrases.hpp>
#include <slowdawn/present/present.hpp>
#include <slowdawn/present/seat_phrases.hpp>

#include "present/why_parts.hpp"

namespace slowdawn {
namespace {

std::string headline(const PlannedRamp& ramp, const TextStyle& style) {
  const Plan& plan = ramp.plan;
  const std::string tank = to_safe_text(ramp.tank.name);
  if (plan.status == PlanStatus::no_safe_opening) {
    return emphasise(wrap(tank + ": there is no safe way to begin this ramp.", style), style);
  }
  const std::string first = dials_text(ramp.tank, ramp.dials(0));
  const std::string last = dials_text(ramp.tank, ramp.dials(plan.days.size() - 1));
  const auto is_still = [&](const Step& step) {
    return !step.is_even() && ramp.dials(step.first_day) == ramp.dials(0);
  };
  const std::vector<Step> steps = list_steps(plan);
  if (!plan.moves.empty() && std::all_of(steps.begin(), steps.end(), is_still)) {
    const std::string moves =
        plan.moves.size() == 1 ? "one move" : fmt::format("{} moves, the last", plan.moves.size());
    return emphasise(
        wrap(fmt::format("{}: {} all the while; {} on {} (day {}).", tank, first, moves,
                         to_iso(ramp.date(plan.moves.back().day)), plan.moves.back().day),
             style),
        style);
  }
  std::string text = fmt::format("{}: {} on {}, ", tank, first, to_iso(ramp.date(0)));
  if (plan.goal_day) {
    text +=
        fmt::format("{} on {} (day {}).", last, to_iso(ramp.date(*plan.goal_day)), *plan.goal_day);
  } else if (is_waiting(ramp)) {
    text += fmt::format("then {} while it waits.", last);
  } else {
    text += fmt::format("then up to {}, and no further.", last);
  }
  return emphasise(wrap(text, style), style);
}

/// When the goal comes, and who holds it up.
std::string summary(const PlannedRamp& ramp, const TextStyle& style) {
  const Plan& plan = ramp.plan;
  const auto line = [&](std::string_view label, const std::string& words) {
    return wrap(words, style, "  " + fit_left(label, 14), std::string(16, ' '));
  };
  const std::string goal = setting_text(ramp, ramp.setting(ramp.setup.problem.path.goal));
  std::string text = line(
      "goal", plan.goal_day
                  ? goal + ", reached on " + to_iso(ramp.date(*plan.goal_day))
                  : goal + (is_waiting(ramp) ? ", not reached while it waits" : ", not reached"));
  text += line("settled", plan.settled_day ? to_iso(ramp.date(*plan.settled_day)) +
                                                 ": every group is then used to its light"
                                           : "not by the end of the plan");
  for (const std::string& wait : wait_texts(ramp)) {
    const bool is_first = wait.starts_with(waits_word);
    text += line(is_first ? "waits" : "", is_first ? wait.substr(waits_word.size()) : wait);
  }
  if (const std::string words = held_for_good_text(ramp); !words.empty()) {
    text += line("held for good", words);
  }
  const std::vector<CausedHold> holds = list_caused_holds(ramp);
  if (holds.empty()) return text;
  std::vector<std::string> list;
  for (const auto& [hold, cause, last_day] : holds) {
    list.push_back(fmt::format("{}, {}, on {}",
                               to_safe_text(ramp.setup.problem.groups[hold.group].name),
                               cause_phrase(hold.cap, cause), days_text(hold.days)));
  }
  text += line("held up by", list_words(list, "; "));
  const auto& [longest, cause, last_day] = holds.front();
  const RampGroup& group = ramp.setup.problem.groups[longest.group];
  text += line("because", to_safe_text(group.name) + ": " +
                              (cause ? check_in_words(ramp, last_day, longest.group)
                                     : cap_reason(longest.cap, group, ramp.tank.has_weights())));
  return text;
}

std::string steps(const PlannedRamp& ramp, const TextStyle& style) {
  using Align = TextTable::Align;
  constexpr std::size_t widest_name = 14;
  std::vector<TextTable::Column> columns{
      {"from", Align::left}, {"day", Align::right}, {"days", Align::right}};
  for (std::size_t j = 0; j < ramp.setup.path_lights.size(); ++j) {
    const std::string name = to_safe_text(ramp.light_name(j));
    columns.push_back(
        {display_width(name) > widest_name ? fit_left(name, widest_name) : name, Align::right});
  }
  columns.push_back({"held up by", Align::left});
  TextTable table{std::move(columns)};
  for (const Step& step : list_steps(ramp.plan)) {
    const auto& held_by = ramp.plan.days[step.first_day].held_by;
    std::vector<std::string> cells{to_iso(ramp.date(step.first_day)),
                                   std::to_string(step.first_day),
                                   std::to_string(step.last_day - step.first_day + 1)};
    const auto dials = ramp.dials(step.first_day);
    const auto reached = ramp.dials(step.reached_day);
    for (const std::size_t light : ramp.setup.path_lights) {
      const bool is_turned = dials.at(light) != reached.at(light);
      cells.push_back(is_turned ? to_text(dials.at(light)) + " to " + to_text(reached.at(light))
                                : to_text(dials.at(light)));
    }
    if (ramp.plan.days[step.first_day].by_hand && !ramp.plan.days[step.first_day].is_as_recorded) {
      cells.emplace_back("(by hand)");
    } else if (step.is_even()) {
      cells.push_back("(evenly, until " + to_iso(ramp.date(step.reached_day)) + ")");
    } else {
      cells.push_back(held_by ? held_by_cell(ramp, step.first_day) : "(the goal)");
    }
    if (const std::string mark = leg_mark(ramp, step.first_day); !mark.empty()) {
      std::vector<std::string> begins(cells.size());
      begins.front() = "-- " + mark;
      table.add(std::move(begins));
    }
    table.add(std::move(cells));
  }
  return table.to_text(style);
}

/// How the channels of a light stand at each step, and where an even ramp ends; empty where
/// it has none.
std::string channels(const PlannedRamp& ramp, std::size_t light_number, const TextStyle& style) {
  using Align = TextTable::Align;
  const TankLight& light = ramp.tank.lights[light_number];
  if (light.channels.empty()) return "";
  TextTable table{[&] {
    std::vector<TextTable::Column> columns{{to_safe_text(light.name), Align::left},
                                           {"dial", Align::right}};
    for (const Channel& channel : light.channels) {
      columns.push_back({to_safe_text(channel.name), Align::right});
    }
    return columns;
  }()};
  const auto add = [&](std::size_t day) {
    const Percent dial = ramp.dials(day).at(light_number);
    std::vector<std::string> cells{to_iso(ramp.date(day)), to_text(dial)};
    for (const ChannelDial& channel : light.channel_dials(dial)) {
      cells.push_back(bare_text(channel.dial));
    }
    table.add(std::move(cells));
  };
  for (const Step& step : list_steps(ramp.plan)) {
    add(step.first_day);
    if (step.is_even()) add(step.reached_day);
  }
  return table.to_text(style) + "\n";
}

/// What is moved on which day; empty where nothing is.
std::string moves(const PlannedRamp& ramp, const TextStyle& style) {
  std::string text;
  std::size_t count = 0;
  for (const Step& step : list_steps(ramp.plan)) {
    for (const std::string& move : moves_on(ramp, step.first_day)) {
      if (++count > most_rows) continue;
      text +=
          wrap(move, style,
               fmt::format("  {}  day {:<3}  ", to_iso(ramp.date(step.first_day)), step.first_day),
               std::string(23, ' '));
    }
  }
  if (count > most_rows) {
    text += fmt::format("  and {} more moves; slowdawn plan --json has all\n", count - most_rows);
  }
  return text.empty() ? text : "Moves, before the lights come on\n" + text + "\n";
}

/// All groups, or of many those that hold the dial, the longest first, and those
/// that go shortest.
std::vector<std::size_t> groups_to_show(const PlannedRamp& ramp) {
  std::vector<double> importance;
  for (const GroupOutcome& outcome : ramp.plan.groups) {
    importance.push_back(-*outcome.lowest_share);
  }
  for (const Hold& hold : summarize_holds(ramp.plan)) {
    importance[hold.group] = std::max(importance[hold.group], static_cast<double>(hold.days));
  }
  std::vector<std::size_t> there;
  for (const std::size_t g : rows_to_show(importance)) {
    if (!is_gone_today(ramp, g)) there.push_back(g);
  }
  return there;
}

std::string corals(const PlannedRamp& ramp, const TextStyle& style) {
  using Align = TextTable::Align;
  TextTable table{{{"group", Align::left},
                   {"before", Align::right},
                   {"day 0", Align::right},
                   {"last", Align::right},
                   {"goal", Align::right},
                   {"band", Align::right},
                   {"last is", Align::left},
                   {"least", Align::right},
                   {"under", Align::right}}};
  const Plan& plan = ramp.plan;
  for (const std::size_t g : groups_to_show(ramp)) {
    const RampGroup& group = ramp.setup.problem.groups[g];
    const GroupOutcome& outcome = plan.groups[g];
    const auto dose_on = [&](std::size_t day) {
      return ramp.is_there(day, g) ? to_text(ramp.measured(day, g).dose) : std::string{"-"};
    };
    table.add({to_safe_text(group.name), dose_before(ramp, g), dose_on(0),
               dose_on(plan.days.size() - 1), to_text(ramp.measured_goal(g).dose),
               band_cell(ramp.tank, group.tolerance),
               ramp.tank.meter.is_relative ? "-" : fit_text(*outcome.fit),
               fmt::format("{:.0f} %", 100.0 * *outcome.lowest_share),
               outcome.days_below_band == 0 ? "-" : fmt::format("{} d", outcome.days_below_band)});
  }
  if (plan.groups.size() <= most_rows) return table.to_text(style);
  return table.to_text(style) +
         wrap(fmt::format("These are the groups that hold the dial and those that go shortest; {} "
                          "more stand in slowdawn plan --csv.",
                          plan.groups.size() - most_rows),
              style);
}

/// The same doses as the caps see them.
std::string usable_doses(const PlannedRamp& ramp, const TextStyle& style) {
  using Align = TextTable::Align;
  TextTable table{{{"usable dose", Align::left},
                   {"before", Align::right},
                   {"day 0", Align::right},
                   {"last", Align::right},
                   {"goal", Align::right}}};
  const Plan& plan = ramp.plan;
  for (const std::size_t g : groups_to_show(ramp)) {
    const RampGroup& group = ramp.setup.problem.groups[g];
    const auto dose_on = [&](std::size_t day) {
      return ramp.is_there(day, g) ? to_text(plan.days[day].groups.exposure(g).dose)
                                   : std::string{"-"};
    };
    table.add({to_safe_text(group.name), to_text(group.before.dose), dose_on(0),
               dose_on(plan.days.size() - 1), to_text(plan.groups[g].goal.dose)});
  }
  return table.to_text(style);
}

}  // namespace

std::string plan_text(const PlannedRamp& ramp, const TextStyle& style) {
  std::string text = proposal_text(ramp, style);
  // Of a plan that is followed the first day is over.
  const std::string dim_start =
      ramp.followed == nullptr ? dim_start_text(ramp.setup.problem) : std::string{};
  if (!dim_start.empty()) text += emphasise(wrap(dim_start, style), style) + "\n";
  text += headline(ramp, style);
  for (const std::string& news : {change_text(ramp), accident_text(ramp)}) {
    if (!news.empty()) text += wrap(news, style);
  }
  text += "\n";
  const bool has_days = !ramp.plan.days.empty();
  if (has_days) {
    text += summary(ramp, style) + "\n" + moves(ramp, style) + steps(ramp, style) + "\n";
    for (std::size_t j = 0; j < ramp.setup.path_lights.size(); ++j) {
      text += channels(ramp, ramp.setup.path_lights[j], style);
      text += staircase_text(ramp, j, style) + "\n";
    }
    text += wrap(units_text(ramp.tank) +
                     ". least: the share of its old dose that a group is left with at the least; "
                     "under: how long its dose is under its band",
                 style) +
            "\n" + corals(ramp, style);
    if (const std::string gone = gone_text(ramp); !gone.empty()) text += wrap(gone, style);
    const std::string excitation = excitation_of_plan(ramp, style);
    if (!excitation.empty()) text += "\n" + excitation;
    if (ramp.tank.has_weights()) text += "\n" + usable_doses(ramp, style);
  }
  const std::string remarks = light_remarks(ramp.tank, ramp.setup, style);
  if (!remarks.empty()) text += "\n" + remarks;
  if (!ramp.plan.notes.empty()) {
    text += has_days ? "\nNotes\n" : "";
    const std::vector<std::string> notes = note_texts(ramp);
    for (std::size_t i = 0; i < std::min(notes.size(), most_listed); ++i) {
      text += wrap(notes[i], style, "  - ", "    ");
    }
    if (notes.size() > most_listed) {
      text += fmt::format("  - and {} more; slowdawn plan --json has all\n",
                          notes.size() - most_listed);
    }
  }
  if (ramp.followed != nullptr) {
    text += ramp.followed->is_proposal ? "\nThe days up to today are as they were\n"
                                       : "\nFollowed; the days up to today are as they were\n";
    const std::vector<std::string> standings = standing_texts(ramp);
    for (std::size_t i = 0; i < std::min(standings.size(), most_listed); ++i) {
      text += wrap(standings[i], style, "  - ", "    ");
    }
    if (standings.size() > most_listed) {
      text += fmt::format("  - and {} more\n", standings.size() - most_listed);
    }
  }
  text += "\n" + wrap(
                     "The caps behind this plan are cautious choices, not proven limits. Watch the "
                     "corals; they know better.",
                     style);
  if (has_days) text += "Why a day is as it is: slowdawn why --date DATE\n";
  return text;
}

std::string advice_change(const Tank& tank, const RampAdvice& found) {
  const Advice& advice = found.advice;
  switch (advice.kind) {
    case Advice::Kind::daily_steps: return "with the dial turned every day";
    case Advice::Kind::other_spot: break;
  }
  return fmt::format(
      "with {} at {} {}", to_safe_text(tank.groups[advice.group].name),
      seat_text(tank, found.setup.seats[advice.spot]),
      advice.until ? fmt::format("for the first {}", days_text(*advice.until)) : "for good");
}

std::string advice_text(const Tank& tank, const std::optional<RampAdvice>& found,
                        const TextStyle& style) {
  if (!found) return "";
  const Advice& advice = found->advice;
  const std::string change = advice_change(tank, *found);
  const std::string gain = advice.days_sooner ? fmt::format("the goal is reached {} sooner",
                                                            days_text(*advice.days_sooner))
                                              : "the goal is reached, which it is not without";
  const std::string date =
      tank.ramp.start ? ", on " + to_iso(days_after(*tank.ramp.start, advice.goal_day)) : "";
  return "\n" + wrap("What would help: " + change + " " + gain + date + ".", style);
}

}  // namespace slowdawn
