#include <fmt/format.h>

#include <algorithm>
#include <slowdawn/present/draft_text.hpp>
#include <slowdawn/present/phrases.hpp>

#include "cli/new_steps.hpp"

namespace slowdawn {
namespace {

Question ask_immersion(const NewTank&) {
  return {"immersion",
          "A sensor made for air reads low under water; its maker gives a factor for that. 1 if "
          "your meter corrects by itself.",
          "Immersion factor of your meter", "1"};
}

Said take_immersion(NewTank& state, const std::string& answer) {
  return keep(parse_amount(answer, 0.5, 3, "factor"), state.draft.immersion_factor);
}

bool is_spot_open(const NewTank& state) { return !state.has_all_spots && !state.spot; }

Question ask_spot(const NewTank& state) {
  const std::size_t number = state.draft.spots.size() + 1;
  return {fmt::format("spot {}", number),
          "PPFD, pumps off, spot by spot. Repeats are separated by spaces, 212 208 216. Type done "
          "after the last spot.",
          fmt::format("Spot {}, its name", number), number > 1 ? "done" : ""};
}

Said take_spot(NewTank& state, const std::string& answer) {
  if (answer == "done") {
    if (state.draft.spots.empty())
      return fault("there is no spot yet", "type a name, such as crest");
    state.has_all_spots = true;
    return "";
  }
  const auto name = parse_name(answer);
  if (!name) return tl::make_unexpected(name.error());
  const auto& spots = state.draft.spots;
  const auto is_same = [&](const DraftSpot& other) { return other.name == *name; };
  if (std::any_of(spots.begin(), spots.end(), is_same)) {
    return fault("there is a spot \"" + *name + "\" already", "give this one a name of its own");
  }
  state.spot = DraftSpot{*name};
  state.has_asked_before = !has_old_light(state);
  state.has_asked_after = false;
  return "";
}

Said finish_spot(NewTank& state) {
  if (state.spot->before.empty() && state.spot->after.empty() && state.spot->together.empty()) {
    return fault("the spot was read under neither light", "type a reading, or undo");
  }
  state.draft.spots.push_back(*state.spot);
  state.spot.reset();
  return draft_spot_text(state.draft, state.draft.spots.back(), state.style());
}

Question ask_reading(const NewTank& state, const char* which, const DraftLight& light,
                     Percent dial) {
  return {fmt::format("{} {}", which, state.spot->name), "Type none where a spot was not read.",
          fmt::format("PPFD at {}, {} at {}", to_safe_text(state.spot->name), safe_name(light),
                      to_text(dial))};
}

bool is_before_open(const NewTank& state) { return state.spot && !state.has_asked_before; }

Question ask_before(const NewTank& state) {
  return ask_reading(state, "before", *state.draft.old_light, state.draft.old_dial);
}

Said take_before(NewTank& state, const std::string& answer) {
  if (answer != "none") {
    Said kept = keep(parse_repeats(answer), state.spot->before);
    if (!kept) return kept;
  }
  state.has_asked_before = true;
  return state.draft.new_dial ? "" : finish_spot(state);
}

bool is_after_open(const NewTank& state) {
  return state.spot && state.has_asked_before && !state.has_asked_after && state.draft.new_dial;
}

Question ask_after(const NewTank& state) {
  return ask_reading(state, "after", state.draft.new_light, *state.draft.new_dial);
}

Said take_after(NewTank& state, const std::string& answer) {
  if (answer != "none") {
    Said kept = keep(parse_repeats(answer), state.spot->after);
    if (!kept) return kept;
  }
  state.has_asked_after = true;
  return state.draft.added ? "" : finish_spot(state);
}

bool is_together_open(const NewTank& state) {
  return state.spot && state.has_asked_after && state.draft.added;
}

Question ask_together(const NewTank& state) {
  const DraftAddedChannel& added = *state.draft.added;
  Question question = ask_reading(state, "together", state.draft.new_light, *state.draft.new_dial);
  question.prompt += fmt::format(" with {} at {}", to_safe_text(added.name), to_text(added.dial));
  return question;
}

Said take_together(NewTank& state, const std::string& answer) {
  if (answer != "none") {
    Said kept = keep(parse_repeats(answer), state.spot->together);
    if (!kept) return kept;
  }
  return finish_spot(state);
}

// Where the spots lie

Question ask_places(const NewTank&) {
  return {"places",
          "A map, and estimates for spots that were not read, need to know where spots lie.",
          "Give their places: yes or no", "no"};
}

Said take_places(NewTank& state, const std::string& answer) {
  return keep(parse_yes_or_no(answer), state.has_places);
}

Question ask_water(const NewTank&) {
  return {"water", "", "Length, width and depth of the water in cm"};
}

Said take_water(NewTank& state, const std::string& answer) {
  const auto cm = parse_numbers(answer, 3, 1, 10000, "120 60 50");
  if (!cm) return tl::make_unexpected(cm.error());
  state.draft.water = Water{Length::cm((*cm)[0]), Length::cm((*cm)[1]), Length::cm((*cm)[2])};
  return "";
}

bool wants_places(const NewTank& state) { return state.has_places; }

bool is_place_open(const NewTank& state) {
  return state.has_places && state.place < state.draft.spots.size();
}

Question ask_place(const NewTank& state) {
  const DraftSpot& spot = state.draft.spots[state.place];
  return {"place " + spot.name,
          "In cm: x from the left end, y from the front, depth from the surface down.",
          fmt::format("x, y and depth of {}", to_safe_text(spot.name)), "none"};
}

Said take_place(NewTank& state, const std::string& answer) {
  DraftSpot& spot = state.draft.spots[state.place++];
  if (answer == "none") return "";
  const auto cm = parse_numbers(answer, 3, 0, 10000, "70 30 15");
  if (!cm) return tl::make_unexpected(cm.error());
  spot.x = Length::cm((*cm)[0]);
  spot.y = Length::cm((*cm)[1]);
  spot.depth = Length::cm((*cm)[2]);
  const Water& water = *state.draft.water;
  if (*spot.x > water.length || *spot.y > water.width || *spot.depth > water.depth) {
    return fault("that lies outside the water",
                 "x runs along the length, y along the width, depth down from the surface");
  }
  return "";
}

}  // namespace

std::vector<NewTankStep> reading_steps() {
  return {
      {"immersion", "Readings", false, always, ask_immersion, take_immersion},
      {"spot", "Readings", true, is_spot_open, ask_spot, take_spot},
      {"before", "Readings", true, is_before_open, ask_before, take_before},
      {"after", "Readings", true, is_after_open, ask_after, take_after},
      {"together", "Readings", true, is_together_open, ask_together, take_together},
      {"places", "Readings", false, always, ask_places, take_places},
      {"water", "Readings", false, wants_places, ask_water, take_water},
      {"place", "Readings", true, is_place_open, ask_place, take_place},
  };
}

}  // namespace slowdawn
