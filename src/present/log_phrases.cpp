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
    if (auto text = standing_text(ramp, g); !text.empty()) texts.push_back(std::move(text));
  }
  if (auto text = want_of_a_look_text(ramp); !text.empty()) texts.push_back(std::move(text));
  return texts;
}

}  // namespace slowdawn
