#include "cli/farm_session.hpp"

#include <algorithm>
#include <ostream>
#include <slowdawn/present/present.hpp>
#include <sstream>

#include "cli/log_session.hpp"
#include "cli/progress_line.hpp"
#include "ramp/spread.hpp"

namespace slowdawn {
namespace {

struct PlannedTank {
  FarmLine line;
  ExitCode code = done;
};

PlannedTank plan_one(const Console& console, const CommonArguments& arguments,
                     const std::string& file, const RampOptions& options) {
  // What it has to say waits for its turn.
  std::ostringstream said;
  const Console aside{said,          said,  console.style,       console.today,
                      console.began, false, console.today_is_set};
  CommonArguments one = arguments;
  one.tank = file;
  const auto loaded = load_ramp(aside, one, options);
  if (!loaded) return {{.file = file, .errors = said.str()}, loaded.error()};
  const bool has_days = !loaded->ramp.plan.days.empty();
  std::optional<TodayView> today;
  if (has_days) today = view_of(*loaded, loaded->today_or(console.today));
  return {farm_line(loaded->view(), today), has_days ? done : no_safe_answer};
}

}  // namespace

ExitCode run_farm(const Console& console, const CommonArguments& arguments,
                  const std::vector<std::string>& files, const RampOptions& options,
                  FarmForm form) {
  std::vector<PlannedTank> tanks(files.size());
  with_progress(console, "Planning the tanks", [&] {
    for_each_item(
        files.size(),
        [&](std::size_t i) { tanks[i] = plan_one(console, arguments, files[i], options); }, 1);
  });
  std::vector<FarmLine> lines;
  ExitCode gravest = done;
  for (PlannedTank& tank : tanks) {
    gravest = std::max(gravest, tank.code);
    if (form != FarmForm::json) console.err << tank.line.errors;
    lines.push_back(std::move(tank.line));
  }
  switch (form) {
    case FarmForm::text: console.out << farm_text(lines, style_of(console, arguments)); break;
    case FarmForm::json: console.out << farm_json(lines); break;
    case FarmForm::csv: console.out << farm_csv(lines); break;
  }
  return gravest;
}

}  // namespace slowdawn
