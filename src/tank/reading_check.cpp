#include "tank/reading_check.hpp"

#include <algorithm>
#include <numeric>
#include <set>
#include <slowdawn/light/full_output.hpp>

namespace slowdawn {
namespace {

Ppfd mean(const std::vector<Ppfd>& repeats) {
  return std::accumulate(repeats.begin(), repeats.end(), Ppfd{}) /
         static_cast<double>(repeats.size());
}

FullOutputFit fit_spot(const Tank& tank, std::size_t spot) {
  std::vector<SpotReading> readings;
  for (const Survey& survey : tank.surveys) {
    const auto found = survey.readings.find(spot);
    if (found == survey.readings.end()) continue;
    SpotReading reading{{}, mean(found->second) * tank.meter.immersion_factor};
    for (std::size_t j = 0; j < tank.lights.size(); ++j) {
      reading.outputs.push_back(tank.lights[j].course.dimming.output(survey.dials[j]));
    }
    readings.push_back(std::move(reading));
  }
  return fit_full_output(readings, tank.lights.size());
}

class ReadingCheck {
 public:
  ReadingCheck(JsonReader& reader, const Tank& tank, const std::vector<FullOutputFit>& fits)
      : reader_(reader), tank_(tank), fits_(fits) {}

  void check(const Group& group, const JsonNode& node) {
    const Ramp& ramp = tank_.ramp;
    std::set<std::size_t> on_path;
    for (const auto& [light, goal] : ramp.to) {
      const auto from = ramp.from.find(light);
      const bool had_it = from != ramp.from.end() && from->second.percent() > 0.0;
      if (had_it || goal.percent() > 0.0) on_path.insert(light);
    }
    std::set<std::size_t> before;
    if (!group.history) {
      for (const auto& [light, dial] : ramp.from) {
        if (dial.percent() > 0.0) before.insert(light);
      }
      if (before.empty()) {
        reader_.error(node, "the light that \"" + group.name + "\" comes from is dark",
                      "light it in \"ramp\"/\"from\", or give the group a \"history\"");
      }
    }
    if (group.spot == group.spot_of_ramp()) {
      before.insert(on_path.begin(), on_path.end());
      need(group.spot, before, group, node);
    } else {
      need(group.spot, before, group, node);
      need(group.spot_of_ramp(), on_path, group, node);
    }
    if (reader_.has_errors()) return;
    if (tank_.before(group).dose.mol_m2_d() <= 0.0) {
      reader_.error(node, "\"" + group.name + "\" gets no light where it comes from",
                    "check the readings of its spot, or give it a \"history\"");
    }
  }

 private:
  void need(std::size_t spot, const std::set<std::size_t>& lights, const Group& group,
            const JsonNode& node) {
    const std::string spot_name = tank_.spots[spot].name;
    const auto at = node.find(spot == group.spot ? "spot" : "to_spot").value_or(node);
    for (const std::size_t light : lights) {
      if (fits_[spot].full_output[light]) continue;
      const std::string light_name = tank_.lights[light].name;
      const auto& mixed = fits_[spot].inseparable;
      if (std::find(mixed.begin(), mixed.end(), light) != mixed.end()) {
        reader_.error(at,
                      "the readings at \"" + spot_name + "\" do not tell \"" + light_name +
                          "\" from the lights that were lit with it",
                      "read the spot once with \"" + light_name + "\" alone");
      } else {
        reader_.error(at,
                      "\"" + group.name + "\" needs a reading of \"" + light_name + "\" at \"" +
                          spot_name + "\", and no survey has one",
                      "read PPFD there with \"" + light_name +
                          "\" lit, and write it into that light's survey");
      }
    }
  }

  JsonReader& reader_;
  const Tank& tank_;
  const std::vector<FullOutputFit>& fits_;
};

}  // namespace

void fit_readings(JsonReader& reader, Tank& tank, const std::vector<JsonNode>& groups) {
  std::vector<FullOutputFit> fits;
  for (std::size_t spot = 0; spot < tank.spots.size(); ++spot) {
    fits.push_back(fit_spot(tank, spot));
    tank.full_output.push_back(fits.back().full_output);
  }
  ReadingCheck check{reader, tank, fits};
  for (std::size_t g = 0; g < tank.groups.size(); ++g) check.check(tank.groups[g], groups[g]);
}

}  // namespace slowdawn
