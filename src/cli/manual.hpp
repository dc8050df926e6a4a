// The manual page.
#pragma once

#include <CLI/CLI.hpp>
#include <string>

namespace slowdawn {

/// The manual page of the whole program, section 1, in the macros of man(7): what
/// help says of every command, and what surrounds it.
/// app: the command line as the parser has it.
std::string manual_text(const CLI::App& app);

}  // namespace slowdawn
