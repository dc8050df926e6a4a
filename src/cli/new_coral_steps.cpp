#include <fmt/format.h>

#include <algorithm>
#include <slowdawn/present/draft_text.hpp>
#include <slowdawn/tank/nearest_name.hpp>
#include <slowdawn/tank/profile_search.hpp>

#include "cli/new_steps.hpp"

namespace slowdawn {
namespace {

bool is_group_open(const NewTank& state) { return !state.has_all_groups && !state.group; }

Question ask_group(const NewTank& state) {
  const std::size_t number = state.draft.groups.size() + 1;
  return {fmt::format("group {}", number),
          "A group is corals of one kind at one spot that are treated alike. Type done after the "
          "last group.",
          fmt::format("Group {}, your name for it", number), number > 1 ? "done" : ""};
}

Said take_group(NewTank& state, const std::string& answer) {
  auto& groups = state.draft.groups;
  if (answer == "done") {
    if (groups.empty()) return fault("there is no group yet", "type a name, such as green torch");
    state.has_all_groups = true;
    for (std::size_t g = 0; g < groups.size() && !has_old_light(state); ++g) {
      state.newcomers.push_back(g);
    }
    return "";
  }
  const auto name = parse_name(answer);
  if (!name) return tl::make_unexpected(name.error());
  const auto is_same = [&](const DraftGroup& other) { return other.name == *name; };
  if (std::any_of(groups.begin(), groups.end(), is_same)) {
    return fault("there is a group \"" + *name + "\" already", "give this one a name of its own");
  }
  state.group = DraftGroup{*name, ""};
  return "";
}

bool is_kind_open(const NewTank& state) { return state.group && state.group->profile.empty(); }

Question ask_kind(const NewTank& state) {
  const std::vector<std::string> found = search_profiles(state.setting->shelf, state.group->name);
  return {"kind " + state.group->name,
          "Its kind decides what it bears: a profile, a genus, or what the trade calls it.",
          fmt::format("Kind of {}", to_safe_text(state.group->name)),
          found.size() == 1 ? found.front() : ""};
}

Said finish_group(NewTank& state, std::size_t spot) {
  const DraftSpot& place = state.draft.spots[spot];
  const bool is_read = !place.after.empty() || state.draft.keeps_light();
  if (!is_read && !state.has_places) {
    return fault("\"" + place.name + "\" was not read under \"" + state.draft.new_light.name + "\"",
                 "choose a spot that was, or undo");
  }
  state.group->spot = spot;
  state.draft.groups.push_back(*state.group);
  state.group.reset();
  return "";
}

Said take_kind(NewTank& state, const std::string& answer) {
  const ProfileShelf& shelf = state.setting->shelf;
  const std::vector<std::string> found = search_profiles(shelf, answer);
  if (found.empty()) {
    return fault("no kind is known as \"" + answer + "\"", hint_for_profile(shelf, answer));
  }
  if (found.size() > 1) {
    std::string list;
    for (const std::string& name : found) list += (list.empty() ? "" : " or ") + name;
    return fault("\"" + answer + "\" may be one of several", "type " + list);
  }
  state.group->profile = found.front();
  const Profile profile = shelf.find(found.front()).value();
  std::string covers;
  for (const std::string& taxon : profile.covers) {
    covers += (covers.empty() ? "" : ", ") + to_safe_text(taxon);
  }
  const std::string words =
      wrap(to_safe_text(found.front()) + ": " + covers, state.style(), "  = ", "    ");
  if (state.draft.spots.size() > 1) return words;
  Said finished = finish_group(state, 0);
  return finished ? words : finished;
}

bool is_group_spot_open(const NewTank& state) {
  return state.group && !state.group->profile.empty();
}

Question ask_group_spot(const NewTank& state) {
  std::string list;
  for (std::size_t i = 0; i < state.draft.spots.size(); ++i) {
    list +=
        fmt::format("{}{} {}", i > 0 ? ", " : "", i + 1, to_safe_text(state.draft.spots[i].name));
  }
  return {"spot of " + state.group->name, "Spots, by number or name: " + list + ".",
          fmt::format("Spot of {}", to_safe_text(state.group->name))};
}

Said take_group_spot(NewTank& state, const std::string& answer) {
  std::vector<std::string> names;
  for (const DraftSpot& spot : state.draft.spots) names.push_back(spot.name);
  const auto named = std::find(names.begin(), names.end(), answer);
  if (named != names.end()) {
    return finish_group(state, static_cast<std::size_t>(named - names.begin()));
  }
  const auto chosen = parse_choice(answer, names.size());
  if (chosen && chosen->size() == 1) return finish_group(state, chosen->front());
  return fault("there is no spot \"" + answer + "\"", hint_for_name(answer, names));
}

Question ask_newcomers(const NewTank& state) {
  std::string list;
  for (std::size_t g = 0; g < state.draft.groups.size(); ++g) {
    list += wrap(to_safe_text(state.draft.groups[g].name), state.style(),
                 fmt::format("  {:>2}  ", g + 1), "      ");
  }
  return {"newcomers",
          "Corals from another tank are not used to the light that was read here. Their numbers, "
          "separated by spaces:",
          "Which of them come from elsewhere", "none", list};
}

Said take_newcomers(NewTank& state, const std::string& answer) {
  const auto& groups = state.draft.groups;
  state.newcomers.clear();
  if (answer == "all") {
    for (std::size_t g = 0; g < groups.size(); ++g) state.newcomers.push_back(g);
  } else if (answer != "none") {
    Said kept = keep(parse_choice(answer, groups.size()), state.newcomers);
    if (!kept) return kept;
  }
  for (std::size_t g = 0; g < groups.size(); ++g) {
    const auto& elsewhere = state.newcomers;
    const bool is_new = std::find(elsewhere.begin(), elsewhere.end(), g) != elsewhere.end();
    const DraftSpot& spot = state.draft.spots[groups[g].spot];
    const bool is_read =
        !spot.before.empty() || state.has_places || (is_same_light(state) && !spot.after.empty());
    if (is_new || is_read) continue;
    return fault("\"" + groups[g].name + "\" lives at \"" + spot.name +
                     "\", which was not read under \"" + state.draft.old_light->name + "\"",
                 "name it as one that comes from elsewhere, or undo");
  }
  return "";
}

bool is_history_open(const NewTank& state) { return !state.newcomers.empty(); }

Question ask_history(const NewTank& state) {
  const std::string& name = state.draft.groups[state.newcomers.front()].name;
  return {"history " + name,
          "PPFD and hours of light a day, as 120 for 10 h, from which dose = 0.0036 x PPFD x "
          "hours; or dose 6.2 peak 190, as a meter of yours showed it; or unknown, and the low "
          "end of the band of its kind stands for it, which is a guess.",
          fmt::format("Light that {} had", to_safe_text(name))};
}

Said take_history(NewTank& state, const std::string& answer) {
  DraftGroup& group = state.draft.groups[state.newcomers.front()];
  Said kept = keep(parse_earlier_light(answer), group.history);
  if (!kept) return kept;
  state.newcomers.erase(state.newcomers.begin());
  return draft_history_text(group, state.style());
}

}  // namespace

std::vector<NewTankStep> coral_steps() {
  return {
      {"group", "Corals", true, is_group_open, ask_group, take_group},
      {"kind", "Corals", true, is_kind_open, ask_kind, take_kind},
      {"spot of group", "Corals", true, is_group_spot_open, ask_group_spot, take_group_spot},
      {"newcomers", "Corals", false, has_old_light, ask_newcomers, take_newcomers},
      {"history", "Corals", true, is_history_open, ask_history, take_history},
  };
}

}  // namespace slowdawn
