// Random lives, lived day by day with what is known on that day: looks that are logged
// late or taken back, accidents, moves, meshes, corals that go, goals that change.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "logbook/story.hpp"
#include "property/dice.hpp"

namespace slowdawn {
namespace {

using testing::Dice;
using testing::Json;

constexpr std::uint64_t first_seed = 480000;
// Each is a whole life with a plan made anew on every day; slow programs live fewer.
#if defined(NDEBUG)
constexpr std::uint64_t lives = 2000;
#else
constexpr std::uint64_t lives = 60;
#endif
constexpr int days_lived = 45;

/// mol m-2 d-1 and umol m-2 s-1 of 1 % of the light, by spot of testing::one_light_tank.
constexpr double dose_of_percent[] = {0.108, 0.072, 0.036};
constexpr double peak_of_percent[] = {3.0, 2.0, 1.0};
const char* const spot_names[] = {"crest", "ledge", "sand"};

Json draw_lived_tank(Dice& dice) {
  Json tank = testing::one_light_tank();
  tank["lights"][0]["dial"] = {{"lowest", 2}, {"step", dice.chance(0.8) ? 1 : 2}};
  tank["ramp"]["from"] = {{"bars", dice.whole(10, 20) * 2}};
  tank["ramp"]["to"] = {{"bars", dice.whole(25, 50) * 2}};
  tank["ramp"]["every_days"] = dice.chance(0.7) ? 1 : dice.whole(2, 7);
  for (Json& spot : tank["spots"]) spot["capacity"] = 3;
  for (Json& group : tank["groups"]) {
    group["profile"]["weekly_rise_percent"] = dice.real(8.0, 30.0);
    group["profile"]["headroom_percent"] = dice.real(15.0, 50.0);
    group["profile"]["tau_up_days"] = dice.real(4.0, 15.0);
    group["profile"]["tau_down_days"] = dice.real(2.0, 8.0);
  }
  return tank;
}

/// A second computation of what a group is used to and allowed, from the light that was
/// shown, by equations (1) to (4) written out anew.
struct Bounds {
  double weekly_rise, headroom, tau_up, tau_down, band_high, ceiling;
  double a, b, l, m;

  double dose_cap() const { return std::min({std::max(l, a), (1.0 + headroom) * a, band_high}); }
  double peak_cap() const { return std::min({std::max(m, b), (1.0 + headroom) * b, ceiling}); }

  static double closer(double from, double to, double up, double down) {
    return from + (1.0 - std::exp(-1.0 / (to > from ? up : down))) * (to - from);
  }
  void live(double dose, double peak, double next_dose, double next_peak, bool restarts) {
    const double d = std::min(dose, dose_cap());
    const double p = std::min(peak, peak_cap());
    const double week = 1.0 + weekly_rise;
    const double day = std::pow(week, 1.0 / 7.0);
    l = std::min(day * l, std::max(week * d, next_dose));
    m = std::min(day * m, std::max(week * p, next_peak));
    a = closer(a, d, tau_up, tau_down);
    b = closer(b, p, tau_up, tau_down);
    if (restarts) {
      l = std::max(l, a);
      m = std::max(m, b);
    }
  }
  /// After a move what it is used to counts for less: two readings of 5 % are compared.
  void doubt() {
    const double share = std::exp(-1.645 * std::sqrt(2.0) * 0.05);
    a *= share;
    b *= share;
  }
};

/// One life, and what was shown on each of its days.
class Diary {
 public:
  Diary(std::uint64_t seed, Dice& dice)
      : dice_(dice),
        seed_(seed),
        tank_json_(draw_lived_tank(dice)),
        tank_(testing::read(tank_json_)),
        start_(*tank_.ramp.start) {
    write(0, 0, FollowEntry{tank_.text, {}, start_, tank_.ramp.every_days, tank_.ramp.pace});
    for (const Json& group : tank_json_["groups"]) {
      names_.push_back(group["name"]);
      homes_.emplace_back();
    }
  }

  void live() {
    for (int day = 0; day < days_lived; ++day) {
      SCOPED_TRACE("seed " + std::to_string(seed_) + " day " + std::to_string(day));
      const int things = dice_.chance(0.45) ? dice_.whole(1, 3) : 0;
      for (int i = 0; i < things; ++i) do_something(day);
      ask(day);
      if (::testing::Test::HasFailure()) {
        tell();
        return;
      }
    }
  }

 private:
  /// The life that failed, for whoever looks for the reason.
  void tell() const {
    std::string text;
    for (const LogEntry& entry : stored_) {
      text += to_iso(entry.made) + " of " + to_iso(entry.date) + " " + entry.kind + " " +
              (entry.kind == "follow" ? "" : entry.body) + "\n";
    }
    for (const double dial : shown_) text += std::to_string(dial) + " ";
    ADD_FAILURE() << text << tank_json_.dump();
  }

  Date date_of(int day) const { return start_ + boost::gregorian::days(day); }

  bool write(int made, int day, const EntryBody& body) {
    Record kept;
    if (!stored_.empty()) {
      const Log before = testing::Story::log_of(stored_, date_of(made));
      kept = days_to_store(before, testing::Story::replay_of(before, date_of(made)));
    }
    const auto* followed = std::get_if<FollowEntry>(&body);
    const Date date = followed != nullptr ? followed->start : date_of(day);
    const NewLogEntry added = to_log_entry(date_of(made), date, body, "", kept);
    stored_.push_back({static_cast<std::int64_t>(stored_.size()) + 1, added.made, added.date,
                       added.kind, added.body, added.plan, added.record});
    return true;
  }

  int draw_past(int day) { return dice_.chance(0.5) ? day : dice_.whole(0, day); }

  void do_something(int day) {
    switch (dice_.whole(0, 9)) {
      case 0:
      case 1:
      case 2:
      case 3: look(day); break;
      case 4: round(day); break;
      case 5: dial(day); break;
      case 6: move(day); break;
      case 7: undo(day); break;
      case 8: follow(day); break;
      default: round(day);
    }
  }

  void look(int day) {
    CheckIn seen;
    switch (dice_.whole(0, 7)) {
      case 0: seen.extension = Extension::less; break;
      case 1: seen.mucus = true; break;
      case 2: seen.colour = -1; break;
      case 3: seen.colour = -2; break;
      case 4: seen.tissue = dice_.chance(0.3) ? Tissue::white_patches : Tissue::whole; break;
      default: seen.colour = 0;
    }
    write(day, draw_past(day),
          CheckInEntry{names_[static_cast<std::size_t>(dice_.whole(0, 1))], seen, "", "",
                       dice_.chance(0.1)});
  }

  void round(int day) {
    const int past = draw_past(day);
    int number = 0;
    for (const std::string& name : names_) {
      write(day, past, CheckInEntry{name, {}, "", "", false, number++});
    }
  }

  void dial(int day) {
    DialedEntry entry{{{"bars", Percent::of_full(dice_.chance(0.3) ? 0.0 : dice_.whole(2, 100))}},
                      {}};
    const int first = draw_past(day);
    // With an end, so that it is known which days it names.
    const int last = std::min(first + dice_.whole(0, 3), day + 2);
    entry.until = date_of(last);
    write(day, first, entry);
    for (int named = first; named <= last; ++named) named_.insert(named);
  }

  void move(int day) {
    const auto group = static_cast<std::size_t>(dice_.whole(0, 1));
    // On its own day: the second computation does not rewrite where a group was.
    MovedEntry moved{names_[group], spot_names[dice_.whole(0, 2)], {}};
    if (dice_.chance(0.5)) moved.mesh = dice_.whole(3, 10) / 10.0;
    write(day, day, moved);
  }

  void undo(int day) {
    const auto entries = testing::Story::log_of(stored_, date_of(day)).entries;
    const auto seq = dice_.whole(2, static_cast<int>(entries.size()));
    if (seq > static_cast<int>(entries.size())) return;
    const Entry& entry = entries[static_cast<std::size_t>(seq) - 1];
    const bool is_plan = std::holds_alternative<FollowEntry>(*entry.body);
    const bool is_move = std::holds_alternative<MovedEntry>(*entry.body);
    if (entry.undone || is_plan || is_move) return;
    const auto mark = [&](const Entry& named) {
      const auto* dialed = std::get_if<DialedEntry>(named.body.get());
      if (dialed == nullptr) return;
      for (Date d = named.date; d <= *dialed->until; d += boost::gregorian::days(1)) {
        named_.insert(static_cast<int>((d - start_).days()));
      }
    };
    mark(entry);
    if (const auto* other = std::get_if<UndoEntry>(entry.body.get())) {
      mark(entries[static_cast<std::size_t>(other->seq) - 1]);
    }
    write(day, day, UndoEntry{seq});
  }

  void follow(int day) {
    if (day == 0) return;
    Json changed = tank_json_;
    if (dice_.chance(0.6)) changed["ramp"]["to"] = {{"bars", dice_.whole(15, 50) * 2}};
    const Tank tank = testing::read(changed);
    write(day, day, FollowEntry{tank.text, {}, date_of(day), tank.ramp.every_days, tank.ramp.pace});
    tank_json_ = changed;
  }

  /// Asks for the dial of a day, and holds everything against what was shown before.
  void ask(int day) {
    const Replay now =
        testing::Story::replay_of(testing::Story::log_of(stored_, date_of(day)), date_of(day));
    for (int past = 0; past < day; ++past) {
      if (named_.contains(past)) continue;
      EXPECT_EQ(dial_of(now, past), shown_[static_cast<std::size_t>(past)]) << "of day " << past;
    }
    const double dial = dial_of(now, day);
    shown_.push_back(dial);
    hold_against_caps(now, day, dial);
  }

  static double dial_of(const Replay& replayed, int day) {
    return replayed.dials_of_day(static_cast<std::size_t>(day)).begin()->second.percent();
  }

  /// The caps of today, lived up to from the light of every day as it is known now.
  void hold_against_caps(const Replay& now, int day, double dial) {
    for (std::size_t g = 0; g < names_.size(); ++g) {
      const Json& profile = tank_json_["groups"][g]["profile"];
      const double from = testing::read(draw_first()).ramp.from.begin()->second.percent();
      homes_[g].tau = std::min(homes_[g].tau, now.standings[g].tau_up.d());
      const std::size_t home = g == 0 ? 0 : 1;
      Bounds bounds{profile["weekly_rise_percent"].get<double>() / 100.0,
                    profile["headroom_percent"].get<double>() / 100.0,
                    std::min(homes_[g].tau, profile["tau_up_days"].get<double>()),
                    profile["tau_down_days"],
                    profile["dose_band"][1],
                    profile["peak_ceiling"],
                    dose_of_percent[home] * from,
                    peak_of_percent[home] * from,
                    dose_of_percent[home] * from,
                    peak_of_percent[home] * from};
      for (int past = 0; past <= day; ++past) {
        const Seat before = seat_of(now, g, past == 0 ? 0 : past - 1, past == 0);
        const Seat seat = seat_of(now, g, past, false);
        const bool moves = past > 0 && !(before == seat);
        if (past == day) {
          // In the morning it was where it was yesterday; by the evening the dial has come
          // down to what it bears where it is now.
          if (moves) bounds.doubt();
          const double dose = seat.transmission * dose_of_percent[seat.spot] * dial;
          const double peak = seat.transmission * peak_of_percent[seat.spot] * dial;
          const PlanDay& today = now.plan.days[static_cast<std::size_t>(day)];
          const bool is_by_hand = today.by_hand.has_value() && !today.is_as_recorded;
          const bool is_lowest = dial <= 2.0 + 1e-9;
          if (is_by_hand || is_lowest) continue;
          EXPECT_LE(dose, bounds.dose_cap() * (1.0 + 1e-6)) << names_[g];
          EXPECT_LE(peak, bounds.peak_cap() * (1.0 + 1e-6)) << names_[g];
          continue;
        }
        if (moves) bounds.doubt();
        const double lit = dial_of(now, past);
        const double share = seat.transmission * dose_of_percent[seat.spot];
        const double peak_share = seat.transmission * peak_of_percent[seat.spot];
        const double next = std::min(100.0, lit + 2.0);
        const PlanDay& was = now.plan.days[static_cast<std::size_t>(past)];
        const bool is_by_hand = was.by_hand.has_value() && !was.is_as_recorded;
        bounds.live(share * lit, peak_share * lit, share * next, peak_share * next, is_by_hand);
      }
    }
  }

  Json draw_first() const { return Json::parse(first_text()); }
  std::string first_text() const {
    return std::get<FollowEntry>(
               *testing::Story::log_of({stored_.front()}, start_).entries.front().body)
        .tank_text;
  }

  static Seat seat_of(const Replay& replayed, std::size_t g, int day, bool) {
    return replayed.setup.seats[replayed.plan.days[static_cast<std::size_t>(day)].groups.spot(g)];
  }

  struct Home {
    double tau = 1e9;
  };
  Dice& dice_;
  std::uint64_t seed_;
  Json tank_json_;
  Tank tank_;
  Date start_;
  std::vector<std::string> names_;
  std::vector<Home> homes_;
  std::vector<LogEntry> stored_;
  std::vector<double> shown_;
  std::set<int> named_;
};

TEST(LivedStory, KeepsWhatWasShownAndRisesByItsCapsAlone) {
  for (std::uint64_t seed = first_seed; seed < first_seed + lives; ++seed) {
    Dice dice{seed};
    Diary{seed, dice}.live();
    if (HasFailure()) return;
  }
}

}  // namespace
}  // namespace slowdawn
