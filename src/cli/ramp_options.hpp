// --start, --pace, --every and --even: what a keeper may vary without touching the
// file.
#pragma once

#include <CLI/CLI.hpp>
#include <optional>
#include <string>

#include "cli/session.hpp"

namespace slowdawn {

struct RampOptions {
  std::string start;
  std::string pace;
  std::optional<int> every_days;
  bool even = false;
  /// Another goal, as words.
  std::string to;

  /// Whether anything is varied.
  bool is_given() const {
    return !start.empty() || !pace.empty() || every_days || even || !to.empty();
  }
};

void add_ramp_options(CLI::App& command, RampOptions& options);
/// --to alone.
void add_goal_option(CLI::App& command, RampOptions& options);

/// What is said of --even where the sun is a light of the goal.
ExitCode refuse_even(const Console& console, bool json);

/// The tank with the goal of --to, in its text as well; as it is without one.
OrExit<Tank> with_goal_option(const Console& console, const CommonArguments& arguments,
                              const Tank& tank, const RampOptions& options);

/// Puts the options over the tank's own ramp.
OrExit<Tank> with_options(const Console& console, bool json, Tank tank, const RampOptions& options);

}  // namespace slowdawn
