#include <fmt/format.h>

#include <slowdawn/present/draft_text.hpp>
#include <slowdawn/present/present.hpp>

#include "cli/file_kind.hpp"
#include "cli/new_steps.hpp"

namespace slowdawn {
namespace {

bool is_no(const std::string& answer) { return answer == "no" || answer == "n"; }

// The tank

Question ask_name(const NewTank&) {
  return {"name", "It goes on every page, and makes the name of the file.", "Name of the tank"};
}

Said take_name(NewTank& state, const std::string& answer) {
  Said kept = keep(parse_name(answer), state.draft.name);
  if (!kept) return kept;
  const std::string file = state.file();
  if (is_taken(file) && !state.setting->may_replace) {
    return fault(file + " is there already",
                 state.setting->file.empty()
                     ? "give the tank another name; or quit, and begin again with --force"
                     : "quit, and begin again with another file, or with --force");
  }
  if (const auto allowed = check_may_replace(file, FileKind::tank); !allowed) {
    const Finding& finding = allowed.error().findings.front();
    return fault(file + ": " + finding.what, finding.hint);
  }
  return wrap("The file will be " + to_safe_text(file) + ".", state.style(), "  = ", "    ");
}

// The light until now

Question ask_old_light(const NewTank&) {
  return {"old light",
          "What the corals are used to decides how the ramp begins. Type none if that light can "
          "no longer be read; you are then asked for what each of them had.",
          "The light they had until now, your name for it"};
}

Said take_old_light(NewTank& state, const std::string& answer) {
  if (answer == "none") return "";
  const auto name = parse_name(answer);
  if (!name) return tl::make_unexpected(name.error());
  state.draft.old_light = DraftLight{*name, {}};
  return "";
}

Question ask_old_dial(const NewTank& state) {
  return {
      "old dial", "A light without a dial is at 100.",
      fmt::format("Percentage that {} ran at, and was read at", safe_name(*state.draft.old_light)),
      "100"};
}

Said take_old_dial(NewTank& state, const std::string& answer) {
  return keep(parse_lit_percent(answer), state.draft.old_dial);
}

Question ask_old_day(const NewTank& state) {
  return {"old day",
          "A dose is PPFD over the hours of the day. Write it as 09:00 to 20:00, 90 min rise and "
          "fall; or 09:30 to 19:30 if it goes on and off at once.",
          fmt::format("On and off times of {}", safe_name(*state.draft.old_light))};
}

Said take_old_day(NewTank& state, const std::string& answer) {
  Said kept = keep(parse_day(answer), state.draft.old_light->day);
  if (!kept) return kept;
  state.old_day_text = answer;
  return draft_day_text(*state.draft.old_light, state.style());
}

// The light from now on

Question ask_new_light(const NewTank& state) {
  const auto& old_light = state.draft.old_light;
  return {"new light",
          old_light ? "Enter if " + safe_name(*old_light) + " stays and is only turned." : "",
          "The light they go to, your name for it", old_light ? old_light->name : ""};
}

Said take_new_light(NewTank& state, const std::string& answer) {
  Said kept = keep(parse_name(answer), state.draft.new_light.name);
  if (kept && state.draft.keeps_light()) state.draft.new_light.day = state.draft.old_light->day;
  return kept;
}

bool is_other_light(const NewTank& state) { return !state.draft.keeps_light(); }

Question ask_new_day(const NewTank& state) {
  return {"new day",
          has_old_light(state) ? "" : "As 09:00 to 20:00, 90 min rise and fall; or 09:30 to 19:30.",
          fmt::format("On and off times of {}", safe_name(state.draft.new_light)),
          state.old_day_text};
}

Said take_new_day(NewTank& state, const std::string& answer) {
  Said kept = keep(parse_day(answer), state.draft.new_light.day);
  return kept ? draft_day_text(state.draft.new_light, state.style()) : kept;
}

Question ask_new_dial(const NewTank& state) {
  return {"new dial", "Full output is worked out from it.",
          fmt::format("Percentage that {} was read at", safe_name(state.draft.new_light))};
}

Said take_new_dial(NewTank& state, const std::string& answer) {
  return keep(parse_lit_percent(answer), state.draft.new_dial);
}

Question ask_second_dial(const NewTank& state) {
  return {"second dial", "Few lights give half at 50 %; a second reading shows it.",
          fmt::format("A second percentage that {} was read at, or no",
                      safe_name(state.draft.new_light)),
          "no"};
}

Said take_second_dial(NewTank& state, const std::string& answer) {
  if (is_no(answer)) return "";
  const auto dial = parse_lit_percent(answer);
  if (dial && *dial == state.draft.old_dial) {
    return fault("that is the percentage of the first reading", "give another one, or no");
  }
  return keep(dial, state.draft.new_dial);
}

Question ask_plain_dial(const NewTank& state) {
  return {"plain dial", "If not, you are asked for its range and for what it gives.",
          fmt::format("{} dials 0 to 100 % by 1, and 50 gives half: yes or no",
                      safe_name(state.draft.new_light)),
          "yes"};
}

Said take_plain_dial(NewTank& state, const std::string& answer) {
  return keep(parse_yes_or_no(answer), state.is_plain_dial);
}

bool is_dial_special(const NewTank& state) { return !state.is_plain_dial; }

Question ask_dial(const NewTank&) {
  return {"dial", "", "Lowest, highest and step of the dial in %", "0 100 1"};
}

Said take_dial(NewTank& state, const std::string& answer) {
  return keep(parse_dial(answer), state.draft.new_light.dial);
}

Question ask_dimming(const NewTank&) {
  return {"dimming",
          "If its output was measured: what was dialled, a colon, what came out, in %, such as "
          "25:21 50:47 75:74.",
          "Output measured, or no", "no"};
}

Said take_dimming(NewTank& state, const std::string& answer) {
  if (is_no(answer)) return "";
  return keep(parse_dimming(answer), state.draft.new_light.dimming);
}

// Channels

Question ask_channels(const NewTank& state) {
  return {"channels",
          "If it is dialled channel by channel: each channel and what it stands at when the whole "
          "mix is at 100 %, such as royal 100, violet 80, red 8.",
          fmt::format("Channels of {}, or no", safe_name(state.draft.new_light)), "no"};
}

Said take_channels(NewTank& state, const std::string& answer) {
  return is_no(answer) ? Said{""} : keep(parse_channels(answer), state.draft.new_light.channels);
}

bool may_have_second_mix(const NewTank& state) {
  return is_other_light(state) && !state.draft.new_light.channels.empty();
}

Question ask_added_channel(const NewTank& state) {
  return {
      "second mix",
      "The difference of two mixes tells the channel that only one of them has: a light of its "
      "own then, with its own dial.",
      fmt::format("A channel that was added to {} for a second reading, such as white 40, or no",
                  safe_name(state.draft.new_light)),
      "no"};
}

Said take_added_channel(NewTank& state, const std::string& answer) {
  if (is_no(answer)) return "";
  const auto channels = parse_channels(answer);
  if (!channels) return tl::make_unexpected(channels.error());
  if (channels->size() > 1) {
    return fault("the mixes differ in more than one channel",
                 "readings of two mixes tell one channel; put the others into the first mix");
  }
  const auto& [name, dial] = channels->front();
  const bool is_taken = name == state.draft.new_light.name ||
                        (state.draft.old_light && name == state.draft.old_light->name);
  if (is_taken) return fault("a light is called so already", "give the channel another name");
  state.draft.added = DraftAddedChannel{name, dial};
  return "";
}

}  // namespace

std::vector<NewTankStep> light_steps() {
  return {
      {"name", "The tank", false, always, ask_name, take_name},
      {"old light", "The light", false, always, ask_old_light, take_old_light},
      {"old dial", "The light", false, has_old_light, ask_old_dial, take_old_dial},
      {"old day", "The light", false, has_old_light, ask_old_day, take_old_day},
      {"new light", "The light", false, always, ask_new_light, take_new_light},
      {"new day", "The light", false, is_other_light, ask_new_day, take_new_day},
      {"new dial", "The light", false, is_other_light, ask_new_dial, take_new_dial},
      {"second dial", "The light", false, is_same_light, ask_second_dial, take_second_dial},
      {"plain dial", "The light", false, always, ask_plain_dial, take_plain_dial},
      {"dial", "The light", false, is_dial_special, ask_dial, take_dial},
      {"dimming", "The light", false, is_dial_special, ask_dimming, take_dimming},
      {"channels", "The light", false, always, ask_channels, take_channels},
      {"second mix", "The light", false, may_have_second_mix, ask_added_channel,
       take_added_channel},
  };
}

}  // namespace slowdawn
