#include "cli/page_session.hpp"

#include <memory>
#include <ostream>

#include "cli/log_session.hpp"

namespace slowdawn {
namespace {

/// A page of more is too long to read and too large for a phone (design choice).
constexpr std::size_t most_groups = 200;

struct PageArguments {
  CommonArguments common;
  RampOptions ramp;
  std::string date;
  std::string file;
};

}  // namespace

RunCommand add_page(CLI::App& command, MakePage make, const std::string& next) {
  auto arguments = std::make_shared<PageArguments>();
  add_common_arguments(command, arguments->common);
  add_ramp_options(command, arguments->ramp);
  add_output_option(command, arguments->file);
  command.add_option("--date", arguments->date, "Another day than today, YYYY-MM-DD")
      ->type_name("DATE");
  return [arguments, make, next](const Console& console) {
    const bool json = arguments->common.json;
    const auto loaded = load_ramp(console, arguments->common, arguments->ramp);
    if (!loaded) return loaded.error();
    const auto date = asked_date(console, json, *loaded, arguments->date);
    if (!date) return date.error();
    const PlannedRamp ramp = loaded->view();
    if (ramp.tank.groups.size() > most_groups) {
      return report_usage(
          console, json,
          "a page shows up to " + std::to_string(most_groups) + " groups, and this tank has " +
              std::to_string(ramp.tank.groups.size()),
          "slowdawn plan --summary is one line, plan --csv has every group; a file for each "
          "rack or raceway gives a page for each");
    }
    if (!json) console.err << findings_text(ramp.tank.warnings, "warning");
    const bool has_days = !ramp.plan.days.empty();
    PageView view{*date, {}, SLOWDAWN_VERSION};
    if (has_days) view.today = view_of(*loaded, *date);
    const ExitCode written =
        write_output(console, arguments->common, arguments->file, make(ramp, view), next);
    return written == done && !has_days ? no_safe_answer : written;
  };
}

}  // namespace slowdawn
