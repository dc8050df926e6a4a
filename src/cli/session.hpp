// What the commands share: their common arguments, finding and reading the
// tank, reporting errors, exit codes.
#pragma once

#include <CLI/CLI.hpp>
#include <slowdawn/logbook/plan_change.hpp>
#include <slowdawn/present/planned_ramp.hpp>
#include <slowdawn/present/present.hpp>
#include <slowdawn/tank/tank.hpp>
#include <string>
#include <string_view>

#include "cli/console.hpp"

namespace slowdawn {

/// Exit codes, the same in every command.
enum ExitCode : int {
  done = 0,
  no_safe_answer = 1,
  wrong_input = 2,
  no_access = 3,
  own_fault = 70,
};

/// The result of a step that has already reported what went wrong.
template <class T>
using OrExit = tl::expected<T, ExitCode>;

struct CommonArguments {
  std::string tank;
  std::string profiles_folder;
  bool json = false;
  bool plain = false;
};

/// [TANK], --profiles, --json, --plain.
void add_common_arguments(CLI::App& command, CommonArguments& arguments);
/// --profiles, --json, --plain.
void add_output_arguments(CLI::App& command, CommonArguments& arguments);

/// Writes findings to standard error, as text or as JSON.
void report(const Console& console, bool json, const Findings& findings);
ExitCode report_failure(const Console& console, bool json, const ReadFailure& failure);
/// An error of the command line.
ExitCode report_usage(const Console& console, bool json, std::string what, std::string hint);

/// The tank file named as an argument (empty for none), else by SLOWDAWN_TANK,
/// else the one *.tank.json in the folder.
/// Errors: none is named, and there is none or more than one in the folder.
tl::expected<std::string, Finding> choose_tank_file(const std::string& named_file);

OrExit<ProfileShelf> load_profiles(const Console& console, const CommonArguments& arguments);

/// Reads the tank that choose_tank_file finds, to look at or to log in.
OrExit<Tank> load_tank(const Console& console, const CommonArguments& arguments);

/// The tank, if its readings are ground for a plan; else says why not.
OrExit<Tank> require_plannable(const Console& console, bool json, OrExit<Tank> tank);

/// Today: as SLOWDAWN_TODAY says, else in the tank's zone, else the computer's.
Date today_of(const Console& console, const Tank& tank);

/// Text style of a command's answer.
TextStyle style_of(const Console& console, const CommonArguments& arguments);

/// A date of the command line; `option` is for the message.
OrExit<Date> parse_date_option(const Console& console, bool json, const std::string& option,
                               const std::string& text);

/// -o, --output: where a page, a calendar or a file goes; standard output without.
void add_output_option(CLI::App& command, std::string& file);

/// Writes what a command made to a file, whole or not at all, and says so; or to
/// standard output where no file is named, or "-". Only what this program wrote before as
/// the same kind of file is written over.
/// next: what to do with it, a sentence.
ExitCode write_output(const Console& console, const CommonArguments& arguments,
                      const std::string& file, std::string_view text, const std::string& next);

/// A tank together with its plan: as proposed, or as followed and replayed.
struct LoadedRamp {
  Replay ramp;
  bool is_followed = false;
  /// Whether the tank file is another than the one that was followed.
  bool tank_has_changed = false;
  /// What would come if it were followed again, and is not.
  bool is_proposal = false;
  /// The day that counted as today, of a followed plan.
  Date today = {};
  /// That the newest entry lies after the clock; empty where it does not.
  std::string clock_notice = {};
  /// What was logged last that changed the plan.
  std::optional<PlanChange> change = {};

  /// Of a followed plan the day that counted as today.
  Date today_or(const Date& clock) const { return is_followed ? today : clock; }
  PlannedRamp view() const {
    return {ramp.tank,
            ramp.setup,
            ramp.plan,
            ramp.start,
            is_followed ? &ramp : nullptr,
            change ? &*change : nullptr,
            clock_notice};
  }
};

/// Plans a tank; its ramp must have a start.
/// even: by the shortest straight ramp; where there is none, the plan has no day.
OrExit<LoadedRamp> plan_tank(const Console& console, bool json, Tank tank, bool even = false);

/// What would make a proposed plan shorter; a followed plan gets none.
std::optional<RampAdvice> find_ramp_advice(const Console& console, const LoadedRamp& loaded);
/// The same as text.
std::string make_advice(const Console& console, const LoadedRamp& loaded, const TextStyle& style);

/// --date of a question: today without one.
OrExit<Date> asked_date(const Console& console, bool json, const LoadedRamp& loaded,
                        const std::string& text);

/// The day of the plan that a date is, or the nearest.
std::size_t day_within(const Replay& ramp, const Date& date);

/// A date as the loaded plan sees it.
TodayView view_of(const LoadedRamp& loaded, const Date& date);

}  // namespace slowdawn
