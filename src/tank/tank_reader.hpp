// Reads only what a tank file says of its light.
#pragma once

#include <slowdawn/tank/tank.hpp>

namespace slowdawn {

/// As parse_tank, but for the light at its spots alone: the groups are not read
/// and stay empty, so tanks may name one another in their groups' histories.
ReadResult<Tank> parse_light_of_tank(const std::string& file, std::string text,
                                     const ProfileShelf& profiles, const FileSource& files);

}  // namespace slowdawn
