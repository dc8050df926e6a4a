#include <fmt/format.h>

#include <memory>
#include <ostream>
#include <slowdawn/logbook/logbook_file.hpp>
#include <slowdawn/present/phrases.hpp>
#include <slowdawn/present/present.hpp>

#include "cli/commands.hpp"
#include "cli/log_session.hpp"
#include "cli/progress_line.hpp"

namespace slowdawn {
namespace {

struct FollowArguments {
  CommonArguments common;
  RampOptions ramp;
};

FollowEntry make_entry(const Tank& tank, const ProfileShelf& shelf, const RampSetup& setup) {
  FollowEntry entry{tank.text,      {},           *tank.ramp.start, tank.ramp.every_days,
                    tank.ramp.pace, tank.attached};
  for (const Group& group : tank.groups) {
    if (group.profile_name.empty()) continue;
    entry.profile_texts[group.profile_name] = shelf.find_text(group.profile_name).value();
  }
  if (setup.even) {
    FollowedLine line{{}, {}, setup.even->days};
    for (std::size_t j = 0; j < setup.path_lights.size(); ++j) {
      const std::string& light = tank.lights[setup.path_lights[j]].name;
      line.from[light] = setup.even->from[j];
      line.to[light] = setup.even->to[j];
    }
    entry.even = std::move(line);
  }
  return entry;
}

}  // namespace

RunCommand add_follow_command(CLI::App& command) {
  auto arguments = std::make_shared<FollowArguments>();
  add_common_arguments(command, arguments->common);
  add_ramp_options(command, arguments->ramp);
  command.footer(
      "Example: slowdawn follow reef.tank.json --start 2026-10-01\n"
      "  Followed: Stairwell reef begins on 2026-10-01 with front bar 29 %, rear bar\n"
      "  32 %.\n"
      "  ...");
  return [arguments](const Console& console) {
    const CommonArguments& common = arguments->common;
    auto read = load_tank(console, common);
    if (!read) return read.error();
    const auto shelf = load_profiles(console, common);
    if (!shelf) return shelf.error();
    auto tank = with_options(console, common.json, std::move(*read), arguments->ramp);
    if (!tank) return tank.error();
    const auto proposed = plan_tank(console, common.json, *tank, arguments->ramp.even);
    if (!proposed) return proposed.error();
    const PlannedRamp ramp = proposed->view();
    if (ramp.plan.days.empty()) {
      console.out << (common.json ? plan_json(ramp) : plan_text(ramp, style_of(console, common)));
      return no_safe_answer;
    }
    const std::string path = LogbookFile::path_beside(tank->file);
    const NewLogEntry entry = to_log_entry(console.today, proposed->ramp.start,
                                           make_entry(*tank, *shelf, proposed->ramp.setup),
                                           plan_steps_json(proposed->ramp, proposed->ramp.start));
    const auto written = with_progress(console, "Waiting for the logbook", [&] {
      return LogbookFile::append(path, tank->name, [&](const std::vector<LogEntry>&) {
        return tl::expected<std::vector<NewLogEntry>, ReadFailure>{{entry}};
      });
    });
    if (!written) return report_failure(console, common.json, written.error());
    if (common.json) {
      write_plan_json(console.out, ramp);
      return done;
    }
    const TextStyle style = style_of(console, common);
    const Step first = list_steps(ramp.plan).front();
    console.out << wrap(fmt::format("Followed: {} begins on {} with {}.", to_safe_text(tank->name),
                                    to_iso(ramp.start), step_text(ramp, first)),
                        style)
                << wrap("Kept in " + to_safe_text(path) +
                            ". Next: slowdawn today, and slowdawn checkin --all for a first look, "
                            "which sets each group's baseline.",
                        style);
    return done;
  };
}

}  // namespace slowdawn
