// A line that says what is going on, while it takes long.
#pragma once

#include <chrono>
#include <condition_variable>
#include <mutex>
#include <string_view>
#include <thread>

#include "cli/console.hpp"

namespace slowdawn {

/// While it lives, and once the program has run for half a second, a line such
/// as "Planning ... 3 s" stands on standard error; it is gone when the object is.
/// Nothing where standard error is no terminal, and nothing when it is faster.
/// Meanwhile nobody else may write to the console.
class ProgressLine {
 public:
  /// doing: what is going on, some words; must outlive the line.
  ProgressLine(const Console& console, std::string_view doing);
  ProgressLine(const ProgressLine&) = delete;
  ProgressLine& operator=(const ProgressLine&) = delete;
  ~ProgressLine();

 private:
  void run();

  const Console& console_;
  std::string_view doing_;
  std::mutex mutex_;
  std::condition_variable changed_;
  bool is_over_ = false;
  std::thread thread_;
};

/// Does some work under a progress line.
template <class Work>
auto with_progress(const Console& console, std::string_view doing, const Work& work) {
  const ProgressLine line{console, doing};
  return work();
}

}  // namespace slowdawn
