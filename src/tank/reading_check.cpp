#include "tank/reading_check.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <set>
#include <slowdawn/tank/light_maps.hpp>

#include "tank/history_reader.hpp"
#include "tank/light_use.hpp"
#include "tank/untold_light.hpp"

namespace slowdawn {
namespace {

double mean(const std::vector<double>& repeats) {
  return std::accumulate(repeats.begin(), repeats.end(), 0.0) / static_cast<double>(repeats.size());
}

/// Of one of the repeats, relative: the meter's own, or what they show where that is more.
double repeat_error(const MeterAccuracy& meter, const std::vector<double>& repeats) {
  const double told = meter.repeat.fraction();
  // Two show little of how readings scatter.
  if (repeats.size() < 3) return told;
  const double middle = mean(repeats);
  if (middle <= 0.0) return told;
  double squares = 0.0;
  for (const double value : repeats) squares += (value - middle) * (value - middle);
  const auto count = static_cast<double>(repeats.size());
  return std::max(told, std::sqrt(squares / (count - 1.0)) / middle);
}

}  // namespace

Ppfd mean_error(const Meter& meter, const std::vector<double>& repeats, Ppfd reading) {
  constexpr double most_repeats = 4.0;
  constexpr double half_a_digit = 0.5;
  const double count = std::min(static_cast<double>(repeats.size()), most_repeats);
  const double scatter =
      repeat_error(meter.accuracy, repeats) * reading.umol_m2_s() / std::sqrt(count);
  return Ppfd::umol_m2_s(meter.is_relative ? scatter : std::hypot(scatter, half_a_digit));
}

SpotReading to_spot_reading(const Tank& tank, const Survey& survey,
                            const std::vector<double>& repeats) {
  SpotReading reading{};
  for (std::size_t j = 0; j < tank.lights.size(); ++j) {
    const auto& sun = tank.lights[j].sun;
    // What the spot has of the open sky's light does not hang on hour and weather.
    const double sky = sun && survey.outside ? *survey.outside / sun->ahead.noon : 1.0;
    reading.outputs.push_back(sky * tank.lights[j].course.dimming.output(survey.dials[j]));
  }
  double ppfd = mean(repeats) * tank.meter.immersion_factor;
  if (survey.unit == ReadingUnit::lux) {
    // lux = sum k_j phi_j F_j; divided by the mean factor, so that the row weighs
    // as much as one in PPFD.
    LuxPerPpfd weighted;
    for (std::size_t j = 0; j < tank.lights.size(); ++j) {
      weighted += tank.lights[j].lux_factor().value_or(LuxPerPpfd{}) * reading.outputs[j];
    }
    const double lit = std::accumulate(reading.outputs.begin(), reading.outputs.end(), 0.0);
    const LuxPerPpfd mean_factor = weighted / lit;
    for (std::size_t j = 0; j < tank.lights.size(); ++j) {
      reading.outputs[j] *= tank.lights[j].lux_factor().value_or(LuxPerPpfd{}) / mean_factor;
    }
    ppfd /= mean_factor.lux_per_umol();
  }
  reading.ppfd = Ppfd::umol_m2_s(ppfd);
  reading.error = mean_error(tank.meter, repeats, reading.ppfd);
  return reading;
}

std::vector<SpotReading> list_spot_readings(const Tank& tank, std::size_t spot) {
  std::vector<SpotReading> readings;
  for (const Survey& survey : tank.surveys) {
    const auto found = survey.readings.find(spot);
    if (found != survey.readings.end()) {
      readings.push_back(to_spot_reading(tank, survey, found->second));
    }
  }
  return readings;
}

namespace {

/// Fills what was not read, but can be estimated from the other spots.
void estimate_unread(Tank& tank, std::size_t light) {
  std::vector<std::size_t> unread;
  for (std::size_t spot = 0; spot < tank.spots.size(); ++spot) {
    if (!tank.full_output[spot][light] && tank.spots[spot].position()) unread.push_back(spot);
  }
  if (unread.empty()) return;
  const auto map = fit_light_map(tank, light);
  if (!map) return;
  for (const std::size_t spot : unread) {
    const LightEstimate estimate = map->at(*tank.spots[spot].position());
    tank.full_output[spot][light] = FullOutput{estimate.ppfd, estimate.log_error};
  }
}

class ReadingCheck {
 public:
  ReadingCheck(JsonReader& reader, const Tank& tank, UntoldLight& untold)
      : reader_(reader), tank_(tank), untold_(untold) {}

  void check(const Group& group, const JsonNode& node) {
    if (comes_from_ramp(group) && lit_in(tank_.ramp.from).empty()) {
      reader_.error(node, "the light that \"" + group.name + "\" comes from is dark",
                    group.history
                        ? "light it in \"ramp\"/\"from\", or leave \"since\" out of its history"
                        : "light it in \"ramp\"/\"from\", or give the group a \"history\"");
    }
    if (group.history) check_history(*group.history, group, node.find("history").value_or(node));
    for (const LightUse& use : list_light_uses(tank_, group)) need(use, group, node);
    if (reader_.has_errors() || !combined_.empty()) return;
    check_excitation(node);
    check_via(group, node);
    if (tank_.before(group).dose.mol_m2_d() <= 0.0) {
      reader_.error(node, "\"" + group.name + "\" gets no light where it comes from",
                    "check the readings of its spot, or give it a \"history\"");
    }
  }

  /// What the readings do not tell, or not well enough: one error each, wherever it is.
  void finish() {
    if (!combined_.empty()) report_combined();
    for (const auto& [light_and_why, places] : bad_) report_bad(light_and_why, places);
  }

 private:
  void check_excitation(const JsonNode& node) {
    if (!tank_.meter.is_relative) return;
    for (const char* part : {"profile", "override"}) {
      const auto figures = node.find(part);
      if (!figures || !figures->is(JsonValue::Kind::object)) continue;
      for (const std::string& key : optional_profile_figure_keys()) {
        const auto found = figures->find(key);
        if (!found) continue;
        reader_.error(*found, "an \"" + key + "\" means nothing to a relative meter",
                      "leave \"ek\" and \"excitation_cap\" out: Ek is in umol m-2 s-1");
      }
    }
  }

  /// Spots where readings are no ground for a plan, and the first node that needs one.
  struct Places {
    JsonNode first;
    std::vector<std::size_t> spots;
  };
  using Bad = std::pair<std::size_t, BadReading>;

  static void add_place(std::vector<std::size_t>& spots, std::size_t spot) {
    if (std::find(spots.begin(), spots.end(), spot) == spots.end()) spots.push_back(spot);
  }

  void need(const LightUse& use, const Group& group, const JsonNode& node) {
    const char* key = use.spot == group.spot      ? "spot"
                      : use.spot == group.to_spot ? "to_spot"
                      : use.history != nullptr    ? "history"
                                                  : "via";
    const auto at = node.find(key).value_or(node);
    const FullOutputFit& fit = tank_.fits[use.spot];
    for (const std::size_t light : use.lights) {
      const auto& output = tank_.full_output[use.spot][light];
      if (!output && !fit.is_inseparable(light)) {
        need_reading(use.spot, light, group, at);
        continue;
      }
      const bool is_combined = output && !output->log_error && fit.is_inseparable(light);
      if (!output || (is_combined && use.is_on_path && !untold_.tells_new_light(use.spot, group))) {
        combined_.try_emplace(use.spot, at);
      }
      if (!use.is_on_path || !output) continue;
      const BadReading bad = judge_reading(tank_, use.spot, light);
      if (bad == BadReading::none) continue;
      add_place(bad_.try_emplace({light, bad}, Places{at, {}}).first->second.spots, use.spot);
    }
  }

  void need_reading(std::size_t spot, std::size_t light, const Group& group, const JsonNode& at) {
    const std::string light_name = tank_.lights[light].name;
    reader_.error(at,
                  "\"" + group.name + "\" needs a reading of \"" + light_name + "\" at \"" +
                      tank_.spots[spot].name + "\", and no survey has one",
                  "read PPFD there with \"" + light_name +
                      "\" lit, and write it into that light's survey" + or_estimate(spot, light));
  }

  std::string light_names(const std::vector<std::size_t>& lights) const {
    std::vector<std::string> names;
    for (const std::size_t light : lights) names.push_back("\"" + tank_.lights[light].name + "\"");
    return join_names(names);
  }

  std::string spot_names(const std::vector<std::size_t>& spots) const {
    std::vector<std::string> names;
    for (const std::size_t spot : spots) names.push_back("\"" + tank_.spots[spot].name + "\"");
    return join_names(names);
  }

  void report_combined() {
    std::set<std::size_t> lights;
    std::vector<std::size_t> spots;
    std::map<std::vector<std::size_t>, std::vector<std::size_t>> spots_by_reading;
    for (const auto& [spot, at] : combined_) {
      const auto& mixed = tank_.fits[spot].inseparable;
      lights.insert(mixed.begin(), mixed.end());
      spots.push_back(spot);
      spots_by_reading[lights_to_read_alone(tank_, spot)].push_back(spot);
    }
    std::string readings;
    for (const auto& [alone, where] : spots_by_reading) {
      std::vector<std::string> each;
      for (const std::size_t light : alone) {
        each.push_back("\"" + tank_.lights[light].name + "\" alone");
      }
      readings += (readings.empty() ? "read " : "; and read ") + join_names(each) + " at " +
                  spot_names(where);
      readings +=
          alone.size() == 1 ? " (one reading" : " (" + std::to_string(alone.size()) + " readings";
      readings += where.size() == 1 ? ")" : " at each)";
    }
    reader_.error_of_plans(combined_.begin()->second,
                           "the readings at " + spot_names(spots) + " do not tell " +
                               light_names({lights.begin(), lights.end()}) +
                               " apart, and this ramp needs them apart",
                           readings + "; fewer do not tell them apart");
  }

  void report_bad(const Bad& bad, const Places& places) {
    const auto& [light, why] = bad;
    const std::string name = "\"" + tank_.lights[light].name + "\"";
    const std::string where = "at " + spot_names(places.spots);
    const std::string what =
        "the readings " + where +
        (why == BadReading::held_at_zero
             ? " leave nothing for " + name
             : " tell " + name + " to no better than " +
                   number_text(std::round(100.0 * worst_error_of_a_light)) + " %");
    reader_.error_of_plans(places.first, what + ", and it may be over 5 % of the goal's dose there",
                           "read there once more with " + name +
                               " alone, as bright as at the goal, and write it into a survey of "
                               "its own; three or four repeats are better than one");
  }

  void check_history(const History& history, const Group& group, const JsonNode& node) {
    const bool is_here = history.basis == History::Basis::spot_here;
    if (tank_.meter.is_relative && !is_here) {
      reader_.error(node, "a history in mol and umol means nothing to a relative meter",
                    "give the group's spot in this tank instead, under \"ramp\"/\"from\"");
    }
    const auto since = node.find("since");
    if (since && history.since && tank_.ramp.start && *history.since > *tank_.ramp.start) {
      reader_.error(
          *since,
          "\"" + group.name + "\" comes after the ramp has begun, on " + to_iso(*tank_.ramp.start),
          "leave \"since\" out for a group that comes on the first day");
    }
  }

  void check_via(const Group& group, const JsonNode& node) {
    const auto dose = [&](std::size_t spot) {
      return tank_.usable_exposure(spot, tank_.ramp.to).dose;
    };
    const DailyDose start = dose(group.spot);
    const DailyDose end = dose(group.spot_of_ramp());
    for (const std::size_t spot : group.via) {
      const DailyDose there = dose(spot);
      if (there > std::min(start, end) && there < std::max(start, end)) continue;
      reader_.warn(node.find("via").value_or(node),
                   "the light of \"" + tank_.spots[spot].name +
                       "\" at the goal does not lie between that of \"" +
                       tank_.spots[group.spot].name + "\" and \"" +
                       tank_.spots[group.spot_of_ramp()].name + "\", so it is no stop on the way",
                   "take it out of \"via\", or check its readings");
    }
  }

  /// What is lacking for an estimate from the other spots.
  std::string or_estimate(std::size_t spot, std::size_t light) const {
    const std::size_t count = mapped_spots(tank_, light).size();
    std::string lacking;
    if (!tank_.spots[spot].position()) lacking = "its x, y and depth";
    if (count < fewest_map_readings) {
      if (!lacking.empty()) lacking += " and ";
      const std::size_t more = fewest_map_readings - count;
      lacking += std::to_string(more) + (more == 1 ? " more reading" : " more readings") +
                 " of this light at spots with coordinates";
    }
    return lacking.empty() ? "" : "; to estimate it instead takes " + lacking;
  }

  JsonReader& reader_;
  const Tank& tank_;
  UntoldLight& untold_;
  /// By spot: where lights that are known in combination only are needed apart.
  std::map<std::size_t, JsonNode> combined_;
  std::map<Bad, Places> bad_;
};

}  // namespace

void fit_readings(JsonReader& reader, Tank& tank, const std::vector<JsonNode>& groups) {
  for (std::size_t spot = 0; spot < tank.spots.size(); ++spot) {
    tank.fits.push_back(fit_full_output(list_spot_readings(tank, spot), tank.lights.size()));
  }
  UntoldLight untold{tank};
  for (std::size_t spot = 0; spot < tank.spots.size(); ++spot) {
    const FullOutputFit& fit = tank.fits[spot];
    const bool is_told = fit.inseparable.empty() || untold.tells_ramp(spot);
    auto& outputs = tank.full_output.emplace_back();
    for (std::size_t light = 0; light < tank.lights.size(); ++light) {
      const bool is_known = fit.full_output[light] && (is_told || !fit.is_inseparable(light));
      outputs.push_back(is_known ? std::optional{FullOutput{*fit.full_output[light]}}
                                 : std::nullopt);
    }
  }
  std::set<std::size_t> lights;
  for (const auto& [light, dial] : tank.ramp.from) lights.insert(light);
  for (const auto& [light, dial] : tank.ramp.to) lights.insert(light);
  for (const Group& group : tank.groups) {
    if (!group.history) continue;
    for (const auto& [light, dial] : group.history->dials) lights.insert(light);
  }
  for (const std::size_t light : lights) estimate_unread(tank, light);

  ReadingCheck check{reader, tank, untold};
  for (std::size_t g = 0; g < tank.groups.size(); ++g) {
    resolve_history(tank, tank.groups[g]);
    check.check(tank.groups[g], groups[g]);
  }
  check.finish();
}

}  // namespace slowdawn
