#include <nlohmann/json.hpp>
#include <slowdawn/logbook/entry.hpp>
#include <slowdawn/logbook/history_file.hpp>

namespace slowdawn {
namespace {

using Json = nlohmann::ordered_json;

}  // namespace

ReadResult<std::vector<NewLogEntry>> parse_history(const std::string& file,
                                                   const std::string& text) {
  const auto refuse = [&](const std::string& what) {
    return tl::make_unexpected(
        ReadFailure{ReadFailure::Kind::content,
                    {{{file, 0, 0, ""},
                      "this is no history of slowdawn: " + what,
                      "--import takes the file that `slowdawn history --json` wrote"}}});
  };
  std::vector<NewLogEntry> entries;
  std::vector<LogEntry> stored;
  try {
    const Json json = Json::parse(text);
    if (json.at("format") != "slowdawn-history/1") return refuse("it has another format");
    for (const Json& entry : json.at("entries")) {
      const auto made = parse_date(entry.at("made").get<std::string>());
      const auto date = parse_date(entry.at("date").get<std::string>());
      const std::size_t number = entries.size() + 1;
      if (!made || !date) return refuse("entry " + std::to_string(number) + " has no good date");
      if (entry.at("seq") != number) {
        return refuse("entry " + std::to_string(number) + " is missing or out of order");
      }
      const Json& plan = entry.at("plan");
      entries.push_back({*made, *date, entry.at("kind"), entry.at("body").dump(),
                         plan.is_null() ? "" : plan.dump()});
      const NewLogEntry& added = entries.back();
      stored.push_back({static_cast<std::int64_t>(number), added.made, added.date, added.kind,
                        added.body, added.plan});
    }
  } catch (const std::exception& problem) {
    return refuse(problem.what());
  }
  if (entries.empty()) return refuse("it has no entries");
  if (const auto parsed = parse_entries(file, stored); !parsed) {
    return refuse(parsed.error().findings.front().what);
  }
  return entries;
}

}  // namespace slowdawn
