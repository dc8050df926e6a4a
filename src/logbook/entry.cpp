#include <algorithm>
#include <limits>
#include <nlohmann/json.hpp>
#include <slowdawn/logbook/entry.hpp>
#include <slowdawn/ramp/planner.hpp>
#include <string_view>
#include <unordered_map>

#include "logbook/dials_json.hpp"

namespace slowdawn {
namespace {

using Json = nlohmann::ordered_json;

const char* const extension_names[] = {"less", "usual", "more"};
const char* const tissue_names[] = {"whole", "white_patches", "lost"};
const char* const pace_names[] = {"gentle", "standard", "brisk"};

template <std::size_t count>
int index_of(const std::string& name, const char* const (&names)[count]) {
  for (std::size_t i = 0; i < count; ++i) {
    if (name == names[i]) return static_cast<int>(i);
  }
  throw std::invalid_argument("unknown word " + name);
}

Date to_date(const Json& json) { return parse_date(json.get<std::string>()).value(); }

Json body_json(const FollowEntry& entry) {
  Json json{{"tank_text", entry.tank_text}, {"profile_texts", entry.profile_texts}};
  if (!entry.attached.empty()) json["attached"] = entry.attached;
  json["start"] = to_iso(entry.start);
  json["every_days"] = entry.every_days;
  json["pace"] = pace_names[static_cast<int>(entry.pace)];
  if (entry.even) {
    json["even"] = {{"from", dials_json(entry.even->from)},
                    {"to", dials_json(entry.even->to)},
                    {"days", entry.even->days}};
  }
  if (entry.afresh) json["afresh"] = true;
  return json;
}

Json body_json(const CheckInEntry& entry) {
  const CheckIn& seen = entry.seen;
  Json json{{"group", entry.group}};
  if (seen.colour) json["colour_steps"] = *seen.colour;
  if (seen.card) json["card_score"] = *seen.card;
  json["extension"] = extension_names[static_cast<int>(seen.extension)];
  json["mucus"] = seen.mucus;
  json["tissue"] = tissue_names[static_cast<int>(seen.tissue)];
  if (seen.fv_fm) json["fv_fm"] = *seen.fv_fm;
  if (!entry.note.empty()) json["note"] = entry.note;
  if (!entry.photo.empty()) json["photo"] = entry.photo;
  if (entry.restart) json["restart"] = true;
  if (entry.round) json["round"] = *entry.round;
  return json;
}

Json body_json(const DialedEntry& entry) {
  Json json{{"dials", dials_json(entry.dials)}};
  if (entry.until) json["until"] = to_iso(*entry.until);
  return json;
}

Json body_json(const MovedEntry& entry) {
  Json json{{"group", entry.group}, {"spot", entry.spot}};
  if (entry.mesh) json["mesh"] = *entry.mesh;
  return json;
}

Json body_json(const GoneEntry& entry) { return {{"group", entry.group}}; }

Json body_json(const UndoEntry& entry) {
  Json json{{"seq", entry.seq}};
  if (entry.through) json["through"] = *entry.through;
  return json;
}

/// Refuses keys that this version does not know: they may mean something.
void expect_keys(const Json& json, std::initializer_list<std::string_view> keys) {
  for (const auto& [key, value] : json.items()) {
    if (std::find(keys.begin(), keys.end(), key) == keys.end()) {
      throw std::invalid_argument("unknown key " + key);
    }
  }
}

double number_within(const Json& json, double low, double high) {
  if (!json.is_number()) throw std::invalid_argument("no number where one should be");
  const double value = json.get<double>();
  if (value >= low && value <= high) return value;
  throw std::invalid_argument("a number out of range");
}

int integer_within(const Json& json, int low, int high) {
  if (!json.is_number_integer()) throw std::invalid_argument("no whole number");
  return static_cast<int>(number_within(json, low, high));
}

CheckInEntry parse_check_in(const Json& json) {
  expect_keys(json, {"group", "colour_steps", "card_score", "extension", "mucus", "tissue", "fv_fm",
                     "note", "photo", "restart", "round"});
  CheckInEntry entry;
  entry.group = json.at("group");
  if (json.contains("colour_steps")) {
    entry.seen.colour = integer_within(json["colour_steps"], -5, 5);
  }
  if (json.contains("card_score")) entry.seen.card = integer_within(json["card_score"], 1, 6);
  entry.seen.extension = static_cast<Extension>(index_of(json.at("extension"), extension_names));
  entry.seen.mucus = json.at("mucus").get<bool>();
  entry.seen.tissue = static_cast<Tissue>(index_of(json.at("tissue"), tissue_names));
  if (json.contains("fv_fm")) entry.seen.fv_fm = number_within(json["fv_fm"], 0.0, 1.0);
  entry.note = json.value("note", "");
  entry.photo = json.value("photo", "");
  entry.restart = json.value("restart", false);
  if (json.contains("round")) {
    entry.round = integer_within(json["round"], 0, std::numeric_limits<int>::max());
  }
  return entry;
}

std::map<std::string, Percent> parse_dials(const Json& json) {
  std::map<std::string, Percent> dials;
  for (const auto& [light, dial] : json.items()) {
    dials[light] = Percent::of_full(number_within(dial, 0.0, 100.0));
  }
  return dials;
}

FollowEntry parse_follow(const Json& json) {
  expect_keys(json, {"tank_text", "profile_texts", "attached", "start", "every_days", "pace",
                     "even", "afresh"});
  FollowEntry entry{json.at("tank_text"),
                    json.at("profile_texts"),
                    to_date(json.at("start")),
                    integer_within(json.at("every_days"), 1, 28),
                    static_cast<Pace>(index_of(json.at("pace"), pace_names)),
                    json.value("attached", std::map<std::string, std::string>{})};
  if (json.contains("even")) {
    const Json& even = json["even"];
    expect_keys(even, {"from", "to", "days"});
    const int longest = static_cast<int>(last_plan_day);
    entry.even =
        FollowedLine{parse_dials(even.at("from")), parse_dials(even.at("to")),
                     static_cast<std::size_t>(integer_within(even.at("days"), 0, longest))};
  }
  entry.afresh = json.value("afresh", false);
  return entry;
}

EntryBody parse_body(const std::string& kind, const std::string& text) {
  const Json json = Json::parse(text);
  if (kind == "follow") return parse_follow(json);
  if (kind == "checkin") return parse_check_in(json);
  if (kind == "dialed") {
    expect_keys(json, {"dials", "until"});
    DialedEntry entry{parse_dials(json.at("dials")), {}};
    if (json.contains("until")) entry.until = to_date(json["until"]);
    return entry;
  }
  if (kind == "moved") {
    expect_keys(json, {"group", "spot", "mesh"});
    MovedEntry entry{json.at("group"), json.at("spot")};
    if (json.contains("mesh")) {
      entry.mesh = number_within(json["mesh"], std::numeric_limits<double>::min(), 1.0);
    }
    return entry;
  }
  if (kind == "gone") {
    expect_keys(json, {"group"});
    return GoneEntry{json.at("group")};
  }
  if (kind == "undo") {
    expect_keys(json, {"seq", "through"});
    constexpr int most = std::numeric_limits<int>::max();
    UndoEntry entry{integer_within(json.at("seq"), 1, most)};
    if (json.contains("through")) entry.through = integer_within(json["through"], 1, most);
    return entry;
  }
  throw std::invalid_argument("unknown kind " + kind);
}

tl::unexpected<ReadFailure> not_ours(const std::string& file, std::int64_t seq,
                                     const std::exception& problem) {
  return tl::make_unexpected(ReadFailure{
      ReadFailure::Kind::access,
      {{{file, 0, 0, ""},
        "entry " + std::to_string(seq) + " is not one of this program's: " + problem.what(),
        "keep the file as it is; it may be from a newer version of slowdawn"}}});
}

}  // namespace

std::string kind_of(const EntryBody& body) {
  static const char* const names[] = {"follow", "checkin", "dialed", "moved", "gone", "undo"};
  return names[body.index()];
}

NewLogEntry to_log_entry(const Date& made, const Date& date, const EntryBody& body,
                         std::string plan, const Record& record) {
  const Json json = std::visit([](const auto& entry) { return body_json(entry); }, body);
  return {made, date, kind_of(body), json.dump(), std::move(plan), record_json(record)};
}

ReadResult<std::vector<Entry>> parse_entries(const std::string& file,
                                             const std::vector<LogEntry>& stored) {
  std::vector<Entry> entries;
  entries.reserve(stored.size());
  // Rounds mostly say what the one before said: each text is read once. By body, the first
  // entry that has it.
  std::unordered_map<std::string_view, std::size_t> known;
  for (const LogEntry& log_entry : stored) {
    const std::size_t same = known.try_emplace(log_entry.body, entries.size()).first->second;
    const bool is_read = same < entries.size() && stored[same].kind == log_entry.kind;
    try {
      entries.push_back({log_entry.seq, log_entry.made, log_entry.date,
                         is_read ? entries[same].body
                                 : std::make_shared<const EntryBody>(
                                       parse_body(log_entry.kind, log_entry.body))});
    } catch (const std::exception& problem) {
      return not_ours(file, log_entry.seq, problem);
    }
  }
  // From the newest: an undo that is itself taken back does not count.
  for (auto entry = entries.rbegin(); entry != entries.rend(); ++entry) {
    const auto* undo = std::get_if<UndoEntry>(entry->body.get());
    if (undo == nullptr || entry->undone) continue;
    const std::int64_t last = std::min(undo->through.value_or(undo->seq), entry->seq - 1);
    for (std::int64_t seq = undo->seq; seq <= last; ++seq) {
      // Numbers of another program may not be those of their places.
      if (seq < 1 || seq > static_cast<std::int64_t>(entries.size())) break;
      entries[static_cast<std::size_t>(seq) - 1].undone = true;
    }
  }
  return entries;
}

ReadResult<Log> parse_log(const std::string& file, const std::vector<LogEntry>& stored,
                          const Date& today) {
  auto entries = parse_entries(file, stored);
  if (!entries) return tl::make_unexpected(std::move(entries.error()));
  Log log{std::move(*entries), {}};
  const bool is_of_version_1 = std::all_of(
      stored.begin(), stored.end(), [](const LogEntry& entry) { return entry.record.empty(); });
  if (is_of_version_1 && !stored.empty()) {
    log.record_is_stored = false;
    try {
      log.record = legacy_record(stored, today);
    } catch (const std::exception& problem) {
      return not_ours(file, stored.back().seq, problem);
    }
    return log;
  }
  for (const LogEntry& entry : stored) {
    if (entry.record.empty()) continue;
    try {
      Record days = parse_record(entry.record);
      log.record.insert(log.record.end(), std::make_move_iterator(days.begin()),
                        std::make_move_iterator(days.end()));
    } catch (const std::exception& problem) {
      return not_ours(file, entry.seq, problem);
    }
  }
  return log;
}

std::pair<std::int64_t, std::int64_t> round_of(const std::vector<Entry>& entries,
                                               std::int64_t seq) {
  const auto number_of = [&](std::int64_t at) -> std::optional<int> {
    if (at < 1 || at > static_cast<std::int64_t>(entries.size())) return std::nullopt;
    const auto* look =
        std::get_if<CheckInEntry>(entries[static_cast<std::size_t>(at) - 1].body.get());
    return look ? look->round : std::nullopt;
  };
  const auto number = number_of(seq);
  if (!number) return {seq, seq};
  std::int64_t last = seq;
  while (number_of(last + 1) == *number + static_cast<int>(last + 1 - seq)) ++last;
  return {seq - *number, last};
}

const Entry* find_followed(const std::vector<Entry>& entries) {
  for (auto entry = entries.rbegin(); entry != entries.rend(); ++entry) {
    if (!entry->undone && std::holds_alternative<FollowEntry>(*entry->body)) return &*entry;
  }
  return nullptr;
}

std::optional<EvenLine> followed_line(const Tank& tank, const FollowEntry& followed) {
  if (!followed.even) return std::nullopt;
  const FollowedLine& even = *followed.even;
  EvenLine line{{}, {}, even.days};
  for (const auto& [light, goal] : tank.ramp.to) {
    const auto from = even.from.find(tank.lights[light].name);
    const auto to = even.to.find(tank.lights[light].name);
    if (from == even.from.end() || to == even.to.end()) return std::nullopt;
    line.from.push_back(from->second);
    line.to.push_back(to->second);
  }
  return line;
}

ReadResult<Tank> followed_tank(const std::string& tank_file, const FollowEntry& followed) {
  ProfileShelf shelf = ProfileShelf::built_in();
  for (const auto& [name, text] : followed.profile_texts) {
    if (auto added = shelf.add(name + ".json", text); !added) {
      return tl::make_unexpected(std::move(added.error()));
    }
  }
  const FileSource files = [&](const std::string& name) -> ReadResult<std::string> {
    const auto found = followed.attached.find(name);
    if (found != followed.attached.end()) return found->second;
    return tl::make_unexpected(ReadFailure{
        ReadFailure::Kind::access,
        {{{tank_file, 0, 0, ""}, "the logbook has not kept \"" + name + "\"", "follow again"}}});
  };
  auto tank = parse_tank(tank_file, followed.tank_text, shelf, files);
  if (!tank) return tank;
  tank->ramp.start = followed.start;
  tank->ramp.every_days = followed.every_days;
  tank->ramp.pace = followed.pace;
  return tank;
}

}  // namespace slowdawn
