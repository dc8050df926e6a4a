// Names of time zones, as the zone database of this machine has them.
#pragma once

#include <slowdawn/light/result.hpp>
#include <string>

namespace slowdawn {

/// Whether the database has that zone: the folder that TZDIR names, else
/// /usr/share/zoneinfo, which is also where the days of a tank come from.
/// Errors: it has not, or there is no database.
Result<void> check_time_zone(const std::string& name);

}  // namespace slowdawn
