#include "cli/log_session.hpp"

#include <algorithm>
#include <ostream>
#include <slowdawn/logbook/logbook_file.hpp>
#include <slowdawn/logbook/ways.hpp>
#include <slowdawn/tank/nearest_name.hpp>

#include "cli/follow_session.hpp"
#include "cli/progress_line.hpp"

namespace slowdawn {
namespace {

constexpr std::string_view waiting_for_logbook = "Waiting for the logbook";
constexpr std::string_view replaying_logbook = "Replaying the logbook";

tl::unexpected<ReadFailure> content_failure(const std::string& file, std::string what,
                                            std::string hint) {
  return tl::make_unexpected(ReadFailure{ReadFailure::Kind::content,
                                         {{{file, 0, 0, ""}, std::move(what), std::move(hint)}}});
}

tl::unexpected<ReadFailure> not_followed(const std::string& path) {
  return content_failure(path, "no plan is followed yet, so there is nothing to log against",
                         "follow it first: slowdawn follow");
}

/// The day that counts as today where entries were made after it.
struct LogDay {
  Date today;
  /// How the newest entry lies after the clock; empty where it does not.
  std::string notice = {};
};

ReadResult<LogDay> day_of_log(const Console& console, const Tank& tank,
                              const std::vector<LogEntry>& stored) {
  const Date now = today_of(console, tank);
  if (stored.empty() || stored.back().made <= now) return LogDay{now};
  const Date newest = stored.back().made;
  const std::string what = "the newest entry of the logbook was written on " + to_iso(newest) +
                           ", which lies after today, " + to_iso(now);
  if (console.today_is_set) {
    return content_failure("SLOWDAWN_TODAY", what, "set it to that day or a later one");
  }
  return LogDay{newest, what + "; " + to_iso(newest) + " is taken for today"};
}

/// Whether the tank file, or a file that it names, is no longer as it was followed.
bool differs_from_followed(const Tank& tank, const Entry& followed) {
  const FollowEntry& body = std::get<FollowEntry>(*followed.body);
  return tank.text != body.tank_text || tank.attached != body.attached;
}

/// Lives through a log; empty where no plan is followed.
ReadResult<std::optional<LoadedRamp>> live_through(const std::string& path, const Tank& tank,
                                                   Log log, const std::vector<LogEntry>& stored,
                                                   const Date& today) {
  const Entry* followed = find_followed(log.entries);
  const bool tank_has_changed = followed != nullptr && differs_from_followed(tank, *followed);
  auto lived = replay(path, std::move(log), today);
  if (!lived) return tl::make_unexpected(std::move(lived.error()));
  if (!*lived) return std::optional<LoadedRamp>{};
  LoadedRamp loaded{std::move(**lived), true};
  loaded.tank_has_changed = tank_has_changed;
  loaded.today = today;
  loaded.ramp.waits = find_waits(loaded.ramp);
  loaded.change = find_plan_change(stored, loaded.ramp, today);
  return std::optional{std::move(loaded)};
}

/// The log with entries that are not written yet.
ReadResult<Log> with_entries(const std::string& path, std::vector<LogEntry>& stored,
                             const std::vector<NewLogEntry>& added, const Date& today) {
  for (const NewLogEntry& entry : added) {
    stored.push_back({static_cast<std::int64_t>(stored.size()) + 1, entry.made, entry.date,
                      entry.kind, entry.body, entry.plan, entry.record});
  }
  return parse_log(path, stored, today);
}

/// The numbers of the events of the entries just written.
std::vector<std::size_t> new_events(const Replay& after, std::int64_t first_seq) {
  std::vector<std::size_t> numbers;
  for (std::size_t i = 0; i < after.events.size(); ++i) {
    if (after.events[i].seq >= first_seq) numbers.push_back(i);
  }
  return numbers;
}

/// What a write must not leave behind: a plan without a day, or light that nobody knows.
ReadResult<bool> check_answer(const std::string& path, const LoadedRamp& after) {
  if (after.ramp.plan.days.empty()) {
    return content_failure(path,
                           "with this no setting is safe on the first day of the plan, so nothing "
                           "was written",
                           "take back or move what is too bright there; `slowdawn plan` shows why");
  }
  if (const auto unread = find_unread_light(after.ramp)) {
    return tl::make_unexpected(ReadFailure{ReadFailure::Kind::content, {*unread}});
  }
  return true;
}

}  // namespace

OrExit<LoadedRamp> load_ramp(const Console& console, const CommonArguments& arguments,
                             const RampOptions& options) {
  const bool json = arguments.json;
  auto tank = load_tank(console, arguments);
  if (!tank) return tl::make_unexpected(tank.error());
  auto followed = load_followed(console, json, *tank);
  if (!followed) return tl::make_unexpected(followed.error());
  if (*followed && !options.is_given()) return std::move(**followed);
  if (*followed) return propose_again(console, arguments, *tank, **followed, options);
  const auto aimed = with_goal_option(console, arguments, *tank, options);
  if (!aimed) return tl::make_unexpected(aimed.error());
  auto varied = require_plannable(console, json, with_options(console, json, *aimed, options));
  if (!varied) return tl::make_unexpected(varied.error());
  return plan_tank(console, json, std::move(*varied), options.even);
}

OrExit<std::optional<LoadedRamp>> load_followed(const Console& console, bool json,
                                                const Tank& tank) {
  const std::string path = LogbookFile::path_beside(tank.file);
  const auto stored = with_progress(console, waiting_for_logbook,
                                    [&] { return LogbookFile::read(path, tank.name); });
  if (!stored) return tl::make_unexpected(report_failure(console, json, stored.error()));
  if (!*stored) return std::optional<LoadedRamp>{};
  const auto day = day_of_log(console, tank, **stored);
  if (!day) return tl::make_unexpected(report_failure(console, json, day.error()));
  auto log = parse_log(path, **stored, day->today);
  if (!log) return tl::make_unexpected(report_failure(console, json, log.error()));
  auto followed = with_progress(console, replaying_logbook, [&] {
    return live_through(path, tank, std::move(*log), **stored, day->today);
  });
  if (!followed) return tl::make_unexpected(report_failure(console, json, followed.error()));
  if (*followed) (*followed)->clock_notice = day->notice;
  return std::move(*followed);
}

namespace {

/// Today and the day that the entries speak of.
struct WriteDays {
  Date today;
  Date date;
};

OrExit<WriteDays> days_of_write(const Console& console, bool json, const Tank& tank,
                                const WriteOptions& options, const std::vector<LogEntry>& stored) {
  const auto day = day_of_log(console, tank, stored);
  if (!day) return tl::make_unexpected(report_failure(console, json, day.error()));
  const Date now = today_of(console, tank);
  // A day behind is a journey; more is a clock that is wrong, now or then.
  if ((day->today - now).days() > 1 && !options.yes) {
    return tl::make_unexpected(report_usage(
        console, json, day->notice,
        "set the computer's clock; or, if that day is right, the same again with --yes"));
  }
  WriteDays days{day->today, day->today};
  if (options.date.empty()) return days;
  const auto date = parse_date_option(console, json, "--date", options.date);
  if (!date) return tl::make_unexpected(date.error());
  if (*date > days.today) {
    return tl::make_unexpected(
        report_usage(console, json, "--date: " + options.date + " is still to come",
                     "an entry says what has happened; give today or a day before"));
  }
  days.date = *date;
  return days;
}

}  // namespace

OrExit<Written> write_to_log(const Console& console, bool json, const Tank& tank,
                             const WriteOptions& options, const MakeBodies& make) {
  const std::string path = LogbookFile::path_beside(tank.file);
  Written result;
  std::optional<ExitCode> refused;
  const auto refuse = [&](ExitCode code) {
    // Reported already; an empty list leaves the file as it is.
    refused = code;
    return std::vector<NewLogEntry>{};
  };
  // Another program may be writing, and a long story takes its time.
  std::optional<ProgressLine> line;
  line.emplace(console, waiting_for_logbook);
  const auto written = LogbookFile::append(
      path, tank.name,
      [&](const std::vector<LogEntry>& stored)
          -> tl::expected<std::vector<NewLogEntry>, ReadFailure> {
        line.reset();
        const auto days = days_of_write(console, json, tank, options, stored);
        if (!days) return refuse(days.error());
        result.today = days->today;
        result.date = days->date;
        line.emplace(console, replaying_logbook);
        const auto log = parse_log(path, stored, days->today);
        if (!log) return tl::make_unexpected(log.error());
        auto before = live_through(path, tank, *log, stored, days->today);
        if (!before) return tl::make_unexpected(std::move(before.error()));
        if (options.needs_plan && !*before) return not_followed(path);
        // What is made may be refused, and the refusal written.
        line.reset();
        auto made = make({*before ? &**before : nullptr, *log, days->today, days->date});
        if (!made) return refuse(made.error());
        line.emplace(console, replaying_logbook);
        result.bodies = std::move(*made);
        std::vector<NewLogEntry> added;
        for (const EntryBody& body : result.bodies) {
          const auto* followed = std::get_if<FollowEntry>(&body);
          added.push_back(
              to_log_entry(days->today, followed ? followed->start : days->date, body, ""));
        }
        // The days since the last write, as they were said with the entries of then; those
        // of a first plan that begins in the past, as it says them now.
        if (*before) {
          added.front().record = record_json(days_to_store(*log, (*before)->ramp));
        }
        std::vector<LogEntry> all = stored;
        auto whole = with_entries(path, all, added, days->today);
        if (!whole) return tl::make_unexpected(whole.error());
        auto after = live_through(path, tank, std::move(*whole), all, days->today);
        if (!after) return tl::make_unexpected(std::move(after.error()));
        result.loaded = std::move(*after);
        if (!result.loaded) return added;
        if (const auto checked = check_answer(path, *result.loaded); !checked) {
          return tl::make_unexpected(checked.error());
        }
        if (!*before) added.front().record = record_json(result.loaded->ramp.record);
        // Until a leg to come begins, the one before goes on.
        const Date from = *before ? std::min(added.front().date, days->today) : added.front().date;
        const std::string plan = plan_steps_json(result.loaded->ramp, from);
        result.plan_changed = !*before || plan != plan_steps_json((*before)->ramp, from);
        for (NewLogEntry& entry : added) entry.plan = plan;
        for (std::size_t i = 0; i < added.size(); ++i) all[stored.size() + i].plan = plan;
        result.loaded->change = find_plan_change(all, result.loaded->ramp, days->today);
        result.first_seq = static_cast<std::int64_t>(stored.size()) + 1;
        return added;
      });
  line.reset();
  if (!written) return tl::make_unexpected(report_failure(console, json, written.error()));
  if (refused) return tl::make_unexpected(*refused);
  note_written(console);
  return result;
}

ExitCode write_entries(const Console& console, const CommonArguments& arguments,
                       const WriteOptions& options, const MakeBodies& make) {
  const bool json = arguments.json;
  const auto tank = load_tank(console, arguments);
  if (!tank) return tank.error();
  const auto written = write_to_log(console, json, *tank, options, make);
  if (!written) return written.error();
  if (!written->loaded) {
    console.out << (json ? "{\"plan_changed\": true, \"dials\": null}\n"
                         : "Written; no plan is followed now.\n");
    return done;
  }
  const LoadedRamp& loaded = *written->loaded;
  AddedView view{view_of(loaded, written->today), kind_of(written->bodies.front()),
                 written->plan_changed, new_events(loaded.ramp, written->first_seq)};
  view.date = written->date;
  view.ways = with_progress(console, "Looking for ways to spare the others",
                            [&] { return find_ways_to_spare(loaded.ramp); });
  console.out << (json ? added_json(loaded.view(), view)
                       : added_text(loaded.view(), view, style_of(console, arguments)));
  return done;
}

void add_yes_option(CLI::App& command, WriteOptions& options) {
  command.add_flag("--yes", options.yes, "Answer what it would ask with yes");
}

void add_date_option(CLI::App& command, WriteOptions& options, const std::string& what) {
  command.add_option("--date", options.date, what)->type_name("DATE");
  add_yes_option(command, options);
}

std::optional<ExitCode> ask_which_holds(const Console& console, bool json,
                                        const WriteContext& context, bool yes,
                                        const std::function<bool(const EntryBody&)>& is_same) {
  if (yes) return std::nullopt;
  for (auto entry = context.log.entries.rbegin(); entry != context.log.entries.rend(); ++entry) {
    if (entry->undone || entry->date <= context.date || !is_same(*entry->body)) continue;
    const std::string number = std::to_string(entry->seq);
    return report_usage(
        console, json,
        "entry " + number + " (" + kind_of(*entry->body) + ") says something of " +
            to_iso(entry->date) + ", and this speaks of " + to_iso(context.date) +
            ", before it: which holds?",
        "if both do, each from its own day, the same again with --yes; if this one does, first "
        "take the other back: slowdawn undo --entry " +
            number);
  }
  return std::nullopt;
}

OrExit<std::size_t> find_name(const Console& console, bool json, std::string_view kind,
                              const std::string& name, const std::vector<std::string>& names) {
  const auto found = std::find(names.begin(), names.end(), name);
  if (found != names.end()) return static_cast<std::size_t>(found - names.begin());
  return tl::make_unexpected(report_usage(console, json,
                                          "there is no " + std::string{kind} + " \"" + name + "\"",
                                          hint_for_name(name, names)));
}

OrExit<std::size_t> find_group_on(const Console& console, bool json, const WriteContext& context,
                                  const std::string& name) {
  const Replay& ramp = context.loaded->ramp;
  const auto group = find_name(console, json, "group", name, group_names(ramp.tank));
  if (!group) return group;
  const auto day = static_cast<std::size_t>(std::max((context.date - ramp.start).days(), 0L));
  if (ramp.is_there(*group, day)) return group;
  const bool is_gone = ramp.is_gone(*group, day);
  const std::size_t since = is_gone ? *ramp.gone_on[*group] : ramp.came_on[*group];
  return tl::make_unexpected(report_usage(
      console, json,
      "\"" + name + "\" " + (is_gone ? "is gone since " : "came on ") +
          to_iso(days_after(ramp.start, since)),
      is_gone ? "take that back first if it was wrong: slowdawn history, then slowdawn undo --entry"
              : "give that day or a later one"));
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
