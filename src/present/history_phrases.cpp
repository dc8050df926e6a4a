#include <fmt/format.h>

#include <slowdawn/present/history_phrases.hpp>
#include <slowdawn/present/phrases.hpp>
#include <slowdawn/present/text.hpp>

namespace slowdawn {
namespace {

std::string basis_words(const Tank& tank, const History& history) {
  switch (history.basis) {
    case History::Basis::measured: return "measured elsewhere";
    case History::Basis::told: return "as told";
    case History::Basis::spot_here:
      return "at " + to_safe_text(tank.spots[history.spot].name) + " under " +
             dials_text(tank, history.dials);
    case History::Basis::other_tank: return "at " + to_safe_text(history.place);
    case History::Basis::origin: return to_safe_text(history.place);
    case History::Basis::unknown: return "a guess: the low end of the band of its kind";
  }
  return "";
}

}  // namespace

std::string history_basis_key(History::Basis basis) {
  switch (basis) {
    case History::Basis::measured: return "measured";
    case History::Basis::told: return "told";
    case History::Basis::spot_here: return "spot_here";
    case History::Basis::other_tank: return "other_tank";
    case History::Basis::origin: return "origin";
    case History::Basis::unknown: return "unknown";
  }
  return "";
}

std::string history_words(const Tank& tank, const Group& group, const RampGroup& planned) {
  const History& history = *group.history;
  std::string words = fmt::format("{} had dose {}, peak {} ({}", to_safe_text(group.name),
                                  to_text(history.light.dose), to_text(history.light.peak),
                                  basis_words(tank, history));
  if (history.error && !history.is_guess()) {
    words += fmt::format(", +/- {:.0f} %", 100.0 * *history.error);
  }
  words += ")";
  if (history.dark_days > 0) {
    words += ", then " + days_text(static_cast<std::size_t>(history.dark_days)) + " in the dark";
  }
  if (history.since) {
    words += fmt::format(", and since {} the light of {} here", to_iso(*history.since),
                         to_safe_text(tank.spots[group.spot].name));
  }
  return words + fmt::format("; on the first day {}dose {}, peak {} of it count.",
                             tank.has_weights() ? "usable " : "", to_text(planned.used_to.dose),
                             to_text(planned.used_to.peak));
}

std::string guess_words(const Tank& tank) {
  std::vector<std::string> names;
  for (const Group& group : tank.groups) {
    if (group.history && group.history->is_guess()) names.push_back(to_safe_text(group.name));
  }
  if (names.empty()) return "";
  return "A guess: nobody knows what light " + list_words(names) +
         " had before; the low end of the band of its kind stands for it. Find out, or watch "
         "closely.";
}

}  // namespace slowdawn
