#include "present/known_light_text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <slowdawn/present/phrases.hpp>

namespace slowdawn {
namespace {

std::string about(double share) {
  const double percent = 100.0 * share;
  return percent < 0.95 ? "under 1 %" : fmt::format("about {:.0f} %", percent);
}

std::string remark_of(const KnownLight& light) {
  if (light.is_in_combination_only) return "only together with others";
  if (light.is_held_at_zero) return "the readings leave nothing for it";
  return light.error ? "" : "gives no light here";
}

std::string reading_words(const Tank& tank, const ReadingToTake& next) {
  const std::string alone = next.dials.size() == 1 ? " alone" : "";
  std::string words =
      fmt::format("The one reading that would help most: {}{} at {}", dials_text(tank, next.dials),
                  alone, to_safe_text(tank.spots[next.spot].name));
  if (!next.gain) return words + ". Without it no plan can be made.";
  return words + fmt::format(
                     "; the change of light of {} would then be known to {:.1f} % instead "
                     "of {:.1f} %.",
                     to_safe_text(tank.groups[next.gain->group].name), 100.0 * next.gain->then,
                     100.0 * next.gain->now);
}

/// "known to about 7 % (light before 5 %, new light at the goal 5 %)".
std::string doubt_words(const GroupDoubt& doubt) {
  const auto part = [](double share) { return fmt::format("{:.0f} %", 100.0 * share); };
  if (doubt.is_same_light) return "no light is new, so there is nothing to compare";
  std::string parts;
  if (doubt.before) parts = "light before " + part(*doubt.before);
  if (doubt.history) parts = "its history " + part(*doubt.history);
  parts +=
      (doubt.is_moved ? ", light at its new spot " : ", new light at the goal ") + part(doubt.goal);
  if (doubt.calibration) parts += ", the meter's calibration " + part(*doubt.calibration);
  // What both lights were read with cancels in their ratio.
  const double apart = std::hypot(doubt.before.value_or(0.0), doubt.goal);
  if (doubt.before && doubt.ratio < 0.95 * apart) parts += "; what is in both cancels";
  return "known to " + about(doubt.ratio) + " (" + parts + ")";
}

}  // namespace

std::string known_lights_text(const Tank& tank, const SurveyReport& report,
                              const TextStyle& style) {
  using Align = TextTable::Align;
  TextTable table{{{"spot", Align::left},
                   {"light", Align::left},
                   {"at 100 %", Align::right},
                   {"known to", Align::right},
                   {"", Align::left}}};
  for (std::size_t i = 0; i < std::min(report.known.size(), most_listed); ++i) {
    const KnownLight& light = report.known[i];
    table.add(
        {to_safe_text(tank.spots[light.spot].name), to_safe_text(tank.lights[light.light].name),
         light.is_in_combination_only ? "-" : to_text(light.full_output),
         light.error ? fmt::format("{:.0f} %", 100.0 * *light.error) : "-", remark_of(light)});
  }
  std::string text = "How well each light is known, worst first\n\n" + table.to_text(style);
  if (report.known.size() > most_listed) {
    text += fmt::format("and {} more; slowdawn survey --json has all\n",
                        report.known.size() - most_listed);
  }
  if (report.take_next) text += "\n" + wrap(reading_words(tank, *report.take_next), style);
  return text;
}

void add_known_lights(Json& json, const Tank& tank, const SurveyReport& report) {
  Json known = Json::array();
  for (const KnownLight& light : report.known) {
    known.push_back(
        {{"spot", tank.spots[light.spot].name},
         {"light", tank.lights[light.light].name},
         {"full_output",
          light.is_in_combination_only ? Json(nullptr) : Json(light.full_output.umol_m2_s())},
         {"error", light.error ? Json(*light.error) : Json(nullptr)},
         {"held_at_zero", light.is_held_at_zero},
         {"in_combination_only", light.is_in_combination_only}});
  }
  Json next = nullptr;
  if (const auto& take = report.take_next) {
    next = {{"spot", tank.spots[take->spot].name},
            {"dials", dials_json(tank, take->dials)},
            {"group", take->gain ? Json(tank.groups[take->gain->group].name) : Json(nullptr)},
            {"ratio_error", take->gain ? Json(take->gain->now) : Json(nullptr)},
            {"ratio_error_then", take->gain ? Json(take->gain->then) : Json(nullptr)}};
  }
  json["lights_known"] = std::move(known);
  json["take_next"] = std::move(next);
}

std::string group_doubts_text(const Tank& tank, const std::vector<std::size_t>& groups,
                              const TextStyle& style) {
  // In the order of the groups, those of the same words together.
  std::vector<std::pair<std::string, std::vector<std::string>>> lines;
  for (const std::size_t g : groups) {
    const std::string words = doubt_words(compute_group_doubt(tank, tank.groups[g]));
    auto line = std::find_if(lines.begin(), lines.end(),
                             [&](const auto& one) { return one.first == words; });
    if (line == lines.end()) line = lines.insert(lines.end(), {words, {}});
    line->second.push_back(to_safe_text(tank.groups[g].name));
  }
  std::string text = "How well the change from the light before to the goal is known:\n";
  for (const auto& [words, names] : lines) {
    text += wrap(list_words(names) + ": " + words + ".", style, "  ", "    ");
  }
  return text;
}

Json group_doubt_json(const Tank& tank, const Group& group) {
  const GroupDoubt doubt = compute_group_doubt(tank, group);
  const auto or_null = [](const std::optional<double>& share) {
    return share ? Json(*share) : Json(nullptr);
  };
  return {{"ratio_error", doubt.ratio},
          {"before", or_null(doubt.before)},
          {"history", or_null(doubt.history)},
          {"goal", doubt.goal},
          {"calibration", or_null(doubt.calibration)}};
}

}  // namespace slowdawn
