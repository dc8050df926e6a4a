// A tank as its file describes it, read and checked.
//
// Lights, spots and groups are referred to by their number in the file.
#pragma once

#include <map>
#include <optional>
#include <slowdawn/coral/acclimation.hpp>
#include <slowdawn/coral/profile.hpp>
#include <slowdawn/light/exposure.hpp>
#include <slowdawn/ramp/path.hpp>
#include <slowdawn/tank/date.hpp>
#include <slowdawn/tank/finding.hpp>
#include <slowdawn/tank/profile_shelf.hpp>
#include <string>
#include <vector>

namespace slowdawn {

struct TankLight {
  std::string name;
  LightCourse course;
  DialRange dial;
};

struct Spot {
  std::string name;
  std::optional<double> x_cm;
  std::optional<double> y_cm;
  std::optional<double> depth_cm;
};

struct Water {
  double length_cm;
  double width_cm;
  double depth_cm;
};

struct Meter {
  double immersion_factor = 1.0;
  MeterAccuracy accuracy;
};

/// One set of readings under one dial setting.
struct Survey {
  std::optional<Date> taken;
  /// One for each light; 0 for a light that was off.
  std::vector<Percent> dials;
  /// By spot: every repeat, as the meter showed it.
  std::map<std::size_t, std::vector<Ppfd>> readings;
};

/// Corals that live at one spot, share a profile and are treated alike.
struct Group {
  std::string name;
  /// With the group's overrides in it.
  Profile profile;
  /// What the shelf calls it; empty for one given in place.
  std::string profile_name;
  std::size_t spot;
  /// Where it moves on the first day.
  std::optional<std::size_t> to_spot;
  /// The light it had elsewhere.
  std::optional<Exposure> history;

  std::size_t spot_of_ramp() const { return to_spot.value_or(spot); }
};

struct Ramp {
  /// Dials by light.
  std::map<std::size_t, Percent> from;
  std::map<std::size_t, Percent> to;
  std::optional<Date> start;
  int every_days = 1;
  Pace pace = Pace::standard;

  /// Whether the goal's lights are others than those of before.
  bool lights_change() const;
};

struct Tank {
  std::string file;
  /// The file as it was read.
  std::string text;
  std::string name;
  std::optional<Water> water;
  Meter meter;
  std::vector<TankLight> lights;
  std::vector<Spot> spots;
  std::vector<Survey> surveys;
  std::vector<Group> groups;
  Ramp ramp;
  /// By spot and light: what the light gives at 100 %, where it was read.
  std::vector<std::vector<std::optional<Ppfd>>> full_output;
  /// Things that are allowed but worth a look.
  Findings warnings;

  /// What a setting, as dials by light, brings to a spot. Every light that is
  /// not at 0 must have been read there (read_tank sees to it for the groups).
  Exposure exposure(std::size_t spot, const std::map<std::size_t, Percent>& dials) const;
  /// Before the ramp: the group's history, or its spot under `ramp.from`.
  Exposure before(const Group& group) const;
};

/// Reads a tank file.
/// Errors: access, if the file cannot be read; content, with up to 20 findings
///   in file order: whatever breaks the format (`slowdawn schema`), names that
///   do not exist or stand twice, values out of range, photoperiods and dimming
///   curves that cannot be, and readings that a group needs and that are not
///   there.
ReadResult<Tank> read_tank(const std::string& file, const ProfileShelf& profiles);

/// As read_tank, from text; `file` is for messages.
ReadResult<Tank> parse_tank(const std::string& file, std::string text,
                            const ProfileShelf& profiles);

/// The JSON Schema (2020-12) of a tank file.
std::string_view tank_schema();

}  // namespace slowdawn
