// Files as text.
#pragma once

#include <slowdawn/tank/finding.hpp>
#include <string>

namespace slowdawn {

/// The whole content of a file of at most 16 MB.
/// Errors (access): it cannot be read, is a folder, or is larger.
ReadResult<std::string> read_text_file(const std::string& file);

}  // namespace slowdawn
