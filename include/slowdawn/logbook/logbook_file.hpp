// The file in which a logbook is kept: entries that are only ever added.
//
// One SQLite file with a rollback journal. An entry that was acknowledged
// survives a kill and a power cut; two programs can write at once; a file that
// is damaged, or that another program has changed, is noticed and never written
// to. What an entry says is left to those who write and read it.
#pragma once

#include <cstdint>
#include <functional>
#include <optional>
#include <slowdawn/logbook/shared_text.hpp>
#include <slowdawn/tank/date.hpp>
#include <slowdawn/tank/finding.hpp>
#include <string>
#include <vector>

namespace slowdawn {

struct NewLogEntry {
  /// The day on which it is written, and the day of which it speaks; both as
  /// parse_date allows them.
  Date made;
  Date date;
  std::string kind;
  /// JSON text.
  std::string body;
  /// The plan from there on as JSON text; empty if the entry brings none.
  std::string plan;
  /// Which light was shown on the days since the entry before, as record_json gives
  /// it; empty counts as no days.
  std::string record = {};
};

struct LogEntry {
  /// From 1, without gaps.
  std::int64_t seq;
  Date made;
  Date date;
  std::string kind;
  std::string body;
  SharedText plan;
  /// As in NewLogEntry; "[]" for no days. Empty in what version 1 wrote, which kept
  /// no record.
  std::string record = {};

  bool operator==(const LogEntry&) const = default;
};

/// Errors are all of the kind access, have one finding without a line, say what
/// is wrong with the file and what to do, and leave it as it was: a newer
/// version; no logbook at all; damaged; changed by another program; of another
/// tank; a file or folder that may not be read or written; a full disk; locked
/// by another program for over 10 s; a folder.
class LogbookFile {
 public:
  /// Where the logbook of a tank file is kept: x/reef.logbook for
  /// x/reef.tank.json; the name with .logbook after it for other names.
  static std::string path_beside(const std::string& tank_file);

  /// Every entry in order, or nothing where there is no file.
  /// path: the logbook's file.
  /// tank_name: of the tank that it must be about; empty for any.
  /// Creates nothing beside the file and changes no time stamp, also where the
  ///   folder may not be written. A write that was broken off by a kill is
  ///   undone in a copy among the temporary files.
  static ReadResult<std::optional<std::vector<LogEntry>>> read(
      const std::string& path, const std::optional<std::string>& tank_name);

  /// What to add, given every entry so far.
  using Make = std::function<tl::expected<std::vector<NewLogEntry>, ReadFailure>(
      const std::vector<LogEntry>&)>;

  /// Adds what `make` gives in one transaction, so that nobody else writes
  /// between what `make` sees and what it adds; creates the file if there is
  /// none and there is something to add.
  /// path: as in read. tank_name: of the tank that it must be about.
  /// make: may be called a second time with other entries, if another program
  ///   creates the file meanwhile. If it fails or throws, or gives nothing, the
  ///   file stays as it is.
  /// Result: every entry, the added ones with them. They are on the disk by then.
  /// Errors: also those of `make`.
  static ReadResult<std::vector<LogEntry>> append(const std::string& path,
                                                  const std::string& tank_name, const Make& make);
};

}  // namespace slowdawn
