// Files as text.
#pragma once

#include <slowdawn/tank/finding.hpp>
#include <string>
#include <string_view>

namespace slowdawn {

/// The whole content of a file of at most 16 MB.
/// Errors (access): it cannot be read, is larger, or is no plain file but a folder, a pipe,
///   a socket or a device, none of which is waited for.
ReadResult<std::string> read_text_file(const std::string& file);

/// Writes a file whole or not at all: beside its place first, to the disk, then
/// put in place of what was there. A link stays, and the file it leads to is written; a pipe
/// or a device is written to as it is. What writers of the same file that were killed have
/// left beside it is taken away.
/// Errors (access): the folder or the disk does not take it; nothing is changed.
tl::expected<void, ReadFailure> write_text_file(const std::string& file, std::string_view text);

/// Takes away what writers that were killed have left beside a file: plain files named like
/// it, then `mark` and an ending that `is_ending` knows, not touched for an hour; so never
/// what another program is writing at the moment.
void remove_leftovers(const std::string& file, std::string_view mark,
                      bool (*is_ending)(std::string_view));

/// Takes away what a write in progress has left beside its place so far; for a signal
/// that ends the program, in whose handler it may be called. Nothing is written after
/// it.
void abandon_writing() noexcept;

}  // namespace slowdawn
