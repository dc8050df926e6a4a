#include <fmt/format.h>

#include <slowdawn/present/present.hpp>

namespace slowdawn {

std::string findings_text(const Findings& findings, std::string_view severity) {
  std::string text;
  for (const Finding& finding : findings) {
    const Place& place = finding.place;
    text += to_safe_text(place.file);
    if (place.line > 0) text += fmt::format(":{}:{}", place.line, place.column);
    text += fmt::format(": {}: {}", severity, to_safe_text(finding.what));
    // "/" would be the empty key; the whole document is the empty pointer.
    if (place.line > 0 && place.is_json) {
      text += place.pointer.empty() ? " (at the top)"
                                    : fmt::format(" (at {})", to_safe_text(place.pointer));
    }
    text += "\n";
    if (!finding.hint.empty()) text += fmt::format("hint: {}\n", to_safe_text(finding.hint));
  }
  return text;
}

}  // namespace slowdawn
