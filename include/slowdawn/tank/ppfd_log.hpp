// What a sensor logged: PPFD against the time of day, from a CSV file.
//
//   time,ppfd_umol_m2_s
//   2026-12-01 09:00,0.2
//   2026-12-01 09:10,38
//
// The time is YYYY-MM-DD HH:MM, with T for the blank if you like, with seconds
// and a fraction of them if there are any, and with an offset (Z, +HH:MM) if
// there is one. The clock time as written is what counts, as the photoperiod
// runs by the clock on the wall; so the offset must be the same on all lines.
// Other columns are not looked at.
#pragma once

#include <slowdawn/light/logged_light.hpp>
#include <slowdawn/tank/csv_table.hpp>
#include <slowdawn/tank/date.hpp>
#include <string>
#include <string_view>
#include <vector>

namespace slowdawn {

/// Readings down to this are noise in the dark, and are taken for 0 (design
/// choice); what is lower is an error.
inline constexpr Ppfd lowest_logged_noise = Ppfd::umol_m2_s(-5.0);
/// As for a reading of a tank file (design choice).
inline constexpr Ppfd highest_logged_ppfd = Ppfd::umol_m2_s(3000.0);

struct LinePosition {
  std::size_t line;
  std::size_t column;
};

struct PpfdLog {
  std::string file;
  /// The day whose midnight the samples' times count from.
  Date first_date;
  /// At least one; strictly rising times, PPFD 0 to 3000.
  std::vector<LightSample> samples;
  /// For each sample, where its time stands in the file.
  std::vector<LinePosition> positions;

  /// Where a sample's time stands, for messages.
  Place place(std::size_t sample) const;
};

/// Parses a log; `file` is for messages.
/// Its columns: "time", "timestamp", "date_time" or "datetime"; and "ppfd",
///   "ppfd_umol_m2_s", "par" or "umol_m2_s"; in whatever case.
/// Errors (content), up to 20 in file order: as parse_csv; a column that is not
///   there; no samples; a time of another form, or that is not after that of the
///   line before; an offset that changes; PPFD that is no number, or outside -5
///   to 3000.
ReadResult<PpfdLog> parse_ppfd_log(const std::string& file, std::string_view text);

/// Reads a file of at most 16 MB and parses it.
/// Errors: as parse_ppfd_log; access, as read_text_file.
ReadResult<PpfdLog> read_ppfd_log(const std::string& file);

}  // namespace slowdawn
