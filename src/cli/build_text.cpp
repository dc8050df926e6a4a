#include "cli/build_text.hpp"

#include <string_view>

#include "build_info.hpp"

namespace slowdawn {

std::string build_text() {
  std::string text =
      "slowdawn " SLOWDAWN_VERSION "\n" SLOWDAWN_BUILD_TYPE " build by " SLOWDAWN_COMPILER;
  constexpr std::string_view revision = SLOWDAWN_REVISION;
  if (!revision.empty()) text += ", revision " + std::string{revision};
  return text;
}

}  // namespace slowdawn
