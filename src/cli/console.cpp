#include "cli/console.hpp"

#include <unistd.h>

#include <boost/date_time/gregorian/gregorian.hpp>
#include <cstdlib>
#include <string_view>

namespace slowdawn {

bool wants_colour() {
  const char* no_color = std::getenv("NO_COLOR");
  const char* term = std::getenv("TERM");
  if (no_color != nullptr && *no_color != '\0') return false;
  if (term == nullptr || std::string_view{term} == "dumb") return false;
  return isatty(STDOUT_FILENO) == 1;
}

Date read_clock() { return boost::gregorian::day_clock::local_day(); }

}  // namespace slowdawn
