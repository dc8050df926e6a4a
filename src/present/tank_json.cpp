#include <algorithm>
#include <slowdawn/present/history_phrases.hpp>
#include <slowdawn/present/present.hpp>
#include <slowdawn/present/seat_phrases.hpp>
#include <slowdawn/tank/utf8.hpp>

#include "present/json_parts.hpp"
#include "present/known_light_text.hpp"
#include "present/spectrum_text.hpp"

namespace slowdawn {

Json dials_json(const Tank& tank, const std::map<std::size_t, Percent>& by_light) {
  Json dials = Json::object();
  for (const auto& [light, dial] : by_light) dials[tank.lights[light].name] = to_json(dial);
  return dials;
}

namespace {

/// Of dials by name; empty where no light of them has channels.
Json channels_json(const std::vector<const TankLight*>& mixed, const Json& dials) {
  Json channels = Json::object();
  for (const TankLight* light : mixed) {
    const auto dial = dials.find(light->name);
    if (dial == dials.end()) continue;
    Json& of_light = channels[light->name] = Json::object();
    for (const ChannelDial& channel : light->channel_dials(Percent::of_full(*dial))) {
      of_light[channel.name] = to_json(channel.dial);
    }
  }
  return channels;
}

void add_channels_within(const std::vector<const TankLight*>& mixed, Json& json) {
  for (Json& item : json) {
    if (item.is_structured()) add_channels_within(mixed, item);
  }
  if (!json.is_object()) return;
  for (const std::string end : {"", "_today"}) {
    const auto dials = json.find("dials" + end);
    if (dials == json.end() || !dials->is_object()) continue;
    Json channels = channels_json(mixed, *dials);
    if (!channels.empty()) json["channels" + end] = std::move(channels);
  }
}

}  // namespace

void add_channels(const Tank& tank, Json& json) {
  std::vector<const TankLight*> mixed;
  for (const TankLight& light : tank.lights) {
    if (!light.channels.empty()) mixed.push_back(&light);
  }
  if (!mixed.empty()) add_channels_within(mixed, json);
}

std::string dump_json(const Json& json) {
  const std::string text = json.dump(1, ' ', false, Json::error_handler_t::replace);
  std::string escaped;
  escaped.reserve(text.size());
  for (std::size_t at = 0; at < text.size();) {
    // ASCII is as it should be; the line ends between the values are no part of a name.
    const auto is_wide = [](char c) { return static_cast<unsigned char>(c) >= 0x7F; };
    const auto wide =
        std::find_if(text.begin() + static_cast<std::ptrdiff_t>(at), text.end(), is_wide);
    escaped.append(text.begin() + static_cast<std::ptrdiff_t>(at), wide);
    at = static_cast<std::size_t>(wide - text.begin());
    if (wide == text.end()) break;
    const auto [point, length] = first_character(std::string_view{text}.substr(at));
    if (point && must_be_spelled_out(*point)) {
      escaped += to_json_escape(*point);
    } else {
      escaped.append(text, at, length);
    }
    at += length;
  }
  return escaped;
}

void add_guesses(Json& json, const Tank& tank) {
  Json guessed = Json::array();
  for (const Group& group : tank.groups) {
    if (group.history && group.history->is_guess()) guessed.push_back(group.name);
  }
  if (!guessed.empty()) json["guessed"] = std::move(guessed);
}

Json light_json(const Tank& tank, const Exposure& measured, const Exposure& usable) {
  Json json = to_json(measured);
  if (!tank.has_weights()) return json;
  json["usable_dose"] = usable.dose.mol_m2_d();
  json["usable_peak"] = usable.peak.umol_m2_s();
  return json;
}

/// What a tank needs to be said of its light figures, put into an answer.
void add_light_remarks(Json& json, const Tank& tank, const RampSetup& setup) {
  if (tank.meter.is_relative) json["relative"] = true;
  Json estimated = Json::array();
  for (const EstimatedLight& estimate : list_estimates(tank, setup)) {
    estimated.push_back({{"spot", tank.spots[estimate.spot].name},
                         {"light", tank.lights[estimate.light].name},
                         {"log_error", estimate.log_error}});
  }
  if (!estimated.empty()) json["estimated"] = std::move(estimated);
  add_guesses(json, tank);
  for (const TankLight& light : tank.lights) {
    if (!light.sun) continue;
    const auto& [place, ahead] = *light.sun;
    json["suns"].push_back({{"light", light.name},
                            {"latitude", place.latitude.degrees()},
                            {"cloud", place.cloud_share},
                            {"brightest_from", to_iso(*tank.ramp.start)},
                            {"brightest_of_days", days_of_sun_ahead},
                            {"open_dose", ahead.dose.mol_m2_d()},
                            {"open_noon", ahead.noon.umol_m2_s()}});
  }
  if (!tank.has_weights()) return;
  Json weights = Json::object();
  for (const TankLight& light : tank.lights) weights[light.name] = light.usable_weight;
  json["usable_weights"] = std::move(weights);
}

std::string written_json(const std::string& file) { return print(Json{{"written", file}}); }

namespace {

Json profile_json(const Profile& profile) {
  static const char* const classes[] = {"low", "medium", "high"};
  const Tolerance& t = profile.tolerance;
  Json basis = Json::object();
  for (const auto* keys : {&profile_figure_keys(), &optional_profile_figure_keys()}) {
    for (const std::string& key : *keys) {
      if (const auto found = profile.basis.find(key); found != profile.basis.end()) {
        basis[key] = found->second;
      }
    }
  }
  Json made{{"name", profile.name},
            {"covers", profile.covers},
            {"light_class", classes[static_cast<int>(profile.light_class)]},
            {"dose_band", {t.dose_band.low.mol_m2_d(), t.dose_band.high.mol_m2_d()}},
            {"peak_ceiling", t.peak_ceiling.umol_m2_s()},
            {"headroom_percent", t.headroom.percent()},
            {"weekly_rise_percent", t.weekly_rise.percent()},
            {"tau_up_days", t.tau_up.d()},
            {"tau_down_days", t.tau_down.d()},
            {"carryover", t.carryover},
            {"floor_percent", t.floor.percent()}};
  if (t.excitation) {
    made["ek"] = t.excitation->ek().umol_m2_s();
    if (t.excitation->cap()) made["excitation_cap"] = *t.excitation->cap();
  }
  made["notes"] = profile.notes;
  made["basis"] = std::move(basis);
  return made;
}

Json history_json(const History& history, const RampGroup& planned) {
  Json made{
      {"basis", history_basis_key(history.basis)},
      {"dose", history.light.dose.mol_m2_d()},
      {"peak", history.light.peak.umol_m2_s()},
      {"dark_days", history.dark_days},
      {"counts",
       {{"dose", planned.used_to.dose.mol_m2_d()}, {"peak", planned.used_to.peak.umol_m2_s()}}}};
  if (history.error) made["relative_error"] = *history.error;
  if (history.since) made["since"] = to_iso(*history.since);
  if (!history.place.empty()) made["place"] = history.place;
  return made;
}

Json finding_json(const Finding& finding) {
  return {{"file", finding.place.file},       {"line", finding.place.line},
          {"column", finding.place.column},   {"error", finding.what},
          {"pointer", finding.place.pointer}, {"hint", finding.hint}};
}

}  // namespace

std::string findings_json(const Findings& findings) {
  Json errors = Json::array();
  for (const Finding& finding : findings) errors.push_back(finding_json(finding));
  // A file's name or content may be no UTF-8; that must not hide the error.
  return print(Json{{"errors", std::move(errors)}});
}

std::string check_json(const Tank& tank, const RampSetup& setup) {
  Json groups = Json::array();
  for (std::size_t g = 0; g < tank.groups.size(); ++g) {
    const RampGroup& group = setup.problem.groups[g];
    const GoalFit fit = judge_goal(setup.problem, group);
    static const char* const verdicts[] = {"too_dim", "right", "too_bright"};
    Json judged{
        {"name", group.name},
        {"spot", tank.spots[tank.groups[g].spot_of_ramp()].name},
        {"before", light_json(tank, tank.measured_before(tank.groups[g]), group.before)},
        {"goal", light_json(tank, measured_goal(tank, setup, group), fit.goal)},
        {"dose_band",
         {group.tolerance.dose_band.low.mol_m2_d(), group.tolerance.dose_band.high.mol_m2_d()}},
        {"peak_ceiling", group.tolerance.peak_ceiling.umol_m2_s()},
        {"verdict", verdicts[static_cast<int>(fit.verdict)]},
        {"dose_ratio", fit.dose_ratio},
        {"peak_ratio", fit.peak_ratio},
        {"outranked_by_history", fit.outranked_by_history}};
    if (tank.meter.is_relative) {
      for (const char* key : {"dose_band", "peak_ceiling", "verdict", "dose_ratio", "peak_ratio"}) {
        judged[key] = nullptr;
      }
    }
    if (tank.groups[g].history) judged["history"] = history_json(*tank.groups[g].history, group);
    if (const auto& excitation = group.tolerance.excitation) {
      judged["excitation"] = {{"ek", excitation->ek().umol_m2_s()},
                              {"before", excitation->proxy_at(group.before.peak)},
                              {"goal", excitation->proxy_at(fit.goal.peak)}};
      if (excitation->cap()) {
        judged["excitation"]["cap"] = *excitation->cap();
        judged["excitation"]["peak_at_cap"] = excitation->peak_at_cap()->umol_m2_s();
        judged["excitation_ratio"] = fit.excitation_ratio;
      }
    }
    judged["known_to"] = group_doubt_json(tank, tank.groups[g]);
    groups.push_back(std::move(judged));
  }
  Json warnings = Json::array();
  for (const Finding& warning : tank.warnings) {
    warnings.push_back({{"line", warning.place.line},
                        {"column", warning.place.column},
                        {"warning", warning.what},
                        {"pointer", warning.place.pointer},
                        {"hint", warning.hint}});
  }
  Json json{{"tank", tank.name},
            {"from", dials_json(tank, tank.ramp.from)},
            {"to", dials_json(tank, tank.ramp.to)},
            {"groups", std::move(groups)},
            {"warnings", std::move(warnings)}};
  add_light_remarks(json, tank, setup);
  add_spectra(json, tank);
  return print(json);
}

std::string profiles_json(const std::vector<Profile>& profiles) {
  Json list = Json::array();
  for (const Profile& profile : profiles) list.push_back(profile_json(profile));
  return print({{"profiles", std::move(list)}});
}

}  // namespace slowdawn
