// What a kind of coral needs and bears.
//
// The evidence behind the defaults, and how thin it is, stands in README.md
// ("What each number rests on") and beside each figure of profiles/*.json.
#pragma once

#include <map>
#include <optional>
#include <slowdawn/coral/excitation.hpp>
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
  Days tau_up;
  Days tau_down;
  /// Share of the acclimation that counts under a light not had before, (0, 1].
  double carryover;
  /// Largest cut of the dose below what the group is used to, in one step.
  Percent floor;
  /// Empty where its Ek is not known: nothing is then said of its excitation.
  std::optional<Excitation> excitation = {};
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

/// The highest peak that suits the kind: the peak ceiling, or the peak at its
/// excitation cap where that is lower.
Ppfd lowest_ceiling(const Tolerance& tolerance);

}  // namespace slowdawn
