// What --version says.
#pragma once

#include <string>

namespace slowdawn {

/// "slowdawn VERSION", and below it how this program was built: build type,
/// compiler and, where it is known, the revision of the source. No date and no
/// path, so that the same source gives the same program.
std::string build_text();

}  // namespace slowdawn
