#include "logbook/entry_check.hpp"

#include <algorithm>
#include <slowdawn/tank/even_setup.hpp>
#include <slowdawn/tank/known_light.hpp>
#include <slowdawn/tank/nearest_name.hpp>

namespace slowdawn {
namespace {

template <class Named>
std::vector<std::string> names_of(const std::vector<Named>& list) {
  std::vector<std::string> names;
  names.reserve(list.size());
  for (const Named& item : list) names.push_back(item.name);
  return names;
}

std::optional<std::size_t> find_name(const std::vector<std::string>& names,
                                     const std::string& name) {
  const auto found = std::find(names.begin(), names.end(), name);
  if (found == names.end()) return std::nullopt;
  return static_cast<std::size_t>(found - names.begin());
}

EntryProblem unknown(std::string_view kind, const std::string& name,
                     const std::vector<std::string>& names) {
  return {"its tank has no " + std::string{kind} + " \"" + name + "\"", hint_for_name(name, names)};
}

/// As `checkin` takes it.
std::optional<EntryProblem> find_problem(const Tank& tank, const CheckInEntry& entry) {
  constexpr double highest_fv_fm = 0.9;
  const std::vector<std::string> groups = names_of(tank.groups);
  if (!find_name(groups, entry.group)) return unknown("group", entry.group, groups);
  if (entry.seen.fv_fm && *entry.seen.fv_fm > highest_fv_fm) {
    return EntryProblem{"Fv/Fm goes from 0 to 0.9",
                        "it is a ratio; healthy corals read 0.5 to 0.7"};
  }
  return std::nullopt;
}

/// As `moved` takes it.
std::optional<EntryProblem> find_problem(const Tank& tank, const MovedEntry& entry) {
  const std::vector<std::string> groups = names_of(tank.groups);
  const std::vector<std::string> spots = names_of(tank.spots);
  if (!find_name(groups, entry.group)) return unknown("group", entry.group, groups);
  const auto spot = find_name(spots, entry.spot);
  if (!spot) return unknown("spot", entry.spot, spots);
  for (const auto& [light, goal] : tank.ramp.to) {
    if (tank.full_output[*spot][light]) continue;
    return EntryProblem{
        "\"" + entry.spot + "\" has no reading of \"" + tank.lights[light].name + "\"",
        "take the entry out; read PPFD there, write it into the tank file's survey, follow again "
        "and log the move"};
  }
  return std::nullopt;
}

/// Dials of the whole path that no mix of those that were read tells where a group lives.
std::optional<EntryProblem> find_untold_dials(const Tank& tank, const DialedEntry& entry) {
  std::map<std::size_t, Percent> dials;
  for (const auto& [light, goal] : tank.ramp.to) {
    const auto dialled = entry.dials.find(tank.lights[light].name);
    // How the others stood is not known here.
    if (dialled == entry.dials.end()) return std::nullopt;
    dials[light] = dialled->second;
  }
  for (const Group& group : tank.groups) {
    const std::size_t spot = group.spot_of_start();
    if (tells_dials_nearly(tank, spot, dials)) continue;
    return EntryProblem{
        "the readings at \"" + tank.spots[spot].name +
            "\" do not tell what its dials give there: they were read in other mixes alone",
        "take the entry out; read PPFD there under these dials, follow again and log the dial"};
  }
  return std::nullopt;
}

/// As `dialed` takes it. A light that was not read where a group lives would count as
/// darkness there.
std::optional<EntryProblem> find_problem(const Tank& tank, const DialedEntry& entry) {
  const std::vector<std::string> lights = names_of(tank.lights);
  for (const auto& [name, dial] : entry.dials) {
    const auto light = find_name(lights, name);
    if (!light) return unknown("light", name, lights);
    for (const Group& group : tank.groups) {
      const std::size_t spot = group.spot_of_start();
      if (dial == Percent{} || tank.full_output[spot][*light]) continue;
      return EntryProblem{
          "\"" + name + "\" was not read at \"" + tank.spots[spot].name + "\"",
          "without a reading nobody knows what it gives there; take the entry out, read the light "
          "there, follow again and log the dial"};
    }
  }
  return find_untold_dials(tank, entry);
}

template <class Other>
std::optional<EntryProblem> find_problem(const Tank&, const Other&) {
  return std::nullopt;
}

std::optional<EntryProblem> find_wrong_day(const Entry& entry) {
  if (entry.date > entry.made) {
    return EntryProblem{
        "it speaks of " + to_iso(entry.date) + " and was made on " + to_iso(entry.made),
        "an entry says what has happened; give it a \"date\" up to the day it was made"};
  }
  const auto* dialed = std::get_if<DialedEntry>(entry.body.get());
  if (dialed != nullptr && dialed->until && *dialed->until < entry.date) {
    return EntryProblem{"its \"until\" lies before its first day, " + to_iso(entry.date),
                        "exchange the two"};
  }
  return std::nullopt;
}

}  // namespace

std::optional<EntryProblem> EntryCheck::add(const Entry& entry) {
  std::optional<EntryProblem> problem;
  if (std::holds_alternative<FollowEntry>(*entry.body)) {
    problem = add_follow(entry);
  } else if (std::holds_alternative<UndoEntry>(*entry.body)) {
    problem = check_undo(entry);
  } else {
    problem = find_wrong_day(entry);
    if (!problem) problem = check_of_tank(entry);
  }
  entries_.push_back(entry);
  take_back();
  return problem;
}

std::optional<EntryProblem> EntryCheck::find_unknown_light(const std::string& name) const {
  if (lights_.contains(name)) return std::nullopt;
  return unknown("light", name, {lights_.begin(), lights_.end()});
}

std::optional<EntryProblem> EntryCheck::add_follow(const Entry& entry) {
  const auto& followed = std::get<FollowEntry>(*entry.body);
  auto tank = followed_tank(file_, followed);
  if (!tank) {
    const Finding& finding = tank.error().findings.front();
    return EntryProblem{"the tank in it cannot be read: " + finding.what, finding.hint};
  }
  // A line that goes on from where the lights stood need not begin where the file does.
  const auto line = followed_line(*tank, followed);
  const bool begins_with_file = tanks_.empty() || followed.afresh;
  const bool is_line = line && (line->days == 0) == (line->from == line->to) &&
                       (!begins_with_file || is_line_of(*tank, *line));
  if (followed.even && !is_line) {
    return EntryProblem{"the even ramp in it is none of the tank that was kept with it",
                        "follow again: slowdawn follow --even"};
  }
  for (const std::string& light : names_of(tank->lights)) lights_.insert(light);
  tanks_.insert_or_assign(entry.seq, std::move(*tank));
  return std::nullopt;
}

std::optional<EntryProblem> EntryCheck::check_undo(const Entry& entry) const {
  const std::int64_t undone = std::get<UndoEntry>(*entry.body).seq;
  if (undone < 1 || undone >= entry.seq) {
    return EntryProblem{
        "it takes back entry " + std::to_string(undone) + ", which is not before it",
        "an undo names an entry of a smaller number"};
  }
  const auto is_undone = [&](const Entry& other) { return other.seq == undone; };
  const auto found = std::find_if(entries_.begin(), entries_.end(), is_undone);
  // It is dated like what it takes back, and a plan may begin later.
  if (found != entries_.end() && found->date == entry.date) return std::nullopt;
  return find_wrong_day(entry);
}

/// Against the tank that is followed, or that was followed on its day.
std::optional<EntryProblem> EntryCheck::check_of_tank(const Entry& entry) const {
  std::optional<EntryProblem> first;
  bool is_followed = false;
  for (auto leg = tanks_.rbegin(); leg != tanks_.rend(); ++leg) {
    const Entry& followed = entries_[static_cast<std::size_t>(leg->first) - 1];
    if (followed.undone) continue;
    const bool is_of_its_day = followed.date <= entry.date;
    if (is_followed && !is_of_its_day) continue;
    auto problem =
        std::visit([&](const auto& body) { return find_problem(leg->second, body); }, *entry.body);
    if (!problem) return std::nullopt;
    if (!is_followed) first = std::move(problem);
    is_followed = true;
    if (is_of_its_day) break;
  }
  if (is_followed) return first;
  return EntryProblem{"no plan was followed when it was made",
                      "a history begins with a follow entry; export it again from the logbook "
                      "itself: slowdawn history --json > history.json"};
}

/// From the newest: an undo that is itself taken back does not count.
void EntryCheck::take_back() {
  const auto* undo = std::get_if<UndoEntry>(entries_.back().body.get());
  undone_.push_back(false);
  if (undo == nullptr) return;
  std::fill(undone_.begin(), undone_.end(), false);
  for (std::size_t i = entries_.size(); i > 0; --i) {
    const auto* other = std::get_if<UndoEntry>(entries_[i - 1].body.get());
    if (other == nullptr || undone_[i - 1] || other->seq < 1) continue;
    if (other->seq < entries_[i - 1].seq) undone_[static_cast<std::size_t>(other->seq) - 1] = true;
  }
  for (std::size_t i = 0; i < entries_.size(); ++i) entries_[i].undone = undone_[i];
}

}  // namespace slowdawn
