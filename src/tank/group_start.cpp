#include <slowdawn/tank/group_start.hpp>

#include <algorithm>
#include <span>

#include "tank/ratio_error.hpp"

namespace slowdawn {
namespace {

using Shares = std::map<std::size_t, double>;

bool is_lit(const Dials& dials, std::size_t light) {
  const auto found = dials.find(light);
  return found != dials.end() && found->second.percent() > 0.0;
}

std::vector<std::size_t> list_lit(const Dials& dials) {
  std::vector<std::size_t> lights;
  for (const auto& [light, dial] : dials) {
    if (dial.percent() > 0.0) lights.push_back(light);
  }
  return lights;
}

std::vector<std::size_t> list_new(const Dials& to, const Shares& had) {
  std::vector<std::size_t> lights = list_lit(to);
  std::erase_if(lights, [&](std::size_t light) { return had.contains(light); });
  return lights;
}

double least_share(const Shares& shares) {
  double least = 1.0;
  for (const auto& [light, share] : shares) least = std::min(least, share);
  return least;
}

LightWeights to_weights(const Tank& tank, const Shares& shares, double unit) {
  LightWeights weights(tank.lights.size(), 0.0);
  for (const auto& [light, share] : shares) weights[light] = unit / share;
  return weights;
}

class StartMaker {
 public:
  StartMaker(const Tank& tank, const Group& group, const Tolerance& tolerance)
      : tank_(tank), group_(group), tolerance_(tolerance) {}

  GroupStart make() {
    made_.before = tank_.before(group_);
    const LightPart here{group_.spot, tank_.ramp.from};
    const LightPart goal{group_.spot_of_start(), tank_.ramp.to};
    if (!group_.history) {
      has_had(tank_.ramp.from);
      made_.basis = {StartBasis::Kind::spot_here, here.spot, here.dials};
      used_to_ = {made_.before.dose, made_.before.peak};
      come_to(here, goal);
      return finish();
    }
    const History& history = *group_.history;
    const Exposure left = usable_history(tank_, history);
    used_to_ = {left.dose, left.peak};
    stay(Exposure{}, static_cast<std::size_t>(std::max(history.dark_days, 0)));
    const bool is_of_here = history.basis == History::Basis::spot_here;
    std::optional<LightPart> from;
    if (is_of_here) {
      has_had(history.dials);
      from = LightPart{history.spot, history.dials};
      made_.basis = {StartBasis::Kind::spot_here, history.spot, history.dials};
    } else {
      made_.basis = {.kind = StartBasis::Kind::elsewhere, .error = own_error()};
    }
    const std::size_t days_here = tank_.days_here(group_);
    come_to(from, days_here == 0 ? goal : here);
    if (days_here == 0) return finish();
    const LightWeights weights = to_weights(tank_, shares_, 1.0);
    const Exposure counted = tank_.effective_exposure_before(group_.spot, tank_.ramp.from, weights);
    stay(counted, days_here);
    counted_ = counted.dose / tank_.usable_exposure_before(group_.spot, tank_.ramp.from).dose;
    // What was in doubt when it came is in its level as in the weights of this light: the
    // light here is from now on what it has had.
    doubts_.clear();
    made_.basis = {StartBasis::Kind::spot_here, here.spot, here.dials};
    come_to(here, goal);
    return finish();
  }

 private:
  void has_had(const Dials& dials) {
    for (const std::size_t light : list_lit(dials)) shares_[light] = 1.0;
  }

  /// Days of one light, as it counts.
  void stay(const Exposure& light, std::size_t days) {
    const AdaptationRates rates{tolerance_};
    for (std::size_t day = 0; day < days; ++day) used_to_ = after_day(used_to_, light, rates);
  }

  /// It comes from one light to another; `from` is empty where that was measured
  /// elsewhere.
  void come_to(const std::optional<LightPart>& from, const LightPart& to) {
    made_.new_light_error.reset();
    made_.old_light_error.reset();
    made_.doubt = 0.0;
    const bool is_all_new = std::none_of(shares_.begin(), shares_.end(), [&](const auto& had) {
      return is_lit(to.dials, had.first) || tank_.ramp.to.contains(had.first);
    });
    if (from && from->spot != to.spot && !is_all_new) {
      const double error = compute_ratio_error(tank_, *from, at_spot(*from, to.spot));
      for (auto& [light, share] : shares_) {
        share *= doubt_factor(error);
        doubts_.try_emplace(light, 1.0).first->second /= doubt_factor(error);
      }
      made_.old_light_error = error;
      made_.doubt = error;
    }
    const std::vector<std::size_t> fresh = list_new(to.dials, shares_);
    if (fresh.empty()) return;
    const LightPart new_part{to.spot, to.dials, fresh};
    const double error = from ? compute_ratio_error(tank_, *from, new_part)
                              : compute_history_error(tank_, own_error(), new_part);
    const double share =
        std::min(tolerance_.carryover * doubt_factor(error) / counted_, least_share(shares_));
    // Without doubt it would weigh counted_ / carryover, or as much as what it has had.
    double sure = tolerance_.carryover / counted_;
    for (const auto& [light, had] : shares_) sure = std::min(sure, had * doubt_in(light));
    for (const std::size_t light : fresh) {
      shares_[light] = share;
      doubts_[light] = sure / share;
    }
    made_.new_light_error = error;
    if (is_all_new) made_.doubt = error;
  }

  /// The same light at another spot, as far as it is known there.
  LightPart at_spot(const LightPart& from, std::size_t spot) const {
    LightPart there{spot, from.dials, list_lit(from.dials)};
    std::erase_if(there.lights, [&](std::size_t light) { return !tank_.full_output[spot][light]; });
    return there;
  }

  double doubt_in(std::size_t light) const {
    const auto found = doubts_.find(light);
    return found == doubts_.end() ? 1.0 : found->second;
  }

  double own_error() const {
    return group_.history->error.value_or(tank_.meter.accuracy.repeat.fraction());
  }

  /// In the unit of the heaviest light of the ramp.
  GroupStart finish() {
    double unit = 1.0;
    bool is_first = true;
    for (const auto& [light, goal] : tank_.ramp.to) {
      const auto found = shares_.find(light);
      if (found == shares_.end()) continue;
      unit = is_first ? found->second : std::min(unit, found->second);
      is_first = false;
    }
    made_.used_to = {unit * used_to_.dose, unit * used_to_.peak};
    made_.weights = to_weights(tank_, shares_, unit);
    for (std::size_t light = 0; light < tank_.lights.size(); ++light) {
      made_.doubts.push_back(doubt_in(light));
    }
    made_.unit = unit;
    return made_;
  }

  const Tank& tank_;
  const Group& group_;
  const Tolerance& tolerance_;
  /// By light, 1 / W_j of those that it has had, or is about to have.
  Shares shares_;
  /// By light, k_j; 1 for those that do not stand here.
  std::map<std::size_t, double> doubts_;
  /// What of a dose under the light before counts for it: 1, or E / D.
  double counted_ = 1.0;
  Acclimation used_to_{};
  GroupStart made_{};
};

}  // namespace

Exposure usable_history(const Tank& tank, const History& history) {
  if (history.basis != History::Basis::spot_here) return history.light;
  return tank.usable_exposure_before(history.spot, history.dials);
}

GroupStart compute_group_start(const Tank& tank, const Group& group, const Tolerance& tolerance) {
  return StartMaker{tank, group, tolerance}.make();
}

LightWeights without_doubt(const LightWeights& weights, std::span<const double> doubts) {
  LightWeights sure = weights;
  for (std::size_t light = 0; light < sure.size(); ++light) sure[light] /= doubts[light];
  return sure;
}

std::optional<NewLightWeight> weight_of_new_lights(const Tank& tank, std::size_t spot,
                                                   const Dials& from, double counted,
                                                   const LightWeights& had,
                                                   std::span<const double> doubts,
                                                   double carryover) {
  Shares known;
  for (std::size_t light = 0; light < had.size(); ++light) {
    if (had[light] > 0.0) known[light] = 1.0 / had[light];
  }
  const std::vector<std::size_t> fresh = list_new(tank.ramp.to, known);
  if (fresh.empty()) return std::nullopt;
  const double error = compute_ratio_error(tank, {spot, from}, {spot, tank.ramp.to, fresh});
  const auto heaviest = [&](const LightWeights& weights) {
    double most = 0.0;
    for (const std::size_t light : list_lit(from)) most = std::max(most, weights[light]);
    return most;
  };
  const double weight = std::max(counted / (carryover * doubt_factor(error)), heaviest(had));
  // The same without any doubt, also that in what counts so far.
  const LightWeights sure = without_doubt(had, doubts);
  const DailyDose with = tank.effective_exposure(spot, from, had).dose;
  const DailyDose without = tank.effective_exposure(spot, from, sure).dose;
  const double sure_counted = with > DailyDose{} ? counted * (without / with) : counted;
  return NewLightWeight{weight, weight / std::max(sure_counted / carryover, heaviest(sure))};
}

}  // namespace slowdawn
