#include <cmath>
#include <numeric>
#include <slowdawn/tank/tank_draft.hpp>

#include "tank/json_layout.hpp"

namespace slowdawn {
namespace {

using Members = std::vector<std::pair<std::string, JsonText>>;

std::string clock_text(ClockTime time) {
  const int minutes = static_cast<int>(time.minute());
  const auto two_digits = [](int n) { return (n < 10 ? "0" : "") + std::to_string(n); };
  return two_digits(minutes / 60) + ":" + two_digits(minutes % 60);
}

JsonText percent_json(Percent percent) { return JsonText::number(percent.percent()); }

JsonText day_json(const DraftDay& day) {
  Members members{{"on", JsonText::text(clock_text(day.on))},
                  {"off", JsonText::text(clock_text(day.off))}};
  if (day.rise > Minutes{}) {
    members.emplace_back("rise_minutes", JsonText::number(day.rise.min()));
  }
  if (day.fall > Minutes{}) {
    members.emplace_back("fall_minutes", JsonText::number(day.fall.min()));
  }
  return JsonText::object(members);
}

JsonText light_json(const DraftLight& light) {
  Members members{{"name", JsonText::text(light.name)}, {"photoperiod", day_json(light.day)}};
  if (light.dial) {
    members.emplace_back("dial", JsonText::object({{"lowest", percent_json(light.dial->lowest)},
                                                   {"highest", percent_json(light.dial->highest)},
                                                   {"step", percent_json(light.dial->step)}}));
  }
  if (!light.dimming.empty()) {
    std::vector<JsonText> pairs;
    for (const auto& [drive, output] : light.dimming) {
      pairs.push_back(JsonText::list({percent_json(drive), percent_json(output)}));
    }
    members.emplace_back("dimming", JsonText::list(std::move(pairs)));
  }
  if (!light.channels.empty()) {
    Members shares;
    for (const Channel& channel : light.channels) {
      shares.emplace_back(channel.name, percent_json(channel.share));
    }
    members.emplace_back("channels", JsonText::object(shares));
  }
  return JsonText::object(members);
}

JsonText spot_json(const DraftSpot& spot) {
  Members members{{"name", JsonText::text(spot.name)}};
  if (spot.x) members.emplace_back("x_cm", JsonText::number(spot.x->cm()));
  if (spot.y) members.emplace_back("y_cm", JsonText::number(spot.y->cm()));
  if (spot.depth) members.emplace_back("depth_cm", JsonText::number(spot.depth->cm()));
  return JsonText::object(members);
}

/// A number, or a list of repeats.
JsonText repeats_json(const std::vector<double>& repeats) {
  if (repeats.size() == 1) return JsonText::number(repeats.front());
  std::vector<JsonText> items;
  for (const double repeat : repeats) items.push_back(JsonText::number(repeat));
  return JsonText::list(std::move(items));
}

/// Adds the survey under these dials, unless no spot was read under them.
/// repeats: which readings of a spot are of it.
void add_survey(std::vector<JsonText>& surveys, const TankDraft& draft, const Members& dials,
                std::vector<double> DraftSpot::*repeats) {
  Members readings;
  for (const DraftSpot& spot : draft.spots) {
    if (!(spot.*repeats).empty()) readings.emplace_back(spot.name, repeats_json(spot.*repeats));
  }
  if (readings.empty()) return;
  surveys.push_back(
      JsonText::object({{"dials", JsonText::object(dials)}, {"ppfd", JsonText::object(readings)}}));
}

JsonText history_json(const History& history) {
  if (history.is_guess()) return JsonText::object({{"unknown", JsonText::flag(true)}});
  const JsonText peak = JsonText::number(history.light.peak.umol_m2_s());
  if (history.basis == History::Basis::told) {
    const double hours = history.light.dose / (history.light.peak * Hours::h(1));
    // No further than anybody tells it.
    return JsonText::object(
        {{"ppfd", peak}, {"hours", JsonText::number(std::round(hours * 1e6) / 1e6)}});
  }
  return JsonText::object(
      {{"dose", JsonText::number(history.light.dose.mol_m2_d())}, {"peak", peak}});
}

JsonText group_json(const TankDraft& draft, const DraftGroup& group) {
  Members members{{"name", JsonText::text(group.name)},
                  {"profile", JsonText::text(group.profile)},
                  {"spot", JsonText::text(draft.spots.at(group.spot).name)}};
  if (group.history) members.emplace_back("history", history_json(*group.history));
  return JsonText::object(members);
}

JsonText ramp_json(const TankDraft& draft) {
  static constexpr std::string_view paces[] = {"gentle", "standard", "brisk"};
  Members from;
  if (draft.old_light) from.emplace_back(draft.old_light->name, percent_json(draft.old_dial));
  Members to{{draft.new_light.name, percent_json(draft.goal)}};
  if (draft.added) to.emplace_back(draft.added->name, percent_json(draft.added->goal));
  return JsonText::object({{"from", JsonText::object(from)},
                           {"to", JsonText::object(to)},
                           {"start", JsonText::text(to_iso(draft.start))},
                           {"every_days", JsonText::number(draft.every_days)},
                           {"pace", JsonText::text(paces[static_cast<std::size_t>(draft.pace)])}});
}

}  // namespace

Result<LightCourse> make_course(const DraftLight& light) {
  const DraftDay& day = light.day;
  auto photoperiod = Photoperiod::between(day.on, day.off, day.rise, day.fall);
  if (!photoperiod) return tl::make_unexpected(photoperiod.error());
  if (light.dimming.empty()) return LightCourse{*photoperiod, DimmingCurve{}};
  auto curve = DimmingCurve::through(light.dimming);
  if (!curve) return tl::make_unexpected(curve.error());
  return LightCourse{*photoperiod, *curve};
}

Exposure exposure_of_reading(const TankDraft& draft, const DraftLight& light, Percent dial,
                             const std::vector<double>& repeats) {
  const double mean =
      std::accumulate(repeats.begin(), repeats.end(), 0.0) / static_cast<double>(repeats.size());
  const LightCourse course = make_course(light).value();
  const double output = course.dimming.output(dial);
  const Ppfd full = Ppfd::umol_m2_s(draft.immersion_factor * mean / output);
  return LitDay{{&course, 1}, {&dial, 1}}.at({&full, 1});
}

std::string tank_draft_json(const TankDraft& draft, std::size_t width) {
  std::vector<JsonText> lights;
  if (draft.old_light && !draft.keeps_light()) lights.push_back(light_json(*draft.old_light));
  lights.push_back(light_json(draft.new_light));
  if (draft.added) lights.push_back(light_json({draft.added->name, draft.new_light.day}));
  std::vector<JsonText> spots;
  for (const DraftSpot& spot : draft.spots) spots.push_back(spot_json(spot));
  std::vector<JsonText> surveys;
  if (draft.old_light) {
    const DraftLight& light = draft.keeps_light() ? draft.new_light : *draft.old_light;
    add_survey(surveys, draft, {{light.name, percent_json(draft.old_dial)}}, &DraftSpot::before);
  }
  if (draft.new_dial) {
    Members dials{{draft.new_light.name, percent_json(*draft.new_dial)}};
    add_survey(surveys, draft, dials, &DraftSpot::after);
    if (draft.added) {
      dials.emplace_back(draft.added->name, percent_json(draft.added->dial));
      add_survey(surveys, draft, dials, &DraftSpot::together);
    }
  }
  std::vector<JsonText> groups;
  for (const DraftGroup& group : draft.groups) groups.push_back(group_json(draft, group));

  Members members{{"format", JsonText::text("slowdawn-tank/1")},
                  {"name", JsonText::text(draft.name)}};
  if (draft.water) {
    members.emplace_back(
        "water", JsonText::object({{"length_cm", JsonText::number(draft.water->length.cm())},
                                   {"width_cm", JsonText::number(draft.water->width.cm())},
                                   {"depth_cm", JsonText::number(draft.water->depth.cm())}}));
  }
  if (draft.immersion_factor != 1.0) {
    members.emplace_back(
        "meter",
        JsonText::object({{"immersion_factor", JsonText::number(draft.immersion_factor)}}));
  }
  members.emplace_back("lights", JsonText::list(std::move(lights)));
  members.emplace_back("spots", JsonText::list(std::move(spots)));
  members.emplace_back("surveys", JsonText::list(std::move(surveys)));
  members.emplace_back("groups", JsonText::list(std::move(groups)));
  members.emplace_back("ramp", ramp_json(draft));
  return JsonText::object(members).one_a_line(0, width) + "\n";
}

std::string tank_file_name(std::string_view tank_name) {
  constexpr std::size_t longest = 60;
  std::string stem;
  for (const char c : tank_name) {
    const bool is_capital = c >= 'A' && c <= 'Z';
    const bool is_kept = is_capital || (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9');
    if (is_kept && stem.size() < longest) {
      stem += is_capital ? static_cast<char>(c - 'A' + 'a') : c;
    } else if (!is_kept && !stem.empty() && stem.back() != '-') {
      stem += '-';
    }
  }
  if (stem.ends_with('-')) stem.pop_back();
  return (stem.empty() ? "tank" : stem) + ".tank.json";
}

}  // namespace slowdawn
