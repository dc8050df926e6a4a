// A tank as its file describes it, read and checked.
//
// Lights, spots and groups are referred to by their number in the file.
#pragma once

#include <functional>
#include <map>
#include <optional>
#include <slowdawn/coral/acclimation.hpp>
#include <slowdawn/coral/profile.hpp>
#include <slowdawn/light/exposure.hpp>
#include <slowdawn/light/full_output.hpp>
#include <slowdawn/light/light_map.hpp>
#include <slowdawn/light/spectrum.hpp>
#include <slowdawn/light/sun_course.hpp>
#include <slowdawn/ramp/path.hpp>
#include <slowdawn/tank/date.hpp>
#include <slowdawn/tank/finding.hpp>
#include <slowdawn/tank/history.hpp>
#include <slowdawn/tank/profile_shelf.hpp>
#include <span>
#include <string>
#include <vector>

namespace slowdawn {

/// The spectrum of a light, and what follows from it.
struct LightSpectrum {
  Spectrum spectrum;
  SpectrumFigures figures;
  /// What the meter shows under this light over the truth, less 1; empty where it
  /// is not known what the meter answers to.
  std::optional<double> meter_error;
};

/// Design choice: the usual allowance for how far two meters differ.
inline constexpr double spectral_error_worth_a_warning = 0.10;

/// The sun as a light, with the shade cloths that there are for it.
struct TankSun {
  SunPlace place;
  /// From the ramp's start on.
  SunAhead ahead;
};

/// A channel of a fixture that is dialled by itself and kept in proportion.
struct Channel {
  std::string name;
  /// What it stands at where the light's dial is at 100 %.
  Percent share;
  bool operator==(const Channel&) const = default;
};

/// A channel as it is dialled in.
struct ChannelDial {
  std::string name;
  Percent dial;
};

struct TankLight {
  std::string name;
  /// Of the sun: the brightest day of those ahead.
  LightCourse course;
  DialRange dial;
  /// As the keeper gives it.
  std::optional<LuxPerPpfd> lux_per_ppfd = {};
  std::optional<LightSpectrum> spectrum = {};
  /// How strong a photon of this light is for the coral against one of weight 1,
  /// 0.3 to 3. The caps see doses and peaks times this: usable light.
  double usable_weight = 1.0;
  /// Empty for a lamp. The sun's dial is the share that its cloth lets through.
  std::optional<TankSun> sun = {};
  /// Of a fixture whose dial stands for a mix of them; in the order of the file.
  std::vector<Channel> channels = {};

  /// The day that corals had under it when the ramp starts: the sun's is that of the
  /// first day, a lamp's is always the same.
  const LightCourse& course_before() const { return sun ? sun->ahead.first : course; }
  /// For surveys read in lux: what the keeper gives, else what the spectrum says.
  std::optional<LuxPerPpfd> lux_factor() const;
  /// Every channel, rounded to the nearest step of the dial, halves up.
  std::vector<ChannelDial> channel_dials(Percent of_mix) const;
  /// Standard error of the light at a dial for the rounding of its channels, relative: half
  /// a step for each channel that is no whole step with the dial, over the sum of all
  /// channels, as if a percent of each gave as much light (design choice). 0 without channels
  /// and when off.
  double rounding_error(Percent of_mix) const;
};

struct Spot {
  std::string name;
  std::optional<Length> x;
  std::optional<Length> y;
  std::optional<Length> depth;
  /// How many groups it has room for.
  int capacity = 1;

  /// Empty where one of the three is missing.
  std::optional<Position> position() const;
};

struct Water {
  Length length;
  Length width;
  Length depth;
};

/// What a meter answers to.
struct MeterResponse {
  PhotonResponse signal;
  /// The light under which it was set right.
  Spectrum calibrated_under;
};

struct Meter {
  double immersion_factor = 1.0;
  MeterAccuracy accuracy;
  /// Readings are in a unit of the meter's own: only their ratios mean something,
  /// and no figure of a profile in mol or umol can be held against them.
  bool is_relative = false;
  std::optional<MeterResponse> response = {};
};

enum class ReadingUnit { ppfd, lux };

/// One set of readings under one dial setting.
struct Survey {
  std::optional<Date> taken;
  /// The day on which what is lit here was really changed, as by a new lamp; empty where
  /// the readings only say better what was there before.
  std::optional<Date> changed = {};
  /// One for each light; 0 for a light that was off.
  std::vector<Percent> dials;
  ReadingUnit unit = ReadingUnit::ppfd;
  /// PPFD in the open, in air, at the same moment; there if the sun was lit.
  std::optional<Ppfd> outside = {};
  /// By spot: every repeat, as the meter showed it, in `unit` or a unit of its own. Bare
  /// numbers, since they become PPFD by the immersion factor and the lights alone.
  std::map<std::size_t, std::vector<double>> readings;
};

/// Corals that live at one spot, share a profile and are treated alike.
struct Group {
  std::string name;
  /// With the group's overrides in it.
  Profile profile;
  /// What the shelf calls it; empty for one given in place.
  std::string profile_name;
  std::size_t spot;
  /// Where it is to live: from the first day on, or once it is ready.
  std::optional<std::size_t> to_spot;
  bool moves_when_ready = false;
  /// Spots that it may stay at on the way, if it moves when ready.
  std::vector<std::size_t> via = {};
  /// Any spot whose light lies between that of `spot` and `to_spot`.
  bool via_any = false;
  int min_stay_days = 7;
  /// The shares of light under meshes that come off once the group is ready, the
  /// darkest first, which it has on the first day; empty for none.
  std::vector<double> shades = {};
  /// May not be moved.
  bool is_fixed = false;
  /// The light it had elsewhere, in place of that of its spot under `ramp.from`.
  std::optional<History> history;

  /// Where it lives at the end of the ramp.
  std::size_t spot_of_ramp() const { return to_spot.value_or(spot); }
  /// Where it lives on the first day.
  std::size_t spot_of_start() const { return moves_when_ready ? spot : spot_of_ramp(); }
};

struct Ramp {
  /// Dials by light.
  std::map<std::size_t, Percent> from;
  std::map<std::size_t, Percent> to;
  std::optional<Date> start;
  int every_days = 1;
  Pace pace = Pace::standard;

  /// Whether the goal's lights are others than those that were lit before.
  bool lights_change() const;
};

/// What a light gives at a spot at 100 %.
struct FullOutput {
  Ppfd ppfd;
  /// Standard error of ln PPFD where no reading was taken there and the value is
  /// an estimate of the light map; empty where it was read.
  std::optional<double> log_error = {};
  bool operator==(const FullOutput&) const = default;
};

struct Tank {
  std::string file;
  /// The file as it was read.
  std::string text;
  /// The files that it names, as they were read, by the name in the tank file.
  std::map<std::string, std::string> attached;
  std::string name;
  /// IANA time zone whose days the tank lives by; empty for the computer's.
  std::string zone;
  std::optional<Water> water;
  Meter meter;
  std::vector<TankLight> lights;
  std::vector<Spot> spots;
  std::vector<Survey> surveys;
  std::vector<Group> groups;
  Ramp ramp;
  /// By spot and light: what the light gives at 100 %, where it was read or
  /// could be estimated.
  std::vector<std::vector<std::optional<FullOutput>>> full_output;
  /// By spot: what its readings say, and how well that is known.
  std::vector<FullOutputFit> fits;
  /// Things that are allowed but worth a look.
  Findings warnings;
  /// Why the readings, good as they may be to look at, are no ground for a plan; nobody
  /// may plan with the tank where there is one.
  Findings plan_errors;

  /// What a setting, as dials by light, brings to a spot, as a meter shows it.
  /// Every light that is not at 0 must have been read there (read_tank sees to it
  /// for the groups).
  Exposure exposure(std::size_t spot, const std::map<std::size_t, Percent>& dials) const;
  /// The same as the caps see it: each light times its usable weight.
  Exposure usable_exposure(std::size_t spot, const std::map<std::size_t, Percent>& dials) const;
  /// Both for the days before the ramp, which under the sun are dimmer than those
  /// ahead, or as bright: what a spot had under a setting of then.
  Exposure exposure_before(std::size_t spot, const std::map<std::size_t, Percent>& dials) const;
  Exposure usable_exposure_before(std::size_t spot,
                                  const std::map<std::size_t, Percent>& dials) const;
  /// Both as they count for a group. weights: by light.
  Exposure effective_exposure(std::size_t spot, const std::map<std::size_t, Percent>& dials,
                              std::span<const double> weights) const;
  Exposure effective_exposure_before(std::size_t spot, const std::map<std::size_t, Percent>& dials,
                                     std::span<const double> weights) const;
  /// The light that a group lived under last, as usable light: its history, or its
  /// spot under `ramp.from`, where it has no history or has been there since. Light
  /// from outside this tank has weight 1.
  Exposure before(const Group& group) const;
  /// The same as a meter shows it.
  Exposure measured_before(const Group& group) const;
  /// How many days before the ramp's start a group with a history came to its spot;
  /// 0 where it comes on the first day, or the ramp has no start yet.
  std::size_t days_here(const Group& group) const;
  /// Whether the sun is among the lights; its days are reckoned from the ramp's start.
  bool has_sun() const;
  /// Whether usable light is another than measured light under some light.
  bool has_weights() const;
  /// Whether a spot's light under such dials rests on an estimate.
  bool is_estimated(std::size_t spot, const std::map<std::size_t, Percent>& dials) const;
  /// Relative standard error of a spot's dose under such dials that is its own: that of
  /// the readings there, and the errors of estimates, each light's weighed by its share
  /// of the dose (tank/ratio_error.hpp). 0 where the dials bring no light.
  double reading_error(std::size_t spot, const std::map<std::size_t, Percent>& dials) const;
};

/// What a light under shade cloths can be set to, for messages.
std::string cloths_hint(const DialRange& range);

/// Where the files come from that a tank file names.
using FileSource = std::function<ReadResult<std::string>(const std::string& name)>;

/// Reads a tank file.
/// Errors: access, if the file cannot be read; content, with up to 20 findings
///   in file order: whatever breaks the format (`slowdawn schema`), names that
///   do not exist or stand twice, values out of range, photoperiods and dimming
///   curves that cannot be, and readings that a group needs and that are not
///   there. What readings that are there do not tell well enough is in
///   `plan_errors`.
ReadResult<Tank> read_tank(const std::string& file, const ProfileShelf& profiles);

/// As read_tank, from text; `file` is for messages.
/// files: where named files come from; without it the folder of `file`.
ReadResult<Tank> parse_tank(const std::string& file, std::string text, const ProfileShelf& profiles,
                            const FileSource& files = {});

/// The JSON Schema (2020-12) of a tank file.
std::string_view tank_schema();

}  // namespace slowdawn
