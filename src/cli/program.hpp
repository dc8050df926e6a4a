// The program as a function: words in, an exit code and text out.
#pragma once

#include <string>
#include <vector>

#include "cli/session.hpp"

namespace slowdawn {

/// Runs the command that the words of a command line ask for.
/// words: without the program's own name.
ExitCode run_program(const std::vector<std::string>& words, const Console& console);

}  // namespace slowdawn
