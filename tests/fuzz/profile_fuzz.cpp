// A profile file.
#include "fuzz.hpp"

namespace slowdawn {
namespace {

/// The name is that of the built-in profile it replaces, since it must be the file's.
const std::string file = "acropora.json";

void try_profile(const std::string& text) {
  const auto profile = parse_profile(file, text);
  require_findings(profile, file);
  ProfileShelf shelf = ProfileShelf::built_in();
  require(shelf.add(file, text).has_value() == profile.has_value(), "both doors agree");
  if (profile) require(shelf.find("acropora").has_value(), "what was added is found");
}

}  // namespace
}  // namespace slowdawn

int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  slowdawn::try_profile(slowdawn::text_of(data, size));
  return 0;
}
