// How long things take: the planner alone, reading a tank, the whole process.
//   cmake --build --preset test && build/test/bench_slowdawn

#include <benchmark/benchmark.h>
#include <spawn.h>
#include <sys/wait.h>

#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <slowdawn/logbook/entry.hpp>
#include <slowdawn/logbook/logbook_file.hpp>
#include <slowdawn/logbook/replay.hpp>
#include <slowdawn/ramp/planner.hpp>
#include <slowdawn/tank/even_setup.hpp>
#include <slowdawn/tank/ramp_setup.hpp>
#include <stdexcept>

#include "bench_tank.hpp"

extern char** environ;

namespace slowdawn {
namespace {

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

/// The looks of two years at every group every third day, each written on its day.
std::vector<NewLogEntry> looks_of_two_years(const Tank& tank, std::size_t last_day) {
  std::vector<NewLogEntry> entries;
  for (std::size_t day = 0; day <= last_day; day += 3) {
    for (const Group& group : tank.groups) {
      CheckInEntry look{};
      look.group = group.name;
      const Date date = days_after(*tank.ramp.start, day);
      entries.push_back(to_log_entry(date, date, look, ""));
    }
  }
  return entries;
}

/// Gives the entries the days that each would have kept: as a plan looked at in time was lit.
void keep_record(const std::string& file, const std::vector<LogEntry>& stored,
                 std::vector<NewLogEntry>& entries) {
  std::vector<LogEntry> all = stored;
  for (const NewLogEntry& entry : entries) {
    all.push_back({static_cast<std::int64_t>(all.size()) + 1, entry.made, entry.date, entry.kind,
                   entry.body, entry.plan, "[]"});
  }
  const auto log = parse_log(file, all, entries.back().made);
  if (!log) throw std::runtime_error("the logbook is not read");
  const auto lived = replay(file, *log, entries.back().made);
  if (!lived || !*lived) throw std::runtime_error("the logbook is not lived through");
  auto from = (*lived)->record.begin();
  for (NewLogEntry& entry : entries) {
    const auto until = std::find_if(from, (*lived)->record.end(),
                                    [&](const RecordedDay& day) { return day.date >= entry.made; });
    entry.record = record_json({from, until});
    from = until;
  }
}

/// 12 groups, each looked at every third day of two years, all at ease: 2,929 entries.
void whole_process_today(benchmark::State& state) {
  const auto folder = std::filesystem::temp_directory_path() / "slowdawn-bench-today";
  std::filesystem::remove_all(folder);
  std::filesystem::create_directory(folder);
  const std::string file = (folder / "bench.tank.json").string();
  std::ofstream{file} << make_tank_text(12, false);
  const Tank tank = make_tank(12, false);
  const char* const today = "SLOWDAWN_TODAY";
  setenv(today, to_iso(*tank.ramp.start).c_str(), 1);
  const std::string follow = std::string{SLOWDAWN_PROGRAM} + " follow " + file + " >/dev/null";
  if (std::system(follow.c_str()) != 0) throw std::runtime_error("the plan was not followed");
  const std::size_t last_day = 731;
  const auto looks = [&](const std::vector<LogEntry>& stored) {
    std::vector<NewLogEntry> entries = looks_of_two_years(tank, last_day);
    keep_record(file, stored, entries);
    return tl::expected<std::vector<NewLogEntry>, ReadFailure>(std::move(entries));
  };
  const auto kept = LogbookFile::append(LogbookFile::path_beside(file), tank.name, looks);
  if (!kept) throw std::runtime_error("the logbook was not written");
  setenv(today, to_iso(days_after(*tank.ramp.start, last_day)).c_str(), 1);
  run_program(state, {"today", file});
  unsetenv(today);
  state.counters["entries"] = static_cast<double>(kept->size());
  std::filesystem::remove_all(folder);
}
BENCHMARK(whole_process_today)->Unit(benchmark::kMillisecond)->UseRealTime();

}  // namespace
}  // namespace slowdawn
