// What a command knows of the world around it.
#pragma once

#include <chrono>
#include <iosfwd>
#include <slowdawn/present/text.hpp>
#include <slowdawn/tank/date.hpp>

namespace slowdawn {

struct Console {
  /// Answers.
  std::ostream& out;
  /// Talk: errors, warnings, hints.
  std::ostream& err;
  TextStyle style;
  Date today;
  /// When the program began, and whether it may say what takes it so long.
  std::chrono::steady_clock::time_point began;
  bool shows_progress = false;
};

/// Whether standard output is a terminal that wants colour: not with NO_COLOR
/// set to anything, nor with TERM=dumb.
bool wants_colour();

/// Whether standard error is a terminal on which a line can be taken back: not
/// with TERM=dumb.
bool wants_progress();

/// The date of this machine's clock, in its own time zone.
Date read_clock();

}  // namespace slowdawn
