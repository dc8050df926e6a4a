#include <fmt/format.h>

#include <algorithm>
#include <slowdawn/present/phrases.hpp>
#include <slowdawn/present/present.hpp>
#include <slowdawn/present/seat_phrases.hpp>

#include "present/json_parts.hpp"
#include "present/known_light_text.hpp"
#include "present/spectrum_text.hpp"
#include "present/tank_map.hpp"

namespace slowdawn {
namespace {

std::string ppfd_unit(const Tank& tank) {
  return tank.meter.is_relative ? "in the meter's own unit" : "in umol m-2 s-1";
}

void add_spread(TextTable& table, const std::string& name, const LightSpread& spread) {
  const auto& variation = spread.coefficient_of_variation;
  table.add({name, std::to_string(spread.spots), to_text(spread.lowest), to_text(spread.mean),
             to_text(spread.highest), fmt::format("{:.2f}", spread.lowest_over_mean),
             variation ? fmt::format("{:.0f} %", 100.0 * *variation) : "-"});
}

std::string spreads(const Tank& tank, const SurveyReport& report, const TextStyle& style) {
  using Align = TextTable::Align;
  TextTable table{{{"light", Align::left, true},
                   {"spots", Align::right},
                   {"lowest", Align::right},
                   {"mean", Align::right},
                   {"highest", Align::right},
                   {"low/mean", Align::right},
                   {"scatter", Align::right}}};
  for (const SurveySummary& survey : report.surveys) {
    std::string name = plain_dials_text(tank, survey.dials);
    if (survey.taken) name += ", read " + to_iso(*survey.taken);
    add_spread(table, name, survey.spread);
  }
  if (report.before)
    add_spread(table, "before: " + plain_dials_text(tank, tank.ramp.from), *report.before);
  if (report.goal) add_spread(table, "goal: " + plain_dials_text(tank, tank.ramp.to), *report.goal);
  return table.to_text(style);
}

std::string changes(const Tank& tank, const SurveyReport& report, const TextStyle& style) {
  using Align = TextTable::Align;
  TextTable table{{{"spot", Align::left},
                   {"on map", Align::left},
                   {"before", Align::right},
                   {"goal", Align::right},
                   {"times", Align::right},
                   {"more", Align::right},
                   {"", Align::left}}};
  for (std::size_t i = 0; i < std::min(report.changes.size(), most_rows); ++i) {
    const SpotChange& change = report.changes[i];
    table.add({to_safe_text(tank.spots[change.spot].name), map_letter(change.spot),
               to_text(change.before), to_text(change.after), ratio_text(change.ratio()),
               fmt::format("{:+.0f}", change.after.umol_m2_s() - change.before.umol_m2_s()),
               change.is_estimated ? "estimated" : ""});
  }
  std::string text = table.to_text(style);
  if (report.changes.size() > most_rows) {
    text += fmt::format("and {} more; slowdawn survey --json has all\n",
                        report.changes.size() - most_rows);
  }
  return text;
}

std::string map(const Tank& tank, const TextStyle& style) {
  std::vector<MapMark> marks;
  for (std::size_t spot = 0; spot < tank.spots.size(); ++spot) {
    const auto ppfd = steady_ppfd(tank, spot, tank.ramp.to);
    const bool is_estimated = tank.is_estimated(spot, tank.ramp.to);
    marks.push_back({spot, map_letter(spot) + (ppfd ? ":" + to_text(*ppfd) : ":?") +
                               (is_estimated ? "~" : "")});
  }
  const std::string drawn = tank_map_text(tank, marks, style);
  if (drawn.empty()) {
    return wrap("No map: no spot has all of x, y and depth. With them it would be drawn here.",
                style);
  }
  return wrap("From above, PPFD at the goal (~ estimated, ? not known); the front is at the bottom",
              style) +
         drawn;
}

std::string maps(const Tank& tank, const SurveyReport& report, const TextStyle& style) {
  std::string text;
  for (const MapTrial& trial : report.maps) {
    text += wrap(
        fmt::format("The map of {} from {} readings foretells a reading left out to {:.0f} % (root "
                    "mean square); worst at {}, {:+.0f} %.",
                    to_safe_text(tank.lights[trial.light].name), trial.readings,
                    100.0 * trial.leave_one_out, to_safe_text(tank.spots[trial.worst_spot].name),
                    100.0 * trial.worst_error),
        style);
  }
  if (report.read_next) {
    const SpotToRead& next = *report.read_next;
    text += wrap(fmt::format("The reading that would tell most: {} at {}, now known to {:.0f} %.",
                             to_safe_text(tank.lights[next.light].name),
                             to_safe_text(tank.spots[next.spot].name), 100.0 * next.log_error),
                 style);
  }
  return text;
}

Json spread_json(const LightSpread& spread) {
  return {
      {"spots", spread.spots},
      {"lowest", spread.lowest.umol_m2_s()},
      {"mean", spread.mean.umol_m2_s()},
      {"highest", spread.highest.umol_m2_s()},
      {"lowest_over_mean", spread.lowest_over_mean},
      {"coefficient_of_variation",
       spread.coefficient_of_variation ? Json(*spread.coefficient_of_variation) : Json(nullptr)}};
}

}  // namespace

std::string survey_text(const Tank& tank, const SurveyReport& report, const TextStyle& style) {
  std::string headline = to_safe_text(tank.name) + ": ";
  if (report.changes.empty()) {
    headline += "no spot is known both before and at the goal.";
  } else {
    const SpotChange& most = report.changes.front();
    headline += fmt::format("from before to the goal the light changes most at {}, {} times.",
                            to_safe_text(tank.spots[most.spot].name), ratio_text(most.ratio()));
  }
  std::string text = emphasise(wrap(headline, style), style) + "\n";
  text += wrap("PPFD " + ppfd_unit(tank) +
                   " at steady output. low/mean: lowest over mean; scatter: coefficient of "
                   "variation",
               style) +
          "\n" + spreads(tank, report, style) + "\n";
  if (!report.changes.empty()) {
    text += "At each spot, largest change first\n\n" + changes(tank, report, style) + "\n";
  }
  text += map(tank, style);
  const std::string trials = maps(tank, report, style);
  if (!trials.empty()) text += "\n" + trials;
  text += "\n" + known_lights_text(tank, report, style);
  const std::string spectra = spectra_text(tank, style);
  if (!spectra.empty()) text += "\n" + spectra;
  if (!tank.plan_errors.empty()) text += "\nNo plan can be made from these readings yet\n";
  for (const Finding& error : tank.plan_errors) {
    text += wrap(to_safe_text(error.what + ". To do: " + error.hint + "."), style, "  - ", "    ");
  }
  if (!report.warnings.empty()) text += "\nDoubts\n";
  for (const std::string& warning : report.warnings) {
    text += wrap(to_safe_text(warning), style, "  - ", "    ");
  }
  return text;
}

std::string survey_json(const Tank& tank, const SurveyReport& report) {
  Json surveys = Json::array();
  for (const SurveySummary& survey : report.surveys) {
    Json made = spread_json(survey.spread);
    made["taken"] = survey.taken ? Json(to_iso(*survey.taken)) : Json(nullptr);
    made["dials"] = dials_json(tank, survey.dials);
    surveys.push_back(std::move(made));
  }
  Json changes = Json::array();
  for (const SpotChange& change : report.changes) {
    Json made{{"spot", tank.spots[change.spot].name},
              {"before", change.before.umol_m2_s()},
              {"after", change.after.umol_m2_s()},
              {"ratio", change.ratio()}};
    if (change.is_estimated) made["estimated"] = true;
    changes.push_back(std::move(made));
  }
  Json maps = Json::array();
  for (const MapTrial& trial : report.maps) {
    maps.push_back({{"light", tank.lights[trial.light].name},
                    {"readings", trial.readings},
                    {"leave_one_out_rms", trial.leave_one_out},
                    {"worst_spot", tank.spots[trial.worst_spot].name},
                    {"worst_error", trial.worst_error}});
  }
  Json next = nullptr;
  if (report.read_next) {
    next = {{"spot", tank.spots[report.read_next->spot].name},
            {"light", tank.lights[report.read_next->light].name},
            {"log_error", report.read_next->log_error}};
  }
  Json json{{"tank", tank.name},
            {"surveys", std::move(surveys)},
            {"before", report.before ? spread_json(*report.before) : Json(nullptr)},
            {"goal", report.goal ? spread_json(*report.goal) : Json(nullptr)},
            {"changes", std::move(changes)},
            {"maps", std::move(maps)},
            {"read_next", std::move(next)},
            {"warnings", report.warnings}};
  add_known_lights(json, tank, report);
  Json plan_errors = Json::array();
  for (const Finding& error : tank.plan_errors) {
    plan_errors.push_back({{"line", error.place.line},
                           {"column", error.place.column},
                           {"error", error.what},
                           {"pointer", error.place.pointer},
                           {"hint", error.hint}});
  }
  json["plan_errors"] = std::move(plan_errors);
  if (tank.meter.is_relative) json["relative"] = true;
  add_spectra(json, tank);
  add_channels(tank, json);
  return print(json);
}

}  // namespace slowdawn
