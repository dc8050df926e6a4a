// Files as text.
#pragma once

#include <slowdawn/tank/finding.hpp>
#include <string>
#include <string_view>

namespace slowdawn {

/// The whole content of a file of at most 16 MB.
/// Errors (access): it cannot be read, is a folder, or is larger.
ReadResult<std::string> read_text_file(const std::string& file);

/// Writes a file whole or not at all: beside its place first, to the disk, then
/// put in place of what was there.
/// Errors (access): the folder or the disk does not take it; nothing is changed.
tl::expected<void, ReadFailure> write_text_file(const std::string& file, std::string_view text);

/// Takes away what a write in progress has left beside its place so far; for a signal
/// that ends the program, in whose handler it may be called. Nothing is written after
/// it.
void abandon_writing() noexcept;

}  // namespace slowdawn
