// What a command knows of the world around it.
#pragma once

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
};

/// Whether standard output is a terminal that wants colour: not with NO_COLOR
/// set to anything, nor with TERM=dumb.
bool wants_colour();

/// The date of this machine's clock, in its own time zone.
Date read_clock();

}  // namespace slowdawn
