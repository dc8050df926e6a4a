// Schedules of dials that somebody proposes: as words, or as a CSV file.
#pragma once

#include <slowdawn/ramp/path.hpp>
#include <slowdawn/tank/tank.hpp>
#include <string_view>
#include <vector>

namespace slowdawn {

/// What is dialled in on a date.
struct SchedulePoint {
  Date date;
  /// One dial for each light of the goal.
  Setting dials;
};

/// Dates rise; there is at least one, and no more than a plan's days lie between
/// the first and the last.
using Schedule = std::vector<SchedulePoint>;

/// Reads "DATE DIALS, DATE DIALS, ...": the dials are one percentage where the
/// goal has one light, else lights and percentages in turn; a light that is not
/// named stays as it was, which the first date must not leave open.
/// path_lights: the goal's lights, by number in the tank.
/// Errors: a date, light or percentage that cannot be; dates that do not rise.
Result<Schedule> parse_schedule(const Tank& tank, const std::vector<std::size_t>& path_lights,
                                std::string_view text);

/// Reads a CSV file with a column `date` and one for each light of the goal, by
/// its name, or `dial` where there is only one; an empty cell leaves a light as
/// it was.
/// Errors: as read_csv; content, with their places.
ReadResult<Schedule> read_schedule(const Tank& tank, const std::vector<std::size_t>& path_lights,
                                   const std::string& file);

/// The dials of every day from the first date to the last: held from one date to
/// the next, or joined by straight lines.
std::vector<Setting> daily_settings(const Schedule& schedule, bool even);

}  // namespace slowdawn
