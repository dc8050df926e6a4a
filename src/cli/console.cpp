#include "cli/console.hpp"

#include <unistd.h>

#include <boost/date_time/gregorian/gregorian.hpp>
#include <cstdlib>
#include <string_view>

namespace slowdawn {
namespace {

bool is_able_terminal(int descriptor) {
  const char* term = std::getenv("TERM");
  return term != nullptr && std::string_view{term} != "dumb" && isatty(descriptor) == 1;
}

}  // namespace

bool wants_colour() {
  const char* no_color = std::getenv("NO_COLOR");
  if (no_color != nullptr && *no_color != '\0') return false;
  return is_able_terminal(STDOUT_FILENO);
}

bool wants_progress() { return is_able_terminal(STDERR_FILENO); }

Date read_clock() { return boost::gregorian::day_clock::local_day(); }

}  // namespace slowdawn
