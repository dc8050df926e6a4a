#include <algorithm>
#include <boost/algorithm/string/replace.hpp>
#include <slowdawn/present/excitation_phrases.hpp>
#include <slowdawn/present/history_phrases.hpp>
#include <slowdawn/present/hold_phrases.hpp>
#include <slowdawn/present/life_phrases.hpp>
#include <slowdawn/present/log_phrases.hpp>
#include <slowdawn/present/phrases.hpp>
#include <slowdawn/present/present.hpp>
#include <slowdawn/present/seat_phrases.hpp>
#include <sstream>

#include "present/json_parts.hpp"

namespace slowdawn {
namespace {

std::string fit_key(BandFit fit) {
  switch (fit) {
    case BandFit::below_band: return "below_band";
    case BandFit::within_band: return "within_band";
    case BandFit::above_band: return "above_band";
  }
  return "";
}

/// An object from its members. The long lists of a plan are made this way: a
/// braced list of pairs makes and throws away an array for every member.
template <class... Members>
Json object_of(Members&&... members) {
  Json made = Json::object();
  auto& list = made.get_ref<Json::object_t&>();
  list.reserve(sizeof...(members));
  (list.emplace_back(std::forward<Members>(members)), ...);
  return made;
}
using Member = std::pair<const std::string, Json>;

/// What holds a group on a day; of check-ins also whether a sign does or that nobody
/// has looked.
Json holder_json(const PlannedRamp& ramp, std::size_t day, const HeldBy::Group& by) {
  Json holder{{"group", ramp.setup.problem.groups[by.group].name}, {"cap", cap_key(by.breach.cap)}};
  if (by.breach.cap == Cap::check_in) {
    holder["why"] = check_in_cause_key(check_in_cause(ramp, day, by.group));
  }
  return holder;
}

}  // namespace

Json held_by_json(const PlannedRamp& ramp, std::size_t day) {
  const auto& held_by = ramp.plan.days[day].held_by;
  if (!held_by) return nullptr;
  if (!held_by->by) return {{"group", nullptr}, {"cap", "between_steps"}};
  return holder_json(ramp, day, *held_by->by);
}

Json held_for_good_json(const PlannedRamp& ramp) {
  if (!ramp.plan.held_for_good_by) return nullptr;
  return holder_json(ramp, ramp.plan.days.size() - 1, *ramp.plan.held_for_good_by);
}

std::string status_key(PlanStatus status) {
  switch (status) {
    case PlanStatus::reaches_goal: return "reaches_goal";
    case PlanStatus::held: return "held";
    case PlanStatus::no_safe_opening: return "no_safe_opening";
  }
  return "";
}

Json day_json(const PlannedRamp& ramp, std::size_t number) {
  const PlanDay& day = ramp.plan.days[number];
  Json groups = Json::array();
  groups.get_ref<Json::array_t&>().reserve(day.groups.size());
  for (std::size_t g = 0; g < day.groups.size(); ++g) {
    if (!ramp.is_there(number, g)) continue;
    const GroupDay group = day.groups[g];
    const Seat& seat = ramp.seat(number, g);
    const Exposure measured = ramp.measured(number, g);
    groups.push_back(object_of(
        Member("name", ramp.tank.groups[g].name), Member("spot", ramp.tank.spots[seat.spot].name),
        Member("dose", measured.dose.mol_m2_d()), Member("peak", measured.peak.umol_m2_s()),
        Member("acclimated_dose", group.used_to().dose.mol_m2_d()),
        Member("acclimated_peak", group.used_to().peak.umol_m2_s())));
    if (seat.transmission < 1.0) groups.back()["shade"] = seat.transmission;
    if (const auto proxy = proxy_of(ramp.setup, g, group.light.real.peak)) {
      groups.back()["excitation"] = *proxy;
    }
    if (!ramp.tank.has_weights()) continue;
    groups.back()["usable_dose"] = group.light.real.dose.mol_m2_d();
    groups.back()["usable_peak"] = group.light.real.peak.umol_m2_s();
  }
  Json made =
      object_of(Member("date", to_iso(ramp.date(number))),
                Member("dials", dials_json(ramp.tank, ramp.dials(number))),
                Member("held_by", held_by_json(ramp, number)), Member("groups", std::move(groups)));
  add_channels(ramp.tank, made);
  return made;
}

namespace {

Json outcome_json(const PlannedRamp& ramp, std::size_t g) {
  const GroupOutcome& outcome = ramp.plan.groups[g];
  Json fit = nullptr;
  if (outcome.fit && !ramp.tank.meter.is_relative) fit = fit_key(*outcome.fit);
  Json made{{"name", ramp.tank.groups[g].name},
            {"before", light_json(ramp.tank, ramp.tank.measured_before(ramp.tank.groups[g]),
                                  ramp.setup.problem.groups[g].before)},
            {"goal", light_json(ramp.tank, ramp.measured_goal(g), outcome.goal)},
            {"fit", std::move(fit)},
            {"lowest_share", value_or_null(outcome.lowest_share)},
            {"days_below_band", outcome.days_below_band}};
  if (const auto highest = find_highest_excitation(ramp.setup.problem, ramp.plan, g)) {
    made["excitation"] = {{"highest", highest->proxy}, {"date", to_iso(ramp.date(highest->day))}};
  }
  if (is_gone_today(ramp, g)) {
    made["gone_since"] = to_iso(ramp.date(*ramp.followed->gone_on[g]));
  }
  return made;
}

Json moves_json(const PlannedRamp& ramp, std::optional<std::size_t> day) {
  Json moves = Json::array();
  for (const Move& move : ramp.plan.moves) {
    if (day && move.day != *day) continue;
    const Seat& seat = ramp.setup.seats[move.spot];
    Json made{{"date", to_iso(ramp.date(move.day))},
              {"group", ramp.tank.groups[move.group].name},
              {"spot", ramp.tank.spots[seat.spot].name}};
    if (seat.transmission < 1.0) made["shade"] = seat.transmission;
    moves.push_back(std::move(made));
  }
  return moves;
}

Json wait_json(const PlannedRamp& ramp, const Wait& wait) {
  static const char* const names[] = {"good_looks", "restart", "a_look", "a_look_after_accident"};
  return {{"group", ramp.tank.groups[wait.group].name},
          {"what", names[static_cast<int>(wait.what)]},
          {"looks", wait.looks},
          {"earliest", date_or_null(ramp, wait.earliest)},
          {"dials", wait.earliest ? dials_json(ramp.tank, wait.dials) : Json(nullptr)}};
}

/// The days on which the legs began.
Json legs_json(const PlannedRamp& ramp) {
  Json legs = Json::array();
  legs.push_back(to_iso(ramp.start));
  if (ramp.followed == nullptr) return legs;
  for (const std::size_t day : ramp.followed->leg_days) legs.push_back(to_iso(ramp.date(day)));
  return legs;
}

}  // namespace

Json waits_for_json(const PlannedRamp& ramp) {
  const std::vector<Wait> waits = waits_that_hold(ramp);
  return waits.empty() ? Json(nullptr) : wait_json(ramp, waits.front());
}

namespace {

/// Writes a list that is a member of the outermost object, an item at a time, as
/// `print` would.
template <class Make>
void write_list(std::ostream& out, const char* key, std::size_t count, const Make& make) {
  out << ",\n \"" << key << "\": [";
  for (std::size_t i = 0; i < count && out; ++i) {
    std::string item = dump_json(make(i));
    // Strings have no line ends of their own in JSON.
    boost::algorithm::replace_all(item, "\n", "\n  ");
    out << (i > 0 ? ",\n  " : "\n  ") << item;
  }
  out << (count > 0 ? "\n ]" : "]");
}

}  // namespace

void write_plan_json(std::ostream& out, const PlannedRamp& ramp) {
  const Plan& plan = ramp.plan;
  Json head =
      object_of(Member("format", "slowdawn-plan/1"), Member("tank", ramp.tank.name),
                Member("start", to_iso(ramp.start)), Member("status", status_key(plan.status)),
                Member("reaches_goal", date_or_null(ramp, plan.goal_day)),
                Member("settled", date_or_null(ramp, plan.settled_day)),
                Member("held_for_good_by", held_for_good_json(ramp)),
                Member("waits_for", waits_for_json(ramp)), Member("legs", legs_json(ramp)),
                Member("is_proposal", ramp.is_proposal()));
  add_channels(ramp.tank, head);
  std::string text = dump_json(head);
  out << text.substr(0, text.size() - std::string_view{"\n}"}.size());
  write_list(out, "days", plan.days.size(), [&](std::size_t day) { return day_json(ramp, day); });
  write_list(out, "groups", plan.groups.size(),
             [&](std::size_t g) { return outcome_json(ramp, g); });
  Json notes = Json::array();
  if (std::string dim_start = ramp.followed ? "" : dim_start_text(ramp.setup.problem);
      !dim_start.empty()) {
    notes.push_back(std::move(dim_start));
  }
  for (std::string& note : note_texts(ramp)) notes.push_back(std::move(note));
  if (std::string guess = guess_words(ramp.tank); !guess.empty()) notes.push_back(std::move(guess));
  if (ramp.tank.has_weights()) notes.push_back(weights_text(ramp.tank));
  Json tail = object_of(Member("notes", std::move(notes)));
  if (!plan.moves.empty()) tail["moves"] = moves_json(ramp, {});
  add_light_remarks(tail, ramp.tank, ramp.setup);
  out << "," << print(tail).substr(std::string_view{"{"}.size());
}

std::string plan_json(const PlannedRamp& ramp) {
  std::ostringstream out;
  write_plan_json(out, ramp);
  return out.str();
}

namespace {

Json date_json(const std::optional<Date>& date) {
  return date ? Json(to_iso(*date)) : Json(nullptr);
}

Json change_json(const PlannedRamp& ramp, const PlanChange& change) {
  return {{"date", to_iso(change.made)},
          {"entry", change.seq},
          {"from", dials_json(ramp.tank, change.from)},
          {"to", dials_json(ramp.tank, change.to)},
          {"goal_before", date_json(change.goal_before)},
          {"goal_after", date_json(change.goal_after)},
          {"text", change_text(ramp)}};
}

/// Of a followed plan: what it waits for, what changed last, the ways it was lit by
/// accident, and where its legs began.
void add_life(Json& json, const PlannedRamp& ramp) {
  json["waits_for"] = waits_for_json(ramp);
  json["waits"] = Json::array();
  json["last_change"] = ramp.change ? change_json(ramp, *ramp.change) : Json(nullptr);
  if (ramp.followed == nullptr) return;
  for (const Wait& wait : waits_that_hold(ramp)) json["waits"].push_back(wait_json(ramp, wait));
  const std::string accident = accident_text(ramp);
  json["accident"] = accident.empty() ? Json(nullptr) : Json(accident);
  json["legs"] = legs_json(ramp);
  json["is_proposal"] = ramp.is_proposal();
  json["notice"] = ramp.clock_notice.empty() ? Json(nullptr) : Json(ramp.clock_notice);
}

}  // namespace

std::string today_json(const PlannedRamp& ramp, const TodayView& view) {
  using Phase = TodayView::Phase;
  Json next = nullptr;
  Json due = Json::array();
  Json changed = Json::array();
  Json dials = dials_json(ramp.tank, ramp.dials(view.day));
  const auto step_json = [&](std::size_t day) {
    Json step{{"date", to_iso(ramp.date(day))}, {"dials", dials_json(ramp.tank, ramp.dials(day))}};
    if (Json moves = moves_json(ramp, day); !moves.empty()) step["moves"] = std::move(moves);
    return step;
  };
  if (view.phase == Phase::before_start) {
    dials = dials_json(ramp.tank, ramp.tank.ramp.from);
    next = step_json(0);
  } else if (view.phase == Phase::in_plan) {
    if (const auto day = find_next_change(ramp.plan, view.day)) next = step_json(*day);
    for (const std::string& text : changes_since_yesterday(ramp, view.day)) {
      changed.push_back(text);
    }
    for (const ReplayEvent* event : news_around(ramp, view.day)) {
      changed.push_back(event_text(ramp, *event));
    }
    if (view.tank_has_changed) {
      changed.push_back("The tank file has changed since this plan was followed.");
    }
  }
  const bool is_due =
      view.phase == Phase::in_plan || (view.phase == Phase::after_end && is_waiting(ramp));
  if (is_due) {
    for (const std::string& name : groups_due(ramp, view.day)) due.push_back(name);
  }
  Json json{{"date", to_iso(view.date)},
            {"dials", std::move(dials)},
            {"next", std::move(next)},
            {"due", std::move(due)},
            {"changed", std::move(changed)}};
  add_life(json, ramp);
  json["moves"] = Json::array();
  if (view.phase == Phase::in_plan) {
    for (const std::string& move : moves_to_make(ramp, view.day)) json["moves"].push_back(move);
  }
  json["held_for_good_by"] = held_for_good_json(ramp);
  add_light_remarks(json, ramp.tank, ramp.setup);
  add_channels(ramp.tank, json);
  return print(json);
}

namespace {

Json ways_json(const PlannedRamp& ramp, const std::vector<Way>& ways) {
  Json list = Json::array();
  for (const Way& way : ways) {
    const bool is_mesh = way.kind == Way::Kind::mesh;
    Json json{{"kind", is_mesh ? "mesh" : "spot"}, {"group", ramp.tank.groups[way.group].name}};
    if (is_mesh) {
      json["transmission"] = way.transmission;
    } else {
      json["spot"] = ramp.tank.spots[way.spot].name;
    }
    json["dials_today"] = dials_json(ramp.tank, way.dials_today);
    json["reaches_goal"] = date_or_null(ramp, way.goal_day);
    json["command"] = way_command(ramp, way);
    list.push_back(std::move(json));
  }
  return list;
}

}  // namespace

std::string added_json(const PlannedRamp& ramp, const AddedView& view) {
  Json responses = Json::array();
  Judgement gravest = Judgement::at_ease;
  for (const std::size_t number : view.events) {
    const ReplayEvent& event = ramp.followed->events[number];
    gravest = std::max(gravest, event.outcome.judgement);
    responses.push_back({{"group", ramp.tank.groups[event.group].name},
                         {"response", judgement_key(event.outcome.judgement)},
                         {"all_at_once", event.all_at_once},
                         {"text", event_text(ramp, event)}});
  }
  Json response = nullptr;
  if (!view.events.empty()) response = judgement_key(gravest);
  Json json{{"kind", view.kind},
            {"response", std::move(response)},
            {"responses", std::move(responses)},
            {"plan_changed", view.plan_changed},
            {"date", to_iso(view.today.date)},
            {"dials", dials_json(ramp.tank, ramp.dials(view.today.day))}};
  json["ways"] = ways_json(ramp, view.ways);
  add_life(json, ramp);
  add_channels(ramp.tank, json);
  return print(json);
}

std::string history_json(const std::vector<LogEntry>& stored, const std::vector<Entry>& entries) {
  Json list = Json::array();
  for (std::size_t i = 0; i < stored.size(); ++i) {
    const LogEntry& entry = stored[i];
    list.push_back({{"seq", entry.seq},
                    {"date", to_iso(entry.date)},
                    {"kind", entry.kind},
                    {"made", to_iso(entry.made)},
                    {"undone", entries[i].undone},
                    {"body", Json::parse(entry.body)},
                    {"plan", entry.plan.empty() ? Json(nullptr) : Json::parse(entry.plan.str())},
                    {"record", entry.record.empty() ? Json::array() : Json::parse(entry.record)}});
  }
  return print({{"format", "slowdawn-history/1"}, {"entries", std::move(list)}});
}

}  // namespace slowdawn
