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

using LaneValues = RiskValues;

constexpr std::size_t pairs_in_block = risk_lanes / 2;
constexpr std::size_t blocks_in_batch = risk_batch / risk_lanes;

/// s of a log-normal variable whose standard deviation is this share of its mean.
double log_spread(double relative) { return std::sqrt(std::log1p(relative * relative)); }

/// What a normal variable stands for; part of its counter.
enum class Draw : std::uint64_t { readings, estimate, mesh, history, calibration, headroom, tau };

/// Where the normal variables of one thing come from.
struct Source {
  Draw draw;
  std::size_t first = 0;
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

/// The normal variables of a block of draws under a key.
class BlockDraws {
 public:
  BlockDraws(std::size_t block, PhiloxKey key) : block_(block), key_(key) {}

  /// The second half has the opposite signs of the first.
  LaneValues normals(const Source& source) const {
    LaneValues made;
    for (std::size_t pair = 0; pair < pairs_in_block; pair += 4) {
      const PhiloxBlock bits = philox4x64({(block_ * pairs_in_block + pair) / 4, source.first,
                                           source.second, static_cast<std::uint64_t>(source.draw)},
                                          key_);
      for (std::size_t word = 0; word < bits.size(); ++word) {
        const double normal = normal_quantile(to_open_share(bits[word]));
        made[pair + word] = normal;
        made[pair + word + pairs_in_block] = -normal;
      }
    }
    return made;
  }

  /// exp(spread z).
  LaneValues factors(const Source& source, double spread) const {
    LaneValues made = normals(source);
    for (std::size_t i = 0; i < pairs_in_block; ++i) {
      made[i] = std::exp(spread * made[i]);
      made[i + pairs_in_block] = 1.0 / made[i];
    }
    return made;
  }

 private:
  std::size_t block_;
  PhiloxKey key_;
};

/// F' of all outputs and the factors of all meshes in one block of draws, after another.
class LightDraws {
 public:
  explicit LightDraws(const RiskCourse& course) : course_(course), meshes_(course.meshes.size()) {
    std::size_t outputs = 0;
    for (const RiskCourse::Spot& spot : course.spots) outputs += spot.outputs.size();
    outputs_.resize(outputs);
  }

  void draw(const BlockDraws& draws) {
    std::size_t made = 0;
    for (const RiskCourse::Spot& spot : course_.spots) {
      draw_variables(spot, draws);
      for (const RiskCourse::Output& output : spot.outputs) {
        outputs_[made++] = output.log_error ? estimated(spot, output, draws) : read(output);
      }
    }
    for (std::size_t m = 0; m < meshes_.size(); ++m) {
      const RiskCourse::Mesh& mesh = course_.meshes[m];
      meshes_[m] = draws.factors({Draw::mesh, mesh.number}, mesh.log_error);
    }
    calibration_ = draws.factors({Draw::calibration}, course_.calibration_error);
  }

  RiskDrawn values() const { return {outputs_, meshes_}; }
  const LaneValues& calibration() const { return calibration_; }

 private:
  void draw_variables(const RiskCourse::Spot& spot, const BlockDraws& draws) {
    std::size_t columns = 0;
    for (const auto& output : spot.outputs) columns = std::max(columns, output.root.size());
    variables_.clear();
    for (std::size_t column = 0; column < columns; ++column) {
      variables_.push_back(draws.normals({Draw::readings, spot.number, column}));
    }
  }

  /// Equation (1).
  LaneValues read(const RiskCourse::Output& output) const {
    LaneValues made;
    made.fill(output.full.umol_m2_s());
    for (std::size_t column = 0; column < output.root.size(); ++column) {
      if (output.root[column] == 0.0) continue;
      const LaneValues& variable = variables_[column];
      for (std::size_t i = 0; i < risk_lanes; ++i) made[i] += output.root[column] * variable[i];
    }
    for (double& value : made) value = std::max(0.0, value);
    return made;
  }

  /// Equation (2).
  static LaneValues estimated(const RiskCourse::Spot& spot, const RiskCourse::Output& output,
                              const BlockDraws& draws) {
    LaneValues made = draws.factors({Draw::estimate, spot.number, output.light}, *output.log_error);
    for (double& value : made) value *= output.full.umol_m2_s();
    return made;
  }

  const RiskCourse& course_;
  std::vector<LaneValues> outputs_;
  std::vector<LaneValues> meshes_;
  LaneValues calibration_{};
  /// Of the spot that is drawn.
  std::vector<LaneValues> variables_;
};

/// Draws of one course under one seed.
class RiskDraws {
 public:
  RiskDraws(const RiskCourse& course, std::uint64_t seed)
      : course_(course), key_{seed, 0}, tally_(course.groups.size() + 1, course.days) {}

  void draw_batch() {
    // Counts add up to the same in whatever order the threads have made them.
    struct OfThread {
      Tally tally;
      LightDraws light;
    };
    tbb::enumerable_thread_specific<OfThread> threads{[&] {
      return OfThread{Tally{course_.groups.size() + 1, course_.days}, LightDraws{course_}};
    }};
    tbb::parallel_for(tbb::blocked_range<std::size_t>{blocks_, blocks_ + blocks_in_batch},
                      [&](const tbb::blocked_range<std::size_t>& range) {
                        OfThread& thread = threads.local();
                        for (std::size_t block = range.begin(); block != range.end(); ++block) {
                          draw_block(BlockDraws{block, key_}, thread.light, thread.tally);
                        }
                      });
    for (const OfThread& thread : threads) tally_.add(thread.tally);
    blocks_ += blocks_in_batch;
  }

  std::size_t draws() const { return blocks_ * risk_lanes; }

  Risk result() const {
    const std::size_t pairs = draws() / 2;
    Risk risk{draws(), {}, tally_.chance(course_.groups.size(), pairs)};
    risk.groups.reserve(course_.groups.size());
    for (std::size_t g = 0; g < course_.groups.size(); ++g) {
      risk.groups.push_back(tally_.chance(g, pairs));
    }
    return risk;
  }

 private:
  void draw_block(const BlockDraws& draws, LightDraws& light, Tally& tally) const {
    light.draw(draws);
    LaneValues any;
    any.fill(static_cast<double>(course_.days));
    for (std::size_t g = 0; g < course_.groups.size(); ++g) {
      const LaneValues first = live_through(draws, light, g);
      tally.add(g, first);
      for (std::size_t i = 0; i < risk_lanes; ++i) any[i] = std::min(any[i], first[i]);
    }
    tally.add(course_.groups.size(), any);
  }

  /// The first day of too much of one group, in each of a block's draws.
  LaneValues live_through(const BlockDraws& draws, const LightDraws& light, std::size_t g) const {
    const RiskCourse::Group& group = course_.groups[g];
    const auto none = static_cast<double>(course_.days);
    const LaneValues headroom = draws.factors({Draw::headroom, g}, log_spread(headroom_spread));
    const LaneValues tau = draws.factors({Draw::tau, g}, log_spread(tau_spread));
    RiskLanes lanes;
    begin(draws, light, g, lanes);
    lanes.first.fill(none);
    for (std::size_t i = 0; i < risk_lanes; ++i) {
      lanes.reach[i] = (1.0 + group.headroom * headroom[i]) * (1.0 + relative_slack);
    }
    for (std::size_t s = 0; s < group.stretches.size(); ++s) {
      const RiskCourse::Stretch& stretch = group.stretches[s];
      const bool is_last = s + 1 == group.stretches.size();
      const std::size_t end = is_last ? group.end_day : group.stretches[s + 1].first_day;
      for (std::size_t i = 0; i < risk_lanes; ++i) {
        lanes.up[i] = -std::expm1(stretch.log_up / tau[i]);
        lanes.down[i] = -std::expm1(stretch.log_down / tau[i]);
      }
      const RiskDays days{stretch.first_day, std::min(end, group.end_day), course_.asked_from};
      walk_days(group.rows, days, light.values(), none, lanes);
    }
    return lanes.first;
  }

  /// Equation (4).
  void begin(const BlockDraws& draws, const LightDraws& light, std::size_t g,
             RiskLanes& lanes) const {
    const RiskCourse::Group& group = course_.groups[g];
    light_of(group.start, light.values(), lanes.dose, lanes.peak);
    if (!group.history_error) return;
    const LaneValues own = draws.factors({Draw::history, g}, *group.history_error);
    for (std::size_t i = 0; i < risk_lanes; ++i) {
      const double factor = own[i] * light.calibration()[i];
      lanes.dose[i] *= factor;
      lanes.peak[i] *= factor;
    }
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
