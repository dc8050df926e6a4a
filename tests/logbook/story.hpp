// A followed plan and what is written into its logbook, for the tests of the
// replay. Entries go through their stored form, as the program's own do.
#pragma once

#include <algorithm>
#include <slowdawn/logbook/replay.hpp>
#include <stdexcept>
#include <string>
#include <utility>
#include <vector>

#include "tank/good_tank.hpp"

namespace slowdawn::testing {

/// One light with straight dimming, on for ten hours, from 40 to 80 %:
///   crest 300, ledge 200, sand 100 umol m-2 s-1 at 100 %,
/// so that 1 % brings 0.108, 0.072 and 0.036 mol m-2 d-1. Two groups: staghorn
/// on the crest, chalice on the ledge. The light stays, so that they are used
/// to all of it: A(0) = D0.
inline Json one_light_tank() {
  const Json profile = Json::parse(R"({"dose_band": [1, 30], "peak_ceiling": 1000,
    "headroom_percent": 30, "weekly_rise_percent": 15, "tau_up_days": 10, "tau_down_days": 5,
    "carryover": 0.8, "floor_percent": 50})");
  Json tank = Json::parse(R"({
    "format": "slowdawn-tank/1",
    "name": "Window reef",
    "lights": [{"name": "bars", "photoperiod": {"on": "10:00", "off": "20:00"}}],
    "spots": [{"name": "crest"}, {"name": "ledge"}, {"name": "sand"}],
    "surveys": [{"dials": {"bars": 50}, "ppfd": {"crest": 150, "ledge": 100, "sand": 50}}],
    "groups": [{"name": "staghorn", "spot": "crest"}, {"name": "chalice", "spot": "ledge"}],
    "ramp": {"from": {"bars": 40}, "to": {"bars": 80}, "start": "2026-03-01"}
  })");
  for (Json& group : tank["groups"]) group["profile"] = profile;
  return tank;
}

class Story {
 public:
  explicit Story(const Json& tank = one_light_tank())
      : tank_(read(tank)), start(*tank_.ramp.start) {
    add(0, FollowEntry{tank_.text, {}, start, tank_.ramp.every_days, tank_.ramp.pace});
  }

  Date date_of(int day) const { return start + boost::gregorian::days(day); }

  /// Writes an entry about a day of the plan; its number.
  std::int64_t add(int day, const EntryBody& body) {
    const NewLogEntry added = to_log_entry(date_of(day), date_of(day), body, "");
    const auto seq = static_cast<std::int64_t>(stored.size()) + 1;
    stored.push_back({seq, added.made, added.date, added.kind, added.body, added.plan});
    return seq;
  }
  std::int64_t look(int day, const std::string& group, const CheckIn& seen = {},
                    bool restart = false) {
    return add(day, CheckInEntry{group, seen, "", "", restart});
  }
  std::int64_t dial(int day, double percent, std::optional<int> until = {}) {
    DialedEntry entry{{{"bars", Percent::of_full(percent)}}, {}};
    if (until) entry.until = date_of(*until);
    return add(day, entry);
  }
  std::int64_t undo(int day, std::int64_t seq) { return add(day, UndoEntry{seq}); }
  /// A look at ease at every group every so many days, both ends included.
  void look_at_all(int from, int to, int every = 7) {
    for (int day = from; day <= to; day += every) {
      for (const Group& group : tank_.groups) look(day, group.name);
    }
  }

  std::vector<Entry> entries() const {
    auto parsed = parse_entries("reef.logbook", stored);
    if (!parsed) throw std::runtime_error(parsed.error().findings.front().what);
    return std::move(*parsed);
  }
  Replay replay(int today) const {
    const std::vector<Entry> all = entries();
    const Entry* followed = find_followed(all);
    if (followed == nullptr) throw std::runtime_error("nothing is followed");
    return slowdawn::replay(tank_, all, *followed, date_of(today));
  }
  const Tank& tank() const { return tank_; }

 private:
  Tank tank_;

 public:
  Date start;
  std::vector<LogEntry> stored;
};

/// The setting of a day; a plan that has ended stays where it is.
inline std::size_t setting_on(const Plan& plan, std::size_t day) {
  return plan.days[std::min(day, plan.days.size() - 1)].setting;
}

/// The dial of a day, in percent; after the end that of the last day.
inline double dial_on(const Replay& replayed, std::size_t day) {
  return replayed.dials_of_day(std::min(day, replayed.plan.days.size() - 1))
      .begin()
      ->second.percent();
}

}  // namespace slowdawn::testing
