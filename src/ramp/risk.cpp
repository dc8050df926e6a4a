#include <oneapi/tbb/blocked_range.h>
#include <oneapi/tbb/enumerable_thread_specific.h>
#include <oneapi/tbb/parallel_for.h>

#include <algorithm>
#include <cmath>
#include <slowdawn/ramp/risk.hpp>

#include "ramp/normal_quantile.hpp"
#include "ramp/philox.hpp"
#include "ramp/risk_walk.hpp"

namespace slowdawn {
namespace {

using LaneValues = RiskLanes::Lanes;

constexpr std::size_t pairs_in_block = risk_lanes / 2;
constexpr std::size_t blocks_in_batch = risk_batch / risk_lanes;

/// s of a log-normal variable whose standard deviation is this share of its mean.
double log_spread(double relative) { return std::sqrt(std::log1p(relative * relative)); }

/// What a normal variable stands for; part of its counter.
enum class Draw : std::uint64_t { readings, headroom, tau };

/// Where the normal variables of one thing come from.
struct Source {
  Draw draw;
  std::size_t first;
  std::size_t second = 0;
};

/// What the draws of some blocks have met: by group, with "any" as the last, how
/// often each day was the first, and in how many pairs both draws met a day.
class Tally {
 public:
  Tally(std::size_t chances, std::size_t days)
      : days_(days), first_days_(chances * days), met_twice_(chances) {}

  void add(std::size_t chance, const LaneValues& first) {
    const auto none = static_cast<double>(days_);
    for (std::size_t i = 0; i < risk_lanes; ++i) {
      if (first[i] < none) ++first_days_[chance * days_ + static_cast<std::size_t>(first[i])];
    }
    for (std::size_t i = 0; i < pairs_in_block; ++i) {
      if (first[i] < none && first[i + pairs_in_block] < none) ++met_twice_[chance];
    }
  }

  void add(const Tally& other) {
    const auto plus = std::plus<>{};
    std::transform(first_days_.begin(), first_days_.end(), other.first_days_.begin(),
                   first_days_.begin(), plus);
    std::transform(met_twice_.begin(), met_twice_.end(), other.met_twice_.begin(),
                   met_twice_.begin(), plus);
  }

  Chance chance(std::size_t number, std::size_t pairs) const {
    const auto begin = first_days_.begin() + static_cast<std::ptrdiff_t>(number * days_);
    const auto end = begin + static_cast<std::ptrdiff_t>(days_);
    Chance made{.pairs = pairs, .met_twice = met_twice_[number]};
    for (auto count = begin; count != end; ++count) made.met += *count;
    if (made.met > 0) {
      made.worst_day = static_cast<std::size_t>(std::max_element(begin, end) - begin);
    }
    return made;
  }

 private:
  std::size_t days_;
  std::vector<std::uint32_t> first_days_;
  std::vector<std::uint32_t> met_twice_;
};

/// Draws of one course under one seed.
class RiskDraws {
 public:
  RiskDraws(const RiskCourse& course, std::uint64_t seed)
      : course_(course), key_{seed, 0}, tally_(course.groups().size() + 1, course.days()) {}

  void draw_batch() {
    // Counts add up to the same in whatever order the threads have made them.
    tbb::enumerable_thread_specific<Tally> tallies{course_.groups().size() + 1, course_.days()};
    tbb::parallel_for(tbb::blocked_range<std::size_t>{blocks_, blocks_ + blocks_in_batch},
                      [&](const tbb::blocked_range<std::size_t>& range) {
                        Tally& tally = tallies.local();
                        for (std::size_t block = range.begin(); block != range.end(); ++block) {
                          draw_block(block, tally);
                        }
                      });
    for (const Tally& tally : tallies) tally_.add(tally);
    blocks_ += blocks_in_batch;
  }

  std::size_t draws() const { return blocks_ * risk_lanes; }

  Risk result() const {
    const std::size_t pairs = draws() / 2;
    Risk risk{draws(), {}, tally_.chance(course_.groups().size(), pairs)};
    risk.groups.reserve(course_.groups().size());
    for (std::size_t g = 0; g < course_.groups().size(); ++g) {
      risk.groups.push_back(tally_.chance(g, pairs));
    }
    return risk;
  }

 private:
  void draw_block(std::size_t block, Tally& tally) const {
    LaneValues any;
    any.fill(static_cast<double>(course_.days()));
    for (std::size_t g = 0; g < course_.groups().size(); ++g) {
      const LaneValues first = live_through(block, g);
      tally.add(g, first);
      for (std::size_t i = 0; i < risk_lanes; ++i) any[i] = std::min(any[i], first[i]);
    }
    tally.add(course_.groups().size(), any);
  }

  /// The first day of too much of one group, in each of a block's draws.
  LaneValues live_through(std::size_t block, std::size_t g) const {
    const RiskCourse::Group& group = course_.groups()[g];
    const auto none = static_cast<double>(course_.days());
    const double headroom_log = log_spread(headroom_spread);
    const LaneValues headroom = factors(block, {Draw::headroom, g}, headroom_log);
    const LaneValues tau = factors(block, {Draw::tau, g}, log_spread(tau_spread));
    RiskLanes lanes;
    lanes.dose.fill(group.used_to.dose.mol_m2_d());
    lanes.peak.fill(group.used_to.peak.umol_m2_s());
    lanes.first.fill(none);
    for (std::size_t i = 0; i < risk_lanes; ++i) {
      lanes.reach[i] = (1.0 + group.headroom * headroom[i]) * (1.0 + relative_slack);
    }
    for (std::size_t s = 0; s < group.stretches.size(); ++s) {
      const RiskCourse::Stretch& stretch = group.stretches[s];
      const bool is_last = s + 1 == group.stretches.size();
      const std::size_t end = is_last ? course_.days() : group.stretches[s + 1].first_day;
      begin(stretch, block, tau, lanes);
      const std::span<const RiskDay> days{group.days};
      walk_days(days.subspan(stretch.first_day, end - stretch.first_day), none, lanes);
    }
    return lanes.first;
  }

  /// Equation (2), and equation (1) or its like for a move.
  void begin(const RiskCourse::Stretch& stretch, std::size_t block, const LaneValues& tau,
             RiskLanes& lanes) const {
    for (std::size_t i = 0; i < risk_lanes; ++i) {
      lanes.up[i] = -std::expm1(stretch.log_up / tau[i]);
      lanes.down[i] = -std::expm1(stretch.log_down / tau[i]);
    }
    if (stretch.doubt == 0.0) return;
    const Source readings{Draw::readings, stretch.read_before, stretch.read_after};
    const LaneValues known = factors(block, readings, stretch.doubt);
    for (std::size_t i = 0; i < risk_lanes; ++i) {
      lanes.dose[i] *= known[i];
      lanes.peak[i] *= known[i];
    }
  }

  /// exp(spread z) for a block's draws; the second half has the opposite z.
  LaneValues factors(std::size_t block, const Source& source, double spread) const {
    LaneValues made;
    for (std::size_t pair = 0; pair < pairs_in_block; pair += 4) {
      const PhiloxBlock bits = philox4x64({(block * pairs_in_block + pair) / 4, source.first,
                                           source.second, static_cast<std::uint64_t>(source.draw)},
                                          key_);
      for (std::size_t word = 0; word < bits.size(); ++word) {
        const double factor = std::exp(spread * normal_quantile(to_open_share(bits[word])));
        made[pair + word] = factor;
        made[pair + word + pairs_in_block] = 1.0 / factor;
      }
    }
    return made;
  }

  const RiskCourse& course_;
  PhiloxKey key_;
  Tally tally_;
  std::size_t blocks_ = 0;
};

bool is_known_well(const Risk& risk) {
  const auto is_well = [](const Chance& chance) {
    return chance.standard_error() < risk_error_wanted;
  };
  return is_well(risk.any) && std::all_of(risk.groups.begin(), risk.groups.end(), is_well);
}

}  // namespace

double Chance::share() const { return static_cast<double>(met) / static_cast<double>(2 * pairs); }

double Chance::standard_error() const {
  const auto count = static_cast<double>(pairs);
  // The mean of a pair is 0, 1/2 or 1; in met - 2 met_twice pairs it is 1/2.
  const auto halves = static_cast<double>(met - 2 * met_twice);
  const auto wholes = static_cast<double>(met_twice);
  const double variance = (halves / 4.0 + wholes) / count - share() * share();
  return std::sqrt(std::max(0.0, variance) / (count - 1.0));
}

Chance::Bounds Chance::bounds() const {
  const auto count = static_cast<double>(pairs);
  const double z = normal_quantile(0.975);
  const double spread = z * z / count;
  const double centre = share() + spread / 2.0;
  const double half = std::sqrt(spread * (share() * (1.0 - share()) + spread / 4.0));
  return {std::max(0.0, (centre - half) / (1.0 + spread)),
          std::min(1.0, (centre + half) / (1.0 + spread))};
}

Risk compute_risk(const RiskCourse& course, std::uint64_t seed) {
  RiskDraws draws{course, seed};
  for (std::size_t batch = 0; batch < risk_batches_at_least; ++batch) draws.draw_batch();
  Risk risk = draws.result();
  while (!is_known_well(risk) && risk.draws < risk_batches_at_most * risk_batch) {
    draws.draw_batch();
    risk = draws.result();
  }
  return risk;
}

Risk compute_risk(const RiskCourse& course, std::uint64_t seed, std::size_t draws) {
  RiskDraws made{course, seed};
  while (made.draws() < draws) made.draw_batch();
  return made.result();
}

}  // namespace slowdawn
