// The words for seats and moves, and for what the light figures rest on.
#pragma once

#include <slowdawn/present/planned_ramp.hpp>
#include <slowdawn/present/text.hpp>
#include <string>
#include <vector>

namespace slowdawn {

/// "sand", "sand, under a mesh of 60 %".
std::string seat_text(const Tank& tank, const Seat& seat);

/// What is to be moved on a day, "move chalice to sand" or "take the mesh off
/// chalice" each; on day 0 also what the tank file moves at the start, and the
/// meshes that go on.
std::vector<std::string> moves_on(const PlannedRamp& ramp, std::size_t day);

/// The same without those that the logbook says were made.
std::vector<std::string> moves_to_make(const PlannedRamp& ramp, std::size_t day);

/// What changes next after a day, and when; one sentence.
std::string next_step_text(const PlannedRamp& ramp, std::size_t day);

/// What an even ramp asks for on a day, one sentence; empty where the plan goes by
/// steps, or stands at the end of its line.
struct EvenAdvice {
  std::string words = {};
  /// Whether somebody has to set the light.
  bool is_to_be_done = false;
  /// Whether it runs by itself on that day.
  bool runs = false;
};
EvenAdvice even_advice(const PlannedRamp& ramp, std::size_t day);

/// How a group is moved on a day, as in moves_on; empty where it stays as it was.
std::string move_on(const PlannedRamp& ramp, std::size_t day, std::size_t group);

/// The day on which the plan last moves a group; empty where it does not.
std::optional<std::size_t> arrival_day(const Plan& plan, std::size_t group);

/// "Dose in mol m-2 d-1, peak in umol m-2 s-1", or that they are relative.
std::string units_text(const Tank& tank);

/// The band, or "-" where light is relative.
std::string band_cell(const Tank& tank, const Tolerance& tolerance);
std::string ceiling_cell(const Tank& tank, const Tolerance& tolerance);

/// A light at a spot that was estimated and not read.
struct EstimatedLight {
  std::size_t spot;
  std::size_t light;
  double log_error;
};
/// Those at seats that groups live at or may come to.
std::vector<EstimatedLight> list_estimates(const Tank& tank, const RampSetup& setup);

/// What the caps make of measured light; for a tank whose lights have weights.
std::string weights_text(const Tank& tank);

/// By which days the sun was planned, and how bright they are; empty without a sun.
std::string sun_text(const Tank& tank);

/// What a group gets at its last seat of the tank file under the goal, as a meter
/// shows it.
Exposure measured_goal(const Tank& tank, const RampSetup& setup, const RampGroup& group);

/// What a reader of light figures must know: that the meter is relative, what the
/// lights' weights do, by which days the sun was planned, which figures are estimated, and whose
/// light before is a guess. Empty where nothing is to be said.
std::string light_remarks(const Tank& tank, const RampSetup& setup, const TextStyle& style);

}  // namespace slowdawn
