#include "cli/console.hpp"

#include <time.h>
#include <unistd.h>

#include <boost/date_time/gregorian/gregorian.hpp>
#include <cstdlib>
#include <ctime>
#include <mutex>
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

Clock read_clock() {
  Clock clock{boost::gregorian::day_clock::local_day()};
  const char* set = std::getenv("SLOWDAWN_TODAY");
  if (set == nullptr || *set == '\0') return clock;
  const auto date = parse_date(set);
  if (date) return {*date, true};
  clock.problem = Finding{{"slowdawn", 0, 0, ""},
                          "SLOWDAWN_TODAY: " + date.error().what,
                          date.error().hint + "; or unset the variable"};
  return clock;
}

Date today_in_zone(const std::string& zone) {
  // Several tanks are planned at once, and the variable is the whole program's.
  static std::mutex one_at_a_time;
  const std::lock_guard lock{one_at_a_time};
  if (zone.empty()) return boost::gregorian::day_clock::local_day();
  const char* before = std::getenv("TZ");
  const std::optional<std::string> kept =
      before == nullptr ? std::nullopt : std::optional<std::string>{before};
  ::setenv("TZ", zone.c_str(), 1);
  ::tzset();
  const std::time_t now = std::time(nullptr);
  std::tm parts{};
  ::localtime_r(&now, &parts);
  if (kept) {
    ::setenv("TZ", kept->c_str(), 1);
  } else {
    ::unsetenv("TZ");
  }
  ::tzset();
  return boost::gregorian::date_from_tm(parts);
}

}  // namespace slowdawn
