// Even ramps of a tank.
#pragma once

#include <slowdawn/ramp/even_ramp.hpp>
#include <slowdawn/tank/ramp_setup.hpp>

namespace slowdawn {

/// Whether every light of the goal can rise a little each day: a shade cloth cannot.
bool can_run_evenly(const Tank& tank);

/// As find_even_line, over whole percents of every light's dial.
std::optional<EvenLine> find_even_line(const Tank& tank, const RampSetup& setup);

/// Whether a line begins and ends where one of this tank's ramp may.
bool is_line_of(const Tank& tank, const EvenLine& line);

/// What a setting brings to the seats of a setup. The setup's lists are copied.
ExposeSetting expose_seats(const Tank& tank, const RampSetup& setup);

/// The setup with the line in its path. line: one for which is_line_of is true
///   (std::invalid_argument for others).
RampSetup with_even_line(const Tank& tank, RampSetup setup, const EvenLine& line);

}  // namespace slowdawn
