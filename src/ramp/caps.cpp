#include <algorithm>
#include <cmath>
#include <limits>
#include <slowdawn/ramp/caps.hpp>

namespace slowdawn {

bool is_of_peak(Cap cap) {
  return cap == Cap::peak_pace || cap == Cap::peak_headroom || cap == Cap::peak_ceiling ||
         cap == Cap::excitation;
}

bool is_limit_that_stays(Cap cap) {
  return cap == Cap::dose_band || cap == Cap::peak_ceiling || cap == Cap::check_in ||
         cap == Cap::excitation;
}

GroupState state_at_start(const RampGroup& group) {
  const Exposure allowance =
      group.allowance.value_or(Exposure{group.used_to.dose, group.used_to.peak});
  return {group.used_to, allowance, group.wish ? allowance : Exposure{}};
}

DailyRates::DailyRates(const Tolerance& tolerance)
    : adaptation(tolerance),
      week(1.0 + tolerance.weekly_rise.fraction()),
      day(std::pow(week, 1.0 / 7.0)) {}

GroupState after_day(const GroupState& state, const Exposure& day, const Exposure& next,
                     const DailyRates& rates) {
  return {after_day(state.used_to, day, rates.adaptation),
          {std::min(rates.day * state.allowance.dose, std::max(rates.week * day.dose, next.dose)),
           std::min(rates.day * state.allowance.peak, std::max(rates.week * day.peak, next.peak))},
          {}};
}

GroupState after_day(const GroupState& state, const Exposure& day, const Exposure& next,
                     const Exposure& stop, const DailyRates& rates) {
  GroupState later = after_day(state, day, next, rates);
  const auto grown = [&](auto allowed, auto got, auto reach) {
    return std::min(rates.day * allowed, std::max(rates.week * got, reach));
  };
  later.move_allowance = {
      grown(state.move_allowance.dose, day.dose, std::max(next.dose, stop.dose)),
      grown(state.move_allowance.peak, day.peak, std::max(next.peak, stop.peak))};
  return later;
}

namespace {

/// Equation (2a).
std::optional<Ppfd> excitation_limit(const RampGroup& group) {
  const auto& excitation = group.tolerance.excitation;
  if (!excitation || !excitation->peak_at_cap()) return std::nullopt;
  return std::max(*excitation->peak_at_cap(), group.before.peak);
}

}  // namespace

Limits compute_limits(const RampGroup& group, const GroupState& state) {
  const Tolerance& tolerance = group.tolerance;
  const double headroom = 1.0 + tolerance.headroom.fraction();
  return {
      .dose_pace = std::max(state.allowance.dose, state.used_to.dose),
      .dose_headroom = headroom * state.used_to.dose,
      .peak_pace = std::max(state.allowance.peak, state.used_to.peak),
      .peak_headroom = headroom * state.used_to.peak,
      .dose_band = std::max(tolerance.dose_band.high, group.before.dose),
      .peak_ceiling = std::max(tolerance.peak_ceiling, group.before.peak),
      .dose_floor = (1.0 - tolerance.floor.fraction()) * state.used_to.dose,
      .check_in = group.check_in_limit,
      .excitation = excitation_limit(group),
      .holds = group.holds,
  };
}

DailyCaps::DailyCaps(const RampGroup& group, std::size_t column)
    : headroom_(1.0 + group.tolerance.headroom.fraction()),
      floor_(1.0 - group.tolerance.floor.fraction()),
      check_in_(
          group.check_in_limit.value_or(DailyDose::mol_m2_d(std::numeric_limits<double>::max()))),
      spot_(group.spot),
      column_(column),
      has_wish_(group.wish.has_value()),
      holds_(group.holds) {
  const Limits limits = compute_limits(group, {});
  highest_dose_ = limits.dose_band;
  highest_peak_ = std::min(limits.peak_ceiling, limits.excitation.value_or(limits.peak_ceiling));
}

std::optional<Breach> worst_breach(const Limits& limits, const GroupLight& light,
                                   const std::optional<GroupLight>& present) {
  const Exposure& real = light.real;
  const Exposure& effective = light.effective;
  std::optional<Breach> worst;
  const auto consider = [&](Cap cap, auto value, auto limit) {
    if (!exceeds(value, limit)) return;
    const double ratio = value / limit;
    if (!worst || exceeds(ratio, worst->ratio)) worst = Breach{cap, ratio};
  };
  const auto consider_smaller = [&](Cap pace, auto pace_limit, Cap headroom, auto headroom_limit,
                                    auto value) {
    const bool pace_binds = !exceeds(pace_limit, headroom_limit);
    consider(pace_binds ? pace : headroom, value, std::min(pace_limit, headroom_limit));
  };
  consider_smaller(Cap::dose_pace, limits.dose_pace, Cap::dose_headroom, limits.dose_headroom,
                   effective.dose);
  consider_smaller(Cap::peak_pace, limits.peak_pace, Cap::peak_headroom, limits.peak_headroom,
                   effective.peak);
  consider(Cap::dose_band, real.dose, limits.dose_band);
  consider(Cap::peak_ceiling, real.peak, limits.peak_ceiling);
  if (present && exceeds(present->effective.dose, effective.dose)) {
    consider(Cap::dose_floor, limits.dose_floor, effective.dose);
  }
  if (limits.check_in) consider(Cap::check_in, effective.dose, *limits.check_in);
  if (present && limits.holds) {
    consider(Cap::check_in, effective.dose, present->effective.dose);
    consider(Cap::check_in, effective.peak, present->effective.peak);
  }
  if (limits.excitation) consider(Cap::excitation, real.peak, *limits.excitation);
  return worst;
}

Limits shown(const Limits& limits, const GroupLight& light) {
  Limits made = limits;
  made.dose_pace = light.shown(limits.dose_pace);
  made.dose_headroom = light.shown(limits.dose_headroom);
  made.peak_pace = light.shown(limits.peak_pace);
  made.peak_headroom = light.shown(limits.peak_headroom);
  made.dose_floor = light.shown(limits.dose_floor);
  if (limits.check_in) made.check_in = light.shown(*limits.check_in);
  return made;
}

}  // namespace slowdawn
