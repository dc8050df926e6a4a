#include <iostream>
#include <slowdawn/ramp/planner.hpp>
#include <slowdawn/tank/ramp_setup.hpp>

int main(int, char** argv) {
  const auto tank = slowdawn::read_tank(argv[1], slowdawn::ProfileShelf::built_in());
  if (!tank) return 2;
  const auto plan = slowdawn::compute_plan(slowdawn::make_ramp_setup(*tank).problem);
  std::cout << tank->name << ": " << plan.days.size() << " days\n";
}
