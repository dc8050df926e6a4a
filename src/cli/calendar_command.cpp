#include <filesystem>
#include <memory>
#include <ostream>
#include <slowdawn/logbook/step_trace.hpp>
#include <slowdawn/present/calendar.hpp>
#include <slowdawn/present/present.hpp>
#include <slowdawn/tank/text_file.hpp>

#include "cli/commands.hpp"
#include "cli/log_session.hpp"

namespace slowdawn {
namespace {

struct CalendarArguments {
  CommonArguments common;
  RampOptions ramp;
  std::string output;
  std::string remind;
};

OrExit<std::optional<ClockTime>> parse_remind(const Console& console, bool json,
                                              const std::string& text) {
  if (text.empty()) return std::optional<ClockTime>{};
  const auto time = parse_clock_time(text);
  if (time) return std::optional{*time};
  return tl::make_unexpected(
      report_usage(console, json, "--remind: " + time.error().what, time.error().hint));
}

/// The calendar that is to be written anew; one without events where there is none.
ReadResult<Calendar> read_earlier(const std::string& file, const std::string& tank_name) {
  namespace fs = std::filesystem;
  std::error_code problem;
  // A pipe or a terminal holds nothing to go by; a file of no bytes, nothing to lose.
  if (!fs::is_regular_file(file, problem) || fs::file_size(file, problem) == 0) return Calendar{};
  const auto text = read_text_file(file);
  if (!text) return tl::make_unexpected(text.error());
  auto calendar = parse_calendar(file, *text);
  // Spelled out anew, since earlier versions spelled out less.
  if (!calendar || to_safe_text(calendar->name) == calendar_name(tank_name)) return calendar;
  return tl::make_unexpected(ReadFailure{
      ReadFailure::Kind::content,
      {{{file, 0, 0, ""},
        "this is the calendar of another tank, \"" + calendar->name + "\", so it is left alone",
        "give another name after -o, or move this file away"}}});
}

/// The steps of every plan of the logbook, and of the present one from today on.
ReadResult<StepTraces> trace_logbook(const Tank& tank, const Replay& present, const Date& today) {
  const std::string path = LogbookFile::path_beside(tank.file);
  const auto stored = LogbookFile::read(path, tank.name);
  if (!stored) return tl::make_unexpected(stored.error());
  if (!*stored) return StepTraces{};
  std::vector<DatedPlan> plans = list_plans(**stored);
  plans.push_back({today, plan_steps_json(present, today)});
  return trace_steps(path, plans);
}

std::string next_words(const LoadedRamp& loaded, const Calendar& calendar, const Date& today) {
  std::string text = calendar_summary(loaded.view(), calendar, today);
  if (loaded.tank_has_changed) {
    text +=
        " The tank file has changed since this plan was followed; the calendar is of the plan "
        "of then.";
  }
  return text +
         " Import it into your calendar. When the plan has changed, write this file again and "
         "import it again: what is there is then updated or cancelled, not doubled.";
}

}  // namespace

RunCommand add_calendar_command(CLI::App& command) {
  auto arguments = std::make_shared<CalendarArguments>();
  add_common_arguments(command, arguments->common);
  add_ramp_options(command, arguments->ramp);
  add_output_option(command, arguments->output);
  command
      .add_option("--remind", arguments->remind,
                  "When an alarm rings on the day, 00:00 to\n23:59; without it none does")
      ->type_name("TIME");
  command.footer(
      "Example: slowdawn calendar reef.tank.json --remind 09:00\n"
      "  BEGIN:VCALENDAR\n"
      "  ...\n"
      "  END:VCALENDAR\n"
      "With -o reef.ics it is written, and later anew, for a calendar to import.");
  return [arguments](const Console& console) {
    const CommonArguments& common = arguments->common;
    const auto reminder = parse_remind(console, common.json, arguments->remind);
    if (!reminder) return reminder.error();
    const auto tank = load_tank(console, common);
    if (!tank) return tank.error();
    const auto loaded = load_ramp(console, common, arguments->ramp);
    if (!loaded) return loaded.error();
    const PlannedRamp ramp = loaded->view();
    if (ramp.plan.days.empty()) {
      // A calendar without events is none; standard output may be a file already.
      if (common.json)
        console.out << plan_json(ramp);
      else
        console.err << plan_text(ramp, style_of(console, common));
      return no_safe_answer;
    }
    const auto earlier = read_earlier(arguments->output, tank->name);
    if (!earlier) return report_failure(console, common.json, earlier.error());
    const Date today = loaded->today_or(console.today);
    const auto traces = trace_logbook(*tank, loaded->ramp, today);
    if (!traces) return report_failure(console, common.json, traces.error());
    const Calendar calendar = revise_calendar(
        tank->name, list_calendar_events(ramp, today, *reminder), earlier->events, *traces, today);
    return write_output(console, common, arguments->output, calendar_text(calendar),
                        next_words(*loaded, calendar, today));
  };
}

}  // namespace slowdawn
