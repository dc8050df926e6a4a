#include <fmt/format.h>

#include <slowdawn/present/life_phrases.hpp>
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
    case Sign::one_step_paler: return "one step paler";
    case Sign::two_steps_paler: return "two steps paler or more";
    case Sign::darker: return "two steps darker or more";
    case Sign::fv_fm_down: return "Fv/Fm down 15 % or more from its baseline";
    case Sign::fv_fm_far_down: return "Fv/Fm down 40 % or more from its baseline";
    case Sign::fv_fm_severe: return "Fv/Fm under 0.3 from the first";
    case Sign::white_patches: return "white patches";
    case Sign::tissue_lost: return "tissue lost";
  }
  return "";
}

/// group: one name, or several of which the same is said.
std::string good_look_text(const std::string& group, bool is_one, const ReplayEvent& event) {
  using Mode = Condition::Mode;
  if (event.outcome.before == Mode::free) return group + (is_one ? " is" : " are") + " at ease.";
  if (event.outcome.after == Mode::free) {
    return group + (is_one ? " has" : " have") + " looked well twice; the ramp goes on.";
  }
  if (event.outcome.after == Mode::hurt) {
    return group + (is_one ? " looks well; it stays where it is until you restart it."
                           : " look well; they stay where they are until you restart them.");
  }
  return group +
         (is_one ? " looks well; the ramp goes on once it has"
                 : " look well; the ramp goes on once they have") +
         " done so twice, 3 days apart or more" +
         (event.outcome.after == Mode::strained ? ", and 7 days after the strain." : ".");
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
  return event_text(ramp, event, {to_safe_text(ramp.tank.groups[event.group].name)});
}

std::string event_text(const PlannedRamp& ramp, const ReplayEvent& event,
                       const std::vector<std::string>& names) {
  const std::string group = name_list(names);
  const bool is_one = names.size() == 1;
  const std::string_view shows = is_one ? "shows" : "show";
  const std::string seen =
      fmt::format("{} on {}", sign_text(event.outcome.sign), to_iso(ramp.date(event.day)));
  const std::string limit = event.dose_limit ? to_text(*event.dose_limit) : "";
  std::string text;
  switch (event.outcome.judgement) {
    case Judgement::at_ease: text = good_look_text(group, is_one, event); break;
    case Judgement::unclear:
      text = fmt::format("{} {} {}: once is no verdict; look again in 3 days.", group, shows, seen);
      break;
    case Judgement::darker:
      text = fmt::format("{} {} {}: no stress, but little light, or still getting used to less.",
                         group, shows, seen);
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
          "{} is hurt ({}): down to a dose of {}, and no further until you restart it: after 14 "
          "days without a sign, with a good look of the last 3.",
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

namespace {

/// Until when groups of a mode stay where they are.
std::string end_of_hold(Condition::Mode mode, const std::string& names, bool is_one) {
  switch (mode) {
    case Condition::Mode::free: break;
    case Condition::Mode::holding:
      return is_one ? "until two good looks, 3 days apart or more"
                    : "until two good looks at each, 3 days apart or more";
    case Condition::Mode::strained:
      return fmt::format(
          "until two good looks{}, 3 days apart or more, and 7 days after the strain",
          is_one ? "" : " at each");
    case Condition::Mode::hurt:
      return is_one ? fmt::format(
                          "until you restart it (slowdawn checkin \"{}\" --restart): after "
                          "14 days without a sign, with a good look of the last 3",
                          names)
                    : std::string{
                          "until you restart each (slowdawn checkin GROUP --restart): "
                          "after 14 days without a sign, with a good look of the last 3"};
  }
  return "";
}

}  // namespace

std::string standing_text(const PlannedRamp& ramp, std::size_t group) {
  const GroupStanding& standing = ramp.followed->standings[group];
  if (standing.mode == Condition::Mode::free) return "";
  const std::string name = to_safe_text(ramp.tank.groups[group].name);
  return fmt::format("{} {} at a dose of {} {}.", name,
                     standing.mode == Condition::Mode::holding ? "holds" : "stays",
                     standing.dose_limit ? to_text(*standing.dose_limit) : "",
                     end_of_hold(standing.mode, name, true));
}

std::string want_of_a_look_text(const PlannedRamp& ramp) {
  std::vector<std::string> names;
  std::vector<int> since;
  bool is_unseen = true;
  for (std::size_t g = 0; g < ramp.tank.groups.size(); ++g) {
    const GroupStanding& standing = ramp.followed->standings[g];
    // Of a group that waits for looks all the same it is said there.
    const bool is_told = standing.mode != Condition::Mode::free || standing.accident_day;
    if (!standing.held_for_want_of_a_look || is_told) continue;
    names.push_back(to_safe_text(ramp.tank.groups[g].name));
    since.push_back(standing.looked_at_until);
    is_unseen = is_unseen && standing.last_look_day.value_or(since.back()) <= since.back();
  }
  if (names.empty()) return unwatched_ramp_text(ramp);
  const bool is_one_date = std::count(since.begin(), since.end(), since.front()) ==
                           static_cast<std::ptrdiff_t>(since.size());
  const Date date = ramp.start + boost::gregorian::days{since.front()};
  return fmt::format(
      "{} {}{} for over 7 days, so the dial holds until a good look. Log {}: slowdawn checkin",
      is_unseen ? "Nobody has looked at" : "There was no good look at", list_words(names),
      is_one_date ? " since " + to_iso(date) + "," : "", names.size() == 1 ? "it" : "a round");
}

namespace {

/// Of all groups in a mode; empty where none is.
std::string standing_of_all(const PlannedRamp& ramp, Condition::Mode mode) {
  std::vector<std::size_t> groups;
  std::vector<std::string> names;
  for (std::size_t g = 0; g < ramp.tank.groups.size(); ++g) {
    const GroupStanding& standing = ramp.followed->standings[g];
    if (ramp.followed->is_gone(g, ramp.followed->today) || standing.mode != mode) continue;
    groups.push_back(g);
    names.push_back(to_safe_text(ramp.tank.groups[g].name) +
                    (standing.dose_limit ? " (" + to_text(*standing.dose_limit) + ")" : ""));
  }
  if (groups.empty()) return "";
  if (groups.size() == 1) return standing_text(ramp, groups.front());
  return fmt::format("{} stay at these doses {}.", name_list(names), end_of_hold(mode, "", false));
}

}  // namespace

std::vector<std::string> standing_texts(const PlannedRamp& ramp) {
  using Mode = Condition::Mode;
  std::vector<std::string> texts;
  for (const Mode mode : {Mode::hurt, Mode::strained, Mode::holding}) {
    if (auto text = standing_of_all(ramp, mode); !text.empty()) texts.push_back(std::move(text));
  }
  if (auto text = want_of_a_look_text(ramp); !text.empty()) texts.push_back(std::move(text));
  return texts;
}

namespace {

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
  return wrap(proposal_words, style) + "\n";
}

std::vector<std::string> wait_texts(const PlannedRamp& ramp) {
  std::vector<std::string> texts;
  const std::vector<Wait> waits = waits_that_hold(ramp);
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
    std::string text = std::string{i == 0 ? waits_word : "And "} + phrases[i];
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
  if (change.kind == "follow" && !change.goal_before && change.goal_after) {
    text += fmt::format(" The goal, {}, is now on {}.", dials_text(ramp.tank, ramp.tank.ramp.to),
                        to_iso(*change.goal_after));
  } else if (change.goal_before != change.goal_after) {
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
  return fmt::format(
      "{}: today {}; {}", what, dials_text(ramp.tank, way.dials_today),
      way.goal_day ? "the goal on " + to_iso(ramp.date(*way.goal_day)) : "the goal is not reached");
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
      dials_text(ramp.tank, ramp.dials(static_cast<std::size_t>(day))), to_iso(date), to_iso(date));
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
    notices.emplace_back(
        "The file's \"from\" is not asked: the plan goes on from how the lights stood.");
  }
  notices.push_back(fmt::format("This leg begins on {}; what was lived before goes on.",
                                to_iso(ramp.date(first))));
  return notices;
}

std::string goal_day_text(const PlannedRamp& ramp) {
  if (is_waiting(ramp)) return "It waits short of the goal; slowdawn plan says for what.";
  if (!ramp.plan.goal_day) return "It stops short of the goal; slowdawn plan says why.";
  return fmt::format("The goal, {}, on {}.", dials_text(ramp.tank, ramp.tank.ramp.to),
                     to_iso(ramp.date(*ramp.plan.goal_day)));
}

}  // namespace slowdawn
