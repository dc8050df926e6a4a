// Many tanks at once, a line each.
#pragma once

#include <string>
#include <vector>

#include "cli/ramp_options.hpp"
#include "cli/session.hpp"

namespace slowdawn {

enum class FarmForm { text, json, csv };

/// Plans tanks on all cores and writes a line for each, in the order of the files.
/// A tank that cannot be planned is told of with its errors, and the others are
/// planned all the same; the exit code is the gravest of theirs.
ExitCode run_farm(const Console& console, const CommonArguments& arguments,
                  const std::vector<std::string>& files, const RampOptions& options, FarmForm form);

}  // namespace slowdawn
