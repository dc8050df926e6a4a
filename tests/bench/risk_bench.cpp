// The risk: its innermost loop set against what the machine can do at most, in the
// same run, and the whole of it.
//   build/test/bench_slowdawn --benchmark_filter='risk|machine'

#include <benchmark/benchmark.h>
#include <oneapi/tbb/global_control.h>

#include <array>
#include <slowdawn/tank/risk_setup.hpp>
#include <vector>

#include "bench_tank.hpp"
#include "ramp/risk_walk.hpp"

#if defined(__x86_64__) && defined(__ELF__)
#define BENCH_WIDE __attribute__((target_clones("avx2", "default")))
#else
#define BENCH_WIDE
#endif

namespace slowdawn {
namespace {

constexpr std::size_t groups = 12;
constexpr std::size_t days = 120;
constexpr std::size_t draws = 10000;

double of_lanes(std::size_t lanes) { return static_cast<double>(lanes); }

/// The plan of the benchmarks' tank, cut to its first 120 days or its last repeated.
RiskCourse make_course() {
  const Tank tank = make_tank(groups, true);
  const RampSetup setup = make_ramp_setup(tank);
  Plan plan = compute_plan(setup.problem);
  plan.days.resize(days, plan.days.back());
  return make_risk_course({tank, setup, plan, dials_by_day(setup, plan)}, 0);
}

/// Operations of arithmetic and comparison that the days of a course take in walk_days for
/// one draw: each day twice a comparison, a choice, a difference, a product and a sum; the
/// first of a row the products and sums of its light as well, two tests of two each, their
/// union, the mark and its least.
double count_operations(const RiskCourse& course) {
  double operations = 0.0;
  for (const RiskCourse::Group& group : course.groups) {
    operations += 10.0 * of_lanes(days);
    for (const RiskCourse::Row& row : group.rows) {
      operations += 7.0 + 2.0 * (2.0 * of_lanes(row.parts.size()) - 1.0);
    }
  }
  return operations;
}

void risk_walk_alone(benchmark::State& state) {
  const RiskCourse course = make_course();
  std::vector<RiskValues> outputs;
  for (const RiskCourse::Spot& spot : course.spots) {
    for (const RiskCourse::Output& output : spot.outputs) {
      outputs.emplace_back().fill(output.full.umol_m2_s());
    }
  }
  const RiskDrawn drawn{outputs, {}};
  for (auto _ : state) {
    for (const RiskCourse::Group& group : course.groups) {
      for (std::size_t block = 0; block * risk_lanes < draws; ++block) {
        RiskLanes lanes;
        light_of(group.start, drawn, lanes.dose, lanes.peak);
        lanes.reach.fill(1.35);
        lanes.up.fill(0.1);
        lanes.down.fill(0.07);
        lanes.first.fill(of_lanes(days));
        walk_days(group.rows, {0, days, 0}, drawn, of_lanes(days), lanes);
        benchmark::DoNotOptimize(lanes);
      }
    }
  }
  const double blocks = (draws + risk_lanes - 1) / risk_lanes;
  const double walked = blocks * of_lanes(risk_lanes * groups * days);
  using Counter = benchmark::Counter;
  state.counters["days*groups"] = Counter(walked, Counter::kIsIterationInvariantRate);
  state.counters["operations"] = Counter(blocks * of_lanes(risk_lanes) * count_operations(course),
                                         Counter::kIsIterationInvariantRate);
  // What it must read and write at least: its state, once for each group's whole course.
  state.counters["bytes"] =
      Counter(blocks * groups * of_lanes(sizeof(RiskLanes)), Counter::kIsIterationInvariantRate);
}
BENCHMARK(risk_walk_alone)->Unit(benchmark::kMillisecond);

/// Everything: draws, quantiles, walk, counts. Batches are whole, so that 12,288 draws
/// are made.
void risk_whole(benchmark::State& state) {
  const RiskCourse course = make_course();
  const tbb::global_control limit{tbb::global_control::max_allowed_parallelism,
                                  static_cast<std::size_t>(state.range(0))};
  std::size_t made = 0;
  for (auto _ : state) {
    const Risk risk = compute_risk(course, 1, draws);
    made = risk.draws;
    benchmark::DoNotOptimize(risk.any.met);
  }
  state.counters["draws"] = of_lanes(made);
  state.counters["days*groups"] = benchmark::Counter(of_lanes(made * groups * days),
                                                     benchmark::Counter::kIsIterationInvariantRate);
}
BENCHMARK(risk_whole)
    ->Arg(1)
    ->Arg(2)
    ->ArgName("threads")
    ->Unit(benchmark::kMillisecond)
    ->UseRealTime();

#if defined(__x86_64__)
/// Products and sums fused, on enough accumulators to hide how long one takes; the
/// most arithmetic that a core can do with vectors of four.
__attribute__((target("avx2,fma"))) double multiply_and_add(std::size_t rounds) {
  using Four = double __attribute__((vector_size(32)));
  std::array<Four, 12> sums{};
  const Four factor{0.999, 0.998, 0.997, 0.996};
  const Four term{0.1, 0.2, 0.3, 0.4};
  for (std::size_t round = 0; round < rounds; ++round) {
    for (Four& sum : sums) sum = __builtin_ia32_vfmaddpd256(sum, factor, term);
  }
  double total = 0.0;
  for (const Four& sum : sums) total += sum[0] + sum[1] + sum[2] + sum[3];
  return total;
}

void machine_multiply_and_add(benchmark::State& state) {
  if (!__builtin_cpu_supports("fma")) {
    state.SkipWithError("this machine does not fuse products and sums");
    return;
  }
  std::size_t rounds = 100000;
  for (auto _ : state) {
    // Else the work, always the same, would be done once.
    benchmark::DoNotOptimize(rounds);
    benchmark::DoNotOptimize(multiply_and_add(rounds));
  }
  state.counters["operations"] = benchmark::Counter(of_lanes(rounds * 12 * 4 * 2),
                                                    benchmark::Counter::kIsIterationInvariantRate);
}
BENCHMARK(machine_multiply_and_add)->Unit(benchmark::kMillisecond);
#endif

BENCH_WIDE void scaled_sum(double* to, const double* one, const double* other, std::size_t count) {
  for (std::size_t i = 0; i < count; ++i) to[i] = one[i] + 3.0 * other[i];
}

/// The triad of two arrays into a third, far larger than any cache; 24 bytes each.
void machine_memory(benchmark::State& state) {
  constexpr std::size_t count = 16 << 20;
  std::vector<double> to(count);
  const std::vector<double> one(count, 1.0);
  const std::vector<double> other(count, 2.0);
  for (auto _ : state) {
    scaled_sum(to.data(), one.data(), other.data(), count);
    benchmark::ClobberMemory();
  }
  state.counters["bytes"] =
      benchmark::Counter(of_lanes(count * 24), benchmark::Counter::kIsIterationInvariantRate);
}
BENCHMARK(machine_memory)->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace slowdawn
