#include "tank/origin_reader.hpp"

#include <cmath>
#include <utility>

namespace slowdawn {
namespace {

template <class Items>
std::vector<std::string> names_in(const Items& items) {
  std::vector<std::string> names;
  for (const auto& item : items) names.emplace_back(item.name);
  return names;
}

class OriginReader {
 public:
  OriginReader(JsonReader& reader, const JsonNode& node) : reader_(reader), node_(node) {}

  std::optional<ReadOrigin> read() {
    static const std::vector<std::string> keys{"latitude", "date",  "until", "season",
                                               "depth_m",  "water", "kd",    "cloud"};
    if (!reader_.expect_object(node_, "an origin", keys)) return std::nullopt;
    Origin origin;
    const bool has_latitude = read_latitude(origin);
    const bool has_days = read_days(origin);
    const bool has_depth = read_depth(origin);
    const bool has_water = read_water(origin);
    const bool has_cloud = read_cloud(origin);
    if (!has_latitude || !has_days || !has_depth || !has_water || !has_cloud) return std::nullopt;
    const auto light = compute_origin(origin);
    if (light) return ReadOrigin{std::move(origin), *light};
    reader_.error(node_, light.error().what, light.error().hint);
    return std::nullopt;
  }

 private:
  bool read_latitude(Origin& origin) {
    const auto found = reader_.require(node_, "latitude", "\"latitude\": -20");
    if (!found) return false;
    const auto value = reader_.read_number(
        *found, {-90, 90, "degrees", "north of the equator is positive, south negative"});
    if (!value) return false;
    origin.latitude = Latitude::degrees(*value);
    if (std::abs(*value) > reef_latitude.degrees()) {
      reader_.warn(*found, "reefs are rare so far from the equator",
                   "north of the equator is positive, south negative; no longitude is needed");
    }
    return true;
  }

  /// True if just one of the two keys is there.
  bool has_one_of(std::string_view a, std::string_view b, const std::string& what,
                  const std::string& example) {
    const bool has_both = node_.find(a) && node_.find(b);
    if (node_.find(a).has_value() != node_.find(b).has_value()) return true;
    const std::string names = "\"" + std::string{a} + "\" or \"" + std::string{b} + "\"";
    reader_.error(
        node_, "an origin has either " + names,
        has_both ? "leave one of the two out" : "add " + what + ", for example " + example);
    return false;
  }

  bool read_days(Origin& origin) {
    if (!has_one_of("date", "season", "the time of the year", "\"date\": \"2026-09-03\"")) {
      return false;
    }
    const auto until_node = node_.find("until");
    if (const auto found = node_.find("season")) {
      if (until_node) {
        reader_.error(*until_node, "\"until\" goes with \"date\", not with \"season\"",
                      "leave out \"until\"");
        return false;
      }
      const auto number = reader_.read_name(*found, "season", names_in(seasons));
      if (!number) return false;
      origin.days = season_days(seasons.at(*number).season, origin.latitude);
      return true;
    }
    const auto first_node = *node_.find("date");
    const auto first = read_date(first_node);
    const auto last = until_node ? read_date(*until_node) : first;
    if (!first || !last) return false;
    auto days = days_between(*first, *last);
    if (days) {
      origin.days = *std::move(days);
      return true;
    }
    reader_.error(*until_node, days.error().what, days.error().hint);
    return false;
  }

  std::optional<Date> read_date(const JsonNode& node) {
    const auto text = reader_.read_text(node, "a date");
    if (!text) return std::nullopt;
    const auto date = parse_date(*text);
    if (date) return *date;
    reader_.error(node, date.error().what, date.error().hint);
    return std::nullopt;
  }

  bool read_depth(Origin& origin) {
    const auto found = reader_.require(node_, "depth_m", "\"depth_m\": 3");
    if (!found) return false;
    const auto value = reader_.read_number(*found, {0, deepest_origin.m(), "m"});
    if (value) origin.depth = Depth::m(*value);
    return value.has_value();
  }

  bool read_water(Origin& origin) {
    if (!has_one_of("water", "kd", "how clear the water is",
                    "\"water\": \"II\", a water type of Jerlov")) {
      return false;
    }
    if (const auto found = node_.find("water")) {
      const auto number = reader_.read_name(*found, "water type", names_in(water_types));
      if (number) origin.water = water_types.at(*number).type;
      return number.has_value();
    }
    const auto value = reader_.read_number(
        *node_.find("kd"), {clearest_kd.per_m(), murkiest_kd.per_m(), "m-1",
                            "Kd of PAR: 0.04 to 0.1 over clear reefs, 0.1 to 0.3 inshore"});
    if (value) origin.water = Attenuation::per_m(*value);
    return value.has_value();
  }

  bool read_cloud(Origin& origin) {
    const auto found = node_.find("cloud");
    if (!found) return true;
    const auto value = reader_.read_number(
        *found, {0, 1, "", "the share of the day with a cloud before the sun: 0.3 for 30 %"});
    if (!value) return false;
    origin.cloud_share = *value;
    origin.cloud_error = known_cloud_error;
    return true;
  }

  JsonReader& reader_;
  const JsonNode& node_;
};

}  // namespace

std::optional<ReadOrigin> read_origin(JsonReader& reader, const JsonNode& node) {
  return OriginReader{reader, node}.read();
}

}  // namespace slowdawn
