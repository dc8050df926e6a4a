// What the commands share that know the logbook.
#pragma once

#include <functional>
#include <vector>

#include "cli/ramp_options.hpp"
#include "cli/session.hpp"

namespace slowdawn {

/// The ramp that is followed, replayed up to `today`; where none is followed, or
/// where options vary the ramp, the one that the tank file asks for.
OrExit<LoadedRamp> load_ramp(const Console& console, const CommonArguments& arguments,
                             const RampOptions& options, const Date& today);

/// The ramp that is followed, replayed up to `today`; empty where none is.
OrExit<std::optional<LoadedRamp>> load_followed(const Console& console, bool json, const Tank& tank,
                                                const Date& today);

/// --date of an entry: today, or an earlier day.
OrExit<Date> entry_date(const Console& console, bool json, const std::string& text);

/// Which entries to write, given the ramp as it is followed.
using MakeBodies = std::function<OrExit<std::vector<EntryBody>>(const LoadedRamp&)>;

/// Writes entries of a date, each with the plan from there on, in one
/// transaction, and answers what they did and what to dial in.
ExitCode write_entries(const Console& console, const CommonArguments& arguments, const Date& date,
                       const MakeBodies& make);

/// The number of a named thing; reports an unknown name with the nearest.
OrExit<std::size_t> find_name(const Console& console, bool json, std::string_view kind,
                              const std::string& name, const std::vector<std::string>& names);

std::vector<std::string> group_names(const Tank& tank);
std::vector<std::string> spot_names(const Tank& tank);
std::vector<std::string> light_names(const Tank& tank);

/// Parts words into the tank file, which ends in .json, and the others.
/// Errors: more than `most` others, or two files.
OrExit<std::vector<std::string>> part_words(const Console& console, CommonArguments& arguments,
                                            const std::vector<std::string>& words,
                                            std::size_t most);

}  // namespace slowdawn
