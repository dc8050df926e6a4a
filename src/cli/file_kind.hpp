// Whose a file is that is to be written over: nothing of the keeper's ever is.
#pragma once

#include <slowdawn/tank/finding.hpp>
#include <string>
#include <string_view>

namespace slowdawn {

/// What this program writes, and what it must never write over.
enum class FileKind {
  report,
  sheet,
  calendar,
  completion,
  manual,
  /// Also one that was written by hand.
  tank,
  /// A logbook, or another database.
  database,
  /// Anything else.
  other,
};

/// What a text is. Pages, calendars, scripts and manuals count where this program wrote
/// them, in this version or an earlier one.
/// text: from its beginning; the first megabyte is enough.
FileKind kind_of(std::string_view text);

/// Whether a file may be written: it is not there yet, holds no byte, is of the same kind,
/// or is no plain file, such as a pipe. Links are followed.
/// kind: of what is to be written; nothing may be replaced by `other`.
/// Errors (content): something else lies there; (access): what lies there cannot be read.
tl::expected<void, ReadFailure> check_may_replace(const std::string& file, FileKind kind);

}  // namespace slowdawn
