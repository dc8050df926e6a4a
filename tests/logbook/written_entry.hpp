// Entries whose plan follows from their body, so that it shows whether both
// are whole; written by log_writer, looked at by the tests.
#pragma once

#include <slowdawn/logbook/logbook_file.hpp>
#include <string>

namespace slowdawn::testing {

inline std::string plan_of(const std::string& body) {
  std::string plan = "{\"plan_after\": " + body + ", \"days\": [";
  for (int day = 0; day < 200; ++day) plan += std::to_string(day) + ", ";
  return plan + "200]}";
}

inline NewLogEntry entry_of(int writer, int number) {
  const Date made{2026, 12, 1};
  const std::string body =
      "{\"writer\": " + std::to_string(writer) + ", \"number\": " + std::to_string(number) + "}";
  return {made, days_after(made, static_cast<std::size_t>(number)), "note", body, plan_of(body)};
}

inline bool is_whole(const LogEntry& entry) { return entry.plan == plan_of(entry.body); }

}  // namespace slowdawn::testing
