// What a logbook needs of the folder it lies in.
#pragma once

#include <slowdawn/tank/finding.hpp>
#include <string>

namespace slowdawn {

/// The file in which SQLite keeps what a write must be undone to.
std::string journal_of(const std::string& path);

/// Whether a file lies there that SQLite can be let at.
/// Errors: a folder, no regular file, not to be read, no SQLite file, or one
///   with a write-ahead log, which readers could not open without new files.
ReadResult<bool> finds_log(const std::string& path);

/// Takes away drafts that were left by a kill an hour ago or earlier.
/// path: of the logbook.
void remove_old_drafts(const std::string& path);

/// A file that is made under another name, and either takes its own when it is
/// whole or goes.
class Draft {
 public:
  /// path: the name it is to have.
  explicit Draft(std::string path);
  ~Draft();
  Draft(const Draft&) = delete;
  Draft& operator=(const Draft&) = delete;

  /// Its name until then, in the same folder. A kill meanwhile leaves it there, and a
  /// later writer takes it away.
  const std::string& path() const { return draft_; }

  /// Gives it its name; false if there is a file of that name already.
  ReadResult<bool> publish() const;

 private:
  std::string path_;
  std::string draft_;
};

/// A logbook and its journal, copied to where the journal may be played back.
class LogCopy {
 public:
  LogCopy() = default;
  ~LogCopy();
  LogCopy(const LogCopy&) = delete;
  LogCopy& operator=(const LogCopy&) = delete;

  /// False if somebody wrote meanwhile, so that it must be looked at again.
  ReadResult<bool> take(const std::string& path);
  const std::string& path() const { return copy_; }

 private:
  std::string folder_;
  std::string copy_;
};

}  // namespace slowdawn
