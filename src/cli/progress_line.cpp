#include "cli/progress_line.hpp"

#include <algorithm>
#include <ostream>
#include <string>
#include <system_error>

namespace slowdawn {
namespace {

constexpr std::chrono::milliseconds patience{500};
/// Late work that is quick is not worth a flicker.
constexpr std::chrono::milliseconds shortest_work{100};

}  // namespace

ProgressLine::ProgressLine(const Console& console, std::string_view doing)
    : console_(console), doing_(doing) {
  if (!console.shows_progress) return;
  try {
    thread_ = std::thread{[this] { run(); }};
  } catch (const std::system_error&) {
    // Without a thread the work goes on unseen.
  }
}

ProgressLine::~ProgressLine() {
  if (!thread_.joinable()) return;
  {
    const std::lock_guard lock{mutex_};
    is_over_ = true;
  }
  changed_.notify_one();
  thread_.join();
}

void ProgressLine::run() {
  using std::chrono::seconds;
  using std::chrono::steady_clock;
  const auto is_over = [this] { return is_over_; };
  const auto shows_from = std::max(console_.began + patience, steady_clock::now() + shortest_work);
  std::unique_lock lock{mutex_};
  if (changed_.wait_until(lock, shows_from, is_over)) return;
  std::size_t width = 0;
  for (bool goes_on = true; goes_on;) {
    const auto passed = std::chrono::duration_cast<seconds>(steady_clock::now() - console_.began);
    std::string text = std::string{doing_} + " ...";
    if (passed.count() > 0) text += " " + std::to_string(passed.count()) + " s";
    width = text.size();
    console_.err << '\r' << text << std::flush;
    goes_on = !changed_.wait_until(lock, console_.began + passed + seconds{1}, is_over);
  }
  console_.err << '\r' << std::string(width, ' ') << '\r' << std::flush;
}

}  // namespace slowdawn
