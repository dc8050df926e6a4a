#include <algorithm>
#include <filesystem>
#include <slowdawn/tank/tank.hpp>
#include <slowdawn/tank/text_file.hpp>

#include "tank/group_reader.hpp"
#include "tank/json_reader.hpp"
#include "tank/light_reader.hpp"
#include "tank/ramp_reader.hpp"
#include "tank/reading_check.hpp"
#include "tank/spectrum_reader.hpp"
#include "tank/survey_reader.hpp"
#include "tank/tank_names.hpp"
#include "tank/tank_reader.hpp"
#include "tank/time_zone.hpp"

namespace slowdawn {
namespace {

const std::string format_name = "slowdawn-tank/1";

/// The file of that name beside the tank file.
FileSource files_beside(const std::string& tank_file) {
  return [tank_file](const std::string& name) {
    namespace fs = std::filesystem;
    return read_text_file((fs::path{tank_file}.parent_path() / name).string());
  };
}

class TankReader {
 public:
  TankReader(const JsonDocument& document, const ProfileShelf& profiles, const FileSource& files,
             bool with_groups)
      : reader_(document), profiles_(profiles), with_groups_(with_groups) {
    // What is named is kept with the tank, so that it can be planned again from there.
    files_ = [this, files](const std::string& name) {
      auto text = files(name);
      if (text) tank_.attached[name] = *text;
      return text;
    };
    tank_.file = document.file();
    tank_.text = document.text();
  }

  ReadResult<Tank> read() {
    read_all(reader_.root());
    if (!reader_.has_errors()) fit_readings(reader_, tank_, group_nodes_);
    if (reader_.has_errors()) return tl::make_unexpected(reader_.take_failure());
    tank_.warnings = reader_.take_warnings();
    tank_.plan_errors = reader_.take_plan_errors();
    return std::move(tank_);
  }

 private:
  void read_all(const JsonNode& root) {
    static const Names keys{"format", "name",  "zone",    "units",  "water", "meter",
                            "lights", "spots", "surveys", "groups", "ramp"};
    reader_.expect_object(root, "a tank file", keys);
    if (!root.is(JsonValue::Kind::object)) return;
    read_format(root);
    if (const auto node = reader_.require(root, "name", "\"name\": \"Stairwell reef\"")) {
      tank_.name = reader_.read_text(*node, "the tank's name").value_or("");
    }
    if (const auto node = root.find("zone")) read_zone(*node);
    if (const auto node = root.find("units")) read_units(*node);
    if (const auto node = root.find("water")) read_water(*node);
    if (const auto node = root.find("meter")) read_meter(*node);

    const auto lights = require_list(root, "lights", "lights");
    names_.lights = read_names(lights, "light");
    const auto start = find_start(root);
    for (const JsonNode& node : lights) {
      auto light = read_light(reader_, node, start);
      if (!light) continue;
      SpectrumReader{reader_, tank_, files_}.read_light(node, *light);
      tank_.lights.push_back(std::move(*light));
    }
    const auto spots = require_list(root, "spots", "spots");
    names_.spots = read_names(spots, "spot");
    for (const JsonNode& node : spots) read_spot(node);

    const auto surveys = require_list(root, "surveys", "surveys");
    if (tank_.lights.size() != lights.size()) tank_.lights.clear();
    SurveyReader survey_reader{reader_, tank_, names_, files_};
    for (const JsonNode& node : surveys) {
      if (auto survey = survey_reader.read(node)) tank_.surveys.push_back(std::move(*survey));
    }
    for (std::size_t light = 0; light < tank_.lights.size(); ++light) {
      for (const Fault& doubt : spectral_doubts(tank_, light)) {
        reader_.warn(lights[light], doubt.what, doubt.hint);
      }
    }
    if (with_groups_) read_groups(root);
    const auto ramp = reader_.require(root, "ramp",
                                      "\"ramp\": {\"from\": {\"tubes\": 100}, \"to\": "
                                      "{\"bars\": 85}, \"start\": \"2026-12-01\"}");
    if (ramp) tank_.ramp = read_ramp(reader_, *ramp, tank_.lights, names_.lights);
  }

  /// The ramp's first day, for what has to be known before the ramp is read; empty
  /// too where it is not as it should be, which read_ramp reports.
  static std::optional<Date> find_start(const JsonNode& root) {
    const auto ramp = root.find("ramp");
    if (!ramp || !ramp->is(JsonValue::Kind::object)) return std::nullopt;
    const auto start = ramp->find("start");
    if (!start || !start->is(JsonValue::Kind::text)) return std::nullopt;
    const auto date = parse_date(start->value().text);
    return date ? std::optional{*date} : std::nullopt;
  }

  void read_groups(const JsonNode& root) {
    group_nodes_ = require_list(root, "groups", "groups");
    read_names(group_nodes_, "group");
    GroupReader group_reader{reader_, profiles_, names_, tank_.lights, files_};
    for (const JsonNode& node : group_nodes_) {
      if (auto group = group_reader.read(node)) tank_.groups.push_back(std::move(*group));
    }
  }

  void read_format(const JsonNode& root) {
    const auto node = reader_.require(root, "format", "\"format\": \"" + format_name + "\"");
    if (!node) return;
    const auto format = reader_.read_text(*node, "the format");
    if (!format || *format == format_name) return;
    reader_.error(*node, "the format \"" + *format + "\" is not known to this program",
                  "this program reads \"" + format_name + "\"");
  }

  void read_zone(const JsonNode& node) {
    const auto zone = reader_.read_text(node, "a time zone");
    if (!zone) return;
    if (const auto known = check_time_zone(*zone); !known) {
      reader_.error(node, known.error().what, known.error().hint);
    }
    tank_.zone = *zone;
  }

  void read_units(const JsonNode& node) {
    static const Names names{"cm", "in", "inches"};
    const auto number = reader_.read_name(node, "unit of length", names);
    if (number.value_or(0) == 0) return;
    length_suffix_ = "_in";
    cm_per_unit_ = 2.54;
  }

  std::string length_key(std::string_view what) const { return std::string{what} + length_suffix_; }

  std::optional<Length> read_length(const JsonNode& object, std::string_view what, double low) {
    const auto node = object.find(length_key(what));
    if (!node) return std::nullopt;
    const std::string unit = length_suffix_ == "_in" ? "in" : "cm";
    const auto value = reader_.read_number(*node, {low, 10000, unit});
    if (!value) return std::nullopt;
    return Length::cm(*value * cm_per_unit_);
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
    static const Names keys{"immersion_factor", "calibration_percent", "repeat_percent", "relative",
                            "response",         "calibrated_under"};
    if (!reader_.expect_object(node, "the meter", keys)) return;
    if (const auto found = node.find("immersion_factor")) {
      const NumberRange range{0.5, 3, "",
                              "the factor by which the reading is multiplied under water; most "
                              "sensors have 1.0 to 1.4"};
      if (const auto value = reader_.read_number(*found, range)) {
        tank_.meter.immersion_factor = *value;
      }
    }
    if (const auto found = node.find("relative")) {
      tank_.meter.is_relative = reader_.read_flag(*found).value_or(false);
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
    SpectrumReader{reader_, tank_, files_}.read_meter(node);
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
      names.push_back(read_own_name(node, kind, names).value_or(""));
    }
    return names;
  }

  std::optional<std::string> read_own_name(const JsonNode& node, const std::string& kind,
                                           const Names& others) {
    if (!node.is(JsonValue::Kind::object)) return std::nullopt;
    const auto found = reader_.require(node, "name", "\"name\": \"...\"");
    if (!found) return std::nullopt;
    auto name = reader_.read_text(*found, "the name of a " + kind);
    if (name && others.find(*name)) {
      reader_.error(*found, "there are two " + kind + "s of the name \"" + *name + "\"",
                    "give each " + kind + " a name of its own");
    }
    return name;
  }

  void read_spot(const JsonNode& node) {
    const Names keys{"name", length_key("x"), length_key("y"), length_key("depth"), "capacity"};
    if (!reader_.expect_object(node, "a spot", keys)) return;
    Spot spot;
    if (const auto name = node.find("name")) spot.name = name->value().text;
    spot.x = read_length(node, "x", 0);
    spot.y = read_length(node, "y", 0);
    spot.depth = read_length(node, "depth", 0);
    if (const auto found = node.find("capacity")) {
      spot.capacity = reader_.read_integer(*found, {1, 1000, "groups"}).value_or(1);
    }
    if (tank_.water) {
      const bool is_outside = spot.x.value_or(Length{}) > tank_.water->length ||
                              spot.y.value_or(Length{}) > tank_.water->width ||
                              spot.depth.value_or(Length{}) > tank_.water->depth;
      if (is_outside) {
        reader_.warn(node, "the spot \"" + spot.name + "\" lies outside the water",
                     "x runs along the length, y along the width, depth down from the surface");
      }
    }
    tank_.spots.push_back(std::move(spot));
  }

  JsonReader reader_;
  const ProfileShelf& profiles_;
  FileSource files_;
  bool with_groups_;
  Tank tank_;
  TankNames names_;
  std::vector<JsonNode> group_nodes_;
  std::string length_suffix_ = "_cm";
  double cm_per_unit_ = 1.0;
};

}  // namespace

ReadResult<Tank> parse_tank(const std::string& file, std::string text, const ProfileShelf& profiles,
                            const FileSource& files) {
  const auto document = JsonDocument::parse(file, std::move(text));
  if (!document) return tl::make_unexpected(document.error());
  return TankReader{*document, profiles, files ? files : files_beside(file), true}.read();
}

ReadResult<Tank> parse_light_of_tank(const std::string& file, std::string text,
                                     const ProfileShelf& profiles, const FileSource& files) {
  const auto document = JsonDocument::parse(file, std::move(text));
  if (!document) return tl::make_unexpected(document.error());
  return TankReader{*document, profiles, files, false}.read();
}

ReadResult<Tank> read_tank(const std::string& file, const ProfileShelf& profiles) {
  auto text = read_text_file(file);
  if (!text) return tl::make_unexpected(std::move(text.error()));
  return parse_tank(file, std::move(*text), profiles);
}

}  // namespace slowdawn
