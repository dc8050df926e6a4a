// Farms: how the time goes with the number of groups, and what memory they take.
// The farms are those of make_farm.py.
//   cmake --build --preset test && build/test/bench_slowdawn --benchmark_filter=farm

#include <benchmark/benchmark.h>
#include <spawn.h>
#include <sys/resource.h>
#include <sys/wait.h>

#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <slowdawn/ramp/placement.hpp>
#include <slowdawn/tank/light_maps.hpp>
#include <slowdawn/tank/placement_setup.hpp>
#include <slowdawn/tank/ramp_setup.hpp>
#include <sstream>
#include <stdexcept>

#include "bench_tank.hpp"

extern char** environ;

namespace slowdawn {
namespace {

/// The file of a farm, made where it is not there yet.
std::string farm_file(long groups, long spots, double unread = 0.0) {
  const std::string name = "slowdawn-farm-" + std::to_string(groups) + "-" + std::to_string(spots) +
                           (unread > 0.0 ? "-unread" : "");
  const auto file = std::filesystem::temp_directory_path() / (name + ".tank.json");
  std::ostringstream command;
  command << SLOWDAWN_PYTHON << " " << SLOWDAWN_MAKE_FARM << " tank " << file.string()
          << " --groups " << groups << " --spots " << spots << " --unread " << unread;
  if (std::system(command.str().c_str()) != 0) throw std::runtime_error("no farm was made");
  return file.string();
}

std::string farm_text(long groups, long spots, double unread = 0.0) {
  std::ostringstream text;
  text << std::ifstream{farm_file(groups, spots, unread)}.rdbuf();
  return text.str();
}

Tank make_farm(long groups, long spots, double unread = 0.0) {
  return parse_tank("farm.tank.json", farm_text(groups, spots, unread), ProfileShelf::built_in())
      .value();
}

void farm_plan_alone(benchmark::State& state) {
  const RampSetup setup = make_ramp_setup(make_farm(state.range(0), state.range(0) / 5));
  std::size_t days = 0;
  for (auto _ : state) {
    const Plan plan = compute_plan(setup.problem);
    days = plan.days.size();
    benchmark::DoNotOptimize(plan.days.data());
  }
  state.counters["days"] = static_cast<double>(days);
  state.counters["per_group_day"] = benchmark::Counter(
      static_cast<double>(days) * static_cast<double>(state.range(0)),
      benchmark::Counter::kIsIterationInvariantRate | benchmark::Counter::kInvert);
  state.SetComplexityN(state.range(0));
}
BENCHMARK(farm_plan_alone)
    ->Arg(1000)
    ->Arg(3000)
    ->Arg(10000)
    ->ArgName("groups")
    ->Unit(benchmark::kMillisecond)
    ->UseRealTime()
    ->Complexity(benchmark::oN);

void farm_read(benchmark::State& state) {
  const std::string text = farm_text(state.range(0), state.range(0) / 5);
  const ProfileShelf shelf = ProfileShelf::built_in();
  for (auto _ : state) {
    const auto tank = parse_tank("farm.tank.json", text, shelf);
    benchmark::DoNotOptimize(tank.has_value());
  }
  state.SetComplexityN(state.range(0));
}
BENCHMARK(farm_read)
    ->Arg(1000)
    ->Arg(3000)
    ->Arg(10000)
    ->ArgName("groups")
    ->Unit(benchmark::kMillisecond)
    ->Complexity(benchmark::oN);

void farm_set_up(benchmark::State& state) {
  const Tank tank = make_farm(state.range(0), state.range(0) / 5);
  for (auto _ : state) {
    const RampSetup setup = make_ramp_setup(tank);
    benchmark::DoNotOptimize(setup.problem.groups.data());
  }
}
BENCHMARK(farm_set_up)->Arg(10000)->ArgName("groups")->Unit(benchmark::kMillisecond);

/// As `slowdawn place`: at the goal, over the dial, and who is right nowhere. With room
/// for one at each spot groups contend for it; with 40 hardly any do.
void farm_place(benchmark::State& state) {
  const Tank tank = make_farm(500, 800);
  PlacementSetup setup = make_placement_setup(tank, std::log(1.25));
  setup.problem.capacity.assign(setup.problem.spots, static_cast<std::size_t>(state.range(0)));
  std::vector<std::size_t> settings;
  for (std::size_t i = 0; i < setup.settings.size(); ++i) settings.push_back(i);
  for (auto _ : state) {
    const Placement placed = place_groups(setup.problem, setup.goal);
    const Placement over_dial = place_over_settings(setup.problem, settings);
    const auto nowhere = groups_without_a_spot(setup.problem, settings);
    benchmark::DoNotOptimize(placed.within + over_dial.within + nowhere.size());
  }
}
BENCHMARK(farm_place)
    ->Arg(1)
    ->Arg(40)
    ->ArgName("capacity")
    ->Unit(benchmark::kMillisecond)
    ->UseRealTime();

void farm_light_map(benchmark::State& state) {
  const Tank tank = make_farm(state.range(0), state.range(0), 0.2);
  for (auto _ : state) {
    const auto map = fit_light_map(tank, 1);
    benchmark::DoNotOptimize(map.has_value());
  }
}
BENCHMARK(farm_light_map)
    ->Arg(40)
    ->Arg(200)
    ->Arg(2000)
    ->ArgName("spots")
    ->Unit(benchmark::kMillisecond);

/// The whole program, with the most memory it had.
void farm_program(benchmark::State& state, std::vector<std::string> words) {
  const std::string file = farm_file(10000, 2000);
  words.insert(words.begin(), SLOWDAWN_PROGRAM);
  words.push_back(file);
  std::vector<char*> arguments;
  for (std::string& word : words) arguments.push_back(word.data());
  arguments.push_back(nullptr);
  posix_spawn_file_actions_t actions;
  posix_spawn_file_actions_init(&actions);
  posix_spawn_file_actions_addopen(&actions, 1, "/dev/null", 1, 0);
  double most_mb = 0.0;
  for (auto _ : state) {
    pid_t child = 0;
    int status = 0;
    rusage usage{};
    posix_spawn(&child, SLOWDAWN_PROGRAM, &actions, nullptr, arguments.data(), environ);
    wait4(child, &status, 0, &usage);
    if (status != 0) state.SkipWithError("the program failed");
    most_mb = std::max(most_mb, static_cast<double>(usage.ru_maxrss) / 1000.0);
  }
  state.counters["most_MB"] = most_mb;
  posix_spawn_file_actions_destroy(&actions);
}
BENCHMARK_CAPTURE(farm_program, summary, {"plan", "--summary"})
    ->Unit(benchmark::kMillisecond)
    ->UseRealTime();
BENCHMARK_CAPTURE(farm_program, today, {"today", "--date", "2027-01-20"})
    ->Unit(benchmark::kMillisecond)
    ->UseRealTime();
BENCHMARK_CAPTURE(farm_program, csv, {"plan", "--csv"})
    ->Unit(benchmark::kMillisecond)
    ->UseRealTime();

}  // namespace
}  // namespace slowdawn
