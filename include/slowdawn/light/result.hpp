// How a thing that a user or a disk can cause to fail is reported.
#pragma once

#include <string>
#include <tl/expected.hpp>

namespace slowdawn {

/// What is wrong, in plain words, and what to do about it.
struct Fault {
  std::string what;
  std::string hint;
};

template <class T>
using Result = tl::expected<T, Fault>;

inline tl::unexpected<Fault> fault(std::string what, std::string hint = {}) {
  return tl::make_unexpected(Fault{std::move(what), std::move(hint)});
}

}  // namespace slowdawn
