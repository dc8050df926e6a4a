// Work spread over the cores, where there is enough of it.
#pragma once

#include <tbb/blocked_range.h>
#include <tbb/parallel_for.h>

#include <atomic>
#include <cstddef>

namespace slowdawn {

/// Under so many items waking another core costs more than it saves.
inline constexpr std::size_t items_worth_a_core = 256;

/// Does something for each of `count` items, on any core and in any order: it may
/// change nothing but what is its own item's, so that the result is the same on one
/// core and on many.
/// worth_a_core: so many items are.
template <class Do>
void for_each_item(std::size_t count, const Do& act,
                   std::size_t worth_a_core = items_worth_a_core) {
  if (count < 2 * worth_a_core) {
    for (std::size_t i = 0; i < count; ++i) act(i);
    return;
  }
  using Range = tbb::blocked_range<std::size_t>;
  tbb::parallel_for(Range{0, count, worth_a_core}, [&](const Range& part) {
    for (std::size_t i = part.begin(); i != part.end(); ++i) act(i);
  });
}

/// Whether something holds for any of `count` items.
template <class Holds>
bool holds_for_any(std::size_t count, const Holds& holds) {
  if (count < 2 * items_worth_a_core) {
    for (std::size_t i = 0; i < count; ++i) {
      if (holds(i)) return true;
    }
    return false;
  }
  std::atomic<bool> is_found{false};
  using Range = tbb::blocked_range<std::size_t>;
  tbb::parallel_for(Range{0, count, items_worth_a_core}, [&](const Range& part) {
    for (std::size_t i = part.begin(); i != part.end() && !is_found; ++i) {
      if (holds(i)) is_found = true;
    }
  });
  return is_found;
}

}  // namespace slowdawn
