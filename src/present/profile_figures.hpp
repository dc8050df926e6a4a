// The figures of a profile as text.
#pragma once

#include <slowdawn/coral/profile.hpp>
#include <string>

namespace slowdawn {

/// "4 to 28 mol m-2 d-1", "30 %"; empty for a key that is no
/// figure, or one that the profile leaves out.
std::string figure_text(const std::string& key, const Profile& profile);

}  // namespace slowdawn
