// How a group looks, and what that does to its caps.
//
// A check-in is what a keeper sees of a group on a day. The rules that judge it
// are one table (response_rules), in which each row has its basis. What follows
// from a judgement is a tighter cap for the group itself and, for the learning,
// other time constants; the dial follows from the planner as always.
//
// Where a rule leaves two readings open, the one with less light is taken, so
// that a worse look never gives more light later.
#pragma once

#include <optional>
#include <slowdawn/coral/acclimation.hpp>
#include <slowdawn/coral/profile.hpp>
#include <span>
#include <string_view>

namespace slowdawn {

enum class Extension { less, usual, more };
enum class Tissue { whole, white_patches, lost };

/// How a group looks on a day; days are counted from the first of the plan and
/// are negative before it.
struct CheckIn {
  int day = 0;
  /// Steps against the group's own baseline; paler is negative.
  std::optional<int> colour = {};
  /// Score on a six-step colour card, 1 the palest; the first one is the baseline.
  std::optional<int> card = {};
  /// Against the group's own habit.
  Extension extension = Extension::usual;
  /// More than its habit.
  bool mucus = false;
  Tissue tissue = Tissue::whole;
  /// Maximum quantum yield, [0, 1]; the first one is the baseline.
  std::optional<double> fv_fm = {};
};

enum class Judgement { at_ease, unclear, darker, uneasy, strained, hurt };

/// What a judgement rests on.
enum class Sign {
  none,
  less_extension,
  mucus,
  one_step_paler,
  two_steps_paler,
  darker,
  fv_fm_down,
  fv_fm_far_down,
  fv_fm_severe,
  white_patches,
  tissue_lost,
};

/// What the rules look at: a check-in, with what the group's earlier ones leave.
struct Look {
  const CheckIn& now;
  /// Steps against the baseline, from the colour or the card; 0 if neither is given.
  int colour;
  /// The baseline of Fv/Fm; that of `now` if it is the first.
  std::optional<double> fv_fm_baseline;
  /// Days since the first of the looks in a row, up to this one, that had a sign of
  /// any kind; empty if this one has none.
  std::optional<int> days_of_signs;
};

/// What a group's scores are measured against: its first ones by date.
struct Baselines {
  std::optional<int> card = {};
  std::optional<double> fv_fm = {};
};

/// Takes a look into account as it was written: the baseline is the first score by
/// date, and one that is logged late never lowers one that was used already.
class BaselineFinder {
 public:
  /// Looks come in the order in which they were written.
  void take(const CheckIn& check_in);
  const Baselines& found() const { return found_; }

 private:
  std::optional<int> card_day_;
  std::optional<int> fv_fm_day_;
  Baselines found_;
};

/// One row of the table.
struct ResponseRule {
  Judgement judgement;
  std::string_view signs;
  std::string_view what_the_plan_does;
  std::string_view basis;
  /// The sign by which the rule applies; Sign::none if it does not.
  Sign (*find_sign)(const Look&);
};

/// The rules, the gravest first; the first that applies judges. The last two
/// rows apply always: at ease, or unclear where a sign stands alone.
std::span<const ResponseRule> response_rules();

/// That every group reacts within a day of the others is a rule of its own: it
/// holds all of them, whatever else is done.
extern const ResponseRule rule_for_all_at_once;

/// The numbers of the rules. Basis: see response_rules.
/// Of Fv/Fm against the coral's own baseline: what is left of it at the most (design
/// choice). Instruments differ too much for a limit that holds on all of them.
inline constexpr double share_of_fv_fm_that_strains = 0.85;
inline constexpr double share_of_fv_fm_that_hurts = 0.60;
/// A first reading under it is no baseline to go by (common practice, no source).
inline constexpr double lowest_fv_fm_of_health = 0.3;
inline constexpr int days_between_two_signs = 2;
inline constexpr int days_between_good_looks = 3;
inline constexpr int days_a_strain_holds = 7;
inline constexpr int days_between_strains = 4;
inline constexpr double share_left_by_strain = 0.7;
inline constexpr double share_left_by_hurt = 0.5;
inline constexpr double strain_slows_by = 1.5;
inline constexpr double lesson_quickens_by = 0.9;
inline constexpr int steady_days_before_restart = 14;
inline constexpr int good_look_days_before_restart = 3;
inline constexpr int days_without_look_that_hold = 7;
inline constexpr int days_to_next_look = 7;
inline constexpr int days_to_next_look_after_sign = 3;
inline constexpr int days_between_clean_steps = 7;
inline constexpr int clean_steps_that_teach = 3;
/// After light by accident: the good look comes this much later.
inline constexpr int days_from_accident_to_good_look = 3;

/// The light that a look judges: what the group was given, wherever it was.
struct LookLight {
  /// On the look's day.
  DailyDose dose;
  /// The most of the last 7 days, this one with them.
  DailyDose most_of_late;
  /// Before that day's light.
  Acclimation used_to;
  /// False where an accident lit the day: it teaches nothing.
  bool teaches = true;
};

/// What a group's looks have made of it so far.
class Condition {
 public:
  enum class Mode { free, holding, strained, hurt };

  /// given: the figures of its profile, with the pace in them.
  /// baselines: of all its looks.
  Condition(const Tolerance& given, const Baselines& baselines);

  struct Outcome {
    Judgement judgement;
    Sign sign;
    Mode before;
    Mode after;
  };

  /// Takes a check-in into account. Check-ins come in the order of their days.
  /// made: the day on which it was written, from which the limit of a late strain
  ///   counts.
  Outcome take(const CheckIn& check_in, int made, const LookLight& light);

  /// Holds the group at a light, as the rule for all at once wants it.
  void hold(int day, const LookLight& light);

  /// Lets a strain end once it has held long enough and two good looks are there,
  /// without a further look on that day.
  void begin_day(int day);

  /// Whether a keeper may restart a hurt group on a day: after
  /// steady_days_before_restart without a sign, with a good look of the last
  /// good_look_days_before_restart days.
  bool may_restart(int day) const;
  /// Lifts the stop of a hurt group.
  void restart();

  /// Other figures of its profile, as when a plan is followed anew; what was
  /// learned stays a factor on them.
  void take_figures(const Tolerance& given);

  Mode mode() const { return mode_; }
  /// No more than this until the mode changes; empty while it is free.
  std::optional<DailyDose> dose_limit() const { return limit_; }
  /// The tolerance with what was learned: tau_up, and half the weekly rise
  /// after a strain.
  const Tolerance& tolerance() const { return tolerance_; }
  /// Days of the last look, of the last good one and of the last one with a sign;
  /// empty where there was none.
  std::optional<int> last_look_day() const { return last_look_day_; }
  std::optional<int> last_good_day() const { return last_good_day_; }
  std::optional<int> last_sign_day() const { return last_sign_day_; }
  /// The day on which the next look is due; first_day where there was none.
  int next_look_day(int first_day) const;
  /// Whether the last look had a sign; with its day this shows whether all
  /// groups react at once.
  bool reacts() const { return reacts_; }
  /// The first day on which it can be free again, if it is looked at in time and
  /// nothing is seen; empty while it is free, and while it needs a restart.
  std::optional<int> earliest_release(int today) const;
  /// How many good looks it still needs for that: 0 to 2.
  int good_looks_to_come() const;
  int strains() const { return strains_; }

 private:
  Look look_at(const CheckIn& check_in) const;
  void remember(const Look& look, bool is_good, const LookLight& light);
  void limit_to(DailyDose dose);
  void strain(int day, int made, const LookLight& light);
  void take_good_look(int day, const LookLight& light);
  bool has_two_good_looks() const;
  void leave_if_over(int day);
  /// tau_up from what was borne: x 1.5 for each strain, at most 40 days; x 0.9
  /// for every three clean steps, at least 5. A clean step is one weekly rise,
  /// unhalved, over the highest dose that counts as borne, from one good look to
  /// another; at most one a week, and a sign in between voids it.
  void learn();

  Tolerance given_;
  Tolerance tolerance_;
  Baselines baselines_;
  Mode mode_ = Mode::free;
  std::optional<DailyDose> limit_;
  /// The dose of the last look at ease; with a sign it falls to the most of late.
  std::optional<DailyDose> ease_dose_;
  /// The highest dose that counts as borne; empty before the first good look.
  std::optional<DailyDose> borne_dose_;
  std::optional<int> last_clean_step_day_;
  /// A sign since the last good look: the next one is not the end of a step.
  bool is_step_void_ = false;
  std::optional<int> first_sign_day_;
  std::optional<int> last_sign_day_;
  std::optional<int> last_good_day_;
  /// Good looks since the last sign: the first and the last.
  std::optional<int> first_good_day_;
  std::optional<int> last_look_day_;
  std::optional<int> last_strain_day_;
  /// From which the days that a strain holds are counted.
  std::optional<int> strain_from_;
  int strains_ = 0;
  int clean_steps_ = 0;
  bool reacts_ = false;
};

}  // namespace slowdawn
