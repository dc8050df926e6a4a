// The path: the ordered list of dial settings from dark to the goal.
#pragma once

#include <optional>
#include <slowdawn/light/quantity.hpp>
#include <span>
#include <vector>

namespace slowdawn {

/// What a light's dial can be turned to: 0, or `lowest` to `highest` in
/// multiples of `step`; or, where any are listed, 0 and these alone.
struct DialRange {
  Percent lowest = Percent::of_full(0.0);
  Percent highest = Percent::of_full(100.0);
  Percent step = Percent::of_full(1.0);
  /// Rising, each at least a `step` from the next, from `lowest` to `highest`.
  std::vector<Percent> listed = {};

  /// Whether a keeper may set it so: by a step of the range or by hand between two,
  /// but not between two that are listed.
  bool allows(Percent dial) const;
};

/// One light of the path: its dial before the ramp (0 if it was not there), its
/// dial at the end, and what can be dialled.
struct PathLight {
  Percent base;
  Percent goal;
  DialRange range;
};

/// One dial for each light of the path, in the same order.
using Setting = std::vector<Percent>;

/// Whether every dial is at 0.
bool is_dark(const Setting& setting);

struct Path {
  std::vector<Setting> settings;
  /// Where the base stands among the settings; empty where the base is dark.
  std::optional<std::size_t> base;
  std::size_t goal = 0;
};

/// The settings from dark to the base (all base dials scaled together) and on
/// to the goal (each light straight from its base to its goal); where every
/// light's goal is at or below its base, dark to goal and on to the base.
/// A leg has as many equal parts as the light with the most dial steps on it
/// needs. On each part every dial is cut back toward the leg's start, never
/// past it, onto the multiples of its step or onto its list, and to 0 if that is
/// under its lowest. Base and goal are settings exactly as given; equal neighbours are
/// one; the all-dark setting is left out.
/// lights: one or more; at least one goal over 0 (std::invalid_argument).
/// For one light: every multiple of `step` from `lowest` to the higher of base
/// and goal, with base and goal themselves.
/// source: design choice (DEVELOPERS.md, "The path").
Path make_path(std::span<const PathLight> lights);

/// The furthest setting of a path that is nowhere over some dials; empty where
/// even the first is.
std::optional<std::size_t> find_setting_below(const Path& path, const Setting& dials);

/// The setting after that one, the first where there is none, the last at the end.
std::size_t find_next_brighter(const Path& path, const Setting& dials);

}  // namespace slowdawn
