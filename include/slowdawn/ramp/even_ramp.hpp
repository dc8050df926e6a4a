// Ramps that a light or its controller runs by itself: evenly from a start to an
// end over a number of days.
//
//   dial on day d = from + (to - from) d / days,  d = 0 .. days              (1)
//
// The shortest one is found by trying: every number of days, and for each every
// start, every day held against the same caps as a plan's. A plan of such a ramp
// is a walk along a path of which (1) is a part, one setting a day; where a cap or
// a check-in bars the next one it waits, and then goes on as evenly.
#pragma once

#include <functional>
#include <optional>
#include <slowdawn/ramp/planner.hpp>
#include <vector>

namespace slowdawn {

/// Equation (1), one dial for each light of the path.
struct EvenLine {
  Setting from;
  Setting to;
  std::size_t days = 0;
  bool operator==(const EvenLine&) const = default;
};

/// The dials of a day of a line, 0 to `line.days`; rounded to 1e-9 %.
Setting setting_on(const EvenLine& line, std::size_t day);

/// What a setting brings to every spot of a problem.
using ExposeSetting = std::function<std::vector<Exposure>(const Setting&)>;

/// The problem with a line as a part of its path.
/// problem: with the path that can be dialled, whose settings stay those that
///   equation (4) of caps.hpp calls the next brighter ones.
/// whole: the path by whole percents; before the line the path is its settings
///   on the dark side, for going back, and after it those up to the goal.
/// line: from and to are settings of `whole` (std::invalid_argument).
RampProblem with_line(const RampProblem& problem, const Path& whole, const EvenLine& line,
                      const ExposeSetting& expose);

/// The shortest line that breaks no cap on any day and ends at the goal, or, where
/// there is none, as near to it along `whole` as can be; of equally short ones the
/// one that begins brightest. Groups that are to move when ready move under it as
/// under any dial (moves.hpp). Empty where no setting of `whole` is safe on the
/// first day.
/// source: exact search; tests/property holds it against every line there is.
std::optional<EvenLine> find_even_line(const RampProblem& problem, const Path& whole,
                                       const ExposeSetting& expose);

}  // namespace slowdawn
