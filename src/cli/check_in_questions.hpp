// The questions of a check-in, for a keeper who stands before the tank.
#pragma once

#include <iosfwd>
#include <optional>
#include <slowdawn/logbook/entry.hpp>
#include <string>
#include <vector>

namespace slowdawn {

/// Asks how groups look, one question after another; an empty answer is the
/// usual one.
/// groups: to be asked about. Where there are several and not all are meant, it
///   asks which.
/// Result: an entry for each group; empty where the input ended in the middle.
std::optional<std::vector<CheckInEntry>> ask_for_check_ins(std::istream& in, std::ostream& out,
                                                           const std::vector<std::string>& groups,
                                                           bool all);

}  // namespace slowdawn
