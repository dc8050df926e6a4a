// Everything that people and programs read. Nothing here computes; each
// function turns results into text.
#pragma once

#include <iosfwd>
#include <map>
#include <slowdawn/light/origin.hpp>
#include <slowdawn/logbook/ways.hpp>
#include <slowdawn/present/planned_ramp.hpp>
#include <slowdawn/present/text.hpp>
#include <slowdawn/ramp/risk.hpp>
#include <slowdawn/ramp/schedule.hpp>
#include <slowdawn/tank/finding.hpp>
#include <slowdawn/tank/placement_setup.hpp>
#include <slowdawn/tank/ppfd_log.hpp>
#include <slowdawn/tank/profile_shelf.hpp>
#include <slowdawn/tank/ramp_advice.hpp>
#include <slowdawn/tank/survey_report.hpp>
#include <string>

namespace slowdawn {

// Findings: FILE:LINE:COL: error: WHAT (at /json/pointer), then a hint.

std::string findings_text(const Findings& findings, std::string_view severity);
std::string findings_json(const Findings& findings);

/// That a file was written.
std::string written_json(const std::string& file);

// check

std::string check_text(const Tank& tank, const RampSetup& setup, const TextStyle& style);
std::string check_json(const Tank& tank, const RampSetup& setup);

// dose

/// The days of a log; `first_date` is that of the first.
std::string dose_text(const std::string& file, const Date& first_date,
                      const std::vector<LoggedDay>& days, const TextStyle& style);
std::string dose_json(const Date& first_date, const std::vector<LoggedDay>& days);

// origin

/// A place on a reef, how it was named, and its light.
struct OriginView {
  Origin origin;
  OriginLight light;
  /// A day or several; or the word of a season.
  std::optional<Date> first;
  std::optional<Date> last;
  std::string season;
  /// Nobody said it, so that a default was taken.
  bool season_is_guess = false;
  bool cloud_is_guess = true;
  bool is_far_from_reefs = false;
};

std::string origin_text(const OriginView& view, const TextStyle& style);
std::string origin_json(const OriginView& view);

// survey

std::string survey_text(const Tank& tank, const SurveyReport& report, const TextStyle& style);
std::string survey_json(const Tank& tank, const SurveyReport& report);

// place

struct PlaceView {
  Placement at_goal;
  /// The best over all settings.
  Placement over_dials;
  /// Groups that no spot is right for under any setting.
  std::vector<std::size_t> never;
};

std::string place_text(const Tank& tank, const PlacementSetup& setup, const PlaceView& view,
                       const TextStyle& style);
std::string place_json(const Tank& tank, const PlacementSetup& setup, const PlaceView& view);

// plan

/// A date as the plan sees it.
struct TodayView {
  Date date;
  enum class Phase { before_start, in_plan, after_end } phase;
  /// The plan's day whose setting holds; 0 before the start.
  std::size_t day;
  /// Whether the tank file is another than the one that was followed.
  bool tank_has_changed = false;
};

std::string plan_text(const PlannedRamp& ramp, const TextStyle& style);
/// The change that would make the ramp shorter; empty where there is none.
std::string advice_text(const Tank& tank, const std::optional<RampAdvice>& advice,
                        const TextStyle& style);
/// The plan's JSON, format slowdawn-plan/1, day by day: that of a farm's year is
/// larger than what a machine should have to hold.
void write_plan_json(std::ostream& out, const PlannedRamp& ramp);
std::string plan_json(const PlannedRamp& ramp);
/// RFC 4180, one row a day and group, header with units.
void write_plan_csv(std::ostream& out, const PlannedRamp& ramp);

/// What a tank's plan comes to, as a line of a farm's.
struct FarmLine {
  std::string file;
  /// Of the tank; empty where it could not be planned.
  std::string tank = {};
  PlanStatus status = PlanStatus::no_safe_opening;
  /// What to dial in on a date: today, or the first day where that is still to come.
  std::optional<Date> date = {};
  std::vector<std::pair<std::string, Percent>> dials = {};
  /// How the channels of lights that have any then stand.
  std::map<std::string, std::vector<ChannelDial>> channels = {};
  std::optional<Date> goal = {};
  std::optional<Date> settled = {};
  /// The group and cap that hold the dial on most days.
  std::string holder = {};
  std::optional<Hold> hold = {};
  /// Those that bar the goal for good, where any do.
  std::string holder_for_good = {};
  std::optional<Cap> cap_for_good = {};
  std::size_t warnings = 0;
  /// Why it could not be planned, as it is reported of one tank: text, or JSON.
  std::string errors = {};
};

/// A plan's line. today: empty for a plan without days.
FarmLine farm_line(const PlannedRamp& ramp, const std::optional<TodayView>& today);
std::string farm_text(const std::vector<FarmLine>& lines, const TextStyle& style);
/// `errors` of the lines must be JSON.
std::string farm_json(const std::vector<FarmLine>& lines);
/// RFC 4180, one row a tank.
std::string farm_csv(const std::vector<FarmLine>& lines);
/// The dial of one light over the days, drawn with characters.
std::string staircase_text(const PlannedRamp& ramp, std::size_t light_column,
                           const TextStyle& style);

/// The straight ramp of an even plan, and what it costs against one by steps.
std::string even_text(const PlannedRamp& ramp, const Plan& by_steps, const TextStyle& style);
/// The plan's JSON with "even": its ends, its days, and those of the plan by steps.
std::string even_plan_json(const PlannedRamp& ramp, const Plan& by_steps);

// judge

/// A schedule, what the caps say of it, and what would do.
struct ScheduleView {
  Date first;
  /// The dials of every day.
  std::vector<Setting> days;
  ScheduleVerdict verdict;
  /// Of a single straight line that breaks a cap: the fewest days over which it
  /// would not; empty where there are none or no line was meant.
  std::optional<std::size_t> slower_days;
  /// Against what would come if the plan were followed again so.
  bool is_proposal = false;
};

std::string judge_text(const Tank& tank, const RampSetup& setup, const ScheduleView& view,
                       const TextStyle& style);
std::string judge_json(const Tank& tank, const RampSetup& setup, const ScheduleView& view);

// risk

/// The ramp planned anew at a pace.
struct PaceRisk {
  /// Empty where no setting is safe on the first day.
  std::optional<Risk> risk;
  /// The day on which every group is used to its light.
  std::optional<std::size_t> settled_day;
};

struct RiskView {
  std::uint64_t seed;
  /// The first day of the plan that is asked about.
  std::size_t from = 0;
  Risk risk = {};
  /// In the order of Pace.
  std::vector<PaceRisk> paces = {};
};

std::string risk_text(const PlannedRamp& ramp, const RiskView& view, const TextStyle& style);
std::string risk_json(const PlannedRamp& ramp, const RiskView& view);

// today

std::string today_text(const PlannedRamp& ramp, const TodayView& view, const TextStyle& style);
std::string today_json(const PlannedRamp& ramp, const TodayView& view);

// The logbook

/// What entries just made have done, and what to dial in now.
struct AddedView {
  TodayView today;
  /// What was written: "moved", "checkin" and so on.
  std::string kind;
  bool plan_changed;
  /// Numbers of the replay's events that belong to it.
  std::vector<std::size_t> events;
  /// The day that the entries speak of.
  Date date = {};
  std::vector<Way> ways = {};
};

std::string added_text(const PlannedRamp& ramp, const AddedView& view, const TextStyle& style);
std::string added_json(const PlannedRamp& ramp, const AddedView& view);

std::string history_text(const std::vector<Entry>& entries, const TextStyle& style);
/// Everything that is in a logbook; `history --import` reads it back.
/// stored: those of version 1 with_legacy_record.
std::string history_json(const std::vector<LogEntry>& stored, const std::vector<Entry>& entries);
/// RFC 4180, one row an entry.
std::string history_csv(const std::vector<Entry>& entries);

// why

/// Whose day is asked about.
struct WhyView {
  std::size_t day;
  std::size_t group;
  /// Nobody named the group, so that other groups which the next setting breaks a cap
  /// of are told, too.
  bool is_of_all = false;
};

std::string why_text(const PlannedRamp& ramp, const WhyView& view, const TextStyle& style);
/// advice: the change that would make the ramp shorter.
std::string why_json(const PlannedRamp& ramp, const WhyView& view,
                     const std::optional<RampAdvice>& advice);

// profiles

std::string profile_list_text(const ProfileShelf& shelf, const TextStyle& style);
std::string profile_text(const Profile& profile, const TextStyle& style);
std::string profiles_json(const std::vector<Profile>& profiles);

}  // namespace slowdawn
