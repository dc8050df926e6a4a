#include "cli/session.hpp"

#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <ostream>
#include <slowdawn/present/present.hpp>
#include <slowdawn/tank/even_setup.hpp>
#include <slowdawn/tank/text_file.hpp>

#include "cli/file_kind.hpp"
#include "cli/progress_line.hpp"

namespace slowdawn {
namespace {

constexpr std::string_view tank_ending = ".tank.json";

/// Every *.tank.json of the present folder, in alphabetical order.
std::vector<std::string> list_tank_files() {
  namespace fs = std::filesystem;
  std::vector<std::string> files;
  std::error_code problem;
  for (fs::directory_iterator entry{".", problem}, end; !problem && entry != end;
       entry.increment(problem)) {
    const std::string name = entry->path().filename().string();
    if (name.ends_with(tank_ending)) files.push_back(name);
  }
  std::sort(files.begin(), files.end());
  return files;
}

/// Where standard output is a file, its other names would have it replaced by another.
bool is_standard_output(const std::string& file) {
  return file.empty() || file == "-" || file == "/dev/stdout" || file == "/dev/fd/1" ||
         file == "/proc/self/fd/1";
}

OrExit<std::string> find_tank_file(const Console& console, const CommonArguments& arguments) {
  auto file = choose_tank_file(arguments.tank);
  if (file) return std::move(*file);
  report(console, arguments.json, {file.error()});
  return tl::make_unexpected(wrong_input);
}

}  // namespace

tl::expected<std::string, Finding> choose_tank_file(const std::string& named_file) {
  if (!named_file.empty()) return named_file;
  const char* named = std::getenv("SLOWDAWN_TANK");
  if (named != nullptr && *named != '\0') return named;
  const std::vector<std::string> files = list_tank_files();
  if (files.size() == 1) return files.front();
  if (files.empty()) {
    return tl::make_unexpected(
        Finding{{"slowdawn", 0, 0, ""},
                "no tank is named and none is in this folder",
                "give a NAME.tank.json after the command, or set SLOWDAWN_TANK"});
  }
  std::string names;
  for (const std::string& file : files) names += (names.empty() ? "" : ", ") + file;
  return tl::make_unexpected(Finding{{"slowdawn", 0, 0, ""},
                                     "there is more than one tank in this folder: " + names,
                                     "give one of them after the command"});
}

void add_output_arguments(CLI::App& command, CommonArguments& arguments) {
  command.add_flag("--json", arguments.json, "Answer, and report errors, as JSON");
  command.add_flag("--plain", arguments.plain, "No colour");
  command
      .add_option("--profiles", arguments.profiles_folder,
                  "Profile files that add to the built-in ones")
      ->type_name("FOLDER");
}

void add_common_arguments(CLI::App& command, CommonArguments& arguments) {
  command
      .add_option("TANK", arguments.tank,
                  "Tank file; else SLOWDAWN_TANK, else the one\n*.tank.json in this folder")
      ->type_name(" ");
  add_output_arguments(command, arguments);
}

void report(const Console& console, bool json, const Findings& findings) {
  console.err << (json ? findings_json(findings) : findings_text(findings, "error"));
}

ExitCode report_failure(const Console& console, bool json, const ReadFailure& failure) {
  report(console, json, failure.findings);
  return failure.kind == ReadFailure::Kind::access ? no_access : wrong_input;
}

ExitCode report_usage(const Console& console, bool json, std::string what, std::string hint) {
  report(console, json, {{{"slowdawn", 0, 0, ""}, std::move(what), std::move(hint)}});
  return wrong_input;
}

OrExit<ProfileShelf> load_profiles(const Console& console, const CommonArguments& arguments) {
  ProfileShelf shelf = ProfileShelf::built_in();
  if (arguments.profiles_folder.empty()) return shelf;
  if (const auto added = shelf.add_folder(arguments.profiles_folder); !added) {
    return tl::make_unexpected(report_failure(console, arguments.json, added.error()));
  }
  return shelf;
}

OrExit<Tank> load_tank(const Console& console, const CommonArguments& arguments) {
  const auto file = find_tank_file(console, arguments);
  if (!file) return tl::make_unexpected(file.error());
  const auto shelf = load_profiles(console, arguments);
  if (!shelf) return tl::make_unexpected(shelf.error());
  auto tank = with_progress(console, "Reading the tank", [&] { return read_tank(*file, *shelf); });
  if (!tank) return tl::make_unexpected(report_failure(console, arguments.json, tank.error()));
  return std::move(*tank);
}

OrExit<Tank> require_plannable(const Console& console, bool json, OrExit<Tank> tank) {
  if (!tank || tank->plan_errors.empty()) return tank;
  report(console, json, tank->plan_errors);
  return tl::make_unexpected(wrong_input);
}

void add_output_option(CLI::App& command, std::string& file) {
  command.add_option("-o,--output", file, "The file to write; else standard output")
      ->type_name("FILE");
}

ExitCode write_output(const Console& console, const CommonArguments& arguments,
                      const std::string& file, std::string_view text, const std::string& next) {
  if (is_standard_output(file)) {
    console.out << text;
    return done;
  }
  auto written = check_may_replace(file, kind_of(text));
  if (written) written = write_text_file(file, text);
  if (!written) return report_failure(console, arguments.json, written.error());
  note_written(console);
  if (arguments.json) {
    console.out << written_json(file);
  } else {
    console.out << wrap("Written: " + to_safe_text(file) + ". " + next,
                        style_of(console, arguments));
  }
  return done;
}

Date today_of(const Console& console, const Tank& tank) {
  if (console.today_is_set || tank.zone.empty()) return console.today;
  return today_in_zone(tank.zone);
}

TextStyle style_of(const Console& console, const CommonArguments& arguments) {
  TextStyle style = console.style;
  if (arguments.plain) style.colour = false;
  return style;
}

OrExit<Date> parse_date_option(const Console& console, bool json, const std::string& option,
                               const std::string& text) {
  const auto date = parse_date(text);
  if (date) return *date;
  return tl::make_unexpected(
      report_usage(console, json, option + ": " + date.error().what, date.error().hint));
}

OrExit<LoadedRamp> plan_tank(const Console& console, bool json, Tank tank, bool even) {
  if (!tank.ramp.start) {
    Finding finding{
        {tank.file, 0, 0, ""},
        "the ramp has no start",
        "write \"start\": \"" + to_iso(console.today) + "\" into its \"ramp\", or give --start"};
    report(console, json, {finding});
    return tl::make_unexpected(wrong_input);
  }
  const ProgressLine line{console, "Planning"};
  RampSetup setup = make_ramp_setup(tank);
  if (even) {
    // Where no day begins safely the plan says so, as it does by steps.
    const auto even_line = find_even_line(tank, setup);
    if (even_line) setup = with_even_line(tank, std::move(setup), *even_line);
  }
  Plan plan = compute_plan(setup.problem);
  const Date start = *tank.ramp.start;
  return LoadedRamp{Replay{std::move(tank), std::move(setup), std::move(plan), start}};
}

std::optional<RampAdvice> find_ramp_advice(const Console& console, const LoadedRamp& loaded) {
  if (loaded.is_followed) return std::nullopt;
  const ProgressLine line{console, "Looking for what would help"};
  return advise(loaded.ramp.tank, loaded.ramp.plan);
}

std::string make_advice(const Console& console, const LoadedRamp& loaded, const TextStyle& style) {
  return advice_text(loaded.ramp.tank, find_ramp_advice(console, loaded), style);
}

OrExit<Date> asked_date(const Console& console, bool json, const LoadedRamp& loaded,
                        const std::string& text) {
  if (text.empty()) {
    return loaded.is_followed ? loaded.today : today_of(console, loaded.ramp.tank);
  }
  return parse_date_option(console, json, "--date", text);
}

std::size_t day_within(const Replay& ramp, const Date& date) {
  const auto last = static_cast<long>(ramp.plan.days.size()) - 1;
  return static_cast<std::size_t>(std::clamp((date - ramp.start).days(), 0L, std::max(last, 0L)));
}

TodayView view_of(const LoadedRamp& loaded, const Date& date) {
  using Phase = TodayView::Phase;
  const Plan& plan = loaded.ramp.plan;
  const bool changed = loaded.tank_has_changed;
  const long days = (date - loaded.ramp.start).days();
  const std::size_t last = plan.days.empty() ? 0 : plan.days.size() - 1;
  if (days < 0) return {date, Phase::before_start, 0, changed};
  const std::size_t day = std::min(static_cast<std::size_t>(days), last);
  const bool is_after = static_cast<std::size_t>(days) > plan.settled_day.value_or(last);
  return {date, is_after ? Phase::after_end : Phase::in_plan, day, changed};
}

}  // namespace slowdawn
