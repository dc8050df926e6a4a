#include <nlohmann/json.hpp>
#include <slowdawn/logbook/record.hpp>
#include <stdexcept>

namespace slowdawn {
namespace {

using Json = nlohmann::ordered_json;
using DialsByName = std::map<std::string, Percent>;

/// Far more settings than any path has.
constexpr double highest_at = 1'000'000;

Json lights_json(const DialsByName& dials) {
  Json json = Json::object();
  for (const auto& [light, dial] : dials) json[light] = dial.percent();
  return json;
}

DialsByName parse_lights(const Json& json, const std::string& name) {
  if (!json.is_object() || json.empty()) throw std::invalid_argument(name + " without a light");
  DialsByName dials;
  for (const auto& [light, dial] : json.items()) {
    const bool is_percentage =
        dial.is_number() && dial.get<double>() >= 0.0 && dial.get<double>() <= 100.0;
    if (!is_percentage) throw std::invalid_argument("\"" + light + "\" is not at 0 to 100 %");
    dials[light] = Percent::of_full(dial.get<double>());
  }
  return dials;
}

void expect_day_keys(const Json& json) {
  for (const auto& [key, value] : json.items()) {
    if (key != "date" && key != "dials" && key != "at" && key != "low") {
      throw std::invalid_argument("unknown key \"" + key + "\" in a day of its record");
    }
  }
  for (const char* key : {"date", "dials", "at"}) {
    if (!json.contains(key)) {
      throw std::invalid_argument("a day of its record lacks \"" + std::string{key} + "\"");
    }
  }
}

Date parse_day(const Json& json) {
  const auto date = parse_date(json.is_string() ? json.get<std::string>() : json.dump());
  if (!date) throw std::invalid_argument("in its record, " + date.error().what);
  return *date;
}

std::size_t parse_at(const Json& json) {
  if (!json.is_number_unsigned() || json.get<double>() > highest_at) {
    throw std::invalid_argument("\"at\" of a day of its record is not a whole number");
  }
  return json.get<std::size_t>();
}

RecordedDay parse_recorded_day(const Json& json) {
  if (!json.is_object()) throw std::invalid_argument("a day of its record is not an object");
  expect_day_keys(json);
  RecordedDay day{parse_day(json["date"]), parse_lights(json["dials"], "a day of its record"),
                  parse_at(json["at"])};
  if (!json.contains("low")) return day;
  day.low = parse_lights(json["low"], "\"low\" of a day of its record");
  for (const auto& [light, dial] : *day.low) {
    if (!day.dials.contains(light)) {
      throw std::invalid_argument("\"low\" of a day of its record names \"" + light +
                                  "\", its \"dials\" do not");
    }
  }
  return day;
}

Json parse_list(const std::string& text) {
  Json list = Json::parse(text, nullptr, false);
  if (!list.is_array()) throw std::invalid_argument("its record is not a list of days");
  return list;
}

}  // namespace

std::string record_json(const Record& record) {
  Json list = Json::array();
  for (const RecordedDay& day : record) {
    Json json{{"date", to_iso(day.date)}, {"dials", lights_json(day.dials)}, {"at", day.at}};
    if (day.low) json["low"] = lights_json(*day.low);
    list.push_back(std::move(json));
  }
  return list.dump();
}

Record parse_record(const std::string& json) {
  Record record;
  for (const Json& item : parse_list(json)) {
    RecordedDay day = parse_recorded_day(item);
    if (!record.empty() && day.date <= record.back().date) {
      throw std::invalid_argument("the days of its record do not rise at " + to_iso(day.date));
    }
    record.push_back(std::move(day));
  }
  return record;
}

}  // namespace slowdawn
