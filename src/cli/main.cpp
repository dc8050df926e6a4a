#include <chrono>
#include <exception>
#include <iostream>

#include "cli/program.hpp"

int main(int argc, char** argv) {
  using namespace slowdawn;
  const auto began = std::chrono::steady_clock::now();
  std::ios::sync_with_stdio(false);
  try {
    const std::vector<std::string> words{argv + 1, argv + argc};
    TextStyle style;
    style.colour = wants_colour();
    const Console console{std::cout, std::cerr, style, read_clock(), began, wants_progress()};
    const ExitCode code = run_program(words, console);
    std::cout.flush();
    if (!std::cout) {
      std::cerr << "slowdawn: error: the answer could not be written to standard output\n"
                   "hint: check the disk, or where the output goes\n";
      return no_access;
    }
    return code;
  } catch (const std::exception& error) {
    std::cerr << "slowdawn: error: a fault of the program itself: " << error.what()
              << "\nhint: please report it, with the command and the tank file\n";
    return own_fault;
  }
}
