#include <fmt/format.h>

#include <cmath>
#include <slowdawn/present/phrases.hpp>
#include <slowdawn/present/present.hpp>

#include "present/json_parts.hpp"

namespace slowdawn {
namespace {

std::string percent_text(double share) { return fmt::format("{:.0f} %", 100.0 * share); }

/// One standard error of a logarithm; a percentage means little where it is large.
std::string within_text(double log_error) {
  if (log_error < 0.3) return "within " + percent_text(log_error);
  return fmt::format("within a factor of {:.1f}", std::exp(log_error));
}

std::string latitude_text(Latitude latitude) {
  const double degrees = latitude.degrees();
  if (degrees == 0.0) return "the equator";
  return fmt::format("{} {}", std::abs(degrees), degrees < 0.0 ? "S" : "N");
}

std::string origin_days_text(const OriginView& view) {
  if (view.first && view.last)
    return "mean of " + to_iso(*view.first) + " to " + to_iso(*view.last);
  if (view.first) return to_iso(*view.first);
  if (view.season == "year") return "mean of the year";
  return "mean of the " + view.season + " there";
}

std::string water_text(const OriginView& view) {
  if (const auto* type = std::get_if<WaterType>(&view.origin.water)) {
    return fmt::format("water type {}", name_of(*type));
  }
  return fmt::format("Kd {} m-1", std::get<Attenuation>(view.origin.water).per_m());
}

std::vector<std::string> make_notes(const OriginView& view) {
  std::vector<std::string> notes;
  if (view.season_is_guess) {
    notes.emplace_back("No date and no season was given, so this is the mean of the year.");
  }
  if (view.origin.water_is_guess) {
    notes.emplace_back(
        "No water was given, so type II was taken, open ocean of middling clearness; reef water "
        "may "
        "be clearer or much murkier. Write the right one into the line above.");
  }
  if (view.cloud_is_guess) {
    notes.emplace_back("No share of cloud was given, so 0.3 was taken, as a guess.");
  }
  if (view.is_far_from_reefs) {
    notes.emplace_back(
        "Reefs are rare so far from the equator: check the latitude (north is positive, south "
        "negative).");
  }
  notes.emplace_back(
      "The peak is noon under a clear sky. Waves focus flashes far above it, and days with cloud "
      "at "
      "noon stay below.");
  notes.emplace_back(
      "Left out: shade of the reef, of slopes and of neighbours, tides, turbid days. A coral in a "
      "crevice has less than this.");
  return notes;
}

/// The place as the members of a tank file's origin, in its order.
Json place_json(const OriginView& view) {
  Json place{{"latitude", view.origin.latitude.degrees()}};
  if (view.first) place["date"] = to_iso(*view.first);
  if (view.last) place["until"] = to_iso(*view.last);
  if (!view.first) place["season"] = view.season;
  place["depth_m"] = view.origin.depth.m();
  if (const auto* type = std::get_if<WaterType>(&view.origin.water)) {
    place["water"] = name_of(*type);
  } else {
    place["kd"] = std::get<Attenuation>(view.origin.water).per_m();
  }
  // A guess stays one in the file.
  if (!view.cloud_is_guess) place["cloud"] = view.origin.cloud_share;
  for (auto& member : place) {
    // -20, not -20.0.
    if (!member.is_number_float()) continue;
    const double value = member.get<double>();
    if (value == std::floor(value)) member = static_cast<int>(value);
  }
  return place;
}

/// As it goes into a tank file, broken into lines between members.
std::string history_lines(const OriginView& view, const TextStyle& style) {
  const std::string begin = "  \"history\": {\"origin\": {";
  std::string text;
  std::string line = begin;
  const Json place = place_json(view);
  for (auto member = place.begin(); member != place.end(); ++member) {
    std::string part = "\"" + member.key() + "\": " + member.value().dump();
    part += std::next(member) == place.end() ? "}}" : ", ";
    if (line.size() + part.size() > std::min<std::size_t>(style.width, 72)) {
      line.pop_back();
      text += line + "\n";
      line = std::string(begin.size(), ' ');
    }
    line += part;
  }
  return text + line + "\n";
}

}  // namespace

std::string origin_text(const OriginView& view, const TextStyle& style) {
  const OriginLight& light = view.light;
  std::string text = emphasise(
      wrap(fmt::format("Dose {} mol m-2 d-1, noon peak {} umol m-2 s-1, lit {:.1f} h, {}.",
                       to_text(light.dose), to_text(light.peak), light.lit.h(),
                       within_text(light.log_error)),
           style),
      style);
  text += "\n" + wrap(fmt::format("{}, {}, {} m deep, {}, a cloud before the sun {} of the day",
                                  latitude_text(view.origin.latitude), origin_days_text(view),
                                  view.origin.depth.m(), water_text(view),
                                  percent_text(view.origin.cloud_share)),
                      style);
  if (view.origin.days.size() > 1) {
    text += wrap(fmt::format("over these days the dose goes from {} to {}",
                             to_text(light.lowest_dose), to_text(light.highest_dose)),
                 style);
  }
  text += wrap(
      fmt::format("above the atmosphere {:.1f} MJ m-2 d-1; the surface lets pass {}, the water "
                  "leaves {:.1f} %{}",
                  light.extraterrestrial.mj_m2_d(), percent_text(light.passes_surface),
                  100.0 * light.left_at_depth,
                  light.attenuation ? fmt::format(" (Kd {:.3f} m-1 from the surface down)",
                                                  light.attenuation->per_m())
                                    : std::string{}),
      style);
  const OriginError& error = light.error;
  text += wrap(
      fmt::format("standard error: sky {}, photons for energy {}, cloud {}, surface {}, "
                  "water {}",
                  percent_text(error.sky), percent_text(error.photons), percent_text(error.cloud),
                  percent_text(error.surface), percent_text(error.water)),
      style);
  text += "\nAs a group's history in a tank file:\n" + history_lines(view, style) + "\n";
  for (const std::string& note : make_notes(view)) text += wrap(note, style, "  - ", "    ");
  return text;
}

std::string origin_json(const OriginView& view) {
  const OriginLight& light = view.light;
  const OriginError& error = light.error;
  const Json place = place_json(view);
  Json kd = nullptr;
  if (light.attenuation) kd = light.attenuation->per_m();
  return print({{"day_length_h", light.day_length.h()},
                {"extraterrestrial_mj_m2_d", light.extraterrestrial.mj_m2_d()},
                {"dose", light.dose.mol_m2_d()},
                {"peak", light.peak.umol_m2_s()},
                {"lit_hours", light.lit.h()},
                {"relative_error", light.log_error},
                {"errors",
                 {{"sky", error.sky},
                  {"photons", error.photons},
                  {"cloud", error.cloud},
                  {"surface", error.surface},
                  {"water", error.water}}},
                {"days", view.origin.days.size()},
                {"lowest_dose", light.lowest_dose.mol_m2_d()},
                {"highest_dose", light.highest_dose.mol_m2_d()},
                {"water", place.contains("water") ? place["water"] : Json(nullptr)},
                {"cloud", view.origin.cloud_share},
                {"cloud_is_guess", view.cloud_is_guess},
                {"water_is_guess", view.origin.water_is_guess},
                {"passes_surface", light.passes_surface},
                {"left_at_depth", light.left_at_depth},
                {"kd_per_m", std::move(kd)},
                {"history", {{"origin", place}}},
                {"notes", make_notes(view)}});
}

}  // namespace slowdawn
