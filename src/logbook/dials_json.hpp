// Dials by the name of their light, as they are kept in a logbook.
#pragma once

#include <map>
#include <nlohmann/json.hpp>
#include <slowdawn/light/quantity.hpp>
#include <string>

namespace slowdawn {

inline nlohmann::ordered_json dials_json(const std::map<std::string, Percent>& dials) {
  nlohmann::ordered_json json = nlohmann::ordered_json::object();
  for (const auto& [light, dial] : dials) json[light] = dial.percent();
  return json;
}

}  // namespace slowdawn
