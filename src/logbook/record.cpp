#include <nlohmann/json.hpp>
#include <slowdawn/logbook/record.hpp>
#include <stdexcept>

#include "logbook/dials_json.hpp"

namespace slowdawn {
namespace {

using Json = nlohmann::ordered_json;
using DialsByName = std::map<std::string, Percent>;

/// Far more settings than any path has.
constexpr double highest_at = 1'000'000;

DialsByName parse_recorded_dials(const Json& json, const std::string& name) {
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

void expect_keys_of_day(const Json& json) {
  for (const auto& [key, value] : json.items()) {
    if (key != "date" && key != "dials" && key != "at" && key != "low" && key != "first") {
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
  expect_keys_of_day(json);
  RecordedDay day{parse_day(json["date"]),
                  parse_recorded_dials(json["dials"], "a day of its record"), parse_at(json["at"])};
  const auto parse_also = [&](const std::string& key, auto& dials) {
    if (!json.contains(key)) return;
    dials = parse_recorded_dials(json[key], "\"" + key + "\" of a day of its record");
    for (const auto& [light, dial] : *dials) {
      if (day.dials.contains(light)) continue;
      throw std::invalid_argument("\"" + key + "\" of a day of its record names \"" + light +
                                  "\", its \"dials\" do not");
    }
  };
  parse_also("low", day.low);
  parse_also("first", day.first);
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
    Json json{{"date", to_iso(day.date)}, {"dials", dials_json(day.dials)}, {"at", day.at}};
    if (day.low) json["low"] = dials_json(*day.low);
    if (day.first) json["first"] = dials_json(*day.first);
    list.push_back(std::move(json));
  }
  return list.dump();
}

Record parse_record(const std::string& json) {
  Record record;
  // As of most entries: the days were stored with another one of their day.
  if (json == "[]") return record;
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
