#include <fmt/format.h>

#include <slowdawn/present/log_phrases.hpp>
#include <slowdawn/present/phrases.hpp>
#include <slowdawn/present/text.hpp>

namespace slowdawn {
namespace {

std::string sign_text(Sign sign) {
  switch (sign) {
    case Sign::none: return "no sign";
    case Sign::less_extension: return "less extension than its habit";
    case Sign::mucus: return "more mucus than its habit";
    case Sign::one_step_paler: return "one step paler twice in a row";
    case Sign::two_steps_paler: return "two steps paler or more";
    case Sign::darker: return "two steps darker or more";
    case Sign::fv_fm_down: return "Fv/Fm down 15 % or more from its baseline";
    case Sign::fv_fm_low: return "Fv/Fm under 0.5, from a baseline of 0.6 or more";
    case Sign::fv_fm_severe: return "Fv/Fm under 0.3";
    case Sign::white_patches: return "white patches";
    case Sign::tissue_lost: return "tissue lost";
  }
  return "";
}

std::string good_look_text(const std::string& group, const ReplayEvent& event) {
  using Mode = Condition::Mode;
  if (event.outcome.before == Mode::free) return group + " is at ease.";
  if (event.outcome.after == Mode::free) {
    return group + " has looked well twice; the ramp goes on.";
  }
  if (event.outcome.after == Mode::hurt) {
    return group + " looks well; it stays where it is until you restart it.";
  }
  return group + " looks well; the ramp goes on once it has done so twice, 3 days apart" +
         (event.outcome.after == Mode::strained ? ", and 7 days after it was taken back." : ".");
}

}  // namespace

std::string judgement_key(Judgement judgement) {
  switch (judgement) {
    case Judgement::at_ease: return "at_ease";
    case Judgement::unclear: return "unclear";
    case Judgement::darker: return "darker";
    case Judgement::uneasy: return "uneasy";
    case Judgement::strained: return "strained";
    case Judgement::hurt: return "hurt";
  }
  return "";
}

bool is_news(const ReplayEvent& event) {
  return event.outcome.judgement != Judgement::at_ease ||
         event.outcome.before != Condition::Mode::free || event.all_at_once;
}

std::string event_text(const PlannedRamp& ramp, const ReplayEvent& event) {
  const std::string group = to_safe_text(ramp.tank.groups[event.group].name);
  const std::string seen =
      fmt::format("{} on {}", sign_text(event.outcome.sign), to_iso(ramp.date(event.day)));
  const std::string limit = event.dose_limit ? to_text(*event.dose_limit) : "";
  std::string text;
  switch (event.outcome.judgement) {
    case Judgement::at_ease: text = good_look_text(group, event); break;
    case Judgement::unclear:
      text = fmt::format("{} shows {}: once is no verdict; look again in 3 days.", group, seen);
      break;
    case Judgement::darker:
      text = fmt::format("{} shows {}: no stress, but little light, or still getting used to less.",
                         group, seen);
      break;
    case Judgement::uneasy:
      text = fmt::format("{} is uneasy ({}): it holds at a dose of {}; look again in 3 days.",
                         group, seen, limit);
      break;
    case Judgement::strained:
      text = fmt::format(
          "{} is strained ({}): back to a dose of {} for 7 days or more; look again in 3 days.",
          group, seen, limit);
      break;
    case Judgement::hurt:
      text = fmt::format(
          "{} is hurt ({}): down to a dose of {}, and no further until you restart it after 14 "
          "steady days.",
          group, seen, limit);
      break;
  }
  if (event.all_at_once) {
    text +=
        " All groups react at once, so the light is probably not the cause: check temperature, "
        "salinity, alkalinity, flow and pests. All hold.";
  }
  return text;
}

std::string standing_text(const PlannedRamp& ramp, std::size_t group) {
  const GroupStanding& standing = ramp.followed->standings[group];
  const std::string name = to_safe_text(ramp.tank.groups[group].name);
  const std::string limit = standing.dose_limit ? to_text(*standing.dose_limit) : "";
  switch (standing.mode) {
    case Condition::Mode::free: break;
    case Condition::Mode::holding:
      return fmt::format("{} holds at a dose of {} until two good looks, 3 days apart.", name,
                         limit);
    case Condition::Mode::strained:
      return fmt::format(
          "{} stays at a dose of {} until two good looks, 3 days apart and 7 days "
          "after it was taken back.",
          name, limit);
    case Condition::Mode::hurt:
      return fmt::format(
          "{} stays at a dose of {} until you restart it (slowdawn checkin \"{}\" "
          "--restart), after 14 days without a sign.",
          name, limit, name);
  }
  return "";
}

std::string want_of_a_look_text(const PlannedRamp& ramp) {
  std::string names;
  std::size_t groups = 0;
  for (std::size_t g = 0; g < ramp.tank.groups.size(); ++g) {
    if (!ramp.followed->standings[g].held_for_want_of_a_look) continue;
    names += (names.empty() ? "" : ", ") + to_safe_text(ramp.tank.groups[g].name);
    ++groups;
  }
  if (groups == 0) return "";
  return fmt::format(
      "Nobody has looked at {} for over 7 days, so the dial holds. Log {}: slowdawn "
      "checkin",
      names, groups == 1 ? "a look" : "a round");
}

std::vector<std::string> standing_texts(const PlannedRamp& ramp) {
  std::vector<std::string> texts;
  for (std::size_t g = 0; g < ramp.tank.groups.size(); ++g) {
    if (ramp.followed->is_gone(g, ramp.followed->today)) continue;
    if (auto text = standing_text(ramp, g); !text.empty()) texts.push_back(std::move(text));
  }
  if (auto text = want_of_a_look_text(ramp); !text.empty()) texts.push_back(std::move(text));
  return texts;
}

namespace {

/// Several names as "a", "a and b", "a, b and c".
std::string name_list(const std::vector<std::string>& names) {
  std::string text;
  for (std::size_t i = 0; i < names.size(); ++i) {
    if (i > 0) text += i + 1 == names.size() ? " and " : ", ";
    text += names[i];
  }
  return text;
}

/// What is waited for, of all groups that wait for the same.
std::string wait_phrase(const Wait& wait, const std::string& names) {
  switch (wait.what) {
    case Wait::For::good_looks:
      if (wait.looks == 0) return "until the strain of " + names + " has had its 7 days";
      return (wait.looks == 1 ? "for one more good look at " : "for two good looks at ") + names +
             (wait.looks == 1 ? ", 3 days or more after the last one" : ", 3 days apart or more");
    case Wait::For::restart:
      return "until you restart " + names +
             ": after 14 days without a sign, with a good look of the last 3";
    case Wait::For::any_look: return "for a good look at " + names;
    case Wait::For::look_after_accident:
      return "for a good look at " + names + ", 3 days or more after the light that was too much";
  }
  return "";
}

std::string cause_of(const PlannedRamp& ramp, const PlanChange& change) {
  for (const ReplayEvent& event : ramp.followed->events) {
    if (event.seq != change.seq) continue;
    const std::string group = to_safe_text(ramp.tank.groups[event.group].name);
    const bool has_sign = event.outcome.judgement != Judgement::at_ease;
    return has_sign ? sign_text(event.outcome.sign) + " at " + group : "a look at " + group;
  }
  if (change.kind == "dialed") return "the light was dialled by hand";
  if (change.kind == "moved") return "a group was moved";
  if (change.kind == "gone") return "a group is gone";
  if (change.kind == "undo") return "an entry was taken back";
  if (change.kind == "follow") return "the plan was followed again";
  return "a look";
}

std::string goal_text_of(const std::optional<Date>& goal) {
  return goal ? "on " + to_iso(*goal) : "not reached";
}

}  // namespace

std::string proposal_text(const PlannedRamp& ramp, const TextStyle& style) {
  if (ramp.followed == nullptr || !ramp.followed->is_proposal) return "";
  return wrap("A proposal: what would come if the plan were followed again so. The same options "
              "with slowdawn follow do it.",
              style) +
         "\n";
}

std::vector<std::string> wait_texts(const PlannedRamp& ramp) {
  std::vector<std::string> texts;
  if (ramp.followed == nullptr) return texts;
  const std::vector<Wait>& waits = ramp.followed->waits;
  std::vector<bool> is_told(waits.size(), false);
  std::vector<std::string> phrases;
  for (std::size_t i = 0; i < waits.size(); ++i) {
    if (is_told[i]) continue;
    std::vector<std::string> names;
    for (std::size_t j = i; j < waits.size(); ++j) {
      if (waits[j].what != waits[i].what || waits[j].looks != waits[i].looks) continue;
      is_told[j] = true;
      names.push_back(to_safe_text(ramp.tank.groups[waits[j].group].name));
    }
    phrases.push_back(wait_phrase(waits[i], name_list(names)));
  }
  for (std::size_t i = 0; i < phrases.size(); ++i) {
    std::string text = (i == 0 ? "Waits " : "And ") + phrases[i];
    const Wait& wait = waits.front();
    if (i + 1 == phrases.size() && wait.earliest) {
      text += fmt::format("; then {}, on {} at the earliest", dials_text(ramp.tank, wait.dials),
                          to_iso(ramp.date(*wait.earliest)));
    }
    texts.push_back(text + ".");
  }
  return texts;
}

std::string change_text(const PlannedRamp& ramp) {
  if (ramp.change == nullptr) return "";
  const PlanChange& change = *ramp.change;
  std::string text = fmt::format("Changed on {}", to_iso(change.made));
  if (change.from != change.to) {
    text += fmt::format(" from {} to {}", dials_text(ramp.tank, change.from),
                        dials_text(ramp.tank, change.to));
  }
  text += ": " + cause_of(ramp, change) + ".";
  if (change.goal_before != change.goal_after) {
    text += fmt::format(" The goal was {}, and is now {}.", goal_text_of(change.goal_before),
                        goal_text_of(change.goal_after));
  }
  return text;
}

std::string accident_text(const PlannedRamp& ramp) {
  if (ramp.followed == nullptr) return "";
  std::vector<std::string> names;
  std::optional<std::size_t> last;
  for (std::size_t g = 0; g < ramp.followed->standings.size(); ++g) {
    const auto& day = ramp.followed->standings[g].accident_day;
    if (!day || ramp.followed->is_gone(g, ramp.followed->today)) continue;
    names.push_back(to_safe_text(ramp.tank.groups[g].name));
    last = std::max(last.value_or(*day), *day);
  }
  if (names.empty()) return "";
  double most = 1.0;
  for (const Accident& accident : ramp.followed->accidents) {
    if (accident.day == *last) most = std::max(most, accident.ratio);
  }
  return fmt::format(
      "On {} {} had {} cap of that day. That taught nothing; the plan holds, and goes on after a "
      "good look at {} on {} or later.",
      to_iso(ramp.date(*last)), name_list(names), over_text(most),
      names.size() == 1 ? "it" : "each of them",
      to_iso(ramp.date(*last + static_cast<std::size_t>(days_from_accident_to_good_look))));
}

std::string way_text(const PlannedRamp& ramp, const Way& way) {
  const std::string group = to_safe_text(ramp.tank.groups[way.group].name);
  const std::string what =
      way.kind == Way::Kind::mesh
          ? fmt::format("a mesh over {} that lets {:.0f} % through", group,
                        100.0 * way.transmission)
          : fmt::format("{} at {}", group, to_safe_text(ramp.tank.spots[way.spot].name));
  return fmt::format("{}: today {}; {}", what, dials_text(ramp.tank, way.dials_today),
                     way.goal_day ? "the goal on " + to_iso(ramp.date(*way.goal_day))
                                  : "the goal is not reached");
}

std::string way_command(const PlannedRamp& ramp, const Way& way) {
  const auto quoted = [](const std::string& name) { return "\"" + to_safe_text(name) + "\""; };
  const std::string group = quoted(ramp.tank.groups[way.group].name);
  if (way.kind == Way::Kind::mesh) {
    return fmt::format("slowdawn moved {} --mesh {:.1f}", group, way.transmission);
  }
  return "slowdawn moved " + group + " " + quoted(ramp.tank.spots[way.spot].name);
}

std::string record_text(const PlannedRamp& ramp, const Date& date) {
  const long day = (date - ramp.start).days();
  if (day < 0 || day >= static_cast<long>(ramp.plan.days.size())) return "";
  return fmt::format(
      "The record has {} for {}. If the light stood otherwise, say so: slowdawn dialed LIGHT "
      "PERCENT --date {} --until DATE",
      dials_text(ramp.tank, ramp.dials(static_cast<std::size_t>(day))), to_iso(date),
      to_iso(date));
}

std::vector<std::string> leg_notices(const PlannedRamp& ramp) {
  std::vector<std::string> notices;
  if (ramp.followed == nullptr || ramp.followed->leg_days.empty()) return notices;
  const std::size_t first = ramp.followed->leg_days.back();
  for (const auto& [group, spot] : ramp.followed->spots_of_file) {
    notices.push_back(fmt::format(
        "The file has {} at {}; by the logbook it lives at {}, and that counts.",
        to_safe_text(ramp.tank.groups[group].name), to_safe_text(ramp.tank.spots[spot].name),
        to_safe_text(ramp.spot_name(first, group))));
  }
  if (ramp.followed->from_differs) {
    notices.push_back(
        "The file's \"from\" is not asked: the plan goes on from how the lights stood.");
  }
  notices.push_back(fmt::format("This leg begins on {}; what was lived before goes on.",
                                to_iso(ramp.date(first))));
  return notices;
}

std::string goal_day_text(const PlannedRamp& ramp) {
  if (!ramp.plan.goal_day) return "It stops short of the goal; slowdawn plan says why.";
  return fmt::format("The goal, {}, on {}.", dials_text(ramp.tank, ramp.tank.ramp.to),
                     to_iso(ramp.date(*ramp.plan.goal_day)));
}

}  // namespace slowdawn
