#include "cli/log_session.hpp"

#include <algorithm>
#include <ostream>
#include <slowdawn/logbook/logbook_file.hpp>
#include <slowdawn/tank/nearest_name.hpp>

#include "cli/progress_line.hpp"

namespace slowdawn {
namespace {

constexpr std::string_view waiting_for_logbook = "Waiting for the logbook";
constexpr std::string_view replaying_logbook = "Replaying the logbook";

/// What a logbook holds, read and replayed.
struct Followed {
  LoadedRamp loaded;
  std::vector<Entry> entries;
};

tl::unexpected<ReadFailure> not_followed(const std::string& path) {
  return tl::make_unexpected(
      ReadFailure{ReadFailure::Kind::content,
                  {{{path, 0, 0, ""},
                    "no plan is followed yet, so there is nothing to log against",
                    "follow it first: slowdawn follow"}}});
}

/// Replays entries; empty where no plan is followed.
ReadResult<std::optional<Followed>> replay_log(const std::string& path, const Tank& tank,
                                               std::vector<Entry> entries, const Date& today) {
  const Entry* followed = find_followed(entries);
  if (followed == nullptr) return std::optional<Followed>{};
  const FollowEntry& body = std::get<FollowEntry>(followed->body);
  auto then = followed_tank(path, body);
  if (!then) return tl::make_unexpected(std::move(then.error()));
  const bool has_changed = tank.text != body.tank_text || tank.attached != body.attached;
  LoadedRamp loaded{replay(std::move(*then), entries, *followed, today), true, has_changed};
  return Followed{std::move(loaded), std::move(entries)};
}

/// The numbers of the events that `after` has and `before` has not: those of the
/// entries just written.
std::vector<std::size_t> new_events(const Replay& after, const std::vector<EntryBody>& bodies,
                                    const Date& date) {
  std::vector<std::size_t> numbers;
  const long day = std::max((date - after.start).days(), 0L);
  for (const EntryBody& body : bodies) {
    const auto* check_in = std::get_if<CheckInEntry>(&body);
    if (check_in == nullptr) continue;
    for (std::size_t i = after.events.size(); i > 0; --i) {
      const ReplayEvent& event = after.events[i - 1];
      if (static_cast<long>(event.day) != day ||
          after.tank.groups[event.group].name != check_in->group) {
        continue;
      }
      numbers.push_back(i - 1);
      break;
    }
  }
  std::sort(numbers.begin(), numbers.end());
  return numbers;
}

}  // namespace

OrExit<LoadedRamp> load_ramp(const Console& console, const CommonArguments& arguments,
                             const RampOptions& options, const Date& today) {
  const bool json = arguments.json;
  auto tank = load_tank(console, arguments);
  if (!tank) return tl::make_unexpected(tank.error());
  if (!options.is_given()) {
    auto followed = load_followed(console, json, *tank, today);
    if (!followed) return tl::make_unexpected(followed.error());
    if (*followed) return std::move(**followed);
  }
  auto varied = with_options(console, json, std::move(*tank), options);
  if (!varied) return tl::make_unexpected(varied.error());
  return plan_tank(console, json, std::move(*varied), options.even);
}

OrExit<std::optional<LoadedRamp>> load_followed(const Console& console, bool json, const Tank& tank,
                                                const Date& today) {
  const std::string path = LogbookFile::path_beside(tank.file);
  const auto stored = with_progress(console, waiting_for_logbook,
                                    [&] { return LogbookFile::read(path, tank.name); });
  if (!stored) return tl::make_unexpected(report_failure(console, json, stored.error()));
  if (!*stored) return std::optional<LoadedRamp>{};
  auto entries = parse_entries(path, **stored);
  if (!entries) return tl::make_unexpected(report_failure(console, json, entries.error()));
  auto followed = with_progress(console, replaying_logbook,
                                [&] { return replay_log(path, tank, std::move(*entries), today); });
  if (!followed) return tl::make_unexpected(report_failure(console, json, followed.error()));
  if (!*followed) return std::optional<LoadedRamp>{};
  return std::optional{std::move((*followed)->loaded)};
}

OrExit<Date> entry_date(const Console& console, bool json, const std::string& text) {
  if (text.empty()) return console.today;
  const auto date = parse_date_option(console, json, "--date", text);
  if (!date || *date <= console.today) return date;
  return tl::make_unexpected(report_usage(console, json, "--date: " + text + " is still to come",
                                          "an entry says what has happened; give today or a day "
                                          "before"));
}

ExitCode write_entries(const Console& console, const CommonArguments& arguments, const Date& date,
                       const MakeBodies& make) {
  const bool json = arguments.json;
  const auto tank = load_tank(console, arguments);
  if (!tank) return tank.error();
  const std::string path = LogbookFile::path_beside(tank->file);

  std::optional<Followed> after;
  std::vector<EntryBody> bodies;
  bool plan_changed = false;
  std::optional<ExitCode> refused;
  // Another program may be writing, and a long story takes its time.
  std::optional<ProgressLine> line;
  line.emplace(console, waiting_for_logbook);
  const auto written = LogbookFile::append(
      path, tank->name,
      [&](const std::vector<LogEntry>& stored)
          -> tl::expected<std::vector<NewLogEntry>, ReadFailure> {
        line.emplace(console, replaying_logbook);
        auto entries = parse_entries(path, stored);
        if (!entries) return tl::make_unexpected(std::move(entries.error()));
        auto before = replay_log(path, *tank, *entries, console.today);
        if (!before) return tl::make_unexpected(std::move(before.error()));
        if (!*before) return not_followed(path);
        // What is made may be refused, and the refusal written.
        line.reset();
        auto made = make((*before)->loaded);
        if (!made) {
          // Reported already; an empty list leaves the file as it is.
          refused = made.error();
          return std::vector<NewLogEntry>{};
        }
        line.emplace(console, replaying_logbook);
        bodies = std::move(*made);
        std::vector<LogEntry> all = stored;
        for (const EntryBody& body : bodies) {
          const NewLogEntry added = to_log_entry(console.today, date, body, "");
          all.push_back({static_cast<std::int64_t>(all.size()) + 1, added.made, added.date,
                         added.kind, added.body, ""});
        }
        auto all_entries = parse_entries(path, all);
        if (!all_entries) return tl::make_unexpected(std::move(all_entries.error()));
        auto replayed = replay_log(path, *tank, std::move(*all_entries), console.today);
        if (!replayed) return tl::make_unexpected(std::move(replayed.error()));
        after = std::move(*replayed);
        // Taking back the follow entry itself leaves no plan.
        const std::string plan = after ? plan_steps_json(after->loaded.ramp, date) : std::string{};
        plan_changed = plan != plan_steps_json((*before)->loaded.ramp, date);
        std::vector<NewLogEntry> to_write;
        for (const EntryBody& body : bodies) {
          to_write.push_back(to_log_entry(console.today, date, body, plan));
        }
        return to_write;
      });
  line.reset();
  if (!written) return report_failure(console, json, written.error());
  if (refused) return *refused;
  if (!after) {
    console.out << (json ? "{\"plan_changed\": true, \"dials\": null}\n"
                         : "Written; no plan is followed now.\n");
    return done;
  }
  const LoadedRamp& loaded = after->loaded;
  const AddedView view{view_of(loaded, console.today), kind_of(bodies.front()), plan_changed,
                       new_events(loaded.ramp, bodies, date)};
  console.out << (json ? added_json(loaded.view(), view)
                       : added_text(loaded.view(), view, style_of(console, arguments)));
  return done;
}

OrExit<std::size_t> find_name(const Console& console, bool json, std::string_view kind,
                              const std::string& name, const std::vector<std::string>& names) {
  const auto found = std::find(names.begin(), names.end(), name);
  if (found != names.end()) return static_cast<std::size_t>(found - names.begin());
  return tl::make_unexpected(report_usage(console, json,
                                          "there is no " + std::string{kind} + " \"" + name + "\"",
                                          hint_for_name(name, names)));
}

namespace {

template <class Named>
std::vector<std::string> names_of(const std::vector<Named>& list) {
  std::vector<std::string> names;
  names.reserve(list.size());
  for (const Named& item : list) names.push_back(item.name);
  return names;
}

}  // namespace

std::vector<std::string> group_names(const Tank& tank) { return names_of(tank.groups); }
std::vector<std::string> spot_names(const Tank& tank) { return names_of(tank.spots); }
std::vector<std::string> light_names(const Tank& tank) { return names_of(tank.lights); }

OrExit<std::vector<std::string>> part_words(const Console& console, CommonArguments& arguments,
                                            const std::vector<std::string>& words,
                                            std::size_t most) {
  std::vector<std::string> others;
  for (const std::string& word : words) {
    const bool is_tank = word.ends_with(".json");
    if (!is_tank) others.push_back(word);
    const bool is_too_many = is_tank ? !arguments.tank.empty() : others.size() > most;
    if (is_too_many) {
      return tl::make_unexpected(
          report_usage(console, arguments.json, "\"" + word + "\" is one word too many",
                       "put names that have spaces in quotes; give one tank file"));
    }
    if (is_tank) arguments.tank = word;
  }
  return others;
}

}  // namespace slowdawn
