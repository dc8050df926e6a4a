#include <algorithm>
#include <nlohmann/json.hpp>
#include <slowdawn/coral/response.hpp>
#include <slowdawn/logbook/entry.hpp>
#include <slowdawn/logbook/record.hpp>
#include <stdexcept>

namespace slowdawn {
namespace {

using Json = nlohmann::ordered_json;
using DialsByName = std::map<std::string, Percent>;

/// Days on which the lights stood by hand, both ends included.
struct ByHand {
  Date first;
  Date last;
};

/// What version 1 knew on a day.
struct Knowledge {
  /// The newest entry; its plan counts.
  const LogEntry* newest = nullptr;
  /// By the day from which they hold.
  std::map<Date, DialsByName> steps;
  /// The first day on which no dial rose for want of a look.
  std::optional<Date> hold;
  std::vector<ByHand> by_hand;

  /// Empty where its plan begins later, or there is none.
  const DialsByName* planned_on(const Date& date) const {
    const auto next = steps.upper_bound(date);
    return next == steps.begin() ? nullptr : &std::prev(next)->second;
  }
};

std::map<Date, DialsByName> parse_steps(const std::string& plan) {
  std::map<Date, DialsByName> steps;
  if (plan.empty()) return steps;
  for (const Json& step : Json::parse(plan)) {
    DialsByName& dials = steps[parse_date(step.at("date").get<std::string>()).value()];
    for (const auto& [light, dial] : step.at("dials").items()) {
      dials[light] = Percent::of_full(dial.get<double>());
    }
  }
  return steps;
}

bool is_dark(const DialsByName& dials) {
  return std::all_of(dials.begin(), dials.end(),
                     [](const auto& dial) { return dial.second == Percent{}; });
}

bool exceeds(const DialsByName& dials, const DialsByName& limit) {
  return std::any_of(dials.begin(), dials.end(), [&](const auto& dial) {
    const auto other = limit.find(dial.first);
    return other != limit.end() && other->second < dial.second;
  });
}

/// The entries that were there on a day, with those marked that were taken back by then.
std::vector<Entry> list_known(const std::vector<Entry>& entries, const Date& date) {
  std::vector<Entry> known;
  for (const Entry& entry : entries) {
    if (entry.made > date) continue;
    known.push_back(entry);
    known.back().undone = false;
  }
  for (auto entry = known.rbegin(); entry != known.rend(); ++entry) {
    const auto* undo = std::get_if<UndoEntry>(entry->body.get());
    if (undo == nullptr || entry->undone) continue;
    for (Entry& other : known) other.undone = other.undone || other.seq == undo->seq;
  }
  return known;
}

/// The first day without a dial that rises, if nobody looks any more.
std::optional<Date> find_hold(const std::vector<Entry>& known, const Entry& followed) {
  const FollowEntry& body = std::get<FollowEntry>(*followed.body);
  if (body.even) return std::nullopt;
  std::map<std::string, Date> last_looks;
  // Not through parse_tank: what version 1 took must be read whatever is refused today.
  const Json tank = Json::parse(body.tank_text);
  for (const Json& group : tank.at("groups")) {
    last_looks[group.at("name")] = body.start;
  }
  for (const Entry& entry : known) {
    const auto* look = std::get_if<CheckInEntry>(entry.body.get());
    if (look == nullptr || entry.undone || entry.seq < followed.seq) continue;
    const auto last = last_looks.find(look->group);
    if (last != last_looks.end()) last->second = std::max(last->second, entry.date);
  }
  std::optional<Date> hold;
  for (const auto& [group, last] : last_looks) {
    const Date first = last + boost::gregorian::days(days_without_look_that_hold + 1);
    hold = std::min(hold.value_or(first), first);
  }
  return hold;
}

/// Those that ended by themselves: a span of days, and a dark day.
std::vector<ByHand> list_by_hand(const std::vector<Entry>& known, const Entry& followed) {
  std::vector<ByHand> list;
  for (const Entry& entry : known) {
    const auto* dialed = std::get_if<DialedEntry>(entry.body.get());
    if (dialed == nullptr || entry.undone || entry.seq < followed.seq) continue;
    if (dialed->until || is_dark(dialed->dials)) {
      list.push_back({entry.date, dialed->until.value_or(entry.date)});
    }
  }
  std::stable_sort(list.begin(), list.end(),
                   [](const ByHand& a, const ByHand& b) { return a.first < b.first; });
  return list;
}

class LegacyLight {
 public:
  LegacyLight(std::vector<LogEntry> stored, std::vector<Entry> entries)
      : stored_(std::move(stored)), entries_(std::move(entries)) {
    for (const Entry& entry : entries_) {
      const auto* followed = std::get_if<FollowEntry>(entry.body.get());
      if (followed != nullptr) first_ = std::min(first_.value_or(followed->start), followed->start);
    }
  }

  Record until(const Date& end) {
    if (!first_) return {};
    for (Date date = *first_; date < end; date += boost::gregorian::days(1)) {
      learn(date);
      const DialsByName* dials = dials_on(date);
      if (dials == nullptr && !record_.empty()) dials = &record_.back().dials;
      if (dials != nullptr) record_.push_back({date, DialsByName{*dials}});
    }
    return std::move(record_);
  }

 private:
  /// Takes in the entries of a day; on days before any, the first one that speaks of it.
  void learn(const Date& date) {
    const auto is_made = [&](const LogEntry& entry) { return entry.made == date; };
    const bool is_before = knowledge_.newest == nullptr || knowledge_.newest->made > date;
    if (!is_before && std::none_of(stored_.begin(), stored_.end(), is_made)) return;
    know(list_known(entries_, date));
    if (knowledge_.newest != nullptr) return;
    const auto first = std::find_if(entries_.begin(), entries_.end(), [&](const Entry& entry) {
      return std::holds_alternative<FollowEntry>(*entry.body) && entry.date <= date;
    });
    if (first != entries_.end()) know({*first});
  }

  void know(const std::vector<Entry>& known) {
    knowledge_ = {};
    if (known.empty()) return;
    knowledge_.newest = &stored_[static_cast<std::size_t>(known.back().seq) - 1];
    knowledge_.steps = parse_steps(knowledge_.newest->plan);
    const Entry* followed = find_followed(known);
    if (followed == nullptr) return;
    knowledge_.hold = find_hold(known, *followed);
    knowledge_.by_hand = list_by_hand(known, *followed);
  }

  const DialsByName* dials_on(const Date& date) const {
    if (knowledge_.newest == nullptr) return nullptr;
    if (!knowledge_.hold || date < *knowledge_.hold) return knowledge_.planned_on(date);
    // A plan that was made within the hold has it up to the day on which it was made;
    // the plan of a follow entry has none.
    Date held = *knowledge_.hold - boost::gregorian::days(1);
    if (knowledge_.newest->kind != "follow") held = std::max(held, knowledge_.newest->made);
    const DialsByName* dials = knowledge_.planned_on(std::min(date, held));
    for (const ByHand& span : knowledge_.by_hand) {
      if (span.last < held || span.first > date) continue;
      dials = knowledge_.planned_on(date);
      if (date > span.last) dials = dials_after(span);
    }
    return dials;
  }

  /// Once the lights no longer stand by hand within a hold: as planned, but no higher
  /// than before.
  const DialsByName* dials_after(const ByHand& span) const {
    const DialsByName* after = knowledge_.planned_on(span.last + boost::gregorian::days(1));
    const DialsByName* before = recorded_on(span.first - boost::gregorian::days(1));
    return after != nullptr && before != nullptr && exceeds(*after, *before) ? before : after;
  }

  const DialsByName* recorded_on(const Date& date) const {
    const auto day = std::find_if(record_.begin(), record_.end(),
                                  [&](const RecordedDay& other) { return other.date == date; });
    return day == record_.end() ? nullptr : &day->dials;
  }

  std::vector<LogEntry> stored_;
  std::vector<Entry> entries_;
  /// The first day that any plan speaks of.
  std::optional<Date> first_;
  Knowledge knowledge_;
  Record record_;
};

std::vector<LogEntry>::const_iterator legacy_end(const std::vector<LogEntry>& stored) {
  return std::find_if(stored.begin(), stored.end(),
                      [](const LogEntry& entry) { return !entry.record.empty(); });
}

/// The first day that any entry has in its record; else one after all.
Date first_recorded(const std::vector<LogEntry>& stored) {
  for (auto entry = legacy_end(stored); entry != stored.end(); ++entry) {
    const Record record = parse_record(entry->record);
    if (!record.empty()) return record.front().date;
  }
  return stored.back().made;
}

}  // namespace

Record legacy_record(const std::vector<LogEntry>& stored, const Date& until) {
  std::vector<LogEntry> legacy(stored.begin(), legacy_end(stored));
  auto entries = parse_entries("", legacy);
  if (!entries) throw std::invalid_argument(entries.error().findings.front().what);
  try {
    return LegacyLight{std::move(legacy), std::move(*entries)}.until(until);
  } catch (const std::exception& problem) {
    throw std::invalid_argument(std::string{"a plan in it is not one of this program's: "} +
                                problem.what());
  }
}

std::vector<LogEntry> with_legacy_record(std::vector<LogEntry> stored) {
  const auto count = static_cast<std::size_t>(legacy_end(stored) - stored.begin());
  if (count == 0) return stored;
  const Record record =
      legacy_record(stored, std::min(first_recorded(stored), stored[count - 1].made));
  auto day = record.begin();
  for (std::size_t i = 0; i < count; ++i) {
    Record since;
    while (day != record.end() && day->date < stored[i].made) since.push_back(*day++);
    stored[i].record = record_json(since);
  }
  return stored;
}

}  // namespace slowdawn
