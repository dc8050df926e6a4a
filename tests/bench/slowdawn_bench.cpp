// How long things take: the planner alone, reading a tank, the whole process.
//   cmake --build --preset test && build/test/bench_slowdawn

#include <benchmark/benchmark.h>
#include <spawn.h>
#include <sys/wait.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <slowdawn/ramp/planner.hpp>
#include <slowdawn/tank/even_setup.hpp>
#include <slowdawn/tank/ramp_setup.hpp>

extern char** environ;

namespace slowdawn {
namespace {

/// An invented tank of `groups` groups at as many spots whose plan takes about
/// 120 days; `dimming` gives both lights a curve and crossing days.
std::string make_tank_text(int groups, bool dimming) {
  std::string spots;
  std::string before;
  std::string front;
  std::string rear;
  std::string list;
  for (int g = 0; g < groups; ++g) {
    const std::string comma = g == 0 ? "" : ",";
    const std::string name = "\"spot " + std::to_string(g) + "\"";
    spots += comma + "{\"name\":" + name + "}";
    before += comma + name + ":" + std::to_string(90 + 5 * (g % 12));
    front += comma + name + ":" + std::to_string(60 + 3 * (g % 12));
    rear += comma + name + ":" + std::to_string(50 + 4 * (g % 7));
    list += comma + "{\"name\":\"group " + std::to_string(g) +
            "\",\"profile\":\"acropora\",\"spot\":" + name +
            (g % 3 == 0 ? ",\"override\":{\"weekly_rise_percent\":6}" : "") + "}";
  }
  const std::string curve = dimming ? ",\"dimming\":[[25,21],[50,47],[75,74]]" : "";
  return "{\"format\":\"slowdawn-tank/1\",\"name\":\"bench\",\"lights\":["
         "{\"name\":\"old\",\"photoperiod\":{\"on\":\"09:00\",\"off\":\"19:00\"}},"
         "{\"name\":\"front\",\"photoperiod\":{\"on\":\"09:00\",\"off\":\"18:00\","
         "\"rise_minutes\":240,\"fall_minutes\":240}" +
         curve +
         "},{\"name\":\"rear\",\"photoperiod\":{\"on\":\"12:00\",\"off\":\"22:00\","
         "\"rise_minutes\":240,\"fall_minutes\":240}" +
         curve + "}],\"spots\":[" + spots +
         "],\"surveys\":["
         "{\"dials\":{\"old\":100},\"ppfd\":{" +
         before + "}},{\"dials\":{\"front\":40},\"ppfd\":{" + front +
         "}},{\"dials\":{\"rear\":40},\"ppfd\":{" + rear + "}}],\"groups\":[" + list +
         "],\"ramp\":{\"from\":{\"old\":100},\"to\":{\"front\":95,\"rear\":95},"
         "\"start\":\"2026-12-01\"}}";
}

Tank make_tank(int groups, bool dimming) {
  return parse_tank("bench.tank.json", make_tank_text(groups, dimming), ProfileShelf::built_in())
      .value();
}

void plan_alone(benchmark::State& state) {
  const RampSetup setup = make_ramp_setup(make_tank(12, state.range(0) == 1));
  std::size_t days = 0;
  for (auto _ : state) {
    const Plan plan = compute_plan(setup.problem);
    days = plan.days.size();
    benchmark::DoNotOptimize(plan.days.data());
  }
  state.counters["days"] = static_cast<double>(days);
}
BENCHMARK(plan_alone)->Arg(0)->Arg(1)->ArgName("dimming")->Unit(benchmark::kMicrosecond);

void find_even_ramp(benchmark::State& state) {
  const Tank tank = make_tank(12, state.range(0) == 1);
  const RampSetup setup = make_ramp_setup(tank);
  std::size_t days = 0;
  for (auto _ : state) {
    const auto line = find_even_line(tank, setup);
    days = line->days;
    benchmark::DoNotOptimize(days);
  }
  state.counters["days"] = static_cast<double>(days);
}
BENCHMARK(find_even_ramp)->Arg(0)->Arg(1)->ArgName("dimming")->Unit(benchmark::kMillisecond);

void set_up_exposures(benchmark::State& state) {
  const Tank tank = make_tank(12, state.range(0) == 1);
  for (auto _ : state) {
    const RampSetup setup = make_ramp_setup(tank);
    benchmark::DoNotOptimize(setup.problem.groups.data());
  }
}
BENCHMARK(set_up_exposures)->Arg(0)->Arg(1)->ArgName("dimming")->Unit(benchmark::kMicrosecond);

void read_tank_text(benchmark::State& state) {
  const std::string text = make_tank_text(12, true);
  const ProfileShelf shelf = ProfileShelf::built_in();
  for (auto _ : state) {
    const auto tank = parse_tank("bench.tank.json", text, shelf);
    benchmark::DoNotOptimize(tank.has_value());
  }
}
BENCHMARK(read_tank_text)->Unit(benchmark::kMicrosecond);

void run_program(benchmark::State& state, std::vector<std::string> words) {
  std::vector<char*> arguments;
  words.insert(words.begin(), SLOWDAWN_PROGRAM);
  for (std::string& word : words) arguments.push_back(word.data());
  arguments.push_back(nullptr);
  posix_spawn_file_actions_t actions;
  posix_spawn_file_actions_init(&actions);
  posix_spawn_file_actions_addopen(&actions, 1, "/dev/null", 1, 0);
  for (auto _ : state) {
    pid_t child = 0;
    int status = 0;
    posix_spawn(&child, SLOWDAWN_PROGRAM, &actions, nullptr, arguments.data(), environ);
    waitpid(child, &status, 0);
    if (status != 0) state.SkipWithError("the program failed");
  }
  posix_spawn_file_actions_destroy(&actions);
}

void whole_process_version(benchmark::State& state) { run_program(state, {"--version"}); }
BENCHMARK(whole_process_version)->Unit(benchmark::kMillisecond)->UseRealTime();

void whole_process_plan(benchmark::State& state) {
  const bool dimming = state.range(0) == 1;
  const auto file = std::filesystem::temp_directory_path() / "slowdawn-bench.tank.json";
  std::ofstream{file} << make_tank_text(12, dimming);
  run_program(state, {"plan", file.string(), "--json"});
  std::filesystem::remove(file);
}
BENCHMARK(whole_process_plan)
    ->Arg(0)
    ->Arg(1)
    ->ArgName("dimming")
    ->Unit(benchmark::kMillisecond)
    ->UseRealTime();

}  // namespace
}  // namespace slowdawn
