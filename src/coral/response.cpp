#include <algorithm>
#include <array>
#include <cmath>
#include <slowdawn/coral/response.hpp>

namespace slowdawn {
namespace {

bool has_weak_sign(const CheckIn& now) { return now.extension == Extension::less || now.mucus; }

Sign find_hurt(const Look& look) {
  if (look.now.tissue == Tissue::lost) return Sign::tissue_lost;
  if (look.now.tissue == Tissue::white_patches) return Sign::white_patches;
  if (look.now.fv_fm && *look.now.fv_fm < 0.3) return Sign::fv_fm_severe;
  return Sign::none;
}

Sign find_strained(const Look& look) {
  if (look.colour <= -2) return Sign::two_steps_paler;
  if (!look.now.fv_fm || !look.fv_fm_baseline) return Sign::none;
  const double now = *look.now.fv_fm;
  const double baseline = *look.fv_fm_baseline;
  // "15 % or more": equal to 0.85 of it counts, also where rounding hides it.
  if (!exceeds(now, 0.85 * baseline)) return Sign::fv_fm_down;
  if (now < 0.5 && baseline >= 0.6) return Sign::fv_fm_low;
  return Sign::none;
}

Sign find_uneasy(const Look& look) {
  if (look.days_of_signs && *look.days_of_signs >= days_between_two_signs) {
    return look.now.mucus ? Sign::mucus : Sign::less_extension;
  }
  if (look.colour <= -1 && look.was_paler) return Sign::one_step_paler;
  return Sign::none;
}

Sign find_unclear(const Look& look) {
  if (look.now.mucus) return Sign::mucus;
  return look.now.extension == Extension::less ? Sign::less_extension : Sign::none;
}

Sign find_darker(const Look& look) { return look.colour >= 2 ? Sign::darker : Sign::none; }

constexpr std::array<ResponseRule, 5> rules{{
    {Judgement::hurt, "white patches, any tissue loss, or Fv/Fm under 0.3",
     "dose down to half of what it is used to, and stop; the keeper restarts after 14 steady days",
     "common practice, no source; that recovery takes days to months is published (Journal of "
     "Experimental Biology 211:2502, 2008)",
     find_hurt},
    {Judgement::strained,
     "2 or more steps paler than its baseline; Fv/Fm down 15 % or more, or under 0.5 where the "
     "baseline was 0.6 or more",
     "back to the last dose at which it was at ease, and at least 30 % down; holds for 7 days or "
     "more; tau_up x 1.5; weekly rise halved",
     "published: 2 steps of the card (Siebeck et al. 2006, Coral Reefs 25:453, abstract read "
     "second "
     "hand); that 30 % shade helped, under heat (Butcherine et al. 2023, Front Mar Sci "
     "10:1162896); "
     "the rest common practice, no source",
     find_strained},
    {Judgement::uneasy,
     "less extension than its habit, or mucus, at 2 looks in a row at least 2 days apart; or 1 "
     "step "
     "paler twice in a row",
     "holds; asks for a look in 3 days", "common practice, no source", find_uneasy},
    {Judgement::unclear, "less extension than its habit, or mucus, for the first time",
     "goes on; asks for a look in 3 days", "common practice, no source", find_unclear},
    {Judgement::darker, "2 or more steps darker than its baseline",
     "goes on: no stress, but under-lit or still getting used to less",
     "common practice, no source for the number; that pigments change within days of less light is "
     "published (Titlyanov et al. 2001, mesophotic.org/publications/1161)",
     find_darker},
}};

}  // namespace

std::span<const ResponseRule> response_rules() { return rules; }

const ResponseRule rule_for_all_at_once{
    Judgement::uneasy, "every group reacts within a day of the others",
    "holds all; the light is probably not the cause: check temperature, salinity, alkalinity, "
    "flow, "
    "pests",
    "common practice, no source; retraction is unspecific", nullptr};

Condition::Condition(const Tolerance& tolerance, DailyDose first_dose)
    : given_(tolerance),
      tolerance_(tolerance),
      first_dose_(first_dose),
      ease_dose_(first_dose),
      borne_dose_(first_dose) {}

Look Condition::look_at(const CheckIn& check_in) const {
  Look look{check_in, check_in.colour.value_or(0), fv_fm_baseline_, {}, was_paler_};
  if (!check_in.colour && check_in.card) {
    look.colour = *check_in.card - card_baseline_.value_or(*check_in.card);
  }
  if (!look.fv_fm_baseline) look.fv_fm_baseline = check_in.fv_fm;
  if (has_weak_sign(check_in)) {
    look.days_of_signs = check_in.day - first_sign_day_.value_or(check_in.day);
  }
  return look;
}

Condition::Outcome Condition::take(const CheckIn& check_in, DailyDose dose, DailyDose highest,
                                   const Acclimation& used_to) {
  const Look look = look_at(check_in);
  Outcome outcome{Judgement::at_ease, Sign::none, mode_, mode_};
  for (const ResponseRule& rule : rules) {
    outcome.sign = rule.find_sign(look);
    if (outcome.sign == Sign::none) continue;
    outcome.judgement = rule.judgement;
    break;
  }
  remember(look, outcome.judgement, dose);
  switch (outcome.judgement) {
    case Judgement::at_ease:
    case Judgement::darker: take_good_look(check_in.day, dose); break;
    case Judgement::unclear: break;
    case Judgement::uneasy: hold(check_in.day, dose); break;
    case Judgement::strained: strain(check_in.day, dose, highest); break;
    case Judgement::hurt:
      // Never above what a mere strain would leave.
      strain(check_in.day, dose, highest);
      limit_to(0.5 * used_to.dose);
      mode_ = Mode::hurt;
      break;
  }
  outcome.after = mode_;
  return outcome;
}

void Condition::remember(const Look& look, Judgement judgement, DailyDose dose) {
  const CheckIn& now = look.now;
  last_look_day_ = now.day;
  if (!card_baseline_) card_baseline_ = now.card;
  if (!fv_fm_baseline_) fv_fm_baseline_ = now.fv_fm;
  if (!has_weak_sign(now)) first_sign_day_.reset();
  if (has_weak_sign(now) && !first_sign_day_) first_sign_day_ = now.day;
  was_paler_ = look.colour <= -1;
  reacts_ = judgement != Judgement::at_ease && judgement != Judgement::darker;
  if (reacts_) {
    last_sign_day_ = now.day;
    first_good_day_.reset();
  }
  // A dose at which there was a sign is no dose to go back to either.
  ease_dose_ = reacts_ ? std::min(ease_dose_, dose) : dose;
}

void Condition::limit_to(DailyDose dose) { limit_ = limit_ ? std::min(*limit_, dose) : dose; }

void Condition::hold(int day, DailyDose dose) {
  limit_to(dose);
  last_sign_day_ = day;
  first_good_day_.reset();
  if (mode_ == Mode::free) mode_ = Mode::holding;
}

void Condition::strain(int day, DailyDose dose, DailyDose highest) {
  last_strain_day_ = day;
  if (mode_ != Mode::hurt) mode_ = Mode::strained;
  // What strained it is the most that it has had of late. Were the cut taken
  // from today's dose, each look at one bleached coral would cut again.
  limit_to(std::min({ease_dose_, 0.7 * highest, dose}));
  if (last_cut_day_ && day - *last_cut_day_ < days_a_strain_holds) return;
  last_cut_day_ = day;
  ++strains_;
  learn();
  if (!rise_is_halved_) tolerance_.weekly_rise = 0.5 * tolerance_.weekly_rise;
  rise_is_halved_ = true;
}

void Condition::take_good_look(int day, DailyDose dose) {
  if (mode_ == Mode::free) {
    if (day >= 0) borne_dose_ = std::max(borne_dose_, dose);
    learn();
    return;
  }
  if (!first_good_day_) first_good_day_ = day;
  const bool has_two_good_looks = day - *first_good_day_ >= days_between_good_looks;
  const bool has_held = mode_ == Mode::holding ||
                        (last_strain_day_ && day - *last_strain_day_ >= days_a_strain_holds);
  if (mode_ == Mode::hurt || !has_two_good_looks || !has_held) return;
  mode_ = Mode::free;
  limit_.reset();
  first_good_day_.reset();
}

void Condition::learn() {
  constexpr Days shortest = Days::d(5.0);
  constexpr Days longest = Days::d(40.0);
  const Days given = given_.tau_up;
  if (first_dose_ <= DailyDose{}) return;
  const double weeks =
      std::log(borne_dose_ / first_dose_) / std::log1p(given_.weekly_rise.fraction());
  // The slack is for a dose that is a whole number of rises but for rounding.
  const double lessons = std::floor((weeks + relative_slack) / clean_steps_that_teach);
  const Days learned = given * std::pow(1.5, strains_) * std::pow(0.9, lessons);
  tolerance_.tau_up = std::clamp(learned, std::min(given, shortest), std::max(given, longest));
}

bool Condition::may_restart(int day) const {
  return mode_ == Mode::hurt && last_sign_day_ &&
         day - *last_sign_day_ >= steady_days_before_restart;
}

void Condition::restart() {
  mode_ = Mode::free;
  limit_.reset();
  first_good_day_.reset();
}

int Condition::next_look_day() const {
  const bool is_watched = reacts_ || mode_ != Mode::free;
  return last_look_day_ + (is_watched ? days_to_next_look_after_sign : days_to_next_look);
}

}  // namespace slowdawn
