// Spots and corals from a table of readings, one line a spot.
//
//   spot                        its name; the one column that must be there
//   before, after               PPFD under the light of before and from now on;
//                               repeats separated by spaces; empty if not read
//   x_cm, y_cm, depth_cm        where it lies
//   group, profile              corals that live there; a line without is a spot alone
//   history_dose, history_peak  of a group that comes from elsewhere
//
// A second group at a spot takes a line of its own, with the spot's name and without
// readings and measures.
#pragma once

#include <slowdawn/tank/csv_table.hpp>
#include <slowdawn/tank/profile_shelf.hpp>
#include <slowdawn/tank/tank_draft.hpp>
#include <string>
#include <vector>

namespace slowdawn {

struct ReadingsTable {
  std::vector<DraftSpot> spots;
  std::vector<DraftGroup> groups;
  bool has_before = false;
  bool has_after = false;
};

/// Reads the lines of a table.
/// profile: for groups whose line names none; may be empty.
/// Errors (content), up to 20 in file order: no column of spots; a column that is
///   not known; a cell that is no number, or out of range; names that are empty or
///   stand twice; a group without a profile, or one that is not known.
ReadResult<ReadingsTable> read_readings(const CsvTable& table, const ProfileShelf& shelf,
                                        const std::string& profile);

}  // namespace slowdawn
