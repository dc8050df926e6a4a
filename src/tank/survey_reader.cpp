#include "tank/survey_reader.hpp"

#include <algorithm>
#include <slowdawn/light/lux_factors.hpp>
#include <slowdawn/tank/csv_table.hpp>
#include <slowdawn/tank/nearest_name.hpp>

#include "tank/spectrum_reader.hpp"

namespace slowdawn {
namespace {

/// The published factors, for whoever has none.
std::string lux_hint() {
  std::string factors;
  for (const LuxFactor& factor : published_lux_factors) {
    if (!factors.empty()) factors += ", ";
    factors += std::string{factor.source} + " " + number_text(factor.lux_per_ppfd.lux_per_umol());
  }
  return "published lux per umol m-2 s-1: " + factors +
         " (Thimijan and Heins 1983). None holds for LED light or blue-heavy light: light of 450 "
         "nm "
         "gives 6.9. Compare your meter with a quantum sensor under this light, or rent one";
}

}  // namespace

std::optional<Survey> SurveyReader::read(const JsonNode& node) {
  static const Names keys{"taken", "changed", "dials", "ppfd", "ppfd_file", "unit", "outside_ppfd"};
  if (!reader_.expect_object(node, "a survey", keys)) return std::nullopt;
  Survey survey;
  if (const auto taken = node.find("taken")) survey.taken = read_date(reader_, *taken);
  if (const auto changed = node.find("changed")) read_changed(*changed, survey);
  const auto dials = reader_.require(node, "dials", "\"dials\": {\"bars\": 40}");
  if (!dials) return std::nullopt;
  survey.dials.resize(names_.lights.size());
  bool is_lit = false;
  for (const auto& [light, dial] : read_dials(reader_, *dials, {names_.lights, tank_.lights})) {
    survey.dials[light] = dial;
    is_lit = is_lit || dial.percent() > 0.0;
  }
  if (!is_lit && !reader_.has_errors()) {
    reader_.error(*dials, "no light is lit in this survey",
                  "give the percentage of each light that was on while you read");
  }
  if (const auto unit = node.find("unit")) read_unit(*unit, survey);
  read_outside(node, survey);
  read_readings(node, survey);
  return survey;
}

void SurveyReader::read_changed(const JsonNode& node, Survey& survey) {
  survey.changed = read_date(reader_, node);
  if (!survey.changed || !survey.taken || *survey.changed <= *survey.taken) return;
  reader_.error(node,
                "the lamp was changed on " + to_iso(*survey.changed) +
                    ", after these readings of " + to_iso(*survey.taken),
                "give \"changed\" to the readings that were taken under the new lamp");
}

void SurveyReader::read_outside(const JsonNode& node, Survey& survey) {
  const auto found = node.find("outside_ppfd");
  if (found) {
    const auto value =
        reader_.read_number(*found, {1, 3000, "umol m-2 s-1",
                                     "PPFD in the open is about 2000 at a clear noon; read it in "
                                     "air while the sun is well up"});
    if (value) survey.outside = Ppfd::umol_m2_s(*value);
  }
  if (tank_.lights.empty()) return;
  bool is_sunlit = false;
  for (std::size_t j = 0; j < tank_.lights.size(); ++j) {
    is_sunlit = is_sunlit || (tank_.lights[j].sun && survey.dials[j].percent() > 0.0);
  }
  if (is_sunlit && !found) {
    reader_.error(node, "a survey under the sun needs \"outside_ppfd\"",
                  "add what the meter shows in the open, in air, at the same moment, for example "
                  "\"outside_ppfd\": 1600");
  } else if (found && !is_sunlit) {
    reader_.error(*found, "\"outside_ppfd\" belongs to a survey under the sun",
                  "leave it out, or name the light of kind \"sun\" in \"dials\": 100 for no "
                  "cloth");
  } else if (is_sunlit && tank_.meter.is_relative) {
    reader_.error(*found, "a relative meter cannot be held against the sun's light in umol",
                  "read with a meter that shows PPFD, and leave out \"relative\"");
  }
}

void SurveyReader::read_unit(const JsonNode& node, Survey& survey) {
  static const Names units{"ppfd", "lux"};
  const auto number = reader_.read_name(node, "unit", units);
  if (number != 1) return;
  survey.unit = ReadingUnit::lux;
  if (tank_.meter.is_relative) {
    reader_.error(node, "a relative meter has no unit",
                  "leave \"unit\" out, or \"relative\" in the \"meter\"");
    return;
  }
  check_lux(node, survey);
}

void SurveyReader::check_lux(const JsonNode& node, const Survey& survey) {
  for (std::size_t j = 0; j < tank_.lights.size(); ++j) {
    if (survey.dials[j].percent() == 0.0 || tank_.lights[j].lux_factor()) continue;
    if (tank_.lights[j].sun) {
      reader_.error(node, "a survey under the sun is read in PPFD, not in lux",
                    "read PPFD with a quantum sensor, in the tank and in the open");
      continue;
    }
    reader_.error(node,
                  "lux of \"" + names_.lights[j] +
                      "\" cannot be turned into PPFD without its "
                      "\"lux_per_ppfd\" or \"spectrum\"",
                  lux_hint());
  }
}

void SurveyReader::read_readings(const JsonNode& node, Survey& survey) {
  const auto here = node.find("ppfd");
  const auto file = node.find("ppfd_file");
  if (file && here) {
    reader_.error(*file, "a survey has either \"ppfd\" or \"ppfd_file\"",
                  "leave one of the two out");
  } else if (file) {
    read_file(*file, survey);
  } else if (const auto found = reader_.require(
                 node, "ppfd", "\"ppfd\": {\"crest\": 171}, or \"ppfd_file\": \"bars.csv\"")) {
    for (const auto& [spot, value] : read_named(reader_, *found, "spot", names_.spots)) {
      survey.readings[spot] = read_repeats(value, survey);
    }
  }
}

NumberRange SurveyReader::range_of(const Survey& survey) const {
  if (tank_.meter.is_relative) return {0, 1e6, "", "readings are 0 or more"};
  if (survey.unit == ReadingUnit::lux) {
    return {0, 200000, "lux",
            "full sun gives about 100,000 lux; is this a slip of the decimal "
            "point?"};
  }
  return {0, 3000, "umol m-2 s-1",
          "PPFD is 0 or more, and about 2000 in full sun at the surface; is this lux, or a slip of "
          "the decimal point?"};
}

std::vector<double> SurveyReader::read_repeats(const JsonNode& node, const Survey& survey) {
  const NumberRange range = range_of(survey);
  std::vector<JsonNode> items{node};
  if (node.is(JsonValue::Kind::array)) items = node.items();
  if (items.empty()) {
    reader_.error(node, "the list of repeats is empty", "leave the spot out of this survey");
  }
  std::vector<double> repeats;
  for (const JsonNode& item : items) {
    if (const auto value = reader_.read_number(item, range)) repeats.push_back(*value);
  }
  return repeats;
}

void SurveyReader::read_file(const JsonNode& node, Survey& survey) {
  const auto table = read_named_csv(reader_, files_, node);
  if (!table) return;
  static const Names spot_names{"spot"};
  const auto spots = table->find_column(spot_names);
  if (!spots) {
    reader_.error_elsewhere(node, {spots.error()});
    return;
  }
  const NumberRange range = range_of(survey);
  for (const CsvRecord& record : table->records()) {
    const std::string& spot_name = record.cells[*spots].text;
    const auto spot = names_.spots.find(spot_name);
    if (!spot) {
      reader_.error_elsewhere(
          node, {{table->place(record, *spots), "there is no spot \"" + spot_name + "\"",
                  hint_for_name(spot_name, names_.spots)}});
      continue;
    }
    auto& repeats = survey.readings[*spot];
    for (std::size_t column = 0; column < record.cells.size(); ++column) {
      if (column == *spots || record.cells[column].text.empty()) continue;
      const auto value = table->number(record, column, range.low, range.high, range.hint);
      if (value) {
        repeats.push_back(*value);
      } else {
        reader_.error_elsewhere(node, {value.error()});
      }
    }
  }
  for (auto entry = survey.readings.begin(); entry != survey.readings.end();) {
    entry = entry->second.empty() ? survey.readings.erase(entry) : std::next(entry);
  }
}

}  // namespace slowdawn
