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

/// A life as a keeper writes it down, lived day by day: every entry is written on its
/// own day or later, and with it the days since the one before as `today` gave them.
class Story {
 public:
  explicit Story(const Json& tank = one_light_tank())
      : tank_(read(tank)), start(*tank_.ramp.start) {
    add(0, FollowEntry{tank_.text, {}, start, tank_.ramp.every_days, tank_.ramp.pace});
  }

  Date date_of(int day) const { return start + boost::gregorian::days(day); }

  /// Writes an entry about a day of the plan on that day; its number, for `undo`.
  std::int64_t add(int day, const EntryBody& body) { return add_late(day, day, body); }
  /// The same about an earlier day than the one on which it is written.
  std::int64_t add_late(int made, int day, const EntryBody& body) {
    written_.push_back({made, day, body});
    return static_cast<std::int64_t>(written_.size());
  }
  std::int64_t look(int day, const std::string& group, const CheckIn& seen = {},
                    bool restart = false) {
    return add(day, CheckInEntry{group, seen, "", "", restart});
  }
  std::int64_t look_late(int made, int day, const std::string& group, const CheckIn& seen = {}) {
    return add_late(made, day, CheckInEntry{group, seen, "", "", false});
  }
  std::int64_t dial(int day, double percent, std::optional<int> until = {}) {
    return dial_late(day, day, percent, until);
  }
  std::int64_t dial_late(int made, int day, double percent, std::optional<int> until = {}) {
    DialedEntry entry{{{"bars", Percent::of_full(percent)}}, {}};
    if (until) entry.until = date_of(*until);
    return add_late(made, day, entry);
  }
  std::int64_t undo(int day, std::int64_t number) { return add(day, UndoEntry{number}); }
  /// A look at ease at every group every so many days, both ends included.
  void look_at_all(int from, int to, int every = 7) {
    for (int day = from; day <= to; day += every) {
      for (const Group& group : tank_.groups) look(day, group.name);
    }
  }

  /// The logbook on the evening of a day.
  std::vector<LogEntry> stored_on(int today) const {
    std::vector<std::size_t> order;
    for (std::size_t i = 0; i < written_.size(); ++i) {
      // What was written before the first plan is of its first day.
      if (written_[i].made <= std::max(today, 0)) order.push_back(i);
    }
    std::stable_sort(order.begin() + 1, order.end(), [&](std::size_t a, std::size_t b) {
      return written_[a].made < written_[b].made;
    });
    std::vector<LogEntry> stored;
    std::map<std::int64_t, std::int64_t> seq_of;
    for (const std::size_t i : order) {
      const Written& each = written_[i];
      const Date made = date_of(std::max(each.made, stored.empty() ? each.made : 0));
      const auto seq = static_cast<std::int64_t>(stored.size()) + 1;
      seq_of[static_cast<std::int64_t>(i) + 1] = seq;
      EntryBody body = each.body;
      if (auto* undo = std::get_if<UndoEntry>(&body)) {
        // Of what is not written yet, nothing is taken back.
        if (!seq_of.contains(undo->seq)) continue;
        undo->seq = seq_of[undo->seq];
      }
      Record days;
      if (!stored.empty() && made > stored.back().made) {
        const Log log = log_of(stored, made);
        days = days_to_store(log, replay_of(log, made));
      }
      const NewLogEntry added = to_log_entry(made, date_of(each.day), body, "", days);
      stored.push_back(
          {seq, added.made, added.date, added.kind, added.body, added.plan, added.record});
    }
    return stored;
  }
  static Log log_of(const std::vector<LogEntry>& stored, const Date& today) {
    auto log = parse_log("reef.logbook", stored, today);
    if (!log) throw std::runtime_error(log.error().findings.front().what);
    return std::move(*log);
  }
  static Replay replay_of(const Log& log, const Date& today) {
    auto lived = slowdawn::replay("reef.tank.json", log, today);
    if (!lived) throw std::runtime_error(lived.error().findings.front().what);
    if (!*lived) throw std::runtime_error("nothing is followed");
    return std::move(**lived);
  }
  Replay replay(int today) const {
    return replay_of(log_of(stored_on(today), date_of(today)), date_of(today));
  }
  const Tank& tank() const { return tank_; }

 private:
  struct Written {
    int made;
    int day;
    EntryBody body;
  };
  Tank tank_;
  std::vector<Written> written_;

 public:
  Date start;
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
