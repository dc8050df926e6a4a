// The nearest right name for a wrong one.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>

namespace slowdawn {

/// The candidate that was probably meant: one that differs in case alone, or
/// only lacks its unit ("depth" for "depth_cm"), or is two edits (insert,
/// delete, replace, swap neighbours) away at the most, one where both are
/// shorter than six letters; the nearest, and of equals the first.
std::optional<std::string> find_nearest_name(std::string_view wrong,
                                             std::span<const std::string> candidates);

/// "did you mean \"x\"?", or the names there are.
std::string hint_for_name(std::string_view wrong, std::span<const std::string> candidates);

}  // namespace slowdawn
