// What the fuzz targets share. Each target is one *_fuzz.cpp, which gives some
// bytes to one of the doors through which the program takes input. It must come
// back, with an error or without; what it takes must stand up to what comes next.
#pragma once

#include <cstddef>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <slowdawn/tank/profile_shelf.hpp>
#include <string>
#include <string_view>

/// What libFuzzer, and replay.cpp, call with each input; always returns 0.
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size);

namespace slowdawn {

inline std::string text_of(const std::uint8_t* data, std::size_t size) {
  return {reinterpret_cast<const char*>(data), size};
}

/// Ends the process, as a crash does, where something that must hold does not.
inline void require(bool holds, std::string_view what) {
  if (holds) return;
  std::fprintf(stderr, "this does not hold: %.*s\n", static_cast<int>(what.size()), what.data());
  std::abort();
}

inline const ProfileShelf& built_in_shelf() {
  static const ProfileShelf shelf = ProfileShelf::built_in();
  return shelf;
}

/// A failure says what is wrong, and where.
template <class T>
void require_findings(const ReadResult<T>& result, const std::string& file) {
  if (result) return;
  require(!result.error().findings.empty(), "a failure has a finding");
  for (const Finding& finding : result.error().findings) {
    require(!finding.what.empty(), "a finding says what");
    require(finding.place.file == file, "a finding names the file");
  }
}

}  // namespace slowdawn
