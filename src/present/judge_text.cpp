#include <fmt/format.h>

#include <algorithm>
#include <slowdawn/present/log_phrases.hpp>
#include <slowdawn/present/phrases.hpp>
#include <slowdawn/present/present.hpp>
#include <slowdawn/present/seat_phrases.hpp>

#include "present/json_parts.hpp"

namespace slowdawn {
namespace {

/// Days of one group and cap, one after the other.
struct BreakRun {
  const CapUse* worst;
  std::size_t first_day;
  std::size_t last_day;
};

double share_over(const CapUse& use) {
  return use.cap == Cap::dose_floor ? use.limit / use.value : use.value / use.limit;
}

std::vector<BreakRun> list_runs(const std::vector<CapUse>& breaks) {
  std::vector<BreakRun> runs;
  for (const CapUse& use : breaks) {
    const auto goes_on = [&](const BreakRun& run) {
      return run.worst->group == use.group && run.worst->cap == use.cap &&
             run.last_day + 1 == use.day;
    };
    const auto run = std::find_if(runs.begin(), runs.end(), goes_on);
    if (run == runs.end()) {
      runs.push_back({&use, use.day, use.day});
      continue;
    }
    run->last_day = use.day;
    if (share_over(use) > share_over(*run->worst)) run->worst = &use;
  }
  return runs;
}

std::string amount_text(Cap cap, double value) {
  return is_of_peak(cap) ? to_text(Ppfd::umol_m2_s(value)) : to_text(DailyDose::mol_m2_d(value));
}

std::string share_text(const CapUse& use) {
  return use.cap == Cap::dose_floor
             ? fmt::format("{:.1f} % under it", 100.0 * (1.0 - use.value / use.limit))
             : over_text(share_over(use)).append(" cap");
}

std::string setting_text(const Tank& tank, const RampSetup& setup, const Setting& setting) {
  std::map<std::size_t, Percent> dials;
  for (std::size_t j = 0; j < setting.size(); ++j) dials[setup.path_lights[j]] = setting[j];
  return dials_text(tank, dials);
}

class JudgeText {
 public:
  JudgeText(const Tank& tank, const RampSetup& setup, const ScheduleView& view,
            const TextStyle& style)
      : tank_(tank), setup_(setup), view_(view), style_(style) {}

  std::string text() const {
    const std::string name = to_safe_text(tank_.name);
    if (view_.verdict.breaks.empty()) return kept(name) + moves() + caution();
    std::vector<std::size_t> days;
    for (const CapUse& use : view_.verdict.breaks) {
      if (days.empty() || days.back() != use.day) days.push_back(use.day);
    }
    std::string text =
        emphasise(wrap(fmt::format("{}: this schedule breaks caps on {} of its {}. Do not dial it "
                                   "in as it is.",
                                   name, days.size(), days_text(view_.days.size())),
                       style_),
                  style_) +
        "\n" + broken_caps() + "\n" + nearest();
    return text + moves() + caution();
  }

 private:
  std::string date(std::size_t day) const { return to_iso(days_after(view_.first, day)); }
  std::string group(std::size_t g) const { return to_safe_text(tank_.groups[g].name); }
  std::string dials(const Setting& setting) const { return setting_text(tank_, setup_, setting); }

  std::string kept(const std::string& name) const {
    std::string text =
        emphasise(wrap(fmt::format("{}: this schedule breaks no cap, from {} on {} to {} on {}.",
                                   name, dials(view_.days.front()), date(0),
                                   dials(view_.days.back()), date(view_.days.size() - 1)),
                       style_),
                  style_);
    if (const auto& closest = view_.verdict.closest) {
      text += wrap(fmt::format("Closest to a cap: {} on {}, {}: {} of {} at most.",
                               group(closest->group), date(closest->day), cap_phrase(closest->cap),
                               amount_text(closest->cap, closest->value),
                               amount_text(closest->cap, closest->limit)),
                   style_);
    }
    return text;
  }

  std::string broken_caps() const {
    using Align = TextTable::Align;
    TextTable table{{{"group", Align::left},
                     {"from", Align::left},
                     {"days", Align::right},
                     {"cap", Align::left},
                     {"is", Align::right},
                     {"may be", Align::right},
                     {"at worst", Align::left}}};
    const std::vector<BreakRun> runs = list_runs(view_.verdict.breaks);
    for (const BreakRun& run : runs) {
      const CapUse& use = *run.worst;
      table.add({group(use.group), date(run.first_day),
                 std::to_string(run.last_day - run.first_day + 1), cap_key(use.cap),
                 amount_text(use.cap, use.value), amount_text(use.cap, use.limit),
                 date(use.day).substr(5)});
    }
    const CapUse& first = view_.verdict.breaks.front();
    return wrap(units_text(tank_) + ". at worst: the day on which it is most over.", style_) +
           "\n" + table.to_text(style_) + "\n" +
           wrap(fmt::format("The first: on {}, {} gets {} where its {} allows {}, {}.",
                            date(first.day), group(first.group),
                            amount_text(first.cap, first.value), cap_phrase(first.cap),
                            amount_text(first.cap, first.limit), share_text(first)),
                style_);
  }

  /// Whether a group that is given too much could be moved to where it gets less.
  bool has_dimmer_spot() const {
    const Plan no_days{};
    const SpotRoom room{tank_, setup_, no_days};
    const auto& breaks = view_.verdict.breaks;
    return std::any_of(breaks.begin(), breaks.end(), [&](const CapUse& use) {
      return use.day == breaks.front().day && room.has_dimmer_spot(use.group, 0);
    });
  }

  /// The first day on which the nearest schedule is another one, and the first
  /// from then on on which what was proposed for that day is safe.
  std::string nearest() const {
    const auto& near = view_.verdict.nearest;
    if (!view_.verdict.nearest_is_safe) {
      return wrap(fmt::format("No dial is low enough on every day. Begin with {}a mesh over the "
                              "group, or the light mounted higher.",
                              has_dimmer_spot() ? "a dimmer spot, " : ""),
                  style_);
    }
    if (view_.slower_days) {
      return wrap(
          fmt::format("What would do: the same straight line over {} in place of {}, until {}.",
                      days_text(*view_.slower_days), days_text(view_.days.size() - 1),
                      date(*view_.slower_days)),
          style_);
    }
    std::size_t day = 0;
    while (day < view_.days.size() && near[day] == view_.days[day]) ++day;
    if (day == view_.days.size()) return "";
    const Setting& wanted = view_.days[day];
    const auto is_wanted = [&](const Setting& setting) { return setting == wanted; };
    const auto later =
        std::find_if(near.begin() + static_cast<std::ptrdiff_t>(day), near.end(), is_wanted);
    std::string text = fmt::format("The nearest safe change: on {}, {} in place of {}", date(day),
                                   dials(near[day]), dials(wanted));
    if (later != near.end()) {
      text += fmt::format(", then on toward it; {} is safe from {} on", dials(wanted),
                          date(static_cast<std::size_t>(later - near.begin())));
    } else {
      text += ", and no more than the days below say";
    }
    return wrap(text + ".", style_) + "\n" + steps_of(near);
  }

  std::string steps_of(const std::vector<Setting>& near) const {
    constexpr std::size_t most_lines = 24;
    std::string text = wrap("The whole of it, as near as the caps allow:", style_);
    std::size_t lines = 0;
    for (std::size_t day = 0; day < near.size(); ++day) {
      if (day > 0 && near[day] == near[day - 1]) continue;
      if (++lines > most_lines) return text + "  ... and so on; --json has every day\n";
      text += wrap(dials(near[day]), style_, "  " + date(day) + "  ", std::string(14, ' '));
    }
    return text;
  }

  std::string moves() const {
    std::string text;
    for (const Move& move : view_.verdict.moves) {
      text += wrap(fmt::format("move {} to {}", group(move.group),
                               seat_text(tank_, setup_.seats[move.spot])),
                   style_, "  " + date(move.day) + "  ", std::string(14, ' '));
    }
    return text.empty() ? text : "\nJudged with these moves, before the lights come on\n" + text;
  }

  std::string caution() const {
    return "\n" +
           wrap("The caps are cautious choices, not proven limits. Watch the corals.", style_);
  }

  const Tank& tank_;
  const RampSetup& setup_;
  const ScheduleView& view_;
  const TextStyle& style_;
};

}  // namespace

std::string judge_text(const Tank& tank, const RampSetup& setup, const ScheduleView& view,
                       const TextStyle& style) {
  const std::string first = view.is_proposal ? wrap(proposal_words, style) + "\n" : "";
  return first + JudgeText{tank, setup, view, style}.text() + light_remarks(tank, setup, style);
}

std::string judge_json(const Tank& tank, const RampSetup& setup, const ScheduleView& view) {
  const auto date = [&](std::size_t day) { return to_iso(days_after(view.first, day)); };
  const auto changes = [&](const std::vector<Setting>& days) {
    Json list = Json::array();
    for (std::size_t day = 0; day < days.size(); ++day) {
      if (day > 0 && days[day] == days[day - 1]) continue;
      std::map<std::size_t, Percent> dials;
      for (std::size_t j = 0; j < days[day].size(); ++j) {
        dials[setup.path_lights[j]] = days[day][j];
      }
      list.push_back({{"date", date(day)}, {"dials", dials_json(tank, dials)}});
    }
    return list;
  };
  const auto use_json = [&](const CapUse& use) {
    return Json{{"date", date(use.day)},
                {"group", tank.groups[use.group].name},
                {"cap", cap_key(use.cap)},
                {"value", use.value},
                {"limit", use.limit}};
  };
  Json breaks = Json::array();
  for (const CapUse& use : view.verdict.breaks) breaks.push_back(use_json(use));
  Json json{{"tank", tank.name},
            {"breaks", std::move(breaks)},
            {"closest", view.verdict.closest ? use_json(*view.verdict.closest) : Json(nullptr)},
            {"schedule", changes(view.days)},
            {"nearest", changes(view.verdict.nearest)},
            {"nearest_is_safe", view.verdict.nearest_is_safe},
            {"slower_days", view.slower_days ? Json(*view.slower_days) : Json(nullptr)}};
  add_light_remarks(json, tank, setup);
  json["is_proposal"] = view.is_proposal;
  add_channels(tank, json);
  return print(json);
}

}  // namespace slowdawn
