// Writes entries to a logbook, one at a time, for tests that kill it or run
// several at once: log_writer FILE WRITER COUNT. Prints "ready", and then the
// number of each entry once it is acknowledged.
#include <cstdio>
#include <cstdlib>
#include <slowdawn/logbook/logbook_file.hpp>
#include <string>

#include "logbook/written_entry.hpp"

int main(int argument_count, char** arguments) {
  using namespace slowdawn;
  if (argument_count != 4) {
    std::fputs("log_writer FILE WRITER COUNT\n", stderr);
    return 64;
  }
  const std::string path = arguments[1];
  const int writer = std::atoi(arguments[2]);
  const int count = std::atoi(arguments[3]);
  std::puts("ready");
  std::fflush(stdout);
  for (int number = 0; number < count; ++number) {
    const auto entries = LogbookFile::append(path, "Reef", [&](const std::vector<LogEntry>&) {
      return std::vector{testing::entry_of(writer, number)};
    });
    if (!entries) {
      const Finding& finding = entries.error().findings.front();
      std::fprintf(stderr, "%s: %s\n", finding.place.file.c_str(), finding.what.c_str());
      return 3;
    }
    std::printf("%lld\n", static_cast<long long>(entries->back().seq));
    std::fflush(stdout);
  }
  return 0;
}
