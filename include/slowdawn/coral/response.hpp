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
  fv_fm_low,
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
  /// Days since the first of the looks in a row, up to this one, that had less
  /// extension or mucus; empty if this one has neither.
  std::optional<int> days_of_signs;
  /// Whether the last look before this one was one step paler.
  bool was_paler;
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
inline constexpr int days_between_two_signs = 2;
inline constexpr int days_between_good_looks = 3;
inline constexpr int days_a_strain_holds = 7;
inline constexpr int steady_days_before_restart = 14;
inline constexpr int days_without_look_that_hold = 7;
inline constexpr int days_to_next_look = 7;
inline constexpr int days_to_next_look_after_sign = 3;
inline constexpr int clean_steps_that_teach = 3;

/// What a group's looks have made of it so far.
class Condition {
 public:
  enum class Mode { free, holding, strained, hurt };

  /// first_dose: what the group gets on the first day.
  Condition(const Tolerance& tolerance, DailyDose first_dose);

  struct Outcome {
    Judgement judgement;
    Sign sign;
    Mode before;
    Mode after;
  };

  /// Takes a check-in into account.
  /// dose: what the group gets on that day. highest: the highest dose that it
  ///   was meant to have in the last 7 days, this one with them. used_to: before
  ///   that day's light.
  /// Check-ins come in the order of their days.
  Outcome take(const CheckIn& check_in, DailyDose dose, DailyDose highest,
               const Acclimation& used_to);

  /// Holds the group at a dose, as the rule for all at once wants it.
  void hold(int day, DailyDose dose);

  /// Whether a keeper may restart a hurt group on a day: after
  /// steady_days_before_restart without a sign.
  bool may_restart(int day) const;
  /// Lifts the stop of a hurt group.
  void restart();

  Mode mode() const { return mode_; }
  /// No more than this until the mode changes; empty while it is free.
  std::optional<DailyDose> dose_limit() const { return limit_; }
  /// The tolerance with what was learned: tau_up, and half the weekly rise
  /// after a strain.
  const Tolerance& tolerance() const { return tolerance_; }
  /// The day of the last look, or the first day of the plan.
  int last_look_day() const { return last_look_day_; }
  /// The day on which the next look is due.
  int next_look_day() const;
  /// Whether the last look had a sign; with its day this shows whether all
  /// groups react at once.
  bool reacts() const { return reacts_; }
  /// The day of the last look that had a sign.
  std::optional<int> last_sign_day() const { return last_sign_day_; }

 private:
  Look look_at(const CheckIn& check_in) const;
  void remember(const Look& look, Judgement judgement, DailyDose dose);
  void limit_to(DailyDose dose);
  void strain(int day, DailyDose dose, DailyDose highest);
  void take_good_look(int day, DailyDose dose);
  /// tau_up from what was borne: x 1.5 for each strain, at most 40 days; x 0.9
  /// for every three clean steps, at least 5. A clean step is one weekly rise of
  /// the highest dose at which the group was at ease and free; counting looks
  /// instead would let a worse look, which makes it climb later and so in more
  /// steps, teach it more.
  void learn();

  Tolerance given_;
  Tolerance tolerance_;
  Mode mode_ = Mode::free;
  std::optional<DailyDose> limit_;
  DailyDose first_dose_;
  DailyDose ease_dose_;
  DailyDose borne_dose_;
  std::optional<int> card_baseline_;
  std::optional<double> fv_fm_baseline_;
  std::optional<int> first_sign_day_;
  std::optional<int> last_sign_day_;
  std::optional<int> first_good_day_;
  std::optional<int> last_cut_day_;
  std::optional<int> last_strain_day_;
  int last_look_day_ = 0;
  int strains_ = 0;
  bool was_paler_ = false;
  bool reacts_ = false;
  bool rise_is_halved_ = false;
};

}  // namespace slowdawn
