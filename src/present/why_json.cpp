#include <slowdawn/present/excitation_phrases.hpp>
#include <slowdawn/present/phrases.hpp>
#include <slowdawn/present/present.hpp>
#include <slowdawn/present/seat_phrases.hpp>

#include "present/json_parts.hpp"
#include "present/why_parts.hpp"

namespace slowdawn {
namespace {

Json to_json(const PlannedRamp& ramp, const Setting& setting) {
  Json dials = Json::object();
  for (std::size_t j = 0; j < setting.size(); ++j) {
    dials[ramp.light_name(j)] = to_json(setting[j]);
  }
  return dials;
}

template <class Kind>
double in_unit(Kind kind);
template <>
double in_unit(DailyDose dose) {
  return dose.mol_m2_d();
}
template <>
double in_unit(Ppfd ppfd) {
  return ppfd.umol_m2_s();
}

template <class Kind>
Json cap_json(const CapLine<Kind>& line) {
  return {{"cap", cap_key(line.cap)},
          {"limit", in_unit(line.limit)},
          {"limit_next", line.next ? Json(in_unit(line.next_limit)) : Json(nullptr)},
          {"now", in_unit(line.now)},
          {"next", line.next ? Json(in_unit(*line.next)) : Json(nullptr)},
          {"broken_now", line.broken_now},
          {"broken_next", line.broken_next}};
}

std::string healing_key(Healing heals) {
  switch (heals) {
    case Healing::time: return "time";
    case Healing::good_looks: return "good_looks";
    case Healing::never: return "never";
  }
  return "";
}

Json breaks_json(const PlannedRamp& ramp, const WhyView& view) {
  const RampProblem& problem = ramp.setup.problem;
  Json list = Json::array();
  for (const BrokenCap& broken : view.is_of_all
                                     ? list_breaks(problem, ramp.plan, view.day)
                                     : list_breaks(problem, ramp.plan, view.day, view.group)) {
    list.push_back({{"group", ramp.tank.groups[broken.group].name},
                    {"cap", cap_key(broken.cap)},
                    {"value", broken.value},
                    {"limit", broken.limit},
                    {"heals", healing_key(broken.heals)}});
  }
  return list;
}

/// By light of the ramp, how much of what a meter shows counts for a group, against light
/// that it has had.
Json weights_json(const PlannedRamp& ramp, std::size_t group) {
  const GroupStart& start = ramp.setup.starts[group];
  Json weights = Json::object();
  for (const std::size_t light : ramp.setup.path_lights) {
    const double weight = start.weights[light] > 0.0 ? start.weights[light] / start.unit : 1.0;
    weights[ramp.tank.lights[light].name] = weight;
  }
  return weights;
}

/// A list, since more than one change may be told some day.
Json advice_json(const PlannedRamp& ramp, const std::optional<RampAdvice>& found) {
  Json list = Json::array();
  if (!found) return list;
  const Advice& advice = found->advice;
  Json made = Json::object();
  switch (advice.kind) {
    case Advice::Kind::daily_steps:
      made = {{"kind", "daily_steps"}, {"command", "slowdawn plan --every 1"}};
      break;
    case Advice::Kind::other_spot:
      made = {{"kind", "other_spot"},
              {"group", ramp.tank.groups[advice.group].name},
              {"spot", ramp.tank.spots[found->setup.seats[advice.spot].spot].name},
              {"until", date_or_null(ramp, advice.until)}};
      break;
  }
  made["change"] = advice_change(ramp.tank, *found);
  made["reaches_goal"] = to_iso(ramp.date(advice.goal_day));
  made["days_gained"] = value_or_null(advice.days_sooner);
  list.push_back(std::move(made));
  return list;
}

}  // namespace

std::string why_json(const PlannedRamp& ramp, const WhyView& view,
                     const std::optional<RampAdvice>& advice) {
  const auto [day, group, is_of_all] = view;
  const Explanation made = explain(ramp.setup.problem, ramp.plan, day, group);
  Json caps = Json::array();
  for (const auto& line : made.dose_caps) caps.push_back(cap_json(line));
  for (const auto& line : made.peak_caps) caps.push_back(cap_json(line));
  Json next = nullptr;
  if (made.next_setting) next = to_json(ramp, ramp.setting(*made.next_setting));
  Json binding = nullptr;
  if (made.binding) binding = cap_key(made.binding->cap);
  Json json{{"date", to_iso(ramp.date(day))},
            {"group", ramp.tank.groups[group].name},
            {"dials", dials_json(ramp.tank, ramp.dials(day))},
            {"next_dials", std::move(next)},
            {"exposure", light_json(ramp.tank, ramp.measured(day, group), made.exposure)},
            {"light_weights", weights_json(ramp, group)},
            {"ratio_error", value_or_null(ramp.setup.starts[group].new_light_error)},
            {"acclimated_dose", made.state.used_to.dose.mol_m2_d()},
            {"acclimated_peak", made.state.used_to.peak.umol_m2_s()},
            {"allowed_dose", made.state.allowance.dose.mol_m2_d()},
            {"allowed_peak", made.state.allowance.peak.umol_m2_s()},
            {"caps", std::move(caps)},
            {"binds", std::move(binding)},
            {"days_to_next", value_or_null(made.days_to_next)},
            {"held_by", held_by_json(ramp, day)},
            {"held_for_good_by", held_for_good_json(ramp)},
            {"breaks", breaks_json(ramp, view)},
            {"advice", advice_json(ramp, advice)}};
  if (const auto now = proxy_of(ramp.setup, group, made.exposure.peak)) {
    json["excitation"] = {
        {"ek", ramp.setup.problem.groups[group].tolerance.excitation->ek().umol_m2_s()},
        {"now", *now},
        {"next", made.next_exposure ? Json(*proxy_of(ramp.setup, group, made.next_exposure->peak))
                                    : Json(nullptr)}};
  }
  if (made.move) {
    const Seat& seat = ramp.setup.seats[made.move->spot];
    const Exposure measured = measured_exposure(ramp.tank, seat, ramp.dials(day));
    json["move"] = {{"spot", ramp.tank.spots[seat.spot].name},
                    {"exposure", light_json(ramp.tank, measured, made.move->exposure)},
                    {"binds", made.move->breach ? Json(cap_key(made.move->breach->cap)) : Json()},
                    {"arrives", date_or_null(ramp, arrival_day(ramp.plan, group))}};
  }
  json["waits_for"] = waits_for_json(ramp);
  json["is_proposal"] = ramp.is_proposal();
  add_light_remarks(json, ramp.tank, ramp.setup);
  add_channels(ramp.tank, json);
  return print(json);
}

}  // namespace slowdawn
