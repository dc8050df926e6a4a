#include "logbook/log_failure.hpp"

#include <sqlite3.h>

#include <utility>

namespace slowdawn {
namespace {

/// Begins the hint wherever a write may have been broken off.
const std::string nothing_lost = "no entry that was acknowledged is lost; ";

}  // namespace

tl::unexpected<ReadFailure> log_failure(const std::string& path, std::string what,
                                        std::string hint) {
  return tl::make_unexpected(ReadFailure{ReadFailure::Kind::access,
                                         {{{path, 0, 0, ""}, std::move(what), std::move(hint)}}});
}

tl::unexpected<ReadFailure> damaged(const std::string& path, const std::string& detail) {
  return log_failure(
      path, "the logbook is damaged, or another program has changed it: " + detail,
      "nothing was written to it; put a copy from before in its place, or move it away and "
      "follow the plan anew");
}

tl::unexpected<ReadFailure> no_logbook(const std::string& path, const std::string& detail) {
  return log_failure(path, "this is not a logbook: " + detail,
                     "nothing was written to it; move it away, so that a logbook can take its "
                     "place");
}

tl::unexpected<ReadFailure> sqlite_failure(const std::string& path,
                                           const SQLite::Exception& problem) {
  const std::string said = problem.what();
  switch (problem.getErrorCode()) {
    case SQLITE_BUSY:
    case SQLITE_LOCKED:
      return log_failure(path, "another program has kept the logbook locked for over 10 s",
                         "nothing was changed; close the other program, or wait, and try again");
    case SQLITE_READONLY:
      if (problem.getExtendedErrorCode() == SQLITE_READONLY_DBMOVED) {
        return log_failure(path, "the logbook was moved or deleted while it was written",
                           "put it back and try again");
      }
      return log_failure(path, "the logbook, or the folder it is in, may not be written",
                         "nothing was changed; give yourself the right to write to both");
    case SQLITE_CANTOPEN:
    case SQLITE_PERM:
    case SQLITE_AUTH:
      return log_failure(path, "the logbook cannot be opened (" + said + ")",
                         "check that its folder exists, and who may read and write there");
    case SQLITE_FULL:
      return log_failure(path, "the disk is full", nothing_lost + "make room and try again");
    case SQLITE_IOERR:
      return log_failure(
          path, "the disk does not do what it should (" + said + ")",
          nothing_lost + "check the room on the disk and the disk itself, and try again");
    case SQLITE_NOTADB: return no_logbook(path, "it is another kind of file");
    case SQLITE_CORRUPT:
    // The statements are right, so it is the file that does not fit them.
    case SQLITE_ERROR:
    case SQLITE_SCHEMA:
    case SQLITE_MISMATCH: return damaged(path, said);
    default:
      return log_failure(path, "the logbook could not be used (" + said + ")",
                         "nothing was changed; try again");
  }
}

}  // namespace slowdawn
