#include <fcntl.h>
#include <signal.h>
#include <unistd.h>

#include <chrono>
#include <csignal>
#include <exception>
#include <iostream>
#include <slowdawn/tank/text_file.hpp>
#include <string_view>

#include "cli/program.hpp"

namespace slowdawn {
namespace {

/// Leaves nothing half-written and ends as the signal would have ended it, so that a
/// shell sees which it was.
extern "C" void end_by_signal(int number) {
  abandon_writing();
  std::raise(number);
}

/// But for signals that whoever started the program wants ignored.
void catch_signals() {
  for (const int number : {SIGINT, SIGTERM, SIGHUP}) {
    struct sigaction now {};
    if (::sigaction(number, nullptr, &now) != 0 || now.sa_handler == SIG_IGN) continue;
    now.sa_handler = end_by_signal;
    // The default comes back, and takes the signal that is raised.
    now.sa_flags = static_cast<int>(SA_RESETHAND);
    ::sigaction(number, &now, nullptr);
  }
}

/// Takes the places of standard streams that were closed, so that no file that is opened
/// later stands there and has an answer or an error written into it. Nothing can be written
/// to them, as to closed ones.
void fill_closed_streams() {
  for (const int stream : {STDIN_FILENO, STDOUT_FILENO, STDERR_FILENO}) {
    if (::fcntl(stream, F_GETFD) < 0) ::open("/dev/null", O_RDONLY);
  }
}

/// What to say when standard output takes no answer.
std::string_view lost_answer(bool has_written) {
  if (has_written) {
    return "slowdawn: error: what was to be written is written; only the answer could not be "
           "written to standard output\n"
           "hint: do not run the command again; check the disk, or where the output goes\n";
  }
  return "slowdawn: error: the answer could not be written to standard output\n"
         "hint: check the disk, or where the output goes\n";
}

}  // namespace
}  // namespace slowdawn

int main(int argc, char** argv) {
  using namespace slowdawn;
  const auto began = std::chrono::steady_clock::now();
  std::ios::sync_with_stdio(false);
  fill_closed_streams();
  catch_signals();
  try {
    const std::vector<std::string> words{argv + 1, argv + argc};
    TextStyle style;
    style.colour = wants_colour();
    const Clock clock = read_clock();
    const Console console{std::cout,        std::cerr,          style,        clock.today, began,
                          wants_progress(), clock.today_is_set, clock.problem};
    const ExitCode code = run_program(words, console);
    std::cout.flush();
    if (!std::cout) {
      std::cerr << lost_answer(console.has_written);
      return no_access;
    }
    return code;
  } catch (const std::exception& error) {
    std::cerr << "slowdawn: error: a fault of the program itself: " << error.what()
              << "\nhint: please report it, with the command and the tank file\n";
    return own_fault;
  }
}
