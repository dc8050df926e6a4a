// What a command knows of the world around it.
#pragma once

#include <chrono>
#include <iosfwd>
#include <optional>
#include <slowdawn/present/text.hpp>
#include <slowdawn/tank/date.hpp>
#include <slowdawn/tank/finding.hpp>
#include <string>

namespace slowdawn {

/// The day that is taken for today.
struct Clock {
  Date today;
  /// Whether SLOWDAWN_TODAY says so, and not the machine.
  bool today_is_set = false;
  /// Where SLOWDAWN_TODAY is no date; `today` is then the machine's.
  std::optional<Finding> problem = {};
};

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
  /// Whether SLOWDAWN_TODAY says which day today is, whatever the tank's zone.
  bool today_is_set = false;
  /// Why no command may go by `today`.
  std::optional<Finding> today_problem = {};
  /// Whether the command has changed a file; see note_written.
  mutable bool has_written = false;
};

/// To be called when a command has written an entry or a file: if its answer is then lost,
/// as on a full disk, the program says that the write was made.
inline void note_written(const Console& console) { console.has_written = true; }

/// Whether standard output is a terminal that wants colour: not with NO_COLOR
/// set to anything, nor with TERM=dumb.
bool wants_colour();

/// Whether standard error is a terminal on which a line can be taken back: not
/// with TERM=dumb.
bool wants_progress();

/// SLOWDAWN_TODAY where it is set, else the date of this machine's clock in its own time zone.
Clock read_clock();

/// The date of this machine's clock in a zone of the time zone database, such as
/// "Europe/Lisbon"; in the machine's own where none is named. A zone that the machine does
/// not know counts as UTC. Threads may call it at once, but none may otherwise ask for the
/// local time meanwhile.
Date today_in_zone(const std::string& zone);

}  // namespace slowdawn
