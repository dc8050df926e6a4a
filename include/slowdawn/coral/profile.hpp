// What a kind of coral needs and bears.
//
// The evidence behind the defaults, and how thin it is, stands in README.md
// ("What the caps rest on") and beside each figure of profiles/*.json.
#pragma once

#include <map>
#include <slowdawn/light/quantity.hpp>
#include <string>
#include <vector>

namespace slowdawn {

enum class LightClass { low, medium, high };

struct DoseBand {
  DailyDose low;
  DailyDose high;
  bool operator==(const DoseBand&) const = default;
};

/// The figures that the caps are made from.
struct Tolerance {
  DoseBand dose_band;
  Ppfd peak_ceiling;
  /// How far a day's dose or peak may lie over what the group is used to.
  Percent headroom;
  /// How much the dose may rise in a week.
  Percent weekly_rise;
  /// Time constants of getting used to more and to less light.
  double tau_up_days;
  double tau_down_days;
  /// Share of the acclimation that counts under a light not had before, (0, 1].
  double carryover;
  /// Largest cut of the dose below what the group is used to, in one step.
  Percent floor;
  bool operator==(const Tolerance&) const = default;
};

struct Profile {
  std::string name;
  std::vector<std::string> covers;
  LightClass light_class;
  Tolerance tolerance;
  std::vector<std::string> notes;
  /// For each figure, by its key in the profile file, what it rests on.
  std::map<std::string, std::string> basis;
};

/// How fast the keeper wants to go.
enum class Pace { gentle, standard, brisk };

/// The tolerance with weekly rise and headroom scaled by the pace: gentle 2/3
/// and 2/3, standard 1 and 1, brisk 4/3 and 5/3.
/// source: design choice; gentle and brisk turn the defaults 15 and 30 % into
///   10 and 20, 20 and 50 %.
Tolerance at_pace(Tolerance tolerance, Pace pace);

}  // namespace slowdawn
