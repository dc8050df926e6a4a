// What a keeper knows before there is a tank file: the light of before, the light
// from now on, readings spot by spot, the corals, the goal; and the tank file that
// this makes.
#pragma once

#include <optional>
#include <slowdawn/light/exposure.hpp>
#include <slowdawn/ramp/path.hpp>
#include <slowdawn/tank/tank.hpp>
#include <string>
#include <utility>
#include <vector>

namespace slowdawn {

/// As Photoperiod::between takes it.
struct DraftDay {
  ClockTime on;
  ClockTime off;
  Minutes rise = {};
  Minutes fall = {};
  bool operator==(const DraftDay&) const = default;
};

struct DraftLight {
  std::string name;
  DraftDay day;
  /// Empty for a dial of 0 to 100 % in steps of 1.
  std::optional<DialRange> dial = {};
  /// Measured drive and output; none where half is half.
  std::vector<std::pair<Percent, Percent>> dimming = {};
  /// Of a fixture that is dialled channel by channel.
  std::vector<Channel> channels = {};
};

/// One more channel of the new light's fixture, which a second mix was read with: a light
/// of its own, with the same day.
struct DraftAddedChannel {
  std::string name;
  /// What it stood at in the second mix.
  Percent dial;
  Percent goal = dial;
};

/// A spot and its repeats, as the meter showed them: umol m-2 s-1, but no Ppfd before
/// the immersion factor.
struct DraftSpot {
  std::string name;
  /// Under the light of before at its dial; none where it was not read.
  std::vector<double> before = {};
  /// Under the light from now on, at the dial of that reading.
  std::vector<double> after = {};
  /// The same with the added channel.
  std::vector<double> together = {};
  std::optional<Length> x = {};
  std::optional<Length> y = {};
  std::optional<Length> depth = {};
};

struct DraftGroup {
  std::string name;
  std::string profile;
  /// Number of its spot.
  std::size_t spot = 0;
  /// The light it had elsewhere.
  std::optional<History> history = {};
};

struct TankDraft {
  std::string name;
  std::optional<Water> water = {};
  double immersion_factor = 1.0;
  /// Empty where no light of before can be read: every group then has a history.
  std::optional<DraftLight> old_light = {};
  /// What it stood at, and was read at.
  Percent old_dial = Percent::of_full(100.0);
  /// Of the same name as the old one where that stays and is only turned; its day,
  /// dial and dimming are then those of both.
  DraftLight new_light = {};
  /// What the readings `after` were taken at; empty where there are none.
  std::optional<Percent> new_dial = {};
  std::optional<DraftAddedChannel> added = {};
  std::vector<DraftSpot> spots = {};
  std::vector<DraftGroup> groups = {};
  Percent goal = {};
  Date start = {};
  int every_days = 1;
  Pace pace = Pace::standard;

  /// Whether the light of before stays.
  bool keeps_light() const { return old_light && old_light->name == new_light.name; }
};

/// The course of a draft's light.
/// Errors: a day or a curve that cannot be.
Result<LightCourse> make_course(const DraftLight& light);

/// What a reading at a dial means for the day: the dose and the peak at this dial.
/// repeats: at least one. light: one that make_course takes.
Exposure exposure_of_reading(const TankDraft& draft, const DraftLight& light, Percent dial,
                             const std::vector<double>& repeats);

inline constexpr std::size_t tank_file_width = 100;

/// The tank file, format slowdawn-tank/1: keys in the order of the format, short
/// lists on one line, numbers as given. Whether it makes a tank is for parse_tank.
/// Characters that could steer a terminal are written as \uXXXX.
/// width: the columns that a line may have, where what stands on it allows.
std::string tank_draft_json(const TankDraft& draft, std::size_t width = tank_file_width);

/// The name of the file for a tank of that name: "Stairwell reef" is kept in
/// stairwell-reef.tank.json.
std::string tank_file_name(std::string_view tank_name);

}  // namespace slowdawn
