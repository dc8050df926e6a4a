#include "cli/follow_session.hpp"

#include <slowdawn/logbook/logbook_file.hpp>
#include <slowdawn/tank/even_setup.hpp>
#include <slowdawn/tank/goal_text.hpp>

#include "cli/progress_line.hpp"

namespace slowdawn {
namespace {

FollowedLine to_followed_line(const Tank& tank, const RampSetup& setup, const EvenLine& even) {
  FollowedLine line{{}, {}, even.days};
  for (std::size_t j = 0; j < setup.path_lights.size(); ++j) {
    const std::string& light = tank.lights[setup.path_lights[j]].name;
    line.from[light] = even.from[j];
    line.to[light] = even.to[j];
  }
  return line;
}

Log with_entry(const Log& log, const Date& today, const FollowEntry& body) {
  Log longer = log;
  const auto seq = static_cast<std::int64_t>(log.entries.size()) + 1;
  longer.entries.push_back({seq, today, body.start, std::make_shared<const EntryBody>(body)});
  return longer;
}

/// The straight ramp from where a life stands; the entry stays as it is where there is
/// none, or where it is run already.
ReadResult<bool> run_evenly(FollowEntry& entry, const std::string& path, const Log& log,
                            const Date& today) {
  const Entry* followed = find_followed(log.entries);
  FollowEntry same = entry;
  if (followed != nullptr) {
    same.even = std::get<FollowEntry>(*followed->body).even;
    same.start = std::get<FollowEntry>(*followed->body).start;
    same.afresh = std::get<FollowEntry>(*followed->body).afresh;
    if (same.even && same == std::get<FollowEntry>(*followed->body)) {
      entry.even = same.even;
      return true;
    }
  }
  const auto lived = replay(path, with_entry(log, today, entry), today);
  if (!lived) return tl::make_unexpected(lived.error());
  if (!*lived) return false;
  const auto line = find_even_line((*lived)->tank, (*lived)->setup);
  if (!line) return false;
  entry.even = to_followed_line((*lived)->tank, (*lived)->setup, *line);
  return true;
}

}  // namespace

FollowEntry make_follow_entry(const Tank& tank, const ProfileShelf& shelf, const Date& start,
                              const RampSetup* even_setup) {
  FollowEntry entry{tank.text, {}, start, tank.ramp.every_days, tank.ramp.pace, tank.attached};
  for (const Group& group : tank.groups) {
    if (group.profile_name.empty()) continue;
    entry.profile_texts[group.profile_name] = shelf.find_text(group.profile_name).value();
  }
  if (even_setup != nullptr && even_setup->even) {
    entry.even = to_followed_line(tank, *even_setup, *even_setup->even);
  }
  return entry;
}

OrExit<FollowEntry> make_next_entry(const Console& console, const CommonArguments& arguments,
                                    const Tank& tank, const RampOptions& options, const Log& log,
                                    const Date& today) {
  const bool json = arguments.json;
  const auto shelf = load_profiles(console, arguments);
  if (!shelf) return tl::make_unexpected(shelf.error());
  Date start = today;
  if (!options.start.empty()) {
    const auto given = parse_date_option(console, json, "--start", options.start);
    if (!given) return tl::make_unexpected(given.error());
    start = *given;
  }
  for (const Entry& entry : log.entries) {
    const bool counts = !entry.undone && !std::holds_alternative<UndoEntry>(*entry.body) &&
                        !std::holds_alternative<FollowEntry>(*entry.body);
    if (!counts || entry.date <= start) continue;
    return tl::make_unexpected(
        report_usage(console, json,
                     "--start: entry " + std::to_string(entry.seq) + " speaks of " +
                         to_iso(entry.date) + ", after " + to_iso(start),
                     "start on that day or later: what was logged is not planned again"));
  }
  if (start < today) {
    return tl::make_unexpected(report_usage(
        console, json, "--start: " + to_iso(start) + " is past, and a plan was followed then",
        "leave --start out: it goes on from today"));
  }
  RampOptions others = options;
  others.start.clear();
  auto varied = with_options(console, json, tank, others);
  if (!varied) return tl::make_unexpected(varied.error());
  FollowEntry entry = make_follow_entry(*varied, *shelf, start, nullptr);
  if (!options.even) return entry;
  const std::string path = LogbookFile::path_beside(tank.file);
  const auto found = run_evenly(entry, path, log, today);
  if (!found) return tl::make_unexpected(report_failure(console, json, found.error()));
  if (*found) return entry;
  return tl::make_unexpected(
      report_usage(console, json, "--even: no straight ramp goes on from where it stands",
                   "leave --even out: the plan by steps waits where it must"));
}

OrExit<LoadedRamp> propose_again(const Console& console, const CommonArguments& arguments,
                                 const Tank& tank, const LoadedRamp& followed,
                                 const RampOptions& options) {
  const bool json = arguments.json;
  const std::string path = LogbookFile::path_beside(tank.file);
  const auto stored = LogbookFile::read(path, tank.name);
  if (!stored) return tl::make_unexpected(report_failure(console, json, stored.error()));
  const auto log = parse_log(path, stored->value_or(std::vector<LogEntry>{}), followed.today);
  if (!log) return tl::make_unexpected(report_failure(console, json, log.error()));
  auto aimed =
      require_plannable(console, json, with_goal_option(console, arguments, tank, options));
  if (!aimed) return tl::make_unexpected(aimed.error());
  auto entry = make_next_entry(console, arguments, *aimed, options, *log, followed.today);
  if (!entry) return tl::make_unexpected(entry.error());
  auto lived = with_progress(console, "Planning", [&] {
    return replay(path, with_entry(*log, followed.today, *entry), followed.today);
  });
  if (!lived) return tl::make_unexpected(report_failure(console, json, lived.error()));
  LoadedRamp proposed{std::move(**lived), true};
  if (const auto unread = find_unread_light(proposed.ramp)) {
    report(console, json, {*unread});
    return tl::make_unexpected(wrong_input);
  }
  proposed.is_proposal = true;
  proposed.today = followed.today;
  proposed.clock_notice = followed.clock_notice;
  proposed.ramp.is_proposal = true;
  return proposed;
}

std::optional<Finding> find_unread_light(const Replay& ramp) {
  if (ramp.plan.days.empty()) return std::nullopt;
  const std::size_t day = std::min(ramp.today, ramp.plan.days.size() - 1);
  std::map<std::size_t, Percent> lit = ramp.dials_of_day(day);
  for (std::size_t j = 0; j < ramp.setup.path_lights.size(); ++j) {
    for (const Setting& setting : ramp.setup.problem.path.settings) {
      if (setting[j].percent() > 0.0) lit[ramp.setup.path_lights[j]] = setting[j];
    }
  }
  for (std::size_t g = 0; g < ramp.tank.groups.size(); ++g) {
    if (ramp.is_gone(g, day)) continue;
    const std::size_t spot = ramp.setup.seats[ramp.plan.days[day].groups.spot(g)].spot;
    for (const auto& [light, dial] : lit) {
      if (dial.percent() == 0.0 || ramp.tank.full_output[spot][light]) continue;
      return Finding{{ramp.tank.file, 0, 0, ""},
                     "\"" + ramp.tank.lights[light].name + "\" was not read at \"" +
                         ramp.tank.spots[spot].name + "\", where \"" + ramp.tank.groups[g].name +
                         "\" lives",
                     "read PPFD there and write it into a survey of the tank file; or, if the "
                     "group lives elsewhere by now, log that: slowdawn moved"};
    }
  }
  return std::nullopt;
}

}  // namespace slowdawn
