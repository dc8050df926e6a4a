#include <fmt/format.h>

#include <cmath>
#include <slowdawn/present/excitation_phrases.hpp>
#include <slowdawn/present/history_phrases.hpp>
#include <slowdawn/present/hold_phrases.hpp>
#include <slowdawn/present/life_phrases.hpp>
#include <slowdawn/present/log_phrases.hpp>
#include <slowdawn/present/phrases.hpp>
#include <slowdawn/present/present.hpp>
#include <slowdawn/present/seat_phrases.hpp>

#include "present/why_parts.hpp"

namespace slowdawn {
namespace {

std::string fine(DailyDose dose) { return fmt::format("{:.2f}", dose.mol_m2_d()); }
std::string fine(Ppfd ppfd) { return fmt::format("{:.1f}", ppfd.umol_m2_s()); }

std::string formula(Cap cap, const RampGroup& group, const GroupState& state) {
  const Tolerance& t = group.tolerance;
  const Acclimation& used = state.used_to;
  switch (cap) {
    case Cap::dose_pace:
      return fmt::format("max(L {}, A {})", fine(state.allowance.dose), fine(used.dose));
    case Cap::dose_headroom: return fmt::format("A {} + {}", fine(used.dose), to_text(t.headroom));
    case Cap::dose_band:
      return fmt::format("max(band {}, before {})", fine(t.dose_band.high),
                         fine(group.before.dose));
    case Cap::dose_floor: return fmt::format("A {} - {}", fine(used.dose), to_text(t.floor));
    case Cap::peak_pace:
      return fmt::format("max(M {}, B {})", fine(state.allowance.peak), fine(used.peak));
    case Cap::peak_headroom: return fmt::format("B {} + {}", fine(used.peak), to_text(t.headroom));
    case Cap::peak_ceiling:
      return fmt::format("max(ceiling {}, before {})", fine(t.peak_ceiling),
                         fine(group.before.peak));
    case Cap::check_in: return "set by its check-ins";
    case Cap::excitation:
      return fmt::format("max(at its cap {}, before {})", fine(*t.excitation->peak_at_cap()),
                         fine(group.before.peak));
  }
  return "";
}

/// Where a group is to move, and what it waits for.
std::string move_reason(const PlannedRamp& ramp, std::size_t day, std::size_t group,
                        const MoveOutlookOfDay& move) {
  const std::string there = seat_text(ramp.tank, ramp.setup.seats[move.spot]);
  std::string text = fmt::format("to {}, where it would get {}dose {}, peak {} today", there,
                                 ramp.tank.has_weights() ? "usable " : "", fine(move.exposure.dose),
                                 fine(move.exposure.peak));
  if (move.breach) {
    text += fmt::format(": {} {}", over_text(move.breach->ratio), cap_phrase(move.breach->cap));
  }
  const auto arrival = arrival_day(ramp.plan, group);
  if (!arrival || *arrival < day) return text + ". The plan finds no day for it";
  return text + fmt::format(". It is to be there on {}", to_iso(ramp.date(*arrival)));
}

template <class Kind>
void add_row(TextTable& table, const CapLine<Kind>& line, const RampGroup& group,
             const GroupState& state, const std::optional<Breach>& binding, bool is_relative) {
  if (is_relative && (line.cap == Cap::dose_band || line.cap == Cap::peak_ceiling)) return;
  std::string mark;
  if (line.broken_now) mark = "over now";
  if (line.broken_next) mark = line.cap == Cap::dose_floor ? "under" : "over";
  if (binding && binding->cap == line.cap) mark = "BINDS";
  table.add({cap_key(line.cap), fine(line.now), line.next ? fine(*line.next) : "-",
             fine(line.limit), mark, formula(line.cap, group, state)});
}

/// "bars 1.41 times": the lights of the ramp that count for more than a meter shows, with
/// why; empty where none does.
std::string weights_text(const PlannedRamp& ramp, std::size_t group) {
  const GroupStart& start = ramp.setup.starts[group];
  std::vector<std::string> weighed;
  for (const std::size_t light : ramp.setup.path_lights) {
    const double weight = start.weights[light] / start.unit;
    if (weight < 1.005) continue;
    weighed.push_back(
        fmt::format("{} {:.2f} times", to_safe_text(ramp.tank.lights[light].name), weight));
  }
  if (weighed.empty()) return "";
  const Tolerance& tolerance = ramp.setup.problem.groups[group].tolerance;
  std::string why;
  if (start.new_light_error) {
    why =
        fmt::format("carryover {:.0f} % under new light, and the change is known to about {:.0f} %",
                    100.0 * tolerance.carryover, 100.0 * *start.new_light_error);
  } else {
    why = "the readings of its old and its new spot are in doubt";
  }
  return list_words(weighed) + " what a meter shows, against light that it has had: " + why;
}

/// Where new light makes up another part of the next setting, what that does to limits.
std::string next_limits_text(const Explanation& made) {
  if (!made.next_setting) return "";
  const CapLine<DailyDose>& pace = made.dose_caps.front();
  const double change = 100.0 * (pace.next_limit / pace.limit - 1.0);
  if (std::abs(change) < 0.5) return "";
  return fmt::format(
      "At the next setting another part of its light is new to it; in that light the limits of "
      "pace, "
      "headroom and floor are {:.0f} % {}.",
      std::abs(change), change < 0.0 ? "lower" : "higher");
}

/// What the next setting breaks, and what would allow it.
std::string breaks_section(const PlannedRamp& ramp, const WhyView& view,
                           const std::optional<std::size_t>& days_to_next, const TextStyle& style) {
  const std::vector<BrokenCap> own =
      list_breaks(ramp.setup.problem, ramp.plan, view.day, view.group);
  std::string text;
  if (!own.empty()) {
    const std::string name = to_safe_text(ramp.tank.groups[view.group].name);
    text += "\n" + wrap("The next setting breaks, for " + name + ":", style);
    for (const std::string& each : break_lines(ramp, view, own)) {
      text += wrap(each, style, "  - ", "    ");
    }
  }
  if (const std::string others = view.is_of_all ? others_text(ramp, view, own.empty()) : "";
      !others.empty()) {
    text += (own.empty() ? "\n" : "") + wrap(others, style);
  }
  if (const std::string remedy = remedy_text(ramp, view, own, days_to_next); !remedy.empty()) {
    text += "\n" + wrap(remedy, style);
  }
  return text;
}

/// That a group has come later, or is gone by then.
std::string absent_text(const PlannedRamp& ramp, const WhyView& view, const TextStyle& style) {
  const std::string name = to_safe_text(ramp.tank.groups[view.group].name);
  const bool is_gone = ramp.followed->is_gone(view.group, view.day);
  const std::size_t since =
      is_gone ? *ramp.followed->gone_on[view.group] : ramp.followed->came_on[view.group];
  return wrap(
      fmt::format("{} {} {}; on {} it is not there.", name, is_gone ? "is gone since" : "comes on",
                  to_iso(ramp.date(since)), to_iso(ramp.date(view.day))),
      style);
}

}  // namespace

std::string why_text(const PlannedRamp& ramp, const WhyView& view, const TextStyle& style) {
  const auto [day, group_number, is_of_all] = view;
  if (!ramp.is_there(day, group_number)) return absent_text(ramp, view, style);
  const RampGroup group = group_on_day(ramp.setup.problem, ramp.plan, day, group_number);
  const Explanation made = explain(ramp.setup.problem, ramp.plan, day, group_number);
  const std::string name = to_safe_text(group.name);
  const std::string today = dials_text(ramp.tank, ramp.dials(day));

  std::string answer;
  if (!made.next_setting) {
    answer = fmt::format("{} on {}: {}, which is the goal.", name, to_iso(ramp.date(day)), today);
  } else if (made.binding) {
    const bool is_check_in = made.binding->cap == Cap::check_in;
    answer = fmt::format("{} on {}: {} and no further{}.", name, to_iso(ramp.date(day)), today,
                         is_check_in ? ": " + check_in_words(ramp, day, group_number)
                                     : ", because of the " + cap_phrase(made.binding->cap));
  } else {
    answer = fmt::format("{} on {}: {}. This group would bear the next step; not further: {}.",
                         name, to_iso(ramp.date(day)), today, held_by_text(ramp, day));
  }
  std::string text = proposal_text(ramp, style) + emphasise(wrap(answer, style), style);
  if (ramp.followed != nullptr && day >= ramp.followed->today) {
    for (const std::string& wait : wait_texts(ramp)) text += wrap(wait, style);
  }
  text += "\n";

  const auto line = [&](std::string_view label, const std::string& words) {
    text += wrap(words, style, "  " + fit_left(label, 16), std::string(18, ' '));
  };
  line("spot", seat_text(ramp.tank, ramp.seat(day, group_number)));
  const Exposure measured = ramp.measured(day, group_number);
  line("gets today", fmt::format("dose {}, peak {}", fine(measured.dose), fine(measured.peak)));
  const bool has_weights = ramp.tank.has_weights();
  if (has_weights) {
    line("of it usable",
         fmt::format("dose {}, peak {}", fine(made.exposure.dose), fine(made.exposure.peak)));
  }
  if (made.next_setting) {
    line("next setting", setting_text(ramp, ramp.setting(*made.next_setting)));
  }
  if (const Group& meant = ramp.tank.groups[group_number]; meant.history) {
    line("before", history_words(ramp.tank, meant, ramp.setup.problem.groups[group_number]));
  }
  if (const std::string words = weights_text(ramp, group_number); !words.empty()) {
    line("new light", words);
  }
  line("is used to", fmt::format("dose A = {}, peak B = {}", fine(made.state.used_to.dose),
                                 fine(made.state.used_to.peak)));
  line("pace allows", fmt::format("dose L = {}, peak M = {}", fine(made.state.allowance.dose),
                                  fine(made.state.allowance.peak)));
  if (const auto& excitation = group.tolerance.excitation) {
    std::string words = proxy_text(excitation->proxy_at(made.exposure.peak)) + " today";
    if (made.next_exposure) {
      words += fmt::format(", {} at the next setting",
                           proxy_text(excitation->proxy_at(made.next_exposure->peak)));
    }
    line("excitation",
         fmt::format("{}; {}. {}", words, ek_text(group.tolerance), excitation_title));
  }
  if (ramp.plan.held_for_good_by) line("in the end", held_for_good_sentence(ramp));
  if (made.move) line("is to move", move_reason(ramp, day, group_number, *made.move));
  text += "\n" + wrap(units_text(ramp.tank) + (has_weights ? "; below, usable light" : ""), style) +
          "\n";

  using Align = TextTable::Align;
  TextTable table{{{"cap", Align::left},
                   {"today", Align::right},
                   {"next", Align::right},
                   {"limit", Align::right},
                   {"", Align::left},
                   {"that is", Align::left}}};
  const auto add_rows = [&](const auto& rows) {
    for (const auto& row : rows) {
      add_row(table, row, group, made.state, made.binding, ramp.tank.meter.is_relative);
    }
  };
  add_rows(made.dose_caps);
  add_rows(made.peak_caps);
  text += table.to_text(style);
  if (const std::string words = next_limits_text(made); !words.empty()) {
    text += "\n" + wrap(words, style);
  }
  text += light_remarks(ramp.tank, ramp.setup, style);
  return text + breaks_section(ramp, view, made.days_to_next, style);
}

}  // namespace slowdawn
