// What the commands share that write a page.
#pragma once

#include <slowdawn/present/pages.hpp>

#include "cli/commands.hpp"

namespace slowdawn {

using MakePage = std::string (*)(const PlannedRamp&, const PageView&);

/// Adds the options of a page, and returns what plans, makes and writes it.
/// next: what to do with the file, a sentence.
RunCommand add_page(CLI::App& command, MakePage make, const std::string& next);

}  // namespace slowdawn
