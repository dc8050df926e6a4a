#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <slowdawn/present/life_phrases.hpp>
#include <slowdawn/present/log_phrases.hpp>
#include <slowdawn/present/phrases.hpp>
#include <slowdawn/present/present.hpp>
#include <slowdawn/present/seat_phrases.hpp>

#include "present/json_parts.hpp"

namespace slowdawn {
namespace {

constexpr std::array<const char*, 3> pace_names{"gentle", "standard", "brisk"};
constexpr const char* any_group = "any group";

/// "12.3 % (+-0.4)". What would read as never or always says how little of the
/// other there can be, by the bounds.
std::string chance_text(const Chance& chance) {
  constexpr double too_little_to_print = 0.0005;
  const auto bounds = chance.bounds();
  const double share = chance.share();
  if (share < too_little_to_print) {
    return fmt::format("under {:.1f} %", std::ceil(1000.0 * bounds.high) / 10.0);
  }
  if (share > 1.0 - too_little_to_print) {
    return fmt::format("over {:.1f} %", std::floor(1000.0 * bounds.low) / 10.0);
  }
  const double error = 100.0 * chance.standard_error();
  return fmt::format("{:.1f} % (+-{:.{}f})", 100.0 * share, error, error < 0.05 ? 2 : 1);
}

std::string worst_day_text(const PlannedRamp& ramp, const Chance& chance) {
  return chance.worst_day ? to_iso(ramp.date(*chance.worst_day)) : "-";
}

bool has_history_from_elsewhere(const PlannedRamp& ramp) {
  return std::any_of(ramp.setup.starts.begin(), ramp.setup.starts.end(), [](const auto& start) {
    return start.basis.kind == StartBasis::Kind::elsewhere;
  });
}

bool has_mesh(const PlannedRamp& ramp) {
  for (const PlanDay& day : ramp.plan.days) {
    for (std::size_t g = 0; g < day.groups.size(); ++g) {
      if (ramp.setup.seats[day.groups.spot(g)].transmission < 1.0) return true;
    }
  }
  return false;
}

/// What the chances rest on, a sentence or two each.
std::vector<std::string> list_assumptions(const PlannedRamp& ramp, const RiskView& view) {
  std::vector<std::string> list{
      fmt::format("{} draws in pairs of opposite signs, seed {}; +- is one standard error of the "
                  "drawing, and says nothing of how true the model is.",
                  view.risk.draws, view.seed),
      "Readings: what each light truly gives at each spot is normal around what was read there, "
      "and "
      "never under 0, with the errors of these readings and what they share; what was estimated "
      "there is log-normal. What a group is used to and what the plan brings it both follow from "
      "that, so an error that is in both cancels. Groups at one spot share it.",
  };
  if (has_history_from_elsewhere(ramp)) {
    list.emplace_back(
        "Light from elsewhere: what a group had is log-normal around what its history says, with "
        "the error of its own and the calibration of your meter, which is one for all.");
  }
  if (has_mesh(ramp)) {
    list.push_back(fmt::format(
        "Meshes: what each lets through is log-normal around what was measured, with {:.1f} %, as "
        "of two readings.",
        100.0 * std::sqrt(2.0) * ramp.tank.meter.accuracy.repeat.fraction()));
  }
  list.push_back(fmt::format(
      "Tolerance: a group's true headroom is log-normal around its profile's, whatever the pace, "
      "with a standard deviation of {:.0f} %; both its time constants likewise, by one factor, "
      "with {:.0f} %. Design choices, no source.",
      100.0 * headroom_spread, 100.0 * tau_spread));
  list.emplace_back(
      "More than it bears: a day's dose or peak over 1 + true headroom times what the group is "
      "truly used to by then. Bands, ceilings and the pace are no part of it.");
  if (ramp.followed != nullptr) {
    list.push_back(fmt::format(
        "Days before {} are lived through as they were dialled. Too much on one of them does not "
        "count here, and how the corals looked counts only by what the plan has learned from it.",
        to_iso(ramp.date(view.from))));
    list.emplace_back(
        "The three paces are those of the followed tank file's ramp, planned anew from its first "
        "day, as if nothing had been logged.");
  }
  list.emplace_back(
      "This is a model of our own, not held against corals: it compares plans, and is no chance of "
      "bleaching.");
  return list;
}

/// The groups that are not gone by the first day that is asked about.
std::vector<std::size_t> groups_asked(const PlannedRamp& ramp, const RiskView& view) {
  std::vector<std::size_t> groups;
  for (std::size_t g = 0; g < view.risk.groups.size(); ++g) {
    if (ramp.followed == nullptr || !ramp.followed->is_gone(g, view.from)) groups.push_back(g);
  }
  return groups;
}

std::string headline(const PlannedRamp& ramp, const RiskView& view) {
  const std::vector<std::size_t> groups = groups_asked(ramp, view);
  const std::size_t most_at =
      *std::max_element(groups.begin(), groups.end(), [&](std::size_t a, std::size_t b) {
        return view.risk.groups[a].met < view.risk.groups[b].met;
      });
  const Chance* most = &view.risk.groups[most_at];
  std::string text;
  if (ramp.followed != nullptr) text += fmt::format("From {} on, ", to_iso(ramp.date(view.from)));
  text += fmt::format("{}: {} that it meets more than it bears",
                      to_safe_text(ramp.tank.groups[most_at].name), chance_text(*most));
  if (most->worst_day) text += ", most likely on " + worst_day_text(ramp, *most);
  text += ".";
  if (groups.size() == 1) return text;
  return text + fmt::format(" That any of the {} groups does: {}.", groups.size(),
                            chance_text(view.risk.any));
}

std::string groups_table(const PlannedRamp& ramp, const RiskView& view, const TextStyle& style) {
  using Align = TextTable::Align;
  TextTable table{
      {{"group", Align::left}, {"chance", Align::right}, {"most likely on", Align::left}}};
  const auto add = [&](const std::string& name, const Chance& chance) {
    table.add({name, chance_text(chance), worst_day_text(ramp, chance)});
  };
  for (const std::size_t g : groups_asked(ramp, view)) {
    add(to_safe_text(ramp.tank.groups[g].name), view.risk.groups[g]);
  }
  add(any_group, view.risk.any);
  return table.to_text(style);
}

std::string paces_table(const PlannedRamp& ramp, const RiskView& view, const TextStyle& style) {
  using Align = TextTable::Align;
  TextTable table{{{"group", Align::left},
                   {pace_names[0], Align::right},
                   {pace_names[1], Align::right},
                   {pace_names[2], Align::right}}};
  const auto add = [&](const std::string& name, const auto& cell) {
    std::vector<std::string> cells{name};
    for (const PaceRisk& pace : view.paces) cells.push_back(pace.risk ? cell(pace) : "-");
    table.add(std::move(cells));
  };
  for (const std::size_t g : groups_asked(ramp, view)) {
    add(to_safe_text(ramp.tank.groups[g].name),
        [&](const PaceRisk& pace) { return chance_text(pace.risk->groups[g]); });
  }
  add(any_group, [](const PaceRisk& pace) { return chance_text(pace.risk->any); });
  add("days until settled", [](const PaceRisk& pace) {
    return pace.settled_day ? std::to_string(*pace.settled_day) : std::string{"never"};
  });
  std::string text = table.to_text(style);
  for (std::size_t i = 0; i < view.paces.size(); ++i) {
    if (view.paces[i].risk) continue;
    text += wrap(fmt::format("{}: no setting is safe on the first day.", pace_names[i]), style);
  }
  return text;
}

}  // namespace

std::string risk_text(const PlannedRamp& ramp, const RiskView& view, const TextStyle& style) {
  std::string text = proposal_text(ramp, style) +
                     emphasise(wrap(headline(ramp, view), style), style) + "\n" +
                     groups_table(ramp, view, style) + "\nPlanned at each pace, the same draws\n" +
                     paces_table(ramp, view, style) + "\nWhat it rests on\n";
  for (const std::string& line : list_assumptions(ramp, view)) {
    text += wrap(line, style, "  - ", "    ");
  }
  return text + light_remarks(ramp.tank, ramp.setup, style);
}

namespace {

Json chance_json(const Chance& chance, const Date& start) {
  const auto bounds = chance.bounds();
  Json made{{"chance", chance.share()},
            {"standard_error", chance.standard_error()},
            {"low", bounds.low},
            {"high", bounds.high},
            {"worst_day", nullptr}};
  if (chance.worst_day) made["worst_day"] = to_iso(days_after(start, *chance.worst_day));
  return made;
}

Json chances_json(const PlannedRamp& ramp, const RiskView& view, const Risk& risk) {
  Json groups = Json::array();
  for (const std::size_t g : groups_asked(ramp, view)) {
    Json made{{"name", ramp.tank.groups[g].name}};
    made.update(chance_json(risk.groups[g], ramp.start));
    groups.push_back(std::move(made));
  }
  return {{"groups", std::move(groups)}, {"any", chance_json(risk.any, ramp.start)}};
}

}  // namespace

std::string risk_json(const PlannedRamp& ramp, const RiskView& view) {
  Json json{{"tank", ramp.tank.name},
            {"from", to_iso(ramp.date(view.from))},
            {"seed", view.seed},
            {"draws", view.risk.draws},
            {"is_proposal", ramp.is_proposal()}};
  json.update(chances_json(ramp, view, view.risk));
  json["paces"] = Json::object();
  for (std::size_t i = 0; i < view.paces.size(); ++i) {
    const PaceRisk& pace = view.paces[i];
    Json& made = json["paces"][pace_names[i]];
    if (!pace.risk) continue;
    made = {{"settled", nullptr}};
    if (pace.settled_day) made["settled"] = to_iso(ramp.date(*pace.settled_day));
    made.update(chances_json(ramp, view, *pace.risk));
  }
  json["assumptions"] = list_assumptions(ramp, view);
  add_light_remarks(json, ramp.tank, ramp.setup);
  return print(json);
}

}  // namespace slowdawn
