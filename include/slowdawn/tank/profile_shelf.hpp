// Where profiles come from: those built into the program, and a folder that
// adds to them or replaces them.
#pragma once

#include <map>
#include <optional>
#include <slowdawn/coral/profile.hpp>
#include <slowdawn/tank/finding.hpp>
#include <string>
#include <string_view>
#include <vector>

namespace slowdawn {

class ProfileShelf {
 public:
  /// The profiles of profiles/*.json as they were when the program was built.
  static ProfileShelf built_in();

  /// Adds every *.json of a folder; one of the same name replaces.
  /// Errors: access, if the folder cannot be read or has no *.json; content, as
  ///   for a tank file.
  tl::expected<void, ReadFailure> add_folder(const std::string& folder);

  /// Adds one profile file; `file` must be NAME.json.
  /// Errors: content, as for a tank file.
  tl::expected<void, ReadFailure> add(const std::string& file, std::string text);

  /// All names, in alphabetical order.
  std::vector<std::string> names() const;

  /// The profile of a name, if there is one.
  std::optional<Profile> find(const std::string& name) const;

  /// The file of that profile.
  std::optional<std::string> find_text(const std::string& name) const;

 private:
  /// The texts of profile files that have been read without an error.
  std::map<std::string, std::string> added_;
};

/// The JSON keys of the figures that every profile has, in the order of a profile file.
const std::vector<std::string>& profile_figure_keys();

/// Those of the figures that a profile may leave out: "ek" and "excitation_cap".
const std::vector<std::string>& optional_profile_figure_keys();

/// Reads one profile file.
/// text: the content of `file`, whose name must be NAME.json.
ReadResult<Profile> parse_profile(const std::string& file, std::string text);

/// The JSON Schema (2020-12) of a profile file.
std::string_view profile_schema();

}  // namespace slowdawn
