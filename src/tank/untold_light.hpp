// What the readings of a tank do not tell of the light of its ramp, though every
// light was read.
//
// Lights that were only lit together are known in combination: all that a plan needs
// of them is the light of the settings that it has, and, where a group has had some
// of them and not the others, that of either part. Each is told where its vector of
// outputs lies in the row space of the readings (light/full_output.hpp).
#pragma once

#include <slowdawn/tank/tank.hpp>
#include <string>
#include <vector>

#include "tank/light_use.hpp"
#include "tank/ramp_outputs.hpp"

namespace slowdawn {

/// Lights worse known than this are no ground for a plan where they matter: with one
/// standard error of it, light at the 95 % bound is 1.5 times what is reckoned with.
/// source: design choice.
inline constexpr double worst_error_of_a_light = 0.25;
/// A light that stays under this share of the goal's dose does not matter.
/// source: design choice.
inline constexpr double share_that_matters = 0.05;

class UntoldLight {
 public:
  explicit UntoldLight(const Tank& tank);

  /// Whether the lights of a spot that are known in combination only are known well
  /// enough for the ramp, so that one of their solutions may stand for them.
  bool tells_ramp(std::size_t spot);
  /// Whether it is told what a group gets of lights that are new to it, where it lives on
  /// the ramp, and of the others.
  bool tells_new_light(std::size_t spot, const Group& group);

 private:
  /// Those of the lights alone that are in `lights`.
  static std::vector<Outputs> only(const std::set<std::size_t>& lights,
                                   const std::vector<Outputs>& outputs);
  const std::vector<Outputs>& path();
  const std::vector<Outputs>& before();

  const Tank& tank_;
  /// Worked out where they are first asked for, which most tanks never do.
  std::optional<std::vector<Outputs>> path_;
  std::optional<std::vector<Outputs>> before_;
};

/// Whether what dials bring to a spot is told, so far as it hangs on lights that are
/// known there in combination only.
bool tells_dials(const Tank& tank, std::size_t spot, const std::map<std::size_t, Percent>& dials);

/// The fewest lights that, each read alone at a spot, would tell apart all that are
/// known there in combination only; those of the goal first.
std::vector<std::size_t> lights_to_read_alone(const Tank& tank, std::size_t spot);

/// Why a light of the goal is no ground for a plan at a spot.
enum class BadReading { none, held_at_zero, badly_known };

/// Whether a light was read so badly at a spot that it may be more of the goal's dose there
/// than can be left open. An estimate is none of these: its error counts as doubt.
BadReading judge_reading(const Tank& tank, std::size_t spot, std::size_t light);

}  // namespace slowdawn
