#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <slowdawn/present/history_phrases.hpp>
#include <slowdawn/present/life_phrases.hpp>
#include <slowdawn/present/phrases.hpp>
#include <slowdawn/present/seat_phrases.hpp>

#include "present/profile_figures.hpp"
#include "present/report_parts.hpp"

namespace slowdawn {
namespace {

struct FigureName {
  std::string_view key;
  std::string_view name;
};

constexpr FigureName figure_names[] = {
    {"light_class", "Kind of light"},
    {"dose_band", "Band of the dose"},
    {"peak_ceiling", "Ceiling of the peak"},
    {"headroom_percent", "Headroom over what it is used to"},
    {"weekly_rise_percent", "Rise in a week at the most"},
    {"tau_up_days", "Time to get used to more"},
    {"tau_down_days", "Time to get used to less"},
    {"carryover", "Share that counts under a new light"},
    {"floor_percent", "Cut in one step at the most"},
    {"ek", "Ek, where photosynthesis saturates"},
    {"excitation_cap", "Cap of the excitation proxy (unvalidated)"},
};

std::string pace_text(Pace pace) {
  switch (pace) {
    case Pace::gentle: return "gentle";
    case Pace::standard: return "standard";
    case Pace::brisk: return "brisk";
  }
  return "";
}

/// A figure as it counts in this plan: at its pace, and with what was learned.
std::string value_text(const PlannedRamp& ramp, std::size_t group, const std::string& key) {
  const Profile& profile = ramp.tank.groups[group].profile;
  const Tolerance& given = profile.tolerance;
  const Tolerance& at_pace = ramp.setup.problem.groups[group].tolerance;
  std::string text = figure_text(key, profile);
  const auto add_pace = [&](Percent scaled, Percent plain) {
    if (scaled == plain) return;
    text += fmt::format("; at the {} pace {}", pace_text(ramp.tank.ramp.pace), to_text(scaled));
  };
  if (key == "headroom_percent") add_pace(at_pace.headroom, given.headroom);
  if (key == "weekly_rise_percent") add_pace(at_pace.weekly_rise, given.weekly_rise);
  if (ramp.followed == nullptr || ramp.followed->standings.empty()) return text;
  const GroupStanding& now = ramp.followed->standings[group];
  if (key == "weekly_rise_percent" && now.weekly_rise != at_pace.weekly_rise) {
    text += "; since its strain " + to_text(now.weekly_rise);
  }
  if (key == "tau_up_days" && now.tau_up != at_pace.tau_up) {
    text += fmt::format("; as its check-ins taught {:.3g} days", now.tau_up.d());
  }
  return text;
}

/// A value of a figure with what it rests on, and the groups that it is for.
struct SharedValue {
  std::string value;
  std::string basis;
  std::vector<std::size_t> groups;
};

/// The values of a figure, each once, in the order of the groups.
std::vector<SharedValue> values_of(const PlannedRamp& ramp, const std::string& key) {
  std::vector<SharedValue> values;
  for (std::size_t g = 0; g < ramp.tank.groups.size(); ++g) {
    const Profile& profile = ramp.tank.groups[g].profile;
    if (figure_text(key, profile).empty() || is_gone_today(ramp, g)) continue;
    const auto given = profile.basis.find(key);
    const std::string basis = given == profile.basis.end() ? "no basis given" : given->second;
    const std::string value = value_text(ramp, g, key);
    const auto found = std::find_if(values.begin(), values.end(), [&](const SharedValue& one) {
      return one.value == value && one.basis == basis;
    });
    if (found == values.end()) {
      values.push_back({value, basis, {g}});
    } else {
      found->groups.push_back(g);
    }
  }
  return values;
}

/// Whether no group has a figure, as may be with those that can be left out.
bool is_nowhere(const PlannedRamp& ramp, std::string_view key) {
  const auto& groups = ramp.tank.groups;
  return std::all_of(groups.begin(), groups.end(), [&](const Group& group) {
    return figure_text(std::string{key}, group.profile).empty();
  });
}

bool is_left_out(const PlannedRamp& ramp, std::string_view key) {
  if (is_nowhere(ramp, key)) return true;
  return ramp.tank.meter.is_relative &&
         (key == "dose_band" || key == "peak_ceiling" || key == "light_class" || key == "ek" ||
          key == "excitation_cap");
}

Html figure_basis(const PlannedRamp& ramp, const FigureName& figure) {
  Html list;
  for (const SharedValue& shared : values_of(ramp, std::string{figure.key})) {
    Html names;
    for (const std::size_t g : shared.groups) {
      if (!names.empty()) names += Html::text(", ");
      names += name_html(ramp.tank.groups[g].name);
    }
    list += element("dt", text_element("b", shared.value) + Html::text(" ") + names) +
            text_element("dd", shared.basis);
  }
  return text_element("h3", figure.name) + element("dl", {{"class", "caps"}}, list);
}

/// Every figure of every group.
Html figures_table(const PlannedRamp& ramp) {
  Html heads = text_element("th", {{"scope", "col"}}, "Group");
  for (const auto& [key, name] : figure_names) {
    if (!is_left_out(ramp, key)) heads += text_element("th", {{"scope", "col"}}, name);
  }
  Html rows;
  for (std::size_t g = 0; g < ramp.tank.groups.size(); ++g) {
    if (is_gone_today(ramp, g)) continue;
    const Group& group = ramp.tank.groups[g];
    Html cells = element("th", {{"scope", "row"}},
                         name_html(group.name) +
                             text_element("small", group.profile_name.empty()
                                                       ? " profile in the tank file"
                                                       : " " + to_safe_text(group.profile_name)));
    for (const auto& [key, name] : figure_names) {
      if (!is_left_out(ramp, key)) {
        const std::string value = value_text(ramp, g, std::string{key});
        cells += text_element("td", value.empty() ? "-" : value);
      }
    }
    rows += element("tr", cells);
  }
  return scroll_box("The caps of each group",
                    element("table", {{"id", "caps-table"}},
                            element("thead", element("tr", heads)) + element("tbody", rows)));
}

Html entry(std::string_view name, const Html& value) {
  return element("dt", prose(name)) + element("dd", value);
}

std::string survey_words(const Tank& tank, const Survey& survey) {
  std::map<std::size_t, Percent> lit;
  for (std::size_t light = 0; light < survey.dials.size(); ++light) {
    if (survey.dials[light].percent() > 0.0) lit[light] = survey.dials[light];
  }
  return fmt::format("{}: {} at {} spots{}",
                     survey.taken ? to_iso(*survey.taken) : std::string{"undated"},
                     dials_text(tank, lit), survey.readings.size(),
                     survey.unit == ReadingUnit::lux ? ", in lux" : "");
}

std::string meter_words(const Meter& meter) {
  std::string words = fmt::format("immersion factor {}, calibration within {}, repeats within {}",
                                  meter.immersion_factor, to_text(meter.accuracy.calibration),
                                  to_text(meter.accuracy.repeat));
  return meter.is_relative ? words + "; relative, so that only ratios count" : words;
}

std::string followed_words(const PlannedRamp& ramp) {
  std::string words = "followed since " + to_iso(ramp.start);
  for (const std::size_t day : ramp.followed->leg_days) {
    words += fmt::format(", again on {} (leg {})", to_iso(ramp.date(day)), ramp.leg(day));
  }
  return words;
}

std::string status_words(const PlannedRamp& ramp) {
  const Plan& plan = ramp.plan;
  if (plan.status == PlanStatus::no_safe_opening) return "No setting is safe on the first day.";
  std::string words = plan.goal_day ? "Reaches its goal on " + to_iso(ramp.date(*plan.goal_day))
                      : is_waiting(ramp) ? "Waits short of its goal"
                                         : "Held short of its goal";
  words += plan.settled_day
               ? "; every group is used to its light on " + to_iso(ramp.date(*plan.settled_day))
               : "; not every group is used to its light by its end";
  return words + ".";
}

}  // namespace

Html caps_section(const PlannedRamp& ramp) {
  Html content = text_element(
      "p",
      "Every day keeps each group within these. They are cautious choices, not proven safe limits; "
      "what each rests on stands below the table.");
  if (ramp.tank.meter.is_relative) {
    content += text_element("p", "The meter is relative, so that bands and ceilings are left out.");
  }
  content += figures_table(ramp);
  Html bases;
  for (const FigureName& figure : figure_names) {
    if (!is_left_out(ramp, figure.key)) bases += element("div", figure_basis(ramp, figure));
  }
  content += element("div", {{"class", "bases"}}, bases);
  return section_html("caps", Html::text("The caps, and what they rest on"), content);
}

Html made_section(const PlannedRamp& ramp, const PageView& view) {
  const Tank& tank = ramp.tank;
  std::vector<std::string> surveys;
  for (const Survey& survey : tank.surveys) surveys.push_back(survey_words(tank, survey));
  std::vector<std::string> notes = note_texts(ramp);
  constexpr std::size_t no_breaks = 100000;
  const std::string remarks = light_remarks(tank, ramp.setup, {no_breaks, false});
  if (!remarks.empty()) notes.push_back(remarks.substr(0, remarks.find_last_not_of('\n') + 1));

  const std::string file = std::filesystem::path{tank.file}.filename().string();
  Html list = entry("Tank file", element("code", Html::text(file)));
  list += entry("Plan", prose(ramp.followed != nullptr
                                  ? followed_words(ramp) +
                                        "; the days up to this page's date as they were logged"
                                  : "proposed, from " + to_iso(ramp.start) + "; not followed"));
  list += entry("Status", prose(status_words(ramp)));
  list += entry("From", prose(dials_text(tank, tank.ramp.from)));
  list += entry("To", prose(dials_text(tank, tank.ramp.to)));
  std::vector<std::string> histories;
  for (std::size_t g = 0; g < tank.groups.size(); ++g) {
    if (!tank.groups[g].history) continue;
    histories.push_back(history_words(tank, tank.groups[g], ramp.setup.problem.groups[g]));
  }
  if (!histories.empty()) list += entry("The light before", list_html(histories));
  list += entry("Pace", prose(pace_text(tank.ramp.pace) + ", the dial turned every " +
                              (tank.ramp.every_days == 1
                                   ? "day"
                                   : days_text(static_cast<std::size_t>(tank.ramp.every_days)))));
  list += entry("Readings", list_html(surveys));
  list += entry("Meter", prose(meter_words(tank.meter)));
  if (!notes.empty()) list += entry("Notes", list_html(notes));
  list += entry("Made", prose("by slowdawn " + view.version + ", for ") + time_html(view.date));
  return section_html("made", Html::text("How this plan was made"),
                      element("dl", {{"class", "made"}}, list));
}

}  // namespace slowdawn
