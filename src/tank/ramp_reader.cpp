#include "tank/ramp_reader.hpp"

#include <algorithm>

namespace slowdawn {
namespace {

class RampReader {
 public:
  RampReader(JsonReader& reader, const std::vector<TankLight>& lights, const Names& names)
      : reader_(reader), lights_(lights), names_(names) {}

  Ramp read(const JsonNode& node) {
    static const Names keys{"from", "to", "start", "every_days", "pace"};
    if (!reader_.expect_object(node, "the ramp", keys)) return ramp_;
    if (const auto found = reader_.require(
            node, "from", "\"from\": {\"tubes\": 100}, or {} if every group has a history")) {
      ramp_.from = read_dials(reader_, *found, {names_, lights_});
      check_dial_ranges(*found, ramp_.from);
    }
    if (const auto found = reader_.require(node, "to", "\"to\": {\"bars\": 85}")) {
      ramp_.to = read_goal(*found);
      check_dial_ranges(*found, ramp_.to);
      check_goal(*found);
    }
    if (const auto found = node.find("start")) ramp_.start = read_date(reader_, *found);
    if (const auto found = node.find("every_days")) {
      ramp_.every_days = reader_.read_integer(*found, {1, 28, "days"}).value_or(1);
    }
    if (const auto found = node.find("pace")) {
      static const Names paces{"gentle", "standard", "brisk"};
      if (const auto number = reader_.read_name(*found, "pace", paces)) {
        ramp_.pace = static_cast<Pace>(*number);
      }
    }
    return ramp_;
  }

 private:
  /// Percentages by light; "highest" stands for the dial's highest.
  std::map<std::size_t, Percent> read_goal(const JsonNode& node) {
    std::map<std::size_t, Percent> dials;
    for (const auto& [light, value] : read_named(reader_, node, "light", names_)) {
      if (value.is(JsonValue::Kind::text) && value.value().text == "highest") {
        dials[light] = lights_.empty() ? Percent{} : lights_[light].dial.highest;
      } else if (const auto percent = reader_.read_number(value, {0, 100, "%"})) {
        dials[light] = Percent::of_full(*percent);
        if (!lights_.empty()) is_no_share(reader_, value, lights_[light], dials[light]);
      }
    }
    return dials;
  }

  void check_dial_ranges(const JsonNode& node, const std::map<std::size_t, Percent>& dials) {
    if (lights_.empty()) return;
    for (const auto& [light, dial] : dials) {
      const DialRange& range = lights_[light].dial;
      const auto at = node.find(names_[light]);
      if (range.allows(dial) || !at) continue;
      const std::string percent = number_text(dial.percent()) + " %";
      if (!range.listed.empty()) {
        reader_.error(*at, "\"" + names_[light] + "\" has no shade cloth of " + percent,
                      cloths_hint(range));
        continue;
      }
      reader_.error(*at, "\"" + names_[light] + "\" cannot be dialled to " + percent,
                    "its \"dial\" goes from " + number_text(range.lowest.percent()) + " to " +
                        number_text(range.highest.percent()) + " %, or it is off at 0");
    }
  }

  void check_goal(const JsonNode& node) {
    const auto is_lit = [](const auto& entry) { return entry.second.percent() > 0.0; };
    if (!reader_.has_errors() && std::none_of(ramp_.to.begin(), ramp_.to.end(), is_lit)) {
      reader_.error(node, "the goal is dark",
                    "give at least one light a percentage over 0; corals need light");
    }
  }

  JsonReader& reader_;
  const std::vector<TankLight>& lights_;
  const Names& names_;
  Ramp ramp_;
};

}  // namespace

Ramp read_ramp(JsonReader& reader, const JsonNode& node, const std::vector<TankLight>& lights,
               const Names& names) {
  return RampReader{reader, lights, names}.read(node);
}

}  // namespace slowdawn
