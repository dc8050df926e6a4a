#include <algorithm>
#include <array>
#include <cmath>
#include <slowdawn/coral/response.hpp>

namespace slowdawn {
namespace {

/// Whether Fv/Fm is down to a share of its baseline: equal to it counts, also where rounding
/// hides that.
bool is_down_to(double share, const Look& look) {
  return look.now.fv_fm && look.fv_fm_baseline &&
         !exceeds(*look.now.fv_fm, share * *look.fv_fm_baseline);
}

Sign find_hurt(const Look& look) {
  if (look.now.tissue == Tissue::lost) return Sign::tissue_lost;
  if (look.now.tissue == Tissue::white_patches) return Sign::white_patches;
  if (is_down_to(share_of_fv_fm_that_hurts, look)) return Sign::fv_fm_far_down;
  const bool has_no_better =
      look.fv_fm_baseline.value_or(0.0) < lowest_fv_fm_of_health && look.now.fv_fm;
  if (has_no_better && *look.now.fv_fm < lowest_fv_fm_of_health) return Sign::fv_fm_severe;
  return Sign::none;
}

Sign find_strained(const Look& look) {
  if (look.colour <= -2) return Sign::two_steps_paler;
  return is_down_to(share_of_fv_fm_that_strains, look) ? Sign::fv_fm_down : Sign::none;
}

/// A sign that is no verdict by itself.
Sign find_unclear(const Look& look) {
  if (look.now.mucus) return Sign::mucus;
  if (look.now.extension == Extension::less) return Sign::less_extension;
  return look.colour <= -1 ? Sign::one_step_paler : Sign::none;
}

Sign find_uneasy(const Look& look) {
  const bool is_twice = look.days_of_signs && *look.days_of_signs >= days_between_two_signs;
  return is_twice ? find_unclear(look) : Sign::none;
}

Sign find_darker(const Look& look) { return look.colour >= 2 ? Sign::darker : Sign::none; }

constexpr std::array<ResponseRule, 5> rules{{
    {Judgement::hurt,
     "white patches, any tissue loss, or Fv/Fm down 40 % or more from its own baseline, or under "
     "0.3 from the first",
     "as strained, and dose down to half of what it is used to, and stop; the keeper restarts "
     "after 14 steady days, with a good look of the last 3",
     "common practice, no source, and 40 % a design choice; that recovery takes days to months is "
     "published (Journal of Experimental Biology 211:2502, 2008)",
     find_hurt},
    {Judgement::strained,
     "2 or more steps paler than its baseline; Fv/Fm down 15 % or more from its own baseline",
     "back to the last dose at which it was at ease, and at least 30 % under the most of the last "
     "7 days; until two good looks, 3 days apart or more, and for 7 days or more; tau_up x 1.5 "
     "(again 4 days later at the earliest); weekly rise halved",
     "published: 2 steps of the card (Siebeck et al. 2006, Coral Reefs 25:453, abstract read "
     "second "
     "hand); that 30 % shade helped, under heat (Butcherine et al. 2023, Front Mar Sci "
     "10:1162896); the rest common practice, no source, and 15 % a design choice",
     find_strained},
    {Judgement::uneasy, "a sign of any kind at 2 looks in a row at least 2 days apart",
     "no step raises its light until two good looks, 3 days apart or more; asks for a look in 3 "
     "days",
     "common practice, no source", find_uneasy},
    {Judgement::unclear,
     "less extension than its habit, mucus, or 1 step paler, for the first time",
     "the step of that day is put off by a day; asks for a look in 3 days",
     "common practice, no source", find_unclear},
    {Judgement::darker, "2 or more steps darker than its baseline",
     "goes on: no stress, but under-lit or still getting used to less",
     "common practice, no source for the number; that pigments change within days of less light is "
     "published (Titlyanov et al. 2001, mesophotic.org/publications/1161)",
     find_darker},
}};

bool is_good(Judgement judgement) {
  return judgement == Judgement::at_ease || judgement == Judgement::darker;
}

}  // namespace

std::span<const ResponseRule> response_rules() { return rules; }

const ResponseRule rule_for_all_at_once{
    Judgement::uneasy, "every group reacts within a day of the others",
    "holds all; the light is probably not the cause: check temperature, salinity, alkalinity, "
    "flow, "
    "pests",
    "common practice, no source; retraction is unspecific", nullptr};

void BaselineFinder::take(const CheckIn& check_in) {
  const auto note = [&](const auto& score, std::optional<int>& day, auto& baseline) {
    if (!score || (day && *day <= check_in.day)) return;
    day = check_in.day;
    baseline = std::max(baseline, score);
  };
  note(check_in.card, card_day_, found_.card);
  note(check_in.fv_fm, fv_fm_day_, found_.fv_fm);
}

Condition::Condition(const Tolerance& given, const Baselines& baselines)
    : given_(given), tolerance_(given), baselines_(baselines) {}

Look Condition::look_at(const CheckIn& check_in) const {
  Look look{check_in, check_in.colour.value_or(0), baselines_.fv_fm, {}};
  if (!check_in.colour && check_in.card) {
    look.colour = *check_in.card - baselines_.card.value_or(*check_in.card);
  }
  const bool has_sign = find_hurt(look) != Sign::none || find_strained(look) != Sign::none ||
                        find_unclear(look) != Sign::none;
  if (has_sign) look.days_of_signs = check_in.day - first_sign_day_.value_or(check_in.day);
  return look;
}

Condition::Outcome Condition::take(const CheckIn& check_in, int made, const LookLight& light) {
  const Look look = look_at(check_in);
  Outcome outcome{Judgement::at_ease, Sign::none, mode_, mode_};
  for (const ResponseRule& rule : rules) {
    outcome.sign = rule.find_sign(look);
    if (outcome.sign == Sign::none) continue;
    outcome.judgement = rule.judgement;
    break;
  }
  remember(look, is_good(outcome.judgement), light);
  switch (outcome.judgement) {
    case Judgement::at_ease:
    case Judgement::darker: take_good_look(check_in.day, light); break;
    case Judgement::unclear: break;
    case Judgement::uneasy: hold(check_in.day, light); break;
    case Judgement::strained: strain(check_in.day, made, light); break;
    case Judgement::hurt:
      // Never above what a mere strain would leave.
      strain(check_in.day, made, light);
      limit_to(share_left_by_hurt * light.used_to.dose);
      mode_ = Mode::hurt;
      break;
  }
  outcome.after = mode_;
  return outcome;
}

void Condition::remember(const Look& look, bool is_good_look, const LookLight& light) {
  const int day = look.now.day;
  last_look_day_ = day;
  reacts_ = !is_good_look;
  if (is_good_look) {
    first_sign_day_.reset();
    last_good_day_ = day;
    ease_dose_ = light.dose;
    return;
  }
  if (!first_sign_day_) first_sign_day_ = day;
  last_sign_day_ = day;
  first_good_day_.reset();
  is_step_void_ = true;
  // Not to today's dose: a group that was moved to less light on the day before is
  // held at what it bore, not at where it fled to.
  ease_dose_ = std::min(ease_dose_.value_or(light.most_of_late), light.most_of_late);
}

void Condition::limit_to(DailyDose dose) { limit_ = limit_ ? std::min(*limit_, dose) : dose; }

void Condition::hold(int day, const LookLight& light) {
  // Never under what a strain would leave, so that a worse look is never brighter.
  const DailyDose ease = std::min(ease_dose_.value_or(light.most_of_late), light.most_of_late);
  limit_to(std::max(light.dose, std::min(ease, share_left_by_strain * light.most_of_late)));
  last_sign_day_ = day;
  first_good_day_.reset();
  if (mode_ == Mode::free) mode_ = Mode::holding;
}

void Condition::strain(int day, int made, const LookLight& light) {
  if (mode_ != Mode::hurt) mode_ = Mode::strained;
  // What strained it is the most that it has had of late. Were the cut taken
  // from today's dose, each look at one bleached coral would cut again.
  limit_to(std::min(*ease_dose_, share_left_by_strain * light.most_of_late));
  // Another look in time does not shorten what one that was written late asks for.
  strain_from_ = std::max({strain_from_.value_or(day), day, made});
  if (last_strain_day_ && day - *last_strain_day_ < days_between_strains) return;
  last_strain_day_ = day;
  ++strains_;
  learn();
}

bool Condition::has_two_good_looks() const {
  return first_good_day_ && *last_good_day_ - *first_good_day_ >= days_between_good_looks;
}

void Condition::leave_if_over(int day) {
  if (mode_ == Mode::free || mode_ == Mode::hurt || !has_two_good_looks()) return;
  if (mode_ == Mode::strained && day - *strain_from_ < days_a_strain_holds) return;
  mode_ = Mode::free;
  limit_.reset();
}

void Condition::begin_day(int day) { leave_if_over(day); }

void Condition::take_good_look(int day, const LookLight& light) {
  const bool was_free = mode_ == Mode::free;
  if (!first_good_day_) first_good_day_ = day;
  leave_if_over(day);
  if (!was_free || day < 0 || !light.teaches) return;
  if (!borne_dose_ || is_step_void_) {
    borne_dose_ = std::max(borne_dose_.value_or(light.dose), light.dose);
    is_step_void_ = false;
    return;
  }
  const double rise = 1.0 + given_.weekly_rise.fraction();
  if (exceeds(rise * *borne_dose_, light.dose)) return;
  if (last_clean_step_day_ && day - *last_clean_step_day_ < days_between_clean_steps) return;
  borne_dose_ = light.dose;
  last_clean_step_day_ = day;
  ++clean_steps_;
  learn();
}

void Condition::learn() {
  constexpr Days shortest = Days::d(5.0);
  constexpr Days longest = Days::d(40.0);
  const Days given = given_.tau_up;
  const int lessons = clean_steps_ / clean_steps_that_teach;
  const Days learned =
      given * std::pow(strain_slows_by, strains_) * std::pow(lesson_quickens_by, lessons);
  tolerance_ = given_;
  tolerance_.tau_up = std::clamp(learned, std::min(given, shortest), std::max(given, longest));
  if (strains_ > 0) tolerance_.weekly_rise = 0.5 * given_.weekly_rise;
}

void Condition::take_figures(const Tolerance& given) {
  given_ = given;
  learn();
}

bool Condition::may_restart(int day) const {
  return mode_ == Mode::hurt && last_sign_day_ &&
         day - *last_sign_day_ >= steady_days_before_restart && last_good_day_ &&
         *last_good_day_ > *last_sign_day_ &&
         day - *last_good_day_ <= good_look_days_before_restart;
}

void Condition::restart() {
  mode_ = Mode::free;
  limit_.reset();
}

int Condition::next_look_day(int first_day) const {
  if (!last_look_day_) return first_day;
  const bool is_watched = reacts_ || mode_ != Mode::free;
  return *last_look_day_ + (is_watched ? days_to_next_look_after_sign : days_to_next_look);
}

int Condition::good_looks_to_come() const {
  if (mode_ == Mode::free || has_two_good_looks()) return 0;
  return first_good_day_ ? 1 : 2;
}

std::optional<int> Condition::earliest_release(int today) const {
  if (mode_ == Mode::free || mode_ == Mode::hurt) return std::nullopt;
  int day = today;
  if (!has_two_good_looks()) {
    // A first good look may still be made today, if today has no sign already.
    const int begins = reacts_ && last_look_day_ == today ? today + 1 : today;
    day = std::max(begins, first_good_day_.value_or(begins) + days_between_good_looks);
  }
  if (mode_ == Mode::strained) day = std::max(day, *strain_from_ + days_a_strain_holds);
  return day;
}

}  // namespace slowdawn
