// The notes of a plan in words.
#include <fmt/format.h>

#include <algorithm>
#include <slowdawn/present/hold_phrases.hpp>
#include <slowdawn/present/phrases.hpp>
#include <slowdawn/present/text.hpp>
#include <slowdawn/ramp/moves.hpp>

namespace slowdawn {
namespace {

/// The setting toward the goal from where the plan ends.
std::size_t next_after_plan(const PlannedRamp& ramp) {
  const std::size_t here = ramp.plan.days.back().setting;
  return here < ramp.setup.problem.path.goal ? here + 1 : here - 1;
}

/// Whether the setting that a held plan does not take has another shade cloth.
bool waits_for_a_cloth(const PlannedRamp& ramp) {
  const Setting& here = ramp.setting(ramp.plan.days.back().setting);
  const Setting& next = ramp.setting(next_after_plan(ramp));
  for (std::size_t j = 0; j < ramp.setup.path_lights.size(); ++j) {
    const bool is_sun = ramp.tank.lights[ramp.setup.path_lights[j]].sun.has_value();
    if (is_sun && here[j] != next[j]) return true;
  }
  return false;
}

class NoteWriter {
 public:
  explicit NoteWriter(const PlannedRamp& ramp) : ramp_(ramp) {}

  /// names: of the groups that the note is about, one or several.
  std::string write(const PlanNote& note, const std::vector<std::string>& names) {
    const std::string group = list_words(names, ", ");
    switch (note.kind) {
      case PlanNote::Kind::no_safe_opening: return no_safe_opening(note, group);
      case PlanNote::Kind::stays_at_first_setting:
        return fmt::format(
            "From {} on even {} is more than {} bears ({}); the plan stays there. {}",
            to_iso(ramp_.date(note.day)), first_setting(), group, cap_phrase(note.breach.cap),
            has_dimmer_spot(note.group, note.day) ? "A dimmer spot or a shade would help."
                                                  : "A shade would help.");
      case PlanNote::Kind::first_setting_is_over:
        return fmt::format(
            "Held for good: the lowest setting is over the limit. Even with {}, {} "
            "is {} {}, which no wait changes.",
            first_setting(), group, over(note), cap_phrase(note.breach.cap));
      case PlanNote::Kind::held_by_limit:
        return fmt::format(
            "Held short of the goal for good by {}: the next setting would be {} {}. It goes on "
            "{}with a lower goal.",
            group, over(note), cap_phrase(note.breach.cap),
            has_dimmer_spot(note.group, last_day())
                ? fmt::format("with {} in a dimmer spot, or ", group)
                : std::string{});
      case PlanNote::Kind::dial_too_coarse: return too_coarse(note, group);
      case PlanNote::Kind::held_by_check_in: return held_by_check_in(note, group);
      case PlanNote::Kind::ran_out_of_days:
        return ramp_.plan.goal_day
                   ? "The goal is reached, but not every group is used to it by day 365, the last "
                     "of a plan."
                   : "The goal is not reached by day 365, the last of a plan.";
      case PlanNote::Kind::starved:
        return fmt::format(
            "{} falls to {:.0f} % of its old dose on the way. Growth may stop and "
            "colour darken{}.",
            group, 100.0 * note.breach.ratio,
            room().has_brighter_spot(note.group, 0)
                ? "; a brighter spot meanwhile would spare it that"
                : "");
      case PlanNote::Kind::very_high_dose:
        return fmt::format(
            "{} {} over 32 mol m-2 d-1, which has been called potentially "
            "photoinhibiting.",
            group, names.size() == 1 ? "ends" : "end");
      case PlanNote::Kind::very_high_peak:
        return fmt::format("{} {} at a peak of over 1000 umol m-2 s-1; few reef tanks need that.",
                           group, names.size() == 1 ? "ends" : "end");
      case PlanNote::Kind::never_ready: return never_ready(note, group);
      case PlanNote::Kind::dark_by_hand:
        return fmt::format("The light was out on {}, the first time on {}, as the logbook says.",
                           days_text(static_cast<std::size_t>(note.breach.ratio)),
                           to_iso(ramp_.date(note.day)));
    }
    return "";
  }

 private:
  std::string held_by_check_in(const PlanNote& note, const std::string& group) const {
    const std::size_t today = ramp_.followed != nullptr ? ramp_.followed->today : last_day();
    const bool is_hurt = ramp_.followed != nullptr &&
                         ramp_.followed->standings[note.group].mode == Condition::Mode::hurt;
    if (is_hurt) {
      return fmt::format("Held by {} until you restart it; see its check-ins.", group);
    }
    switch (check_in_cause(ramp_, today, note.group)) {
      case CheckInCause::sign:
        return fmt::format(
            "Held by {} until two good looks, 3 days apart or more; log its looks "
            "with `slowdawn checkin`.",
            group);
      case CheckInCause::accident:
      case CheckInCause::no_look: break;
    }
    return fmt::format("Held by {} until a good look; log it with `slowdawn checkin`.", group);
  }

  std::string no_safe_opening(const PlanNote& note, const std::string& group) {
    const std::string what =
        fmt::format("No setting is safe on the first day: even with {}, {} would be {} {}.",
                    first_setting(), group, over(note), cap_phrase(note.breach.cap));
    const std::string spot = has_dimmer_spot(note.group, 0) ? "in a dimmer spot or " : "";
    if (ramp_.tank.has_sun()) {
      return fmt::format(
          "{} Start it {}under a mesh of its own, or add a darker shade cloth; two cloths over "
          "each other let through the product of what each does.",
          what, spot);
    }
    return fmt::format(
        "{} Start it {}under a shade, mount the light higher, or dial lower if the light can.",
        what, spot);
  }

  std::string too_coarse(const PlanNote& note, const std::string& group) const {
    if (waits_for_a_cloth(ramp_)) {
      return fmt::format(
          "Held because the shade cloths lie too far apart here: for {} the next one is {} "
          "headroom above the present one. A cloth in between would help, or two over each "
          "other, which let through the product of what each does: add it to "
          "\"shade_cloths\".",
          group, over(note));
    }
    const std::string step =
        can_step_finer(ramp_, ramp_.plan.days.back().setting, next_after_plan(ramp_))
            ? "A finer \"step\", a higher mounting of the light"
            : "A higher mounting of the light";
    return fmt::format(
        "Held because the dial is too coarse here: for {} the next setting is {} headroom above "
        "the present one. {} or a shade would help.",
        group, over(note), step);
  }

  std::string never_ready(const PlanNote& note, const std::string& group) const {
    const Group& moving = ramp_.tank.groups[note.group];
    const bool only_shaded = moving.spot_of_start() == moving.spot_of_ramp();
    const RampGroup& now = ramp_.setup.problem.groups[note.group];
    const std::size_t to = now.wish ? now.wish->to : now.spot;
    const std::string most =
        note.breach.cap == Cap::dose_floor
            ? "take at most " + to_text(now.tolerance.floor) + " off what it is used to"
            : fmt::format("bring it at most {} times the light it is used to",
                          ratio_text(reach_of_move(ramp_.setup.problem, now, to)));
    return fmt::format(
        "{} is never ready {}: on the day after the plan it would be {} {} there. One move may "
        "{}, so it needs {} in between.",
        group,
        only_shaded ? "to lose its mesh"
                    : "for " + to_safe_text(ramp_.tank.spots[moving.spot_of_ramp()].name),
        over(note), cap_phrase(note.breach.cap), most,
        only_shaded ? "more meshes (\"transmission\": a list)" : "more stops (\"via\")");
  }

  std::size_t last_day() const { return ramp_.plan.days.size() - 1; }
  std::string first_setting() const { return setting_text(ramp_, ramp_.setting(0)); }
  static std::string over(const PlanNote& note) { return over_text(note.breach.ratio); }
  bool has_dimmer_spot(std::size_t group, std::size_t day) {
    return room().has_dimmer_spot(group, day);
  }

  /// Looked for only once a note asks: most plans have none that does.
  const SpotRoom& room() {
    if (!room_) room_.emplace(ramp_.tank, ramp_.setup, ramp_.plan);
    return *room_;
  }

  const PlannedRamp& ramp_;
  std::optional<SpotRoom> room_;
};

/// Whether notes of a kind say the same of any group.
bool is_said_of_several(PlanNote::Kind kind) {
  return kind == PlanNote::Kind::very_high_dose || kind == PlanNote::Kind::very_high_peak;
}

}  // namespace

bool can_step_finer(const PlannedRamp& ramp, std::size_t setting, std::size_t next) {
  const Setting& here = ramp.setting(setting);
  const Setting& there = ramp.setting(next);
  for (std::size_t j = 0; j < ramp.setup.path_lights.size(); ++j) {
    const DialRange& dial = ramp.tank.lights[ramp.setup.path_lights[j]].dial;
    if (here[j] != there[j] && dial.listed.empty() && dial.step.percent() > 1.0) return true;
  }
  return false;
}

std::vector<std::string> note_texts(const PlannedRamp& ramp) {
  const std::vector<PlanNote>& notes = ramp.plan.notes;
  const auto name = [&](const PlanNote& note) {
    return ramp.plan.groups.empty() ? std::string{}
                                    : to_safe_text(ramp.setup.problem.groups[note.group].name);
  };
  NoteWriter writer{ramp};
  std::vector<std::string> texts;
  for (auto note = notes.begin(); note != notes.end(); ++note) {
    const auto is_alike = [&](const PlanNote& other) { return other.kind == note->kind; };
    std::vector<std::string> names{name(*note)};
    if (is_said_of_several(note->kind)) {
      if (std::any_of(notes.begin(), note, is_alike)) continue;
      for (auto other = note + 1; other != notes.end(); ++other) {
        if (is_alike(*other)) names.push_back(name(*other));
      }
    }
    texts.push_back(writer.write(*note, names));
  }
  return texts;
}

}  // namespace slowdawn
