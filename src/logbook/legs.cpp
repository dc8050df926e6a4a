#include "logbook/legs.hpp"

#include <algorithm>

#include "logbook/find_named.hpp"

namespace slowdawn {
namespace {

using Outputs = std::vector<std::vector<std::optional<FullOutput>>>;

/// The follow entries that begin a leg.
std::vector<const Entry*> list_followed(const std::vector<Entry>& entries) {
  std::vector<const Entry*> legs;
  for (const Entry& entry : entries) {
    const auto* body = std::get_if<FollowEntry>(entry.body.get());
    if (body == nullptr || entry.undone) continue;
    if (body->afresh) legs.clear();
    if (!legs.empty() && is_same_plan(std::get<FollowEntry>(*legs.back()->body), *body)) continue;
    // What had not begun is no leg.
    while (!legs.empty() && body->start <= std::get<FollowEntry>(*legs.back()->body).start) {
      legs.pop_back();
    }
    legs.push_back(&entry);
  }
  return legs;
}

/// What an earlier tank says of a light at a spot, by their names.
std::optional<FullOutput> output_of(const Tank& tank, const std::string& spot,
                                    const std::string& light) {
  const auto s = find_named(tank.spots, spot);
  const auto l = find_named(tank.lights, light);
  if (!s || !l) return std::nullopt;
  return tank.full_output[*s][*l];
}

/// Adds what a tank does not name: the lights, spots and groups of the one before it.
void add_missing(Leg& leg, const Leg& before) {
  Tank& tank = leg.tank;
  for (const TankLight& light : before.tank.lights) {
    if (!find_named(tank.lights, light.name)) tank.lights.push_back(light);
  }
  for (const Spot& spot : before.tank.spots) {
    if (find_named(tank.spots, spot.name)) continue;
    tank.spots.push_back(spot);
    tank.full_output.emplace_back();
  }
  for (std::size_t spot = 0; spot < tank.spots.size(); ++spot) {
    std::vector<std::optional<FullOutput>>& outputs = tank.full_output[spot];
    for (std::size_t light = outputs.size(); light < tank.lights.size(); ++light) {
      outputs.push_back(output_of(before.tank, tank.spots[spot].name, tank.lights[light].name));
    }
  }
  leg.is_named.assign(tank.groups.size(), true);
  leg.is_dropped.assign(tank.groups.size(), false);
  for (const Group& group : before.tank.groups) {
    if (find_named(tank.groups, group.name)) continue;
    Group left = group;
    left.spot = *find_named(tank.spots, before.tank.spots[group.spot].name);
    left.to_spot.reset();
    left.via.clear();
    left.shades.clear();
    left.history.reset();
    left.moves_when_ready = false;
    tank.groups.push_back(left);
    leg.is_named.push_back(false);
    leg.is_dropped.push_back(true);
  }
}

/// The day on which a lamp was changed, so that readings from before do not speak of
/// the light after.
std::optional<Date> changed_on(const Tank& tank, std::size_t light) {
  std::optional<Date> day;
  for (const Survey& survey : tank.surveys) {
    if (survey.changed && survey.dials[light].percent() > 0.0) {
      day = std::max(day.value_or(*survey.changed), *survey.changed);
    }
  }
  return day;
}

/// The outputs of a leg, with those of the newest tank for the lights that were not
/// changed after `day`.
Outputs outputs_on(const Leg& leg, const Tank& newest, const Date& day) {
  Outputs outputs = leg.tank.full_output;
  for (std::size_t light = 0; light < leg.tank.lights.size(); ++light) {
    const auto number = find_named(newest.lights, leg.tank.lights[light].name);
    if (!number) continue;
    const auto changed = changed_on(newest, *number);
    if (changed && day < *changed) continue;
    for (std::size_t spot = 0; spot < leg.tank.spots.size(); ++spot) {
      const auto there = find_named(newest.spots, leg.tank.spots[spot].name);
      if (there && newest.full_output[*there][*number]) {
        outputs[spot][light] = newest.full_output[*there][*number];
      }
    }
  }
  return outputs;
}

/// Puts the newest readings into an earlier leg.
void take_readings(Leg& leg, const Tank& newest, const Date& end) {
  std::vector<Date> days{leg.start};
  for (std::size_t light = 0; light < newest.lights.size(); ++light) {
    const auto changed = changed_on(newest, light);
    if (changed && *changed > leg.start && *changed < end) days.push_back(*changed);
  }
  std::sort(days.begin(), days.end());
  days.erase(std::unique(days.begin(), days.end()), days.end());
  for (const Date& day : days) leg.outputs.push_back({day, outputs_on(leg, newest, day)});
  leg.tank.full_output = leg.outputs.front().full_output;
}

}  // namespace

bool is_same_plan(const FollowEntry& one, const FollowEntry& other) {
  FollowEntry moved = other;
  moved.start = one.start;
  moved.afresh = one.afresh;
  return one == moved;
}

ReadResult<std::vector<Leg>> list_legs(const std::string& tank_file,
                                       const std::vector<Entry>& entries) {
  std::vector<Leg> legs;
  for (const Entry* entry : list_followed(entries)) {
    const auto& body = std::get<FollowEntry>(*entry->body);
    auto tank = followed_tank(tank_file, body);
    if (!tank) return tl::make_unexpected(std::move(tank.error()));
    Leg leg{entry, &body, body.start, std::move(*tank), {}, {}, {}};
    leg.is_named.assign(leg.tank.groups.size(), true);
    leg.is_dropped.assign(leg.tank.groups.size(), false);
    if (!legs.empty()) add_missing(leg, legs.back());
    legs.push_back(std::move(leg));
  }
  for (std::size_t i = 0; i + 1 < legs.size(); ++i) {
    take_readings(legs[i], legs.back().tank, legs[i + 1].start);
  }
  if (!legs.empty()) {
    legs.back().outputs.push_back({legs.back().start, legs.back().tank.full_output});
  }
  return legs;
}

}  // namespace slowdawn
