// The words for what the planner found, and numbers rounded once for people.
#pragma once

#include <slowdawn/present/planned_ramp.hpp>
#include <slowdawn/tank/spot_room.hpp>
#include <string>

namespace slowdawn {

/// "4.1", "0.35": mol m-2 d-1.
std::string to_text(DailyDose dose);
/// "146": umol m-2 s-1.
std::string to_text(Ppfd peak);
/// "34 %", "12.5 %".
std::string to_text(Percent percent);
/// "1.27": a ratio.
std::string ratio_text(double ratio);

/// "dose_pace" and so on: the word of the plan's JSON.
std::string cap_key(Cap cap);
/// "pace of its dose" and so on.
std::string cap_phrase(Cap cap);

/// What the cap asks of the group, as half a sentence. is_weighed: the lights have
/// usable weights, so that its light is named usable light.
std::string cap_reason(Cap cap, const RampGroup& group, bool is_weighed);
/// "1.4 % over the", "2.31 times the".
std::string over_text(double ratio);
/// "1 day", "12 days".
std::string days_text(std::size_t days);

/// "58": a percentage without its sign.
std::string bare_text(Percent percent);
/// "royal 58, violet 46, red 5": how the channels of a light stand; empty where it has none or
/// is off.
std::string channels_text(const TankLight& light, Percent dial);
/// "34 %", or "58 %: royal 58, violet 46, red 5".
std::string dial_text(const TankLight& light, Percent dial);

/// "bars 34 %, blues 20 %"; "; " stands between them where one has channels.
std::string setting_text(const PlannedRamp& ramp, const Setting& setting);
/// The same for dials by light of the tank; without their channels, for cells of a table.
std::string plain_dials_text(const Tank& tank, const std::map<std::size_t, Percent>& dials);
/// The same with them.
std::string dials_text(const Tank& tank, const std::map<std::size_t, Percent>& dials);

/// What is set at the beginning of a step: "bars 34 %", or, of an even one, "bars
/// from 34 % evenly to 85 % on 2027-01-20 (50 days)".
std::string step_text(const PlannedRamp& ramp, const Step& step);

/// "bars from 34 % to 35 %", one for each light that differs from the day
/// before; on day 0 for each light from where it stood before the ramp.
std::vector<std::string> changes_since_yesterday(const PlannedRamp& ramp, std::size_t day);

/// They are joined by ", ", or by "; " where a light has channels.
std::string list_changes(const PlannedRamp& ramp, const std::vector<std::string>& changes);

/// The names of the groups to look at on a day: those whose look is due, or all
/// of them every seventh day where the plan is not followed.
std::vector<std::string> groups_due(const PlannedRamp& ramp, std::size_t day);

/// "4 to 28".
std::string band_text(const DoseBand& band);
std::string fit_text(BandFit fit);

/// Whether a light that differs between two settings could be given a smaller step:
/// its step is over 1 %, and it has no list of what it can be set to.
bool can_step_finer(const PlannedRamp& ramp, std::size_t setting, std::size_t next);

/// One whole sentence or two for each note of the plan; those that say the same of
/// several groups are one. Spots are advised only where one is known that has room.
std::vector<std::string> note_texts(const PlannedRamp& ramp);

/// Which groups even the goal leaves with too little on the first day, and what helps;
/// empty where it leaves none.
std::string dim_start_text(const RampProblem& problem);

/// What the goal means for a group, in one sentence.
/// has_better_spot: whether there is room for it where it is dimmer, or brighter.
std::string verdict_text(const RampGroup& group, const GoalFit& fit, bool has_better_spot);
/// Whether there is, given how the goal suits the group.
bool has_better_spot(const SpotRoom& room, std::size_t group, const GoalFit& fit);

}  // namespace slowdawn
