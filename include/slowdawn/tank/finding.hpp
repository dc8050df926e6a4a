// What a reader of files has to say: where, what is wrong, and what to do.
#pragma once

#include <string>
#include <tl/expected.hpp>
#include <vector>

namespace slowdawn {

/// A place in a file. Lines and columns count from 1, columns in bytes; both
/// are 0 where the file as a whole is meant.
struct Place {
  std::string file;
  std::size_t line = 0;
  std::size_t column = 0;
  /// JSON pointer (RFC 6901); empty for the whole document.
  std::string pointer;
  /// False in a file that is no JSON.
  bool is_json = true;
};

struct Finding {
  Place place;
  std::string what;
  std::string hint;
};

using Findings = std::vector<Finding>;

/// Why a file gave nothing.
struct ReadFailure {
  enum class Kind {
    /// Its content is wrong (exit code 2).
    content,
    /// It could not be read at all (exit code 3).
    access,
  };
  Kind kind;
  /// At least one, in the order of the file.
  Findings findings;
};

template <class T>
using ReadResult = tl::expected<T, ReadFailure>;

/// No more findings than this are collected from one file.
inline constexpr std::size_t most_findings = 20;

}  // namespace slowdawn
