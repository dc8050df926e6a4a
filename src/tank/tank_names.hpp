// The names that a tank file may refer to, and objects keyed by them.
#pragma once

#include <map>
#include <slowdawn/light/quantity.hpp>
#include <slowdawn/tank/date.hpp>
#include <string>
#include <utility>
#include <vector>

#include "tank/json_reader.hpp"
#include "tank/names.hpp"

namespace slowdawn {

/// "" stands for a name that is missing or wrong.
struct TankNames {
  Names lights;
  Names spots;
};

/// The members of an object whose keys are among `names`, by their number.
/// kind: what they are, for messages. Silent on unknown names where `names` is
/// empty: the list could not be read then, which has been said already.
std::vector<std::pair<std::size_t, JsonNode>> read_named(JsonReader& reader, const JsonNode& node,
                                                         const std::string& kind,
                                                         const Names& names);

/// Percentages, 0 or 0.01 to 100, by the number of their light.
std::map<std::size_t, Percent> read_dials(JsonReader& reader, const JsonNode& node,
                                          const Names& lights);

/// A calendar day, YYYY-MM-DD.
std::optional<Date> read_date(JsonReader& reader, const JsonNode& node);

}  // namespace slowdawn
