// How well the light is known, in words and in JSON.
#pragma once

#include <slowdawn/present/text.hpp>
#include <slowdawn/tank/survey_report.hpp>
#include <string>
#include <vector>

#include "present/json_parts.hpp"

namespace slowdawn {

/// Each light at each spot, the worst known first, and the reading to take next.
std::string known_lights_text(const Tank& tank, const SurveyReport& report, const TextStyle& style);
void add_known_lights(Json& json, const Tank& tank, const SurveyReport& report);

/// How well the change of light of some groups is known, and what that comes from: a line
/// for all of which the same is true.
/// groups: their numbers.
std::string group_doubts_text(const Tank& tank, const std::vector<std::size_t>& groups,
                              const TextStyle& style);
/// The same of one group, as shares of 1.
Json group_doubt_json(const Tank& tank, const Group& group);

}  // namespace slowdawn
