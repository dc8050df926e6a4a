#include <fmt/format.h>

#include <algorithm>
#include <slowdawn/present/excitation_phrases.hpp>
#include <slowdawn/present/hold_phrases.hpp>
#include <slowdawn/present/life_phrases.hpp>
#include <slowdawn/present/log_phrases.hpp>
#include <slowdawn/present/pages.hpp>
#include <slowdawn/present/phrases.hpp>
#include <slowdawn/present/seat_phrases.hpp>

#include "present/json_parts.hpp"
#include "present/page_files.hpp"
#include "present/report_charts.hpp"
#include "present/report_parts.hpp"

namespace slowdawn {
namespace {

using Phase = TodayView::Phase;

std::string list_of(const std::vector<std::string>& words) {
  std::string list;
  for (const std::string& word : words) list += (list.empty() ? "" : ", ") + to_safe_text(word);
  return list;
}

std::string after_space(const std::string& sentence) {
  return sentence.empty() ? "" : " " + sentence;
}

std::string goal_sentence(const PlannedRamp& ramp) {
  const Plan& plan = ramp.plan;
  if (plan.days.empty()) return "There is no safe way to begin this ramp.";
  const std::string last = dials_text(ramp.tank, ramp.dials(plan.days.size() - 1));
  if (is_waiting(ramp)) {
    return fmt::format("From {} on; now {} while it waits.", to_iso(ramp.start), last);
  }
  if (!plan.goal_day) {
    return fmt::format("From {} up to {}, and no further.", to_iso(ramp.start), last) +
           after_space(held_for_good_sentence(ramp));
  }
  return fmt::format("From {} to {} on {}.", to_iso(ramp.start), last,
                     to_iso(ramp.date(*plan.goal_day)));
}

/// The dials that hold on the page's date.
std::map<std::size_t, Percent> dials_of_today(const PlannedRamp& ramp, const TodayView& today) {
  return today.phase == Phase::before_start ? ramp.tank.ramp.from : ramp.dials(today.day);
}

Html settings(const PlannedRamp& ramp, const TodayView& today) {
  Html list;
  for (const auto& [light, dial] : dials_of_today(ramp, today)) {
    const std::string& name = ramp.tank.lights[light].name;
    const std::string channels = channels_text(ramp.tank.lights[light], dial);
    list += element("p", element("strong", {{"data-today-light", name}}, prose(to_text(dial))) +
                             Html::text(" ") + element("span", name_html(name)) +
                             prose(channels.empty() ? "" : ": " + channels));
  }
  return element("div", {{"class", "settings"}}, list);
}

std::vector<std::string> sentences_in_plan(const PlannedRamp& ramp, std::size_t day) {
  std::vector<std::string> sentences;
  if (const auto changes = changes_since_yesterday(ramp, day); !changes.empty()) {
    sentences.push_back((day == 0 ? "Changed from before: " : "Changed since yesterday: ") +
                        list_changes(ramp, changes) + ".");
  }
  if (ramp.plan.days[day].by_hand && !ramp.plan.days[day].is_as_recorded) {
    sentences.emplace_back("Dialled by hand, as the logbook says.");
  }
  const EvenAdvice even = even_advice(ramp, day);
  if (!even.words.empty()) sentences.push_back(even.words);
  if (std::string next = next_step_text(ramp, day); !next.empty()) {
    sentences.push_back(std::move(next));
  }
  if (ramp.plan.days[day].held_by && !even.runs) {
    sentences.push_back("Not further today: " + held_by_text(ramp, day) + ".");
  }
  return sentences;
}

std::vector<std::string> sentences_of_today(const PlannedRamp& ramp, const TodayView& today) {
  switch (today.phase) {
    case Phase::before_start:
      return {fmt::format("The ramp begins on {} with {}. Leave the light as it is until then.",
                          to_iso(ramp.start), dials_text(ramp.tank, ramp.dials(0)))};
    case Phase::in_plan: return sentences_in_plan(ramp, today.day);
    case Phase::after_end: break;
  }
  if (is_waiting(ramp)) return {};
  const std::string last = to_iso(ramp.date(ramp.plan.days.size() - 1));
  return {ramp.plan.goal_day ? "The ramp is done; the plan ended on " + last + "."
                             : "The plan ended on " + last + " short of its goal." +
                                   after_space(held_for_good_sentence(ramp))};
}

/// What is to be done by hand today, and who is to be looked at.
Html chores(const PlannedRamp& ramp, const TodayView& today) {
  if (today.phase == Phase::after_end && !is_waiting(ramp)) return {};
  Html made;
  const bool is_before = today.phase == Phase::before_start;
  const std::vector<std::string> moves =
      is_before ? moves_on(ramp, 0) : moves_to_make(ramp, today.day);
  if (!moves.empty()) {
    made += text_element(
        "p", {{"class", "chore"}},
        (is_before ? "On that day, before the lights come on: " : "Before the lights come on: ") +
            list_of(moves) + ".");
  }
  if (is_before) return made;
  if (const auto due = groups_due(ramp, today.day); !due.empty()) {
    made += text_element("p", {{"class", "chore"}},
                         "Look today, at the same hour as last time and with the polyps out, at: " +
                             list_of(due) + ".");
  }
  return made;
}

/// What was seen of late, how the groups stand, and what the page cannot know.
std::vector<std::string> news_of_today(const PlannedRamp& ramp, const TodayView& today) {
  std::vector<std::string> news;
  if (ramp.followed == nullptr) {
    news.emplace_back("This plan is not followed yet, so nothing that was seen or done is in it.");
  } else {
    news = event_texts(ramp, news_around(ramp, today.day));
    for (std::string& standing : standing_texts(ramp)) news.push_back(std::move(standing));
  }
  if (today.tank_has_changed) {
    news.emplace_back(
        "The tank file has changed since this plan was followed; the plan is the one of then.");
  }
  return news;
}

Html today_section(const PlannedRamp& ramp, const PageView& view) {
  const Html heading = prose("Today, " + weekday(view.date) + " ") + time_html(view.date);
  if (!view.today) {
    return section_html("today", heading,
                        text_element("p", {{"class", "chore"}},
                                     "There is no safe way to begin this ramp. Leave the light as "
                                     "it is.") +
                            list_html(note_texts(ramp)));
  }
  Html content = settings(ramp, *view.today);
  if (ramp.followed != nullptr && view.date >= ramp.date(ramp.followed->today)) {
    for (const std::string& piece : first_news(ramp)) {
      content += element("p", {{"class", "first-news"}}, unbroken_prose(piece));
    }
  }
  for (const std::string& sentence : sentences_of_today(ramp, *view.today)) {
    content += element("p", unbroken_prose(sentence));
  }
  content += chores(ramp, *view.today);
  for (const std::string& piece : news_of_today(ramp, *view.today)) {
    content += element("p", {{"class", "news"}}, unbroken_prose(piece));
  }
  content += text_element(
      "p", {{"class", "quiet"}},
      "If one pales, closes or slimes more than is its habit, do not step up; how to go on stands "
      "under “How they should look”.");
  return section_html("today", heading, content);
}

/// The words for who holds the dial, by the keys of the plan's JSON, for the
/// script.
std::string cap_words(const PlannedRamp& ramp) {
  Json words = Json::object();
  for (const Cap cap :
       {Cap::dose_pace, Cap::dose_headroom, Cap::peak_pace, Cap::peak_headroom, Cap::dose_band,
        Cap::peak_ceiling, Cap::dose_floor, Cap::check_in, Cap::excitation}) {
    if (cap == Cap::excitation && !knows_an_ek(ramp.setup)) continue;
    words[cap_key(cap)] = cap_phrase(cap);
  }
  words["between_steps"] = between_steps_text;
  // What check-ins hold for is of a day: a sign, or that nobody looked.
  for (std::size_t day = 0; day < ramp.plan.days.size(); ++day) {
    const auto& held_by = ramp.plan.days[day].held_by;
    if (!held_by || !held_by->by || held_by->by->breach.cap != Cap::check_in) continue;
    words["days"][std::to_string(day)] = held_by_text(ramp, day);
  }
  return words.dump();
}

Html day_rows(const PlannedRamp& ramp, std::size_t day) {
  Html rows;
  for (std::size_t g = 0; g < ramp.tank.groups.size(); ++g) {
    const GroupDay& now = ramp.plan.days[day].groups[g];
    const std::string& name = ramp.tank.groups[g].name;
    const Exposure measured = ramp.measured(day, g);
    Html cells = element("th", {{"scope", "row"}}, name_html(name)) +
                 text_element("td", {{"class", "dose"}}, to_text(measured.dose));
    if (ramp.tank.has_weights()) {
      cells += text_element("td", {{"class", "usable"}}, to_text(now.light.real.dose));
    }
    cells += text_element("td", {{"class", "used"}}, to_text(now.used_to().dose)) +
             text_element("td", {{"class", "peak"}}, to_text(measured.peak));
    Attributes attributes{{"data-day-group", name}};
    if (!ramp.is_there(day, g)) attributes.push_back({"hidden", "hidden"});
    rows += element("tr", attributes, cells);
  }
  return rows;
}

/// The numbers of one day; the script lets a reader walk from day to day.
Html day_section(const PlannedRamp& ramp, std::size_t day) {
  Html dials;
  for (const std::size_t light : ramp.setup.path_lights) {
    const std::string& name = ramp.tank.lights[light].name;
    const Percent dial = ramp.dials(day).at(light);
    const TankLight& of = ramp.tank.lights[light];
    const Html channels =
        of.channels.empty() ? Html{}
                            : text_element("dd", {{"data-day-channels", name}, {"class", "quiet"}},
                                           channels_text(of, dial));
    dials += element("div", element("dt", name_html(name)) +
                                text_element("dd", {{"data-day-light", name}}, to_text(dial)) +
                                channels);
  }
  const auto& held_by = ramp.plan.days[day].held_by;
  const auto head = [](std::string_view words) {
    return text_element("th", {{"scope", "col"}}, words);
  };
  const Html usable = ramp.tank.has_weights() ? head("Usable") : Html{};
  const Html table =
      element("table", element("thead", element("tr", head("Group") + head("Dose") + usable +
                                                          head("Used to") + head("Peak"))) +
                           element("tbody", day_rows(ramp, day)));
  const Html heading =
      prose("The day ") + text_element("span", {{"id", "day-date"}}, to_iso(ramp.date(day)));
  return section_html(
      "day", heading,
      Html::markup("<p id=\"day-walk\" hidden><button type=\"button\" data-walk=\"-1\">Day "
                   "before</button> <button type=\"button\" data-walk=\"1\">Day after</button> "
                   "<span class=\"quiet\">or the arrow keys</span></p>") +
          element("dl", {{"class", "dials"}}, dials) +
          text_element("p", {{"id", "day-held"}, {"data-caps", cap_words(ramp)}},
                       held_by ? "Not further: " + held_by_text(ramp, day) : "The goal") +
          table + text_element("p", {{"class", "quiet"}}, units_text(ramp.tank) + ".") +
          Html::markup("<p id=\"day-said\" class=\"only-said\" aria-live=\"polite\"></p>"));
}

/// The days as in the plan's JSON, in a form that cannot end the script.
std::string plan_data(const PlannedRamp& ramp) {
  Json days = Json::array();
  for (std::size_t day = 0; day < ramp.plan.days.size(); ++day) {
    Json made = day_json(ramp, day);
    // The script finds groups by their number: those that are not there have an empty place.
    Json groups = Json::array();
    std::size_t next = 0;
    for (std::size_t g = 0; g < ramp.tank.groups.size(); ++g) {
      groups.push_back(ramp.is_there(day, g) ? std::move(made["groups"][next++]) : Json(nullptr));
      if (groups.back().is_null()) continue;
      groups.back().erase("shade");
      groups.back().erase("excitation");
    }
    made["groups"] = std::move(groups);
    days.push_back(std::move(made));
  }
  std::string safe;
  for (const char c : Json{{"days", std::move(days)}}.dump(-1, ' ', true)) {
    switch (c) {
      case '<': safe += "\\u003c"; break;
      case '>': safe += "\\u003e"; break;
      case '&': safe += "\\u0026"; break;
      default: safe += c;
    }
  }
  return safe;
}

Html dials_section(const PlannedRamp& ramp, std::optional<std::size_t> today) {
  const Html heading = Html::text("The dial of each light");
  if (ramp.plan.days.empty()) {
    return section_html("dials", heading, text_element("p", "There is no plan to draw."));
  }
  Html figures;
  for (std::size_t column = 0; column < ramp.setup.path_lights.size(); ++column) {
    figures += dial_figure(ramp, column, today);
  }
  return section_html("dials", heading, element("div", {{"class", "charts"}}, figures));
}

Html groups_section(const PlannedRamp& ramp, std::optional<std::size_t> today) {
  const Html heading = Html::text("Each group’s light");
  if (ramp.plan.days.empty()) {
    return section_html("groups", heading, text_element("p", "There is no plan to draw."));
  }
  Html figures;
  for (std::size_t g = 0; g < ramp.tank.groups.size(); ++g) figures += group_figure(ramp, g, today);
  const std::string gone = gone_text(ramp);
  return section_html("groups", heading,
                      chart_legend(ramp) + element("div", {{"class", "charts"}}, figures) +
                          (gone.empty() ? Html{} : text_element("p", {{"id", "gone"}}, gone)));
}

Html page_header(const PlannedRamp& ramp) {
  static constexpr std::pair<std::string_view, std::string_view> places[] = {
      {"#today", "Today"}, {"#dials", "Dials"},       {"#groups", "Groups"},
      {"#tank", "Tank"},   {"#steps", "Steps"},       {"#looks", "Looks"},
      {"#caps", "Caps"},   {"#cautions", "Cautions"}, {"#made", "Made"}};
  Html links;
  for (const auto& [place, word] : places) {
    links += element("li", text_element("a", {{"href", std::string{place}}}, word));
  }
  const Html proposal =
      ramp.is_proposal()
          ? text_element("p", {{"class", "chore"}, {"id", "proposal"}}, proposal_words)
          : Html{};
  return element("header", element("h1", name_html(ramp.tank.name)) + proposal +
                               text_element("p", goal_sentence(ramp)) +
                               element("nav", {{"aria-label", "Sections"}}, element("ul", links))) +
         Html::markup("\n");
}

}  // namespace

std::string report_page(const PlannedRamp& ramp, const PageView& view) {
  std::optional<std::size_t> today;
  if (view.today && view.today->phase == Phase::in_plan) today = view.today->day;
  Html walk;
  if (view.today) walk += day_section(ramp, view.today->day);
  walk += element("div", dials_section(ramp, today) + groups_section(ramp, today));
  const Html main = today_section(ramp, view) + element("div", {{"class", "walk"}}, walk) +
                    tank_section(ramp, view.today ? view.today->day : 0) +
                    steps_section(ramp, view.today) + looks_section(ramp) + caps_section(ramp) +
                    cautions_section() + made_section(ramp, view);
  const Html data =
      Html::markup("\n<script type=\"application/json\" id=\"plan-data\">" + plan_data(ramp) +
                   "</script>\n<script>\n" + std::string{page_js()} + "</script>\n");
  const std::string what = ramp.is_proposal() ? ": a proposal on " : ": the plan on ";
  return page_html("report", ramp.tank.name + what + to_iso(view.date), page_css(),
                   page_header(ramp) + element("main", main) + data);
}

}  // namespace slowdawn
