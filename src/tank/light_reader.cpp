#include "tank/light_reader.hpp"

#include <slowdawn/light/origin.hpp>
#include <slowdawn/tank/origin_days.hpp>
#include <utility>

namespace slowdawn {
namespace {

std::optional<ClockTime> read_clock_time(JsonReader& reader, const JsonNode& node) {
  const auto text = reader.read_text(node, "a time of day");
  if (!text) return std::nullopt;
  const auto time = parse_clock_time(*text);
  if (time) return *time;
  reader.error(node, time.error().what, time.error().hint);
  return std::nullopt;
}

std::optional<Minutes> read_optional_minutes(JsonReader& reader, const JsonNode& object,
                                             std::string_view key) {
  const auto node = object.find(key);
  if (!node) return Minutes{};
  const auto value = reader.read_number(*node, {0, whole_day.min(), "minutes"});
  return value ? std::optional{Minutes::min(*value)} : std::nullopt;
}

std::optional<Result<Photoperiod>> read_on_off(JsonReader& reader, const JsonNode& node) {
  const auto on_node = reader.require(node, "on", "\"on\": \"10:00\"");
  const auto off_node = reader.require(node, "off", "\"off\": \"20:00\"");
  if (!on_node || !off_node) return std::nullopt;
  const auto on = read_clock_time(reader, *on_node);
  const auto off = read_clock_time(reader, *off_node);
  const auto rise = read_optional_minutes(reader, node, "rise_minutes");
  const auto fall = read_optional_minutes(reader, node, "fall_minutes");
  if (!on || !off || !rise || !fall) return std::nullopt;
  return Photoperiod::between(*on, *off, *rise, *fall);
}

std::optional<Result<Photoperiod>> read_points(JsonReader& reader, const JsonNode& node) {
  const auto items = reader.read_array(node, "points");
  if (!items) return std::nullopt;
  std::vector<Photoperiod::Point> points;
  bool is_good = true;
  for (const JsonNode& item : *items) {
    const auto pair = reader.read_array(item, "a time and a percentage");
    if (pair && pair->size() != 2) {
      reader.error(item, "a point is a time and a percentage", "for example [\"11:00\", 100]");
    }
    if (!pair || pair->size() != 2) {
      is_good = false;
      continue;
    }
    const auto time = read_clock_time(reader, (*pair)[0]);
    const auto percent = reader.read_number((*pair)[1], {0, 100, "%"});
    is_good = is_good && time && percent;
    if (time && percent) points.push_back({*time, *percent / 100.0});
  }
  if (!is_good) return std::nullopt;
  return Photoperiod::through(std::move(points));
}

}  // namespace

std::optional<Photoperiod> read_photoperiod(JsonReader& reader, const JsonNode& node) {
  static const std::vector<std::string> keys{"on", "off", "rise_minutes", "fall_minutes", "points"};
  if (!reader.expect_object(node, "a photoperiod", keys)) return std::nullopt;
  const auto points = node.find("points");
  if (points && node.value().members.size() > 1) {
    reader.error(node, "a photoperiod has either \"points\" or \"on\" and \"off\"",
                 "leave one of the two out");
    return std::nullopt;
  }
  const auto course = points ? read_points(reader, *points) : read_on_off(reader, node);
  if (!course) return std::nullopt;
  if (!*course) {
    reader.error(node, course->error().what, course->error().hint);
    return std::nullopt;
  }
  const Photoperiod& photoperiod = **course;
  if (exceeds(photoperiod.lit(), lit_day_worth_a_warning)) {
    reader.warn(node, "the light is lit for over 12 h a day",
                "the days of the tropics last 10.6 to 13.4 h; nights matter to corals");
  }
  return photoperiod;
}

namespace {

std::optional<DialRange> read_dial(JsonReader& reader, const JsonNode& node) {
  static const std::vector<std::string> keys{"lowest", "highest", "step"};
  if (!reader.expect_object(node, "a dial", keys)) return std::nullopt;
  DialRange dial;
  bool is_good = true;
  const auto read = [&](std::string_view key, double low, Percent& target) {
    const auto found = node.find(key);
    if (!found) return;
    const auto value = reader.read_number(*found, {low, 100, "%"});
    is_good = is_good && value;
    if (value) target = Percent::of_full(*value);
  };
  read("lowest", 0, dial.lowest);
  read("highest", 0.01, dial.highest);
  // A finer dial than this makes a path of over 10,000 settings.
  read("step", 0.01, dial.step);
  if (is_good && dial.lowest > dial.highest) {
    reader.error(node, "the dial's lowest is over its highest", "exchange the two");
    return std::nullopt;
  }
  if (!is_good) return std::nullopt;
  return dial;
}

std::optional<DimmingCurve> read_dimming(JsonReader& reader, const JsonNode& node) {
  const auto items = reader.read_array(node, "[drive %, output %] pairs");
  if (!items) return std::nullopt;
  std::vector<std::pair<Percent, Percent>> pairs;
  for (const JsonNode& item : *items) {
    const auto pair = reader.read_array(item, "a drive and an output");
    if (!pair) return std::nullopt;
    if (pair->size() != 2) {
      reader.error(item, "a pair is a drive and an output, both in percent",
                   "for example [50, 46]");
      return std::nullopt;
    }
    const auto drive = reader.read_number((*pair)[0], {0, 100, "%"});
    const auto output = reader.read_number((*pair)[1], {0, 100, "%"});
    if (!drive || !output) return std::nullopt;
    pairs.emplace_back(Percent::of_full(*drive), Percent::of_full(*output));
  }
  auto curve = DimmingCurve::through(pairs);
  if (curve) return std::move(*curve);
  reader.error(node, curve.error().what, curve.error().hint);
  return std::nullopt;
}

std::optional<double> read_usable_weight(JsonReader& reader, const JsonNode& light) {
  const auto found = light.find("usable_weight");
  if (!found) return 1.0;
  return reader.read_number(*found, {0.3, 3, "",
                                     "1 is a photon like any other; what is known of spectra "
                                     "gives no reason to go further"});
}

/// 100 %, which is no cloth, and the cloths that are listed.
std::optional<DialRange> read_cloths(JsonReader& reader, const JsonNode& node) {
  const auto items = reader.read_array(node, "shade cloths");
  if (!items) return std::nullopt;
  DialRange dial;
  for (const JsonNode& item : *items) {
    const auto percent = reader.read_integer(
        item, {1, 99, "%", "what the cloth lets through: 30 for one that is sold as 70 % shade"});
    if (!percent) return std::nullopt;
    dial.listed.push_back(Percent::of_full(*percent));
    const std::size_t count = dial.listed.size();
    if (count < 2 || dial.listed[count - 1] > dial.listed[count - 2]) continue;
    reader.error(item, "the shade cloths do not rise",
                 "list what each lets through, the darkest first: [30, 50, 70]");
    return std::nullopt;
  }
  dial.listed.push_back(dial.highest);
  dial.lowest = dial.listed.front();
  return dial;
}

std::optional<TankLight> read_sun(JsonReader& reader, const JsonNode& node,
                                  const std::optional<Date>& start) {
  static const std::vector<std::string> keys{"name",  "kind",         "latitude",
                                             "cloud", "shade_cloths", "usable_weight"};
  if (!reader.expect_object(node, "a light of kind \"sun\"", keys)) return std::nullopt;
  const auto name_node = node.find("name");
  std::optional<double> latitude;
  if (const auto found = reader.require(node, "latitude", "\"latitude\": -20")) {
    latitude = reader.read_number(
        *found, {-sun_latitude.degrees(), sun_latitude.degrees(), "degrees",
                 "north of the equator is positive, south negative; further out the sun stays "
                 "away for days"});
  }
  std::optional<double> cloud = guessed_cloud_share;
  if (const auto found = node.find("cloud")) {
    cloud = reader.read_number(
        *found, {0, 1, "", "the share of the day with a cloud before the sun: 0.3 for 30 %"});
  }
  std::optional<DialRange> cloths;
  if (const auto found = reader.require(node, "shade_cloths",
                                        "\"shade_cloths\": [30, 50, 70], what each lets through "
                                        "in percent; [] if there are none")) {
    cloths = read_cloths(reader, *found);
  }
  const auto weight = read_usable_weight(reader, node);
  if (!start) {
    reader.error(node, "a light of kind \"sun\" needs the day on which the ramp starts",
                 "write it into the \"ramp\", for example \"start\": \"2026-12-01\"; the sun's "
                 "days change with the season");
  }
  if (!name_node || !latitude || !cloud || !cloths || !weight || !start) return std::nullopt;
  const SunPlace place{Latitude::degrees(*latitude), *cloud};
  const SunAhead ahead = compute_sun_ahead(place, day_of_year(*start));
  TankLight light{name_node->value().text, ahead.brightest, *std::move(cloths)};
  light.usable_weight = *weight;
  light.sun = TankSun{place, ahead};
  return light;
}

/// Channels, each with its share of the dial.
std::optional<std::vector<Channel>> read_channels(JsonReader& reader, const JsonNode& node) {
  if (!node.is(JsonValue::Kind::object) || node.members().empty()) {
    reader.error(node, "channels are names with the percentage of each at a dial of 100 %",
                 "for example {\"royal\": 100, \"violet\": 80, \"red\": 8}");
    return std::nullopt;
  }
  std::vector<Channel> channels;
  bool is_good = true;
  for (const auto& [name, share_node] : node.members()) {
    if (name.empty()) {
      reader.error(share_node, "a channel has no name", "call it as its dial does");
      is_good = false;
    }
    const auto share = reader.read_number(
        share_node, {0.1, 100, "%", "what this channel stands at when the mix is at 100 %"});
    is_good = is_good && share;
    if (share) channels.push_back({name, Percent::of_full(*share)});
  }
  if (!is_good) return std::nullopt;
  return channels;
}

/// Whether it is of the kind "sun"; empty where it is of no kind that there is.
std::optional<bool> is_sun(JsonReader& reader, const JsonNode& node) {
  static const std::vector<std::string> kinds{"lamp", "sun"};
  const auto found = node.find("kind");
  if (!node.is(JsonValue::Kind::object) || !found) return false;
  const auto kind = reader.read_name(*found, "kind of light", kinds);
  if (!kind) return std::nullopt;
  return *kind == 1;
}

}  // namespace

std::optional<TankLight> read_light(JsonReader& reader, const JsonNode& node,
                                    const std::optional<Date>& start) {
  const auto sun = is_sun(reader, node);
  if (!sun) return std::nullopt;
  if (*sun) return read_sun(reader, node, start);
  static const std::vector<std::string> keys{"name",     "kind",          "photoperiod",
                                             "dial",     "dimming",       "lux_per_ppfd",
                                             "spectrum", "usable_weight", "channels"};
  if (!reader.expect_object(node, "a light", keys)) return std::nullopt;
  const auto name_node = node.find("name");
  const auto course_node = reader.require(
      node, "photoperiod", "\"photoperiod\": {\"on\": \"10:00\", \"off\": \"20:00\"}");
  const auto course = course_node ? read_photoperiod(reader, *course_node) : std::nullopt;
  std::optional<DialRange> dial = DialRange{};
  if (const auto found = node.find("dial")) dial = read_dial(reader, *found);
  std::optional<DimmingCurve> dimming = DimmingCurve{};
  if (const auto found = node.find("dimming")) dimming = read_dimming(reader, *found);
  std::optional<LuxPerPpfd> lux_per_ppfd;
  if (const auto found = node.find("lux_per_ppfd")) {
    const auto lux = reader.read_number(*found, {1, 150, "lux per umol m-2 s-1"});
    if (lux) lux_per_ppfd = LuxPerPpfd::lux_per_umol(*lux);
  }
  const auto weight = read_usable_weight(reader, node);
  std::optional<std::vector<Channel>> channels{std::in_place};
  if (const auto found = node.find("channels")) channels = read_channels(reader, *found);
  if (!name_node || !course || !dial || !dimming || !weight || !channels) return std::nullopt;
  TankLight light{name_node->value().text, {*course, *dimming}, *dial, lux_per_ppfd};
  light.usable_weight = *weight;
  light.channels = *std::move(channels);
  return light;
}

}  // namespace slowdawn
