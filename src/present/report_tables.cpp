#include <fmt/format.h>

#include <algorithm>
#include <slowdawn/present/hold_phrases.hpp>
#include <slowdawn/present/life_phrases.hpp>
#include <slowdawn/present/phrases.hpp>
#include <slowdawn/present/seat_phrases.hpp>

#include "present/page_files.hpp"
#include "present/report_parts.hpp"
#include "present/tank_map.hpp"
#include "present/tank_plan.hpp"

namespace slowdawn {
namespace {

Html column_heads(const std::vector<std::string>& heads) {
  Html row;
  for (const std::string& head : heads) {
    row += element("th", {{"scope", "col"}}, prose(head));
  }
  return element("thead", element("tr", row));
}

/// The spot of a group on a day; without days that of the tank file.
std::size_t spot_on(const PlannedRamp& ramp, std::size_t group, std::size_t day) {
  if (ramp.plan.days.empty()) return ramp.tank.groups[group].spot_of_start();
  return ramp.seat(day, group).spot;
}

/// The groups that live at a spot on a day, or will at the end.
std::string groups_at(const PlannedRamp& ramp, std::size_t spot, std::size_t day) {
  const std::size_t last = ramp.plan.days.empty() ? 0 : ramp.plan.days.size() - 1;
  std::string names;
  for (std::size_t g = 0; g < ramp.tank.groups.size(); ++g) {
    const bool is_there = ramp.is_there(day, g) && spot_on(ramp, g, day) == spot;
    const bool stays = ramp.is_there(last, g) && spot_on(ramp, g, last) == spot;
    if (!is_there && !stays) continue;
    names += (names.empty() ? "" : ", ") + to_safe_text(ramp.tank.groups[g].name);
    if (is_there != stays) names += is_there ? " (for now)" : " (later)";
  }
  return names;
}

Html spot_row(const PlannedRamp& ramp, std::size_t spot, std::size_t day) {
  const Tank& tank = ramp.tank;
  const auto cell = [&](const std::map<std::size_t, Percent>& dials) {
    const auto ppfd = steady_ppfd(tank, spot, dials);
    const std::string mark = ppfd && tank.is_estimated(spot, dials) ? " ~" : "";
    return text_element("td", {{"class", "number"}}, ppfd ? to_text(*ppfd) + mark : "?");
  };
  const auto& depth = tank.spots[spot].depth;
  return element("tr", element("th", {{"scope", "row"}},
                               text_element("b", map_letter(spot)) + Html::text(" ") +
                                   name_html(tank.spots[spot].name)) +
                           text_element("td", {{"class", "number"}},
                                        depth ? fmt::format("{:.0f} cm", depth->cm()) : "") +
                           cell(tank.ramp.from) + cell(tank.ramp.to) +
                           text_element("td", groups_at(ramp, spot, day)));
}

/// The dial of a light in a step; of an even one also where it goes.
Html dial_cell(const PlannedRamp& ramp, const Step& step, std::size_t light) {
  const Percent first = ramp.dials(step.first_day).at(light);
  Html words = prose(to_text(first));
  const Percent last = ramp.dials(step.reached_day).at(light);
  if (step.is_even() && first != last) {
    words += prose(
        fmt::format(" evenly to {} on {}", to_text(last), to_iso(ramp.date(step.reached_day))));
  }
  const std::string channels = channels_text(ramp.tank.lights[light], last);
  if (!channels.empty()) words += prose(": " + channels);
  return element("td",
                 {{"class", step.is_even() ? "dial even" : "dial"},
                  {"data-light", ramp.tank.lights[light].name}},
                 words);
}

std::string held_cell(const PlannedRamp& ramp, const Step& step) {
  const PlanDay& day = ramp.plan.days[step.first_day];
  if (day.by_hand && !day.is_as_recorded) return "dialled by hand";
  return day.held_by ? held_by_text(ramp, step.first_day) : "the goal";
}

Html step_row(const PlannedRamp& ramp, const Step& step, bool is_now) {
  Html cells = element("th", {{"scope", "row"}},
                       time_html(ramp.date(step.first_day)) +
                           text_element("small", fmt::format(" day {}", step.first_day)));
  for (const std::size_t light : ramp.setup.path_lights) cells += dial_cell(ramp, step, light);
  Html words;
  if (is_now) words += text_element("em", {{"class", "now-word"}}, "now ");
  if (const std::string mark = leg_mark(ramp, step.first_day); !mark.empty()) {
    words += text_element("strong", {{"class", "move leg"}}, mark);
  }
  for (const std::string& move : moves_on(ramp, step.first_day)) {
    words += text_element("strong", {{"class", "move"}}, move);
  }
  words += prose(held_cell(ramp, step));
  cells += element("td", {{"class", "held"}}, words);
  return element("tr",
                 {{"data-date", to_iso(ramp.date(step.first_day))},
                  {"class", is_now ? "step now-row" : "step"}},
                 cells) +
         Html::markup("\n");
}

}  // namespace

std::string weekday(const Date& date) { return date.day_of_week().as_long_string(); }

Html time_html(const Date& date) {
  return element("time", {{"datetime", to_iso(date)}}, Html::text(to_iso(date)));
}

Html scroll_box(const std::string& label, const Html& table) {
  return element("section", {{"class", "scroll"}, {"tabindex", "0"}, {"aria-label", label}}, table);
}

Html tank_section(const PlannedRamp& ramp, std::size_t day) {
  const Tank& tank = ramp.tank;
  const Html drawn = tank_plan_svg(tank);
  const std::string unit = tank.meter.is_relative ? "in the meter's own unit" : "in umol m-2 s-1";
  const Html words = text_element(
      "p", "PPFD " + unit + " with the lights steady at " + dials_text(tank, tank.ramp.from) +
               " (before) and at " + dials_text(tank, tank.ramp.to) +
               " (goal). ~ is estimated from the readings around, ? is not known.");
  Html picture = text_element("p",
                              "No spot has coordinates, so the tank is not drawn. With x and y of "
                              "each spot in the tank file it would be drawn here.");
  if (!drawn.empty()) {
    picture = element("figure", {{"class", "plan"}},
                      drawn + text_element("figcaption",
                                           "Broken ring: before. Full ring: at the goal. The more "
                                           "light, the larger."));
  }
  Html rows;
  for (std::size_t spot = 0; spot < tank.spots.size(); ++spot) rows += spot_row(ramp, spot, day);
  const Html table =
      element("table", column_heads({"Spot", "Depth", "Before", "Goal", "Lives there"}) +
                           element("tbody", rows));
  return section_html("tank", Html::text("The tank from above"),
                      words + element("div", {{"class", "beside"}},
                                      picture + scroll_box("Spots and their light", table)));
}

Html steps_section(const PlannedRamp& ramp, const std::optional<TodayView>& today) {
  const Html heading = Html::text("The steps");
  if (ramp.plan.days.empty()) {
    return section_html("steps", heading,
                        text_element("p", "There are none: no setting is safe on the first day."));
  }
  std::vector<std::string> heads{"From"};
  for (const std::size_t light : ramp.setup.path_lights) {
    heads.push_back(to_safe_text(ramp.tank.lights[light].name));
  }
  heads.emplace_back("Not further, because of");
  const bool is_in_plan = today && today->phase == TodayView::Phase::in_plan;
  Html rows;
  for (const Step& step : list_steps(ramp.plan)) {
    const bool is_now = is_in_plan && step.first_day <= today->day && today->day <= step.last_day;
    rows += step_row(ramp, step, is_now);
  }
  constexpr std::size_t lights_on_a_phone = 3;
  const bool folds = ramp.setup.path_lights.size() <= lights_on_a_phone;
  const Html table = element("table", {{"id", "steps-table"}, {"class", folds ? "folds" : "wide"}},
                             column_heads(heads) + element("tbody", rows));
  const std::string last = to_iso(ramp.date(ramp.plan.days.size() - 1));
  const std::string end = is_waiting(ramp) ? "The plan waits with the last one; when it goes on, "
                                             "make this page anew."
                                           : "The last one holds; the plan ends on " + last + ".";
  return section_html("steps", heading,
                      text_element("p", std::string{"Turning up: "} + only_after_a_look) +
                          scroll_box("The steps of the plan", table) + text_element("p", end));
}

Html looks_section(const PlannedRamp& ramp) {
  const auto& groups = ramp.tank.groups;
  const auto notes_of = [&](std::size_t g) -> const std::vector<std::string>& {
    return groups[g].profile.notes;
  };
  Html list;
  for (std::size_t g = 0; g < groups.size(); ++g) {
    if (is_gone_today(ramp, g)) continue;
    const auto is_alike = [&](std::size_t other) {
      return !is_gone_today(ramp, other) && notes_of(other) == notes_of(g);
    };
    std::size_t first = 0;
    while (!is_alike(first)) ++first;
    if (first != g) continue;
    Html entry;
    for (std::size_t other = g; other < groups.size(); ++other) {
      if (is_alike(other)) entry += element("dt", name_html(groups[other].name));
    }
    Html words;
    for (const std::string& note : notes_of(g)) words += prose((words.empty() ? "" : " ") + note);
    if (words.empty()) words = prose("Its colour, extension and tissue as they are by habit.");
    list += element("div", entry + element("dd", words));
  }
  return section_html("looks", Html::text("How they should look, and what to do"),
                      element("dl", {{"class", "notes"}}, list) + Html::markup(looks_html()));
}

Html cautions_section() {
  return section_html("cautions", Html::text("Cautions"), Html::markup(cautions_html()));
}

}  // namespace slowdawn
