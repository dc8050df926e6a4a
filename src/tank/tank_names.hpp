// The names that a tank file may refer to, and objects keyed by them.
#pragma once

#include <map>
#include <slowdawn/tank/tank.hpp>
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

/// The lights that dials may name, and what is known of them: nothing where the file's
/// lights could not all be read.
struct DialledLights {
  const Names& names;
  const std::vector<TankLight>& lights;
};

/// Percentages, 0 or 0.01 to 100, by the number of their light; shares of 1 are refused.
std::map<std::size_t, Percent> read_dials(JsonReader& reader, const JsonNode& node,
                                          const DialledLights& of);

/// Whether a percentage is no share of 1; adds an error if it is, a warning if it may be.
bool is_no_share(JsonReader& reader, const JsonNode& node, const TankLight& light, Percent dial);

/// A calendar day, YYYY-MM-DD.
std::optional<Date> read_date(JsonReader& reader, const JsonNode& node);

}  // namespace slowdawn
