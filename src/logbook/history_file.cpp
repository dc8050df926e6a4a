#include <algorithm>
#include <nlohmann/json.hpp>
#include <slowdawn/logbook/history_file.hpp>
#include <slowdawn/logbook/record.hpp>
#include <stdexcept>

#include "logbook/entry_check.hpp"
#include "tank/json_reader.hpp"

namespace slowdawn {
namespace {

using Json = nlohmann::ordered_json;
using Kind = JsonValue::Kind;

const std::string export_again =
    "export it again with this slowdawn, from the logbook itself: slowdawn history --json > "
    "history.json";
const std::string leave_as_written = "put back what `slowdawn history --json` wrote there";

const std::vector<std::string> history_keys{"format", "entries"};
const std::vector<std::string> entry_keys{"seq",    "date", "kind", "made",
                                          "undone", "body", "plan", "record"};
const std::vector<std::string> step_keys{"date", "dials", "moves", "even"};
const std::vector<std::string> move_keys{"group", "spot"};

/// An entry without those before it, which an undo names.
ReadResult<Entry> parse_alone(const std::string& file, const LogEntry& stored) {
  LogEntry only = stored;
  // No undo takes back an entry of a smaller number than 1.
  only.seq = 1;
  auto parsed = parse_entries(file, {only});
  // Once more, so that the message has the number.
  if (!parsed) return tl::make_unexpected(parse_entries(file, {stored}).error());
  Entry entry = std::move(parsed->front());
  entry.seq = stored.seq;
  return entry;
}

class HistoryReader {
 public:
  HistoryReader(const JsonDocument& document, const Json& json)
      : document_(document), reader_(document), json_(json) {}

  ReadResult<std::vector<NewLogEntry>> read() {
    const auto list = find_entries();
    if (list) {
      for (std::size_t i = 0; i < list->size(); ++i) read_entry((*list)[i], json_["entries"][i]);
    }
    if (!reader_.has_errors()) check_undone(*list);
    if (reader_.has_errors()) return tl::make_unexpected(reader_.take_failure());
    return std::move(entries_);
  }

 private:
  /// Empty where it is no history, or one without what is needed.
  std::optional<std::vector<JsonNode>> find_entries() {
    const JsonNode root = reader_.root();
    const auto format = root.find("format");
    const auto list = root.find("entries");
    const std::string hint = "--import takes the file that `slowdawn history --json` wrote";
    if (!format || format->value().text != "slowdawn-history/1" || !list ||
        !list->is(Kind::array)) {
      reader_.error(root, "this is no history of slowdawn", hint);
      return std::nullopt;
    }
    if (!reader_.expect_object(root, "a history", history_keys)) return std::nullopt;
    const std::vector<JsonNode> nodes = list->items();
    if (nodes.empty()) reader_.error(*list, "this history has no entries", hint);
    for (std::size_t i = 0; i < nodes.size(); ++i) {
      for (const char* key : {"made", "plan", "record"}) {
        if (nodes[i].find(key) || !nodes[i].is(Kind::object)) continue;
        reader_.error(nodes[i],
                      "entry " + std::to_string(i + 1) + " has no \"" + key +
                          "\", so nobody knows which light there was",
                      export_again);
        return std::nullopt;
      }
    }
    return nodes;
  }

  std::string name() const { return "entry " + std::to_string(entries_.size() + 1); }

  void error(const JsonNode& node, const std::string& what, const std::string& hint) {
    reader_.error(node, name() + ": " + what, hint);
    is_good_ = false;
  }

  void read_entry(const JsonNode& node, const Json& json) {
    is_good_ = reader_.expect_object(node, name(), entry_keys);
    was_checked_ = false;
    NewLogEntry entry;
    if (is_good_) read_columns(node, entry);
    if (is_good_) {
      entry.body = json["body"].dump();
      entry.plan = json["plan"].is_null() ? "" : json["plan"].dump();
      entry.record = json["record"].dump();
      read_body(node, entry);
      if (is_good_) read_plan(*node.find("plan"));
      read_record(*node.find("record"), entry);
    }
    is_whole_ = is_whole_ && was_checked_;
    entries_.push_back(std::move(entry));
  }

  void read_columns(const JsonNode& node, NewLogEntry& entry) {
    for (const char* key : {"seq", "date", "kind", "body"}) {
      if (!node.find(key)) error(node, "\"" + std::string{key} + "\" is missing", leave_as_written);
    }
    if (!is_good_) return;
    const JsonNode seq = *node.find("seq");
    if (!seq.is(Kind::number) || seq.value().number != static_cast<double>(entries_.size() + 1)) {
      error(seq, "its \"seq\" is not " + std::to_string(entries_.size() + 1),
            "entries are numbered 1, 2, 3, ... and none may be missing; " + export_again);
    }
    const auto undone = node.find("undone");
    if (undone && !undone->is(Kind::boolean)) {
      error(*undone, "\"undone\" is neither true nor false", leave_as_written);
    }
    const JsonNode kind = *node.find("kind");
    entry.kind = kind.value().text;
    if (!kind.is(Kind::text)) error(kind, "its \"kind\" is no text", leave_as_written);
    const auto made = read_date(*node.find("made"));
    const auto date = read_date(*node.find("date"));
    if (made && date) read_days(node, entry, *made, *date);
  }

  void read_days(const JsonNode& node, NewLogEntry& entry, const Date& made, const Date& date) {
    entry.made = made;
    entry.date = date;
    if (!entries_.empty() && made < newest_made_) {
      error(*node.find("made"),
            "it was made on " + to_iso(made) + ", before an earlier entry (" +
                to_iso(newest_made_) + ")",
            "each entry is made on the day of the one before it, or later");
    }
    newest_made_ = std::max(newest_made_, made);
  }

  std::optional<Date> read_date(const JsonNode& node) {
    const auto date = parse_date(node.is(Kind::text) ? node.value().text : describe(node.value()));
    if (date) return *date;
    error(node, date.error().what, date.error().hint);
    return std::nullopt;
  }

  void read_body(const JsonNode& node, const NewLogEntry& entry) {
    const JsonNode body = *node.find("body");
    // Where parse_entries would only say that something is wrong.
    for (const char* key : {"start", "until"}) {
      if (const auto date = body.find(key)) read_date(*date);
    }
    if (!is_good_) return;
    const auto seq = static_cast<std::int64_t>(entries_.size()) + 1;
    const auto parsed =
        parse_alone(document_.file(), {seq, entry.made, entry.date, entry.kind, entry.body, {}});
    if (!parsed) {
      reader_.error(body, parsed.error().findings.front().what, leave_as_written);
      is_good_ = false;
      return;
    }
    if (!is_whole_) return;
    const auto problem = check_.add(*parsed);
    // Without its tank the next entries would be told the same.
    was_checked_ = check_.has_tank() && !(problem && entry.kind == "follow");
    if (problem) error(body, problem->what, problem->hint);
  }

  void expect_light(const JsonNode& node, const std::string& light) {
    if (!was_checked_) return;
    if (const auto problem = check_.find_unknown_light(light)) {
      error(node, problem->what, problem->hint);
    }
  }

  void read_plan(const JsonNode& plan) {
    if (plan.is(Kind::null)) return;
    if (!plan.is(Kind::array)) error(plan, "its \"plan\" is not a list of steps", leave_as_written);
    std::optional<Date> last;
    for (const JsonNode& step : plan.items()) {
      const bool has_keys =
          reader_.expect_object(step, "a step of the plan of " + name(), step_keys);
      is_good_ = is_good_ && has_keys;
      if (!has_keys) return;
      const auto date = step.find("date");
      const auto dials = step.find("dials");
      if (!date || !dials || !dials->is(Kind::object)) {
        error(step, "a step of its plan is not a date with dials", leave_as_written);
        return;
      }
      const auto day = read_date(*date);
      if (day && last && *day <= *last) {
        error(*date, "the dates of its plan do not rise at " + to_iso(*day), leave_as_written);
      }
      last = day;
      for (const auto& [light, dial] : dials->members()) read_dial(light, dial);
      if (const auto moves = step.find("moves")) read_moves(*moves);
    }
  }

  void read_dial(const std::string& light, const JsonNode& dial) {
    const double value = dial.value().number;
    if (!dial.is(Kind::number) || value < 0.0 || value > 100.0) {
      error(dial, "\"" + light + "\" is not at 0 to 100 %", leave_as_written);
    }
    expect_light(dial, light);
  }

  void read_moves(const JsonNode& moves) {
    for (const JsonNode& move : moves.items()) {
      const bool has_keys =
          reader_.expect_object(move, "a move of the plan of " + name(), move_keys);
      is_good_ = is_good_ && has_keys;
    }
  }

  void read_record(const JsonNode& node, const NewLogEntry& entry) {
    if (!node.is(Kind::array)) {
      error(node, "its \"record\" is not a list of days", export_again);
      return;
    }
    try {
      for (const RecordedDay& day : parse_record(entry.record)) {
        read_recorded_day(node, entry, day);
        if (!is_good_) return;
      }
    } catch (const std::invalid_argument& problem) {
      error(node, problem.what(), leave_as_written);
    }
  }

  void read_recorded_day(const JsonNode& node, const NewLogEntry& entry, const RecordedDay& day) {
    if (last_recorded_ && day.date <= *last_recorded_) {
      error(node,
            "its record has " + to_iso(day.date) + ", and an entry before it has " +
                to_iso(*last_recorded_),
            "each day stands once in the record, after the day before it; " + export_again);
    }
    if (day.date > entry.made) {
      error(node, "its record has " + to_iso(day.date) + ", a day after it was made",
            leave_as_written);
    }
    last_recorded_ = day.date;
    for (const auto& [light, dial] : day.dials) expect_light(node, light);
  }

  /// The file says of each entry whether a later one takes it back: who changed that by
  /// hand meant something by it.
  void check_undone(const std::vector<JsonNode>& nodes) {
    const std::vector<bool>& undone = check_.undone();
    for (std::size_t i = 0; i < nodes.size(); ++i) {
      const auto said = nodes[i].find("undone");
      if (!said || said->value().boolean == undone[i]) continue;
      reader_.error(*said,
                    "entry " + std::to_string(i + 1) +
                        (undone[i] ? ": a later entry takes it back, \"undone\" says false"
                                   : ": no entry takes it back, \"undone\" says true"),
                    leave_as_written + "; import it, then use slowdawn undo");
    }
  }

  const JsonDocument& document_;
  JsonReader reader_;
  const Json& json_;
  std::vector<NewLogEntry> entries_;
  EntryCheck check_{document_.file()};
  Date newest_made_{1900, 1, 1};
  std::optional<Date> last_recorded_;
  /// Of the entry that is being read.
  bool is_good_ = true;
  bool was_checked_ = false;
  /// Whether the check knows every entry so far; else it would find fault with others.
  bool is_whole_ = true;
};

}  // namespace

ReadResult<std::vector<NewLogEntry>> parse_history(const std::string& file,
                                                   const std::string& text) {
  // Refuses a key that stands twice, which the other parser takes silently.
  const auto document = JsonDocument::parse(file, text);
  if (!document) return tl::make_unexpected(document.error());
  // Keeps numbers as they are written.
  const Json json = Json::parse(text, nullptr, false);
  return HistoryReader{*document, json}.read();
}

}  // namespace slowdawn
