// Which profile a keeper means: by its name, by a genus that it covers, or by what
// the trade calls such corals.
#pragma once

#include <slowdawn/tank/profile_shelf.hpp>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace slowdawn {

/// The profiles that are named in a text, "green torch" or "Montipora plates"; in
/// alphabetical order. Of several names that stand in it, the one of most words
/// counts ("star polyps" before "polyps"). None where nothing is known.
std::vector<std::string> search_profiles(const ProfileShelf& shelf, std::string_view text);

/// The nearest name, for a text in which none is known; else the profiles there are.
std::string hint_for_profile(const ProfileShelf& shelf, std::string_view text);

/// What the trade calls corals, and the profile of each; a name that is given to
/// corals of two profiles stands twice.
/// source: common practice, no source. It only serves to suggest a profile, which
///   the keeper sees before it counts.
const std::vector<std::pair<std::string, std::string>>& trade_names();

}  // namespace slowdawn
