#include "present/report_charts.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <slowdawn/present/excitation_phrases.hpp>
#include <slowdawn/present/life_phrases.hpp>
#include <slowdawn/present/log_phrases.hpp>
#include <slowdawn/present/phrases.hpp>
#include <slowdawn/present/seat_phrases.hpp>

#include "present/svg_chart.hpp"

namespace slowdawn {
namespace {

Html line(std::string_view css_class, const std::string& path) {
  return element("path", {{"class", std::string{css_class}}, {"d", path}});
}

Html figure(std::string_view kind, const Html& heading, const Html& under_heading, const Html& svg,
            const Html& below) {
  return element("figure", {{"class", "chart " + std::string{kind}}},
                 element("figcaption", element("h3", heading) + under_heading) + svg + below) +
         Html::markup("\n");
}

std::string dose_unit(const PlannedRamp& ramp) {
  return ramp.tank.meter.is_relative ? "in the meter's own unit" : "mol m-2 d-1";
}

/// Where legs after the first began: " Leg 2 begins on 2026-09-01."
std::string leg_words_of_chart(const PlannedRamp& ramp) {
  std::string words;
  if (ramp.followed == nullptr) return words;
  for (const std::size_t day : ramp.followed->leg_days) {
    words += fmt::format(" Leg {} begins on {}.", ramp.leg(day), to_iso(ramp.date(day)));
  }
  return words;
}

Html leg_marks(const PlannedRamp& ramp, const DayChart& chart) {
  if (ramp.followed == nullptr) return {};
  std::vector<std::string> words;
  for (const std::size_t day : ramp.followed->leg_days) {
    words.push_back(fmt::format("leg {}", ramp.leg(day)));
  }
  return chart.begin_lines("leg", ramp.followed->leg_days, words);
}

/// How the dial of a light goes, in words.
std::string dial_words(const PlannedRamp& ramp, std::size_t light) {
  const std::size_t last = ramp.plan.days.size() - 1;
  const auto dial = [&](std::size_t day) { return ramp.dials(day).at(light); };
  std::size_t changes = 0;
  for (std::size_t day = 1; day <= last; ++day) changes += dial(day) == dial(day - 1) ? 0U : 1U;
  const std::string first = fmt::format("{} on {}", to_text(dial(0)), to_iso(ramp.date(0)));
  const std::string legs = leg_words_of_chart(ramp);
  if (changes == 0) {
    return first + ", and the same until " + to_iso(ramp.date(last)) + "." + legs;
  }
  return fmt::format("{}, {} on {}; the dial changes on {}.", first, to_text(dial(last)),
                     to_iso(ramp.date(last)), days_text(changes)) +
         legs;
}

/// What is known of a group on every day on which it is there.
struct GroupSeries {
  std::size_t first = 0;
  std::vector<double> doses;
  std::vector<double> used_to;
  std::vector<double> caps;
};

GroupSeries series_of(const PlannedRamp& ramp, std::size_t group) {
  GroupSeries series;
  for (std::size_t day = 0; day < ramp.plan.days.size(); ++day) {
    if (!ramp.is_there(day, group)) continue;
    if (series.doses.empty()) series.first = day;
    const GroupDay& now = ramp.plan.days[day].groups[group];
    const RampGroup then = group_on_day(ramp.setup.problem, ramp.plan, day, group);
    series.doses.push_back(now.light.real.dose.mol_m2_d());
    series.used_to.push_back(now.used_to().dose.mol_m2_d());
    series.caps.push_back(dose_cap(shown(compute_limits(then, now.state), now.light)).mol_m2_d());
  }
  return series;
}

double highest_of(const GroupSeries& series) {
  double highest = 0.0;
  for (const auto* values : {&series.doses, &series.used_to, &series.caps}) {
    highest = std::max(highest, *std::max_element(values->begin(), values->end()));
  }
  return highest;
}

/// The band as far as the chart reaches.
Html band_area(const PlannedRamp& ramp, std::size_t group, const DayChart& chart) {
  const DoseBand& band = ramp.setup.problem.groups[group].tolerance.dose_band;
  if (ramp.tank.meter.is_relative || band.low.mol_m2_d() >= chart.highest()) return {};
  const double upper = chart.y(band.high.mol_m2_d());
  const double lower = chart.y(band.low.mol_m2_d());
  const Html area = element("rect", {{"class", "band"},
                                     {"x", svg_number(DayChart::left)},
                                     {"y", svg_number(upper)},
                                     {"width", svg_number(DayChart::right - DayChart::left)},
                                     {"height", svg_number(lower - upper)}});
  const std::string edges = fmt::format("M{0} {1}H{2}", svg_number(DayChart::left),
                                        svg_number(lower), svg_number(DayChart::right)) +
                            (band.high.mol_m2_d() < chart.highest()
                                 ? fmt::format("M{0} {1}H{2}", svg_number(DayChart::left),
                                               svg_number(upper), svg_number(DayChart::right))
                                 : "");
  const double word = std::min(lower - 4.0, upper + 12.0);
  return area + line("band-edge", edges) +
         text_element("text",
                      {{"class", "band-word"},
                       {"x", svg_number(DayChart::left + 5.0)},
                       {"y", svg_number(word)}},
                      "band " + band_text(band));
}

/// The outline of a check-in's mark around 0, 0: a ring where all was well, a
/// triangle for a sign, a cross where it was more.
Html check_in_shape(Judgement judgement) {
  switch (judgement) {
    case Judgement::at_ease:
    case Judgement::darker: return element("circle", {{"r", "3.5"}});
    case Judgement::unclear:
    case Judgement::uneasy: return element("path", {{"d", "M-4.5 3.5H4.5L0-5z"}});
    case Judgement::strained:
    case Judgement::hurt: break;
  }
  return element("path", {{"class", "cross"}, {"d", "M-4-4L4 4M-4 4L4-4"}});
}

Html check_in_marks(const PlannedRamp& ramp, std::size_t group, const DayChart& chart,
                    const GroupSeries& series) {
  Html marks;
  if (ramp.followed == nullptr) return marks;
  for (const ReplayEvent& event : ramp.followed->events) {
    if (event.group != group || !ramp.is_there(event.day, group)) continue;
    const std::string place =
        fmt::format("translate({} {})", svg_number(chart.middle(event.day)),
                    svg_number(chart.y(series.doses[event.day - series.first])));
    marks += element(
        "g", {{"class", "look"}, {"transform", place}},
        text_element("title", event_text(ramp, event)) + check_in_shape(event.outcome.judgement));
  }
  return marks;
}

/// A small arrow at the foot of the chart on each day that the group is moved.
Html move_marks(const PlannedRamp& ramp, std::size_t group, const DayChart& chart) {
  std::string arrows;
  for (const Move& move : ramp.plan.moves) {
    if (move.group != group) continue;
    arrows += fmt::format("M{} {}l-4 8h8z", svg_number(chart.middle(move.day)),
                          svg_number(DayChart::bottom - 8.0));
  }
  return arrows.empty() ? Html{} : line("moved", arrows);
}

/// What a group's chart shows, in words.
std::string group_words(const PlannedRamp& ramp, std::size_t group, const GroupSeries& series) {
  const auto dose = [](double value) { return to_text(DailyDose::mol_m2_d(value)); };
  const std::size_t last = series.first + series.doses.size() - 1;
  const auto on = [&](std::size_t day) {
    const std::size_t i = day - series.first;
    return fmt::format("{} where it is used to {} and may have {}", dose(series.doses[i]),
                       dose(series.used_to[i]), dose(series.caps[i]));
  };
  std::string words = ramp.tank.has_weights() ? "Usable dose" : "Dose";
  words += fmt::format(" ({}): {} on {}; {} on {}.", dose_unit(ramp), on(series.first),
                       to_iso(ramp.date(series.first)), on(last), to_iso(ramp.date(last)));
  if (!ramp.tank.meter.is_relative) {
    const DoseBand& band = ramp.setup.problem.groups[group].tolerance.dose_band;
    words += " Its band is " + band_text(band) + ".";
  }
  words += leg_words_of_chart(ramp);
  return words;
}

/// The last day of the plan on which a group is there.
std::size_t last_day_there(const PlannedRamp& ramp, std::size_t group) {
  std::size_t last = ramp.plan.days.size() - 1;
  while (last > 0 && !ramp.is_there(last, group)) --last;
  return last;
}

/// How a group comes through the plan.
std::string outcome_words(const PlannedRamp& ramp, std::size_t group) {
  const GroupOutcome& outcome = ramp.plan.groups[group];
  const RampGroup& then = ramp.setup.problem.groups[group];
  const std::size_t last = last_day_there(ramp, group);
  const auto dose_on = [&](std::size_t day) {
    return ramp.is_there(day, group) ? to_text(ramp.measured(day, group).dose) : std::string{"-"};
  };
  std::string words =
      fmt::format("Before {}, day 0 {}, last {}, at the goal {}", dose_before(ramp, group),
                  dose_on(0), dose_on(last), to_text(ramp.measured_goal(group).dose));
  if (ramp.tank.has_weights()) {
    const std::vector<PlanDay>& days = ramp.plan.days;
    words +=
        fmt::format("; as usable light {}, {}, {} and {}", to_text(then.before.dose),
                    to_text(days.front().groups[group].light.real.dose),
                    to_text(days[last].groups[group].light.real.dose), to_text(outcome.goal.dose));
  }
  if (!ramp.tank.meter.is_relative) {
    words += fmt::format("; the last is {} its band of {}", fit_text(*outcome.fit),
                         band_text(then.tolerance.dose_band));
  }
  words += fmt::format(". At the least {:.0f} % of its old dose", 100.0 * *outcome.lowest_share);
  if (outcome.days_below_band > 0) {
    words += fmt::format("; {} under its band",
                         days_text(static_cast<std::size_t>(outcome.days_below_band)));
  }
  words += ".";
  const std::string excitation = highest_excitation_text(ramp, group);
  if (excitation.empty()) return words;
  return words + fmt::format(" {}: {}.", excitation_title, excitation);
}

/// Moves of the group, and what its looks said of late.
std::vector<std::string> group_news(const PlannedRamp& ramp, std::size_t group) {
  constexpr std::size_t most = 3;
  std::vector<std::string> news;
  for (const Move& move : ramp.plan.moves) {
    if (move.group != group) continue;
    news.push_back(to_iso(ramp.date(move.day)) + ": to " +
                   seat_text(ramp.tank, ramp.setup.seats[move.spot]) + ".");
  }
  if (ramp.followed == nullptr) return news;
  std::vector<std::string> seen;
  for (const ReplayEvent& event : ramp.followed->events) {
    if (event.group == group && is_news(event)) seen.push_back(event_text(ramp, event));
  }
  const std::size_t first = seen.size() - std::min(seen.size(), most);
  news.insert(news.end(), seen.begin() + static_cast<std::ptrdiff_t>(first), seen.end());
  if (is_gone_today(ramp, group)) return news;
  if (auto standing = standing_text(ramp, group); !standing.empty()) {
    news.push_back(std::move(standing));
  }
  return news;
}

/// A line or mark of the legend, drawn small.
Html legend_item(const Html& drawing, std::string_view words) {
  return element("li", element("svg",
                               {{"xmlns", "http://www.w3.org/2000/svg"},
                                {"viewBox", "0 0 30 12"},
                                {"aria-hidden", "true"},
                                {"class", "sample"}},
                               drawing) +
                           prose(words));
}

}  // namespace

Html dial_figure(const PlannedRamp& ramp, std::size_t column, std::optional<std::size_t> today) {
  const std::size_t light = ramp.setup.path_lights[column];
  std::vector<double> dials;
  for (std::size_t day = 0; day < ramp.plan.days.size(); ++day) {
    dials.push_back(ramp.dials(day).at(light).percent());
  }
  const double highest = std::max(*std::max_element(dials.begin(), dials.end()), 1.0);
  const DayChart chart{ramp.start, dials.size(), highest};
  // An even ramp is drawn as what it is: a straight line through its days.
  std::string path;
  for (const Step& step : list_steps(ramp.plan)) {
    const double left = chart.x(step.first_day);
    path += fmt::format("{}{} {}", path.empty() ? "M" : "L", svg_number(left),
                        svg_number(chart.y(dials[step.first_day])));
    if (step.is_even()) {
      path += fmt::format("L{} {}", svg_number(chart.x(step.reached_day)),
                          svg_number(chart.y(dials[step.reached_day])));
    }
    path += "H" + svg_number(chart.x(step.last_day + 1));
  }
  Html drawing = chart.axes("%") + line("dial-line", path);
  if (today) drawing += chart.day_line("now", *today, "today");
  drawing += leg_marks(ramp, chart);
  drawing += end_labels({{chart.y(dials.back()), "end", to_text(Percent::of_full(dials.back()))}});
  drawing += chart.walking_mark();
  const std::string id = fmt::format("dial-{}", column);
  const Html title = Html::text("Dial of " + ramp.tank.lights[light].name + " in % over the days");
  return figure("dial", name_html(ramp.tank.lights[light].name), {},
                chart.svg(id, title, prose(dial_words(ramp, light)), drawing), {});
}

Html group_figure(const PlannedRamp& ramp, std::size_t group, std::optional<std::size_t> today) {
  const GroupSeries series = series_of(ramp, group);
  if (series.doses.empty()) return {};
  const std::size_t days = ramp.plan.days.size();
  const DayChart chart{ramp.start, days, std::max(highest_of(series), 1e-3)};
  Html drawing = band_area(ramp, group, chart) + chart.axes(dose_unit(ramp));
  drawing += line("cap-line", chart.staircase(series.caps, series.first));
  drawing += line("used-line", chart.curve(series.used_to, series.first));
  drawing += line("dose-line", chart.staircase(series.doses, series.first));
  if (today) drawing += chart.day_line("now", *today, "today");
  drawing += leg_marks(ramp, chart);
  drawing += check_in_marks(ramp, group, chart, series) + move_marks(ramp, group, chart);
  drawing += end_labels({{chart.y(series.caps.back()), "end cap-word", "cap"},
                         {chart.y(series.doses.back()), "end dose-word", "dose"},
                         {chart.y(series.used_to.back()), "end used-word", "used to"}});
  drawing += chart.walking_mark();
  const std::string id = fmt::format("group-{}", group);
  const Group& there = ramp.tank.groups[group];
  const std::string kind =
      there.profile_name.empty() ? "a profile in the tank file" : to_safe_text(there.profile_name);
  const std::size_t day =
      std::clamp(today.value_or(0), series.first, series.first + series.doses.size() - 1);
  const std::string seat = seat_text(ramp.tank, ramp.seat(day, group));
  const std::string where =
      is_gone_today(ramp, group)
          ? "; gone since " + to_iso(ramp.date(*ramp.followed->gone_on[group]))
          : ", at " + seat;
  return figure("group", name_html(there.name), text_element("p", kind + where),
                chart.svg(id,
                          Html::text((ramp.tank.has_weights() ? "Usable dose of " : "Dose of ") +
                                     there.name + " over the days"),
                          prose(group_words(ramp, group, series)), drawing),
                text_element("p", outcome_words(ramp, group)) + list_html(group_news(ramp, group)));
}

Html chart_legend(const PlannedRamp& ramp) {
  Html items = legend_item(line("dose-line", "M1 9H12V4H29"),
                           ramp.tank.has_weights() ? "usable dose of the day" : "dose of the day");
  items += legend_item(line("used-line", "M1 9L29 4"), "what it is used to");
  items += legend_item(line("cap-line", "M1 6H29"), "cap of the day: no more dose than this");
  if (!ramp.tank.meter.is_relative) {
    items += legend_item(
        element("rect",
                {{"class", "band"}, {"x", "1"}, {"y", "1"}, {"width", "28"}, {"height", "10"}}),
        "band that suits its kind");
  }
  if (ramp.followed != nullptr && !ramp.followed->leg_days.empty()) {
    items += legend_item(element("g", {{"class", "leg"}}, element("path", {{"d", "M8 0V12"}})),
                         "a leg begins: the plan was followed again");
  }
  if (!ramp.plan.moves.empty()) items += legend_item(line("moved", "M15 2l-4 8h8z"), "moved");
  if (ramp.followed != nullptr) {
    const auto look = [](Judgement judgement) {
      return element("g", {{"class", "look"}, {"transform", "translate(15 6)"}},
                     check_in_shape(judgement));
    };
    items += legend_item(look(Judgement::at_ease), "check-in: well");
    items += legend_item(look(Judgement::uneasy), "check-in: a sign");
    items += legend_item(look(Judgement::strained), "check-in: strained or hurt");
  }
  return element("ul", {{"class", "legend"}}, items);
}

}  // namespace slowdawn
