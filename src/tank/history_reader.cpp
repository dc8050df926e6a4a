#include "tank/history_reader.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <filesystem>
#include <slowdawn/tank/nearest_name.hpp>

#include "tank/light_reader.hpp"
#include "tank/origin_reader.hpp"
#include "tank/tank_reader.hpp"
#include "tank/untold_light.hpp"

namespace slowdawn {
namespace {

using Dials = std::map<std::size_t, Percent>;

Names list_names(const auto& things) {
  Names names;
  for (const auto& thing : things) names.push_back(thing.name);
  return names;
}

constexpr const char* every_kind =
    "give one of: dose and peak; ppfd and hours (or photoperiod); spot and dials; tank and spot; "
    "origin; unknown";

}  // namespace

std::optional<History> HistoryReader::read(const JsonNode& node) {
  auto history = read_kind(node);
  if (!history) return std::nullopt;
  if (const auto found = node.find("dark_days")) {
    history->dark_days = reader_.read_integer(*found, {0, 60, "days"}).value_or(0);
  }
  if (const auto found = node.find("since")) history->since = read_date(reader_, *found);
  return history;
}

std::optional<History> HistoryReader::read_kind(const JsonNode& node) {
  struct Kind {
    std::string key;
    Names keys;
    std::optional<History> (HistoryReader::*read)(const JsonNode&);
  };
  // In the order in which a key tells the kind: another tank's spot is no spot here.
  static const std::array<Kind, 6> kinds{
      Kind{"tank", {"tank", "spot", "dials"}, &HistoryReader::read_other_tank},
      Kind{"spot", {"spot", "dials"}, &HistoryReader::read_spot_here},
      Kind{"origin", {"origin"}, &HistoryReader::read_reef},
      Kind{"unknown", {"unknown"}, &HistoryReader::read_unknown},
      Kind{"ppfd", {"ppfd", "hours", "photoperiod", "error_percent"}, &HistoryReader::read_told},
      Kind{"dose", {"dose", "peak", "error_percent"}, &HistoryReader::read_measured},
  };
  static const Names all{"dose",          "peak",      "ppfd",  "hours", "photoperiod",
                         "error_percent", "spot",      "dials", "tank",  "origin",
                         "unknown",       "dark_days", "since"};
  if (!reader_.expect_object(node, "a history", all)) return std::nullopt;
  const auto kind = std::find_if(kinds.begin(), kinds.end(),
                                 [&](const Kind& one) { return node.find(one.key).has_value(); });
  if (kind == kinds.end()) {
    if (node.find("peak")) return read_measured(node);
    reader_.error(node, "this history does not say what light it was", every_kind);
    return std::nullopt;
  }
  for (const auto& member : node.members()) {
    const bool belongs =
        std::find(kind->keys.begin(), kind->keys.end(), member.key) != kind->keys.end() ||
        member.key == "dark_days" || member.key == "since";
    if (belongs) continue;
    reader_.error_at_key(
        node, member.key,
        "\"" + member.key + "\" does not belong to a history of \"" + kind->key + "\"", every_kind);
    return std::nullopt;
  }
  return (this->*kind->read)(node);
}

bool HistoryReader::read_error(const JsonNode& node, History& history) {
  const auto found = node.find("error_percent");
  if (!found) return true;
  const auto percent = reader_.read_number(*found, {0, 100, "%"});
  if (percent) history.error = *percent / 100.0;
  return percent.has_value();
}

std::optional<History> HistoryReader::read_measured(const JsonNode& node) {
  const auto dose_node = reader_.require(node, "dose", "\"dose\": 6.2");
  const auto peak_node = reader_.require(node, "peak", "\"peak\": 190");
  if (!dose_node || !peak_node) return std::nullopt;
  const auto dose = reader_.read_number(*dose_node, {0.01, 100, "mol m-2 d-1"});
  const auto peak = reader_.read_number(*peak_node, {0.1, 3000, "umol m-2 s-1"});
  if (!dose || !peak) return std::nullopt;
  History history{.light = {DailyDose::mol_m2_d(*dose), Ppfd::umol_m2_s(*peak)}};
  if (!read_error(node, history)) return std::nullopt;
  if (exceeds(history.light.dose, history.light.peak * Hours::h(24))) {
    reader_.error(node, "this dose needs more than 24 h a day even at the peak",
                  "dose is in mol m-2 d-1, peak in umol m-2 s-1; dose = 0.0036 x PPFD x hours");
    return std::nullopt;
  }
  return history;
}

std::optional<History> HistoryReader::read_told(const JsonNode& node) {
  const auto hours_node = node.find("hours");
  const auto course_node = node.find("photoperiod");
  if (hours_node.has_value() == course_node.has_value()) {
    reader_.error(node, "a PPFD that was told needs either \"hours\" or \"photoperiod\"",
                  "for example \"ppfd\": 180, \"hours\": 10; how long it is lit each day");
    return std::nullopt;
  }
  const auto ppfd = reader_.read_number(
      *node.find("ppfd"), {0.1, 3000, "umol m-2 s-1",
                           "is this lux? A lux figure cannot be taken without knowing the light"});
  std::optional<Hours> day;
  if (hours_node) {
    const auto hours = reader_.read_number(*hours_node, {0.1, 24, "h"});
    if (hours) day = Hours::h(*hours);
  } else if (const auto course = read_photoperiod(reader_, *course_node)) {
    day = full_output_hours({*course, DimmingCurve{}}, Percent::of_full(100));
  }
  if (!ppfd || !day) return std::nullopt;
  const Ppfd peak = Ppfd::umol_m2_s(*ppfd);
  History history{.basis = History::Basis::told, .light = {peak * *day, peak}};
  history.error = error_of_told_light;
  if (!read_error(node, history)) return std::nullopt;
  return history;
}

std::optional<History> HistoryReader::read_reef(const JsonNode& node) {
  const JsonNode found = *node.find("origin");
  const auto read = read_origin(reader_, found);
  if (!read) return std::nullopt;
  History history{.basis = History::Basis::origin,
                  .light = {read->light.dose, read->light.peak},
                  .error = read->light.log_error};
  history.place = number_text(read->origin.depth.m()) + " m deep on a reef at latitude " +
                  number_text(read->origin.latitude.degrees());
  for (const char* key : {"date", "season"}) {
    if (const auto when = found.find(key)) history.place += ", " + when->value().text;
  }
  return history;
}

std::optional<History> HistoryReader::read_unknown(const JsonNode& node) {
  const JsonNode found = *node.find("unknown");
  const auto is_unknown = reader_.read_flag(found);
  if (is_unknown && !*is_unknown) {
    reader_.error(found, "\"unknown\" can only be true",
                  "leave the history out, or say what light it was");
    return std::nullopt;
  }
  if (!is_unknown) return std::nullopt;
  // The low end of the band is on the dim side already.
  return History{.basis = History::Basis::unknown, .error = 0.0};
}

std::optional<Dials> HistoryReader::read_lit_dials(const JsonNode& node, const DialledLights& of) {
  Dials dials = read_dials(reader_, node, of);
  const bool is_lit = std::any_of(dials.begin(), dials.end(),
                                  [](const auto& entry) { return entry.second.percent() > 0.0; });
  // What was wrong with a name or a number has been said already.
  const bool is_complete = dials.size() == node.value().members.size();
  if (is_lit || !is_complete) return is_complete ? std::optional{dials} : std::nullopt;
  reader_.error(node, "no light is lit in this history",
                "give the percentages it lived under; days without light go into \"dark_days\"");
  return std::nullopt;
}

std::optional<History> HistoryReader::read_spot_here(const JsonNode& node) {
  const auto dials_node = reader_.require(node, "dials", "\"dials\": {\"tubes\": 100}");
  const auto spot = reader_.read_name(*node.find("spot"), "spot", names_.spots);
  if (!dials_node || !spot) return std::nullopt;
  History history{.basis = History::Basis::spot_here, .spot = *spot};
  const auto dials = read_lit_dials(*dials_node, {names_.lights, lights_});
  if (!dials) return std::nullopt;
  history.dials = *dials;
  return history;
}

std::optional<Tank> HistoryReader::read_tank_of(const JsonNode& node) {
  const JsonNode name_node = *node.find("tank");
  const auto name = reader_.read_text(name_node, "the name of a tank file");
  if (!name) return std::nullopt;
  auto text = files_(*name);
  if (!text) {
    const Finding& why = text.error().findings.front();
    reader_.error_of_access(name_node, "\"" + *name + "\" cannot be read: " + why.what, why.hint);
    return std::nullopt;
  }
  const auto beside_it = [this, folder = std::filesystem::path{*name}.parent_path()](
                             const std::string& file) { return files_((folder / file).string()); };
  auto other = parse_light_of_tank(*name, std::move(*text), profiles_, beside_it);
  if (!other) {
    reader_.error_elsewhere(name_node, other.error().findings);
    return std::nullopt;
  }
  if (other->meter.is_relative) {
    reader_.error(name_node, "the meter of \"" + *name + "\" is relative",
                  "its readings mean nothing to another meter; give a dose and a peak");
    return std::nullopt;
  }
  return std::move(*other);
}

bool HistoryReader::check_readings(const JsonNode& node, const Tank& other, std::size_t spot,
                                   const Dials& dials) {
  for (const auto& [light, dial] : dials) {
    if (dial.percent() == 0.0 || other.full_output[spot][light]) continue;
    reader_.error(
        node,
        "\"" + other.file + "\" has no reading of \"" + other.lights[light].name + "\" at \"" +
            other.spots[spot].name + "\"",
        "read PPFD there with that light lit, or give \"dials\" of lights that were read");
    return false;
  }
  if (tells_dials(other, spot, dials)) return true;
  reader_.error(node,
                "the readings of \"" + other.file + "\" do not tell what these lights give at \"" +
                    other.spots[spot].name + "\": they were read in other mixes alone",
                "read PPFD there under these dials, or give \"dials\" of a mix that was read");
  return false;
}

/// Those that are given; else the dimmer of the two ends of the other tank's ramp,
/// since its file does not say how far that ramp has come.
std::optional<Dials> HistoryReader::find_dials(const JsonNode& node, const Tank& other,
                                               std::size_t spot) {
  if (const auto found = node.find("dials")) {
    auto dials = read_lit_dials(*found, {list_names(other.lights), other.lights});
    if (!dials || !check_readings(*found, other, spot, *dials)) return std::nullopt;
    return dials;
  }
  const JsonNode at = *node.find("spot");
  const auto dose = [&](const Dials& dials) { return other.exposure_before(spot, dials).dose; };
  const Dials& from = other.ramp.from;
  const Dials& to = other.ramp.to;
  if (!check_readings(at, other, spot, to)) return std::nullopt;
  if (from.empty()) return to;
  if (!check_readings(at, other, spot, from)) return std::nullopt;
  const DailyDose before = dose(from);
  const DailyDose after = dose(to);
  const DailyDose lower = std::min(before, after);
  if (std::max(before, after) > 1.05 * lower) {
    reader_.warn(at,
                 "\"" + other.file + "\" has a ramp from " + number_text(before.mol_m2_d()) +
                     " to " + number_text(after.mol_m2_d()) +
                     " mol m-2 d-1 there; the lower is taken",
                 "give \"dials\", the percentages that the group lived under");
  }
  return before < after ? from : to;
}

std::optional<History> HistoryReader::read_other_tank(const JsonNode& node) {
  const auto spot_node = reader_.require(node, "spot", "\"spot\": \"rack\", a spot of that tank");
  const auto other = read_tank_of(node);
  if (!spot_node || !other) return std::nullopt;
  const auto spot = reader_.read_name(*spot_node, "spot", list_names(other->spots));
  if (!spot) return std::nullopt;
  const auto dials = find_dials(node, *other, *spot);
  if (!dials) return std::nullopt;
  History history{.basis = History::Basis::other_tank,
                  .light = other->exposure_before(*spot, *dials),
                  .error = other->reading_error(*spot, *dials)};
  if (history.light.dose.mol_m2_d() <= 0.0) {
    reader_.error(*spot_node, "the spot gets no light there", "check the readings of that tank");
    return std::nullopt;
  }
  history.place = "\"" + other->spots[*spot].name + "\" of \"" + other->name + "\"";
  return history;
}

void resolve_history(const Tank& tank, Group& group) {
  if (!group.history) return;
  History& history = *group.history;
  if (history.basis == History::Basis::spot_here) {
    history.light = tank.exposure_before(history.spot, history.dials);
  } else if (history.basis == History::Basis::unknown) {
    // The peak that goes with that dose in a day of the goal's light.
    const Exposure goal = tank.usable_exposure(group.spot_of_start(), tank.ramp.to);
    const DailyDose low = group.profile.tolerance.dose_band.low;
    const bool is_lit = goal.dose.mol_m2_d() > 0.0;
    history.light = {low, is_lit ? low / goal.dose * goal.peak : goal.peak};
  }
}

}  // namespace slowdawn
