#include <algorithm>
#include <slowdawn/light/full_output.hpp>
#include <slowdawn/tank/nearest_name.hpp>
#include <slowdawn/tank/tank.hpp>
#include <slowdawn/tank/text_file.hpp>

#include "tank/json_reader.hpp"
#include "tank/light_reader.hpp"
#include "tank/profile_reader.hpp"
#include "tank/reading_check.hpp"

namespace slowdawn {
namespace {

const std::string format_name = "slowdawn-tank/1";

using Names = std::vector<std::string>;

class TankReader {
 public:
  TankReader(const JsonDocument& document, const ProfileShelf& profiles)
      : reader_(document), profiles_(profiles) {
    tank_.file = document.file();
    tank_.text = document.text();
  }

  ReadResult<Tank> read() {
    read_all(reader_.root());
    if (!reader_.has_errors()) fit_readings(reader_, tank_, group_nodes_);
    if (reader_.has_errors()) return tl::make_unexpected(reader_.take_failure());
    tank_.warnings = reader_.take_warnings();
    return std::move(tank_);
  }

 private:
  void read_all(const JsonNode& root) {
    static const Names keys{"format", "name",  "units",   "water",  "meter",
                            "lights", "spots", "surveys", "groups", "ramp"};
    reader_.expect_object(root, "a tank file", keys);
    if (!root.is(JsonValue::Kind::object)) return;
    read_format(root);
    if (const auto node = reader_.require(root, "name", "\"name\": \"Stairwell reef\"")) {
      tank_.name = reader_.read_text(*node, "the tank's name").value_or("");
    }
    if (const auto node = root.find("units")) read_units(*node);
    if (const auto node = root.find("water")) read_water(*node);
    if (const auto node = root.find("meter")) read_meter(*node);

    const auto lights = require_list(root, "lights", "lights");
    light_names_ = read_names(lights, "light");
    for (const JsonNode& node : lights) {
      if (auto light = read_light(reader_, node)) tank_.lights.push_back(std::move(*light));
    }
    const auto spots = require_list(root, "spots", "spots");
    spot_names_ = read_names(spots, "spot");
    for (const JsonNode& node : spots) read_spot(node);

    const auto surveys = require_list(root, "surveys", "surveys");
    has_lights_ = tank_.lights.size() == lights.size();
    for (const JsonNode& node : surveys) read_survey(node);
    group_nodes_ = require_list(root, "groups", "groups");
    read_names(group_nodes_, "group");
    for (const JsonNode& node : group_nodes_) read_group(node);
    const auto ramp = reader_.require(root, "ramp",
                                      "\"ramp\": {\"from\": {\"tubes\": 100}, \"to\": "
                                      "{\"bars\": 85}, \"start\": \"2026-12-01\"}");
    if (ramp) read_ramp(*ramp);
  }

  void read_format(const JsonNode& root) {
    const auto node = reader_.require(root, "format", "\"format\": \"" + format_name + "\"");
    if (!node) return;
    const auto format = reader_.read_text(*node, "the format");
    if (!format || *format == format_name) return;
    reader_.error(*node, "the format \"" + *format + "\" is not known to this program",
                  "this program reads \"" + format_name + "\"");
  }

  void read_units(const JsonNode& node) {
    static const Names names{"cm", "in", "inches"};
    const auto number = reader_.read_name(node, "unit of length", names);
    if (number.value_or(0) == 0) return;
    length_suffix_ = "_in";
    cm_per_unit_ = 2.54;
  }

  std::string length_key(std::string_view what) const { return std::string{what} + length_suffix_; }

  std::optional<double> read_length(const JsonNode& object, std::string_view what, double low) {
    const auto node = object.find(length_key(what));
    if (!node) return std::nullopt;
    const std::string unit = length_suffix_ == "_in" ? "in" : "cm";
    const auto value = reader_.read_number(*node, {low, 10000, unit});
    if (!value) return std::nullopt;
    return *value * cm_per_unit_;
  }

  void read_water(const JsonNode& node) {
    const Names keys{length_key("length"), length_key("width"), length_key("depth")};
    if (!reader_.expect_object(node, "the water's measures", keys)) return;
    for (const std::string& key : keys) reader_.require(node, key, "\"" + key + "\": 60");
    const auto length = read_length(node, "length", 1);
    const auto width = read_length(node, "width", 1);
    const auto depth = read_length(node, "depth", 1);
    if (length && width && depth) tank_.water = Water{*length, *width, *depth};
  }

  void read_meter(const JsonNode& node) {
    static const Names keys{"immersion_factor", "calibration_percent", "repeat_percent"};
    if (!reader_.expect_object(node, "the meter", keys)) return;
    if (const auto found = node.find("immersion_factor")) {
      const NumberRange range{0.5, 3, "",
                              "the factor by which the reading is multiplied under water; most "
                              "sensors have 1.0 to 1.4"};
      if (const auto value = reader_.read_number(*found, range)) {
        tank_.meter.immersion_factor = *value;
      }
    }
    const auto read_percent = [&](std::string_view key, Percent& target) {
      const auto found = node.find(key);
      if (!found) return;
      if (const auto value = reader_.read_number(*found, {0, 50, "%"})) {
        target = Percent::of_full(*value);
      }
    };
    read_percent("calibration_percent", tank_.meter.accuracy.calibration);
    read_percent("repeat_percent", tank_.meter.accuracy.repeat);
  }

  std::vector<JsonNode> require_list(const JsonNode& root, std::string_view key,
                                     std::string_view what) {
    const auto node = reader_.require(root, key, "\"" + std::string{key} + "\": [ ... ]");
    if (!node) return {};
    const auto items = reader_.read_array(*node, what);
    if (!items) return {};
    if (items->empty()) {
      reader_.error(*node, "the list of " + std::string{what} + " is empty",
                    "a plan needs at least one of them");
    }
    return *items;
  }

  /// The names of the objects of a list; "" where one is missing or wrong.
  Names read_names(const std::vector<JsonNode>& nodes, const std::string& kind) {
    Names names;
    for (const JsonNode& node : nodes) {
      names.emplace_back();
      if (!node.is(JsonValue::Kind::object)) continue;
      const auto found = reader_.require(node, "name", "\"name\": \"...\"");
      if (!found) continue;
      const auto name = reader_.read_text(*found, "the name of a " + kind);
      if (!name) continue;
      if (std::find(names.begin(), names.end(), *name) != names.end()) {
        reader_.error(*found, "there are two " + kind + "s of the name \"" + *name + "\"",
                      "give each " + kind + " a name of its own");
      }
      names.back() = *name;
    }
    return names;
  }

  void read_spot(const JsonNode& node) {
    const Names keys{"name", length_key("x"), length_key("y"), length_key("depth")};
    if (!reader_.expect_object(node, "a spot", keys)) return;
    Spot spot;
    if (const auto name = node.find("name")) spot.name = name->value().text;
    spot.x_cm = read_length(node, "x", 0);
    spot.y_cm = read_length(node, "y", 0);
    spot.depth_cm = read_length(node, "depth", 0);
    if (tank_.water) {
      const bool is_outside = spot.x_cm.value_or(0) > tank_.water->length_cm ||
                              spot.y_cm.value_or(0) > tank_.water->width_cm ||
                              spot.depth_cm.value_or(0) > tank_.water->depth_cm;
      if (is_outside) {
        reader_.warn(node, "the spot \"" + spot.name + "\" lies outside the water",
                     "x runs along the length, y along the width, depth down from the surface");
      }
    }
    tank_.spots.push_back(std::move(spot));
  }

  /// The members of an object whose keys are names of lights or spots, by their
  /// number. Silent on unknown names where the list of names could not be read.
  std::vector<std::pair<std::size_t, JsonNode>> read_named(const JsonNode& node,
                                                           const std::string& kind,
                                                           const Names& names) {
    std::vector<std::pair<std::size_t, JsonNode>> found;
    if (!node.is(JsonValue::Kind::object)) {
      reader_.error(node, "expected values by " + kind + ", found " + describe(node.value()),
                    "write it as an object: {\"NAME\": ...}");
      return found;
    }
    for (const auto& [name, value] : node.members()) {
      const auto place = std::find(names.begin(), names.end(), name);
      if (place != names.end()) {
        found.emplace_back(static_cast<std::size_t>(place - names.begin()), value);
      } else if (!names.empty()) {
        reader_.error_at_key(node, name, "there is no " + kind + " \"" + name + "\"",
                             hint_for_name(name, names));
      }
    }
    return found;
  }

  /// Percentages by light; "highest" stands for the dial's highest.
  std::map<std::size_t, Percent> read_dials(const JsonNode& node, bool may_say_highest) {
    std::map<std::size_t, Percent> dials;
    for (const auto& [light, value] : read_named(node, "light", light_names_)) {
      if (may_say_highest && value.is(JsonValue::Kind::text) && value.value().text == "highest") {
        dials[light] = has_lights_ ? tank_.lights[light].dial.highest : Percent{};
      } else if (const auto percent = reader_.read_number(value, {0, 100, "%"})) {
        dials[light] = Percent::of_full(*percent);
      }
    }
    return dials;
  }

  std::optional<Date> read_date(const JsonNode& node) {
    const auto text = reader_.read_text(node, "a date");
    if (!text) return std::nullopt;
    const auto date = parse_date(*text);
    if (date) return *date;
    reader_.error(node, date.error().what, date.error().hint);
    return std::nullopt;
  }

  void read_survey(const JsonNode& node) {
    static const Names keys{"taken", "dials", "ppfd"};
    if (!reader_.expect_object(node, "a survey", keys)) return;
    Survey survey;
    if (const auto taken = node.find("taken")) survey.taken = read_date(*taken);
    const auto dials_node = reader_.require(node, "dials", "\"dials\": {\"bars\": 40}");
    const auto ppfd_node = reader_.require(node, "ppfd", "\"ppfd\": {\"crest\": 171}");
    if (!dials_node || !ppfd_node) return;
    survey.dials.resize(light_names_.size());
    bool is_lit = false;
    for (const auto& [light, dial] : read_dials(*dials_node, false)) {
      survey.dials[light] = dial;
      is_lit = is_lit || dial.percent() > 0.0;
    }
    if (!is_lit && !reader_.has_errors()) {
      reader_.error(*dials_node, "no light is lit in this survey",
                    "give the percentage of each light that was on while you read");
    }
    for (const auto& [spot, value] : read_named(*ppfd_node, "spot", spot_names_)) {
      survey.readings[spot] = read_repeats(value);
    }
    tank_.surveys.push_back(std::move(survey));
  }

  std::vector<Ppfd> read_repeats(const JsonNode& node) {
    static const NumberRange range{0, 3000, "umol m-2 s-1",
                                   "PPFD is 0 or more, and about 2000 in full sun at the surface; "
                                   "is this lux, or a slip of the decimal point?"};
    std::vector<JsonNode> items{node};
    if (node.is(JsonValue::Kind::array)) items = node.items();
    if (items.empty()) {
      reader_.error(node, "the list of repeats is empty", "leave the spot out of this survey");
    }
    std::vector<Ppfd> repeats;
    for (const JsonNode& item : items) {
      if (const auto value = reader_.read_number(item, range)) {
        repeats.push_back(Ppfd::umol_m2_s(*value));
      }
    }
    return repeats;
  }

  void read_group(const JsonNode& node) {
    static const Names keys{"name", "profile", "spot", "to_spot", "history", "override"};
    if (!reader_.expect_object(node, "a group", keys)) return;
    Group group{};
    if (const auto name = node.find("name")) group.name = name->value().text;
    if (const auto found = reader_.require(node, "profile", "\"profile\": \"acropora\"")) {
      read_group_profile(*found, group);
    }
    if (const auto found = node.find("override")) {
      read_profile(reader_, *found, ProfileForm::over_another, group.profile);
    }
    const auto spot_node = reader_.require(node, "spot", "\"spot\": \"crest\"");
    if (spot_node) group.spot = reader_.read_name(*spot_node, "spot", spot_names_).value_or(0);
    if (const auto found = node.find("to_spot")) {
      group.to_spot = reader_.read_name(*found, "spot", spot_names_);
    }
    if (const auto found = node.find("history")) group.history = read_history(*found);
    tank_.groups.push_back(std::move(group));
  }

  void read_group_profile(const JsonNode& node, Group& group) {
    if (node.is(JsonValue::Kind::object)) {
      group.profile.name = "in place";
      read_profile(reader_, node, ProfileForm::in_place, group.profile);
      return;
    }
    const Names names = profiles_.names();
    const auto number = reader_.read_name(node, "profile", names);
    if (!number) return;
    group.profile_name = names[*number];
    // Many groups share a profile; it is parsed once.
    auto& known = known_profiles_[group.profile_name];
    if (!known) known = profiles_.find(group.profile_name);
    group.profile = known.value();
  }

  std::optional<Exposure> read_history(const JsonNode& node) {
    static const Names keys{"dose", "peak"};
    if (!reader_.expect_object(node, "a history", keys)) return std::nullopt;
    const auto dose_node = reader_.require(node, "dose", "\"dose\": 6.2");
    const auto peak_node = reader_.require(node, "peak", "\"peak\": 190");
    if (!dose_node || !peak_node) return std::nullopt;
    const auto dose = reader_.read_number(*dose_node, {0.01, 100, "mol m-2 d-1"});
    const auto peak = reader_.read_number(*peak_node, {0.1, 3000, "umol m-2 s-1"});
    if (!dose || !peak) return std::nullopt;
    const Exposure history{DailyDose::mol_m2_d(*dose), Ppfd::umol_m2_s(*peak)};
    if (exceeds(history.dose, history.peak * Hours::h(24))) {
      reader_.error(node, "this dose needs more than 24 h a day even at the peak",
                    "dose is in mol m-2 d-1, peak in umol m-2 s-1; dose = 0.0036 x PPFD x hours");
      return std::nullopt;
    }
    return history;
  }

  void read_ramp(const JsonNode& node) {
    static const Names keys{"from", "to", "start", "every_days", "pace"};
    if (!reader_.expect_object(node, "the ramp", keys)) return;
    Ramp& ramp = tank_.ramp;
    if (const auto found = reader_.require(
            node, "from", "\"from\": {\"tubes\": 100}, or {} if every group has a history")) {
      ramp.from = read_dials(*found, false);
      check_dial_ranges(*found, ramp.from);
    }
    if (const auto found = reader_.require(node, "to", "\"to\": {\"bars\": 85}")) {
      ramp.to = read_dials(*found, true);
      check_dial_ranges(*found, ramp.to);
      check_goal(*found);
    }
    if (const auto found = node.find("start")) ramp.start = read_date(*found);
    if (const auto found = node.find("every_days")) {
      ramp.every_days = reader_.read_integer(*found, {1, 28, "days"}).value_or(1);
    }
    if (const auto found = node.find("pace")) {
      static const Names names{"gentle", "standard", "brisk"};
      if (const auto number = reader_.read_name(*found, "pace", names)) {
        ramp.pace = static_cast<Pace>(*number);
      }
    }
  }

  void check_dial_ranges(const JsonNode& node, const std::map<std::size_t, Percent>& dials) {
    if (!has_lights_) return;
    for (const auto& [light, dial] : dials) {
      const DialRange& range = tank_.lights[light].dial;
      const auto at = node.find(light_names_[light]);
      if (dial.percent() == 0.0 || !at) continue;
      if (dial < range.lowest || dial > range.highest) {
        reader_.error(*at,
                      "\"" + light_names_[light] + "\" cannot be dialled to " +
                          number_text(dial.percent()) + " %",
                      "its \"dial\" goes from " + number_text(range.lowest.percent()) + " to " +
                          number_text(range.highest.percent()) + " %, or it is off at 0");
      }
    }
  }

  void check_goal(const JsonNode& node) {
    const auto is_lit = [](const auto& entry) { return entry.second.percent() > 0.0; };
    const Ramp& ramp = tank_.ramp;
    if (!reader_.has_errors() && std::none_of(ramp.to.begin(), ramp.to.end(), is_lit)) {
      reader_.error(node, "the goal is dark",
                    "give at least one light a percentage over 0; corals need light");
    }
    for (const auto& [light, goal] : ramp.to) {
      const auto from = ramp.from.find(light);
      const bool was_dark = from != ramp.from.end() && from->second.percent() == 0.0;
      if (was_dark && goal.percent() > 0.0 && !ramp.lights_change()) {
        reader_.warn(node,
                     "\"" + light_names_[light] +
                         "\" stands at 0 in \"from\", so it counts as a light that the "
                         "corals are used to",
                     "leave it out of \"from\" if they have not lived under it");
      }
    }
  }

  JsonReader reader_;
  const ProfileShelf& profiles_;
  std::map<std::string, std::optional<Profile>> known_profiles_;
  Tank tank_;
  Names light_names_;
  Names spot_names_;
  std::vector<JsonNode> group_nodes_;
  /// Whether every light is as it should be, so that its dial is known.
  bool has_lights_ = false;
  std::string length_suffix_ = "_cm";
  double cm_per_unit_ = 1.0;
};

}  // namespace

ReadResult<Tank> parse_tank(const std::string& file, std::string text,
                            const ProfileShelf& profiles) {
  const auto document = JsonDocument::parse(file, std::move(text));
  if (!document) return tl::make_unexpected(document.error());
  return TankReader{*document, profiles}.read();
}

ReadResult<Tank> read_tank(const std::string& file, const ProfileShelf& profiles) {
  auto text = read_text_file(file);
  if (!text) return tl::make_unexpected(std::move(text.error()));
  return parse_tank(file, std::move(*text), profiles);
}

}  // namespace slowdawn
