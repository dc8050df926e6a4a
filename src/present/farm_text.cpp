#include <fmt/format.h>

#include <algorithm>
#include <slowdawn/present/csv.hpp>
#include <slowdawn/present/phrases.hpp>
#include <slowdawn/present/present.hpp>

#include "present/json_parts.hpp"

namespace slowdawn {
namespace {

bool is_planned(const FarmLine& line) { return line.errors.empty(); }

std::string dials_words(const FarmLine& line) {
  std::string text;
  for (const auto& [light, dial] : line.dials) {
    text += (text.empty() ? "" : ", ") + to_safe_text(light) + " " + to_text(dial);
  }
  return text;
}

std::string date_word(const std::optional<Date>& date) { return date ? to_iso(*date) : "-"; }

std::string headline(const std::vector<FarmLine>& lines) {
  const auto count = [&](PlanStatus status) {
    return std::count_if(lines.begin(), lines.end(), [&](const FarmLine& line) {
      return is_planned(line) && line.status == status;
    });
  };
  std::string text =
      fmt::format("{} {}: {} to the goal", lines.size(), lines.size() == 1 ? "tank" : "tanks",
                  count(PlanStatus::reaches_goal));
  const auto add = [&](std::ptrdiff_t number, std::string_view words) {
    if (number > 0) text += fmt::format(", {} {}", number, words);
  };
  add(count(PlanStatus::held), "held short of it");
  add(count(PlanStatus::no_safe_opening), "with no safe way to begin");
  add(std::count_if(lines.begin(), lines.end(), [](const FarmLine& l) { return !is_planned(l); }),
      "that could not be planned");
  return text + ".";
}

std::string cut(const std::string& text, std::size_t width) {
  return display_width(text) > width ? fit_left(text, width) : text;
}

/// Who bars the goal for good, with a star, or else who holds the dial on most days.
std::string holder_cell(const FarmLine& line, std::size_t widest) {
  if (line.cap_for_good) return cut(to_safe_text(line.holder_for_good), widest - 2) + " *";
  return line.hold ? cut(to_safe_text(line.holder), widest) : "-";
}

}  // namespace

FarmLine farm_line(const PlannedRamp& ramp, const std::optional<TodayView>& today) {
  const Plan& plan = ramp.plan;
  FarmLine line{.file = ramp.tank.file, .tank = ramp.tank.name, .status = plan.status};
  line.warnings = ramp.tank.warnings.size();
  if (!today) return line;
  const bool has_begun = today->phase != TodayView::Phase::before_start;
  line.date = has_begun ? today->date : ramp.start;
  for (const auto& [light, dial] : ramp.dials(today->day)) {
    const TankLight& lamp = ramp.tank.lights[light];
    line.dials.emplace_back(lamp.name, dial);
    if (!lamp.channels.empty()) line.channels[lamp.name] = lamp.channel_dials(dial);
  }
  if (plan.goal_day) line.goal = ramp.date(*plan.goal_day);
  if (plan.settled_day) line.settled = ramp.date(*plan.settled_day);
  if (const auto& by = plan.held_for_good_by) {
    line.holder_for_good = ramp.tank.groups[by->group].name;
    line.cap_for_good = by->breach.cap;
  }
  const std::vector<Hold> holds = summarize_holds(plan);
  if (holds.empty()) return line;
  line.hold = holds.front();
  line.holder = ramp.tank.groups[holds.front().group].name;
  return line;
}

std::string farm_text(const std::vector<FarmLine>& lines, const TextStyle& style) {
  constexpr std::size_t widest_dial = 20;
  constexpr std::size_t widest_name = 14;
  using Align = TextTable::Align;
  TextTable table{{{"tank", Align::left},
                   {"dial in", Align::left},
                   {"goal", Align::left},
                   {"settled", Align::left},
                   {"held up by", Align::left},
                   {"warn", Align::right}}};
  bool has_star = false;
  for (const FarmLine& line : lines) {
    has_star = has_star || line.cap_for_good;
    if (!is_planned(line)) {
      table.add({to_safe_text(line.file), "(error)", "-", "-", "-", "-"});
      continue;
    }
    table.add({to_safe_text(line.tank), line.date ? cut(dials_words(line), widest_dial) : "-",
               date_word(line.goal), date_word(line.settled), holder_cell(line, widest_name),
               line.warnings == 0 ? "-" : std::to_string(line.warnings)});
  }
  return emphasise(wrap(headline(lines), style), style) + "\n" + table.to_text(style) + "\n" +
         wrap(
             "dial in: today, or on the first day where that is still to come; held up by: the "
             "group that the dial waits for on most days" +
                 std::string{has_star ? "; *: for good, so that the goal is not reached." : "."},
             style) +
         "One of them in full: slowdawn plan TANK\n";
}

std::string farm_json(const std::vector<FarmLine>& lines) {
  Json tanks = Json::array();
  for (const FarmLine& line : lines) {
    if (!is_planned(line)) {
      tanks.push_back({{"file", line.file}, {"errors", Json::parse(line.errors).at("errors")}});
      continue;
    }
    Json dials = Json::object();
    for (const auto& [light, dial] : line.dials) dials[light] = to_json(dial);
    const auto date = [](const std::optional<Date>& day) {
      return day ? Json(to_iso(*day)) : Json(nullptr);
    };
    Json held_by = nullptr;
    if (line.hold) {
      held_by = {
          {"group", line.holder}, {"cap", cap_key(line.hold->cap)}, {"days", line.hold->days}};
    }
    Json held_for_good_by = nullptr;
    if (line.cap_for_good) {
      held_for_good_by = {{"group", line.holder_for_good}, {"cap", cap_key(*line.cap_for_good)}};
    }
    Json channels = Json::object();
    for (const auto& [light, its_channels] : line.channels) {
      for (const ChannelDial& channel : its_channels) {
        channels[light][channel.name] = to_json(channel.dial);
      }
    }
    tanks.push_back({{"file", line.file},
                     {"tank", line.tank},
                     {"status", status_key(line.status)},
                     {"date", date(line.date)},
                     {"dials", std::move(dials)},
                     {"reaches_goal", date(line.goal)},
                     {"settled", date(line.settled)},
                     {"held_by", std::move(held_by)},
                     {"held_for_good_by", std::move(held_for_good_by)},
                     {"warnings", line.warnings}});
    if (!channels.empty()) tanks.back()["channels"] = std::move(channels);
  }
  return print({{"format", "slowdawn-farm/1"}, {"tanks", std::move(tanks)}});
}

std::string farm_csv(const std::vector<FarmLine>& lines) {
  std::string csv = csv_record({"file", "tank", "status", "date", "dials_percent", "goal",
                                "settled", "held_by_group", "held_by_cap", "held_by_days",
                                "held_for_good_by_group", "held_for_good_by_cap", "warnings"});
  for (const FarmLine& line : lines) {
    const auto date = [](const std::optional<Date>& day) { return day ? to_iso(*day) : ""; };
    std::string dials;
    for (const auto& [light, dial] : line.dials) {
      dials += (dials.empty() ? "" : "; ") + light + " " + csv_number_cell(dial.percent());
      const auto channels = line.channels.find(light);
      if (channels == line.channels.end()) continue;
      for (const ChannelDial& channel : channels->second) {
        dials += "; " + light + " " + channel.name + " " + csv_number_cell(channel.dial.percent());
      }
    }
    csv += csv_record(
        {csv_text_cell(line.file), csv_text_cell(line.tank),
         is_planned(line) ? status_key(line.status) : "error", date(line.date),
         csv_text_cell(dials), date(line.goal), date(line.settled), csv_text_cell(line.holder),
         line.hold ? cap_key(line.hold->cap) : "", line.hold ? std::to_string(line.hold->days) : "",
         csv_text_cell(line.holder_for_good), line.cap_for_good ? cap_key(*line.cap_for_good) : "",
         is_planned(line) ? std::to_string(line.warnings) : ""});
  }
  return csv;
}

}  // namespace slowdawn
