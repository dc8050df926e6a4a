// What is said when a logbook cannot be read or written.
#pragma once

#include <SQLiteCpp/Exception.h>

#include <slowdawn/tank/finding.hpp>
#include <string>

namespace slowdawn {

/// A failure of the kind access with one finding about the whole file.
tl::unexpected<ReadFailure> log_failure(const std::string& path, std::string what,
                                        std::string hint);

/// The file does not hold what was written to it.
tl::unexpected<ReadFailure> damaged(const std::string& path, const std::string& detail);

/// The file is none that slowdawn wrote.
tl::unexpected<ReadFailure> no_logbook(const std::string& path, const std::string& detail);

/// What SQLite could not do, in a keeper's words.
tl::unexpected<ReadFailure> sqlite_failure(const std::string& path,
                                           const SQLite::Exception& problem);

}  // namespace slowdawn
