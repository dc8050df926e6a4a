// Reads the figures of a profile, wherever they stand: in a profile file, in
// place in a tank file, or as an override.
#pragma once

#include <slowdawn/coral/profile.hpp>

#include "tank/json_reader.hpp"

namespace slowdawn {

enum class ProfileForm {
  /// A profile file: every key, and a basis for every figure.
  file,
  /// An object in a tank file: every figure.
  in_place,
  /// Any figure, over those of another profile.
  over_another,
};

/// Reads the keys that are there into `profile`; adds an error for each that is
/// wrong, and for each that the form demands and that is missing.
void read_profile(JsonReader& reader, const JsonNode& node, ProfileForm form, Profile& profile);

}  // namespace slowdawn
