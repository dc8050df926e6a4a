// The words of a command line, one a line, run in a folder that has the example tank
// as reef.tank.json, the same tank followed as kept.tank.json, and a table of readings.
#include <unistd.h>

#include <chrono>
#include <filesystem>
#include <fstream>
#include <slowdawn/tank/examples.hpp>
#include <sstream>

#include "cli/program.hpp"
#include "fuzz.hpp"

namespace slowdawn {
namespace {

namespace fs = std::filesystem;

ExitCode run(const std::vector<std::string>& words, std::ostream& out, std::ostream& err) {
  return run_program(words,
                     {out, err, {}, *parse_date("2026-12-05"), std::chrono::steady_clock::now()});
}

/// A folder of our own, made once, and removed when the process ends.
class Folder {
 public:
  Folder() {
    std::string name = (fs::temp_directory_path() / "slowdawn-fuzz-XXXXXX").string();
    require(::mkdtemp(name.data()) != nullptr && ::chdir(name.c_str()) == 0, "a folder is made");
    path_ = name;
    require(std::freopen("/dev/null", "r", stdin) != nullptr, "no keyboard is waited for");
    std::ofstream{"kept.tank.json"} << tank_;
    std::ostringstream ignored;
    require(run({"follow", "kept.tank.json", "--start", "2026-12-01"}, ignored, ignored) == done,
            "the tank is followed");
    logbook_ << std::ifstream{"kept.logbook"}.rdbuf();
  }
  Folder(const Folder&) = delete;
  Folder& operator=(const Folder&) = delete;
  ~Folder() {
    std::error_code ignored;
    fs::remove_all(path_, ignored);
  }

  /// As each input finds it, whatever the last one has written.
  void tidy() const {
    for (const auto& entry : fs::directory_iterator{path_}) fs::remove_all(entry.path());
    std::ofstream{path_ / "reef.tank.json"} << tank_;
    std::ofstream{path_ / "kept.tank.json"} << tank_;
    std::ofstream{path_ / "kept.logbook"} << logbook_.str();
    std::ofstream{path_ / "readings.csv"} << "spot,before,after\ncrest,212,171\n";
  }

 private:
  std::string tank_{find_example("stairwell-reef").front().text};
  std::ostringstream logbook_;
  fs::path path_;
};

std::vector<std::string> words_of(const std::string& text) {
  std::vector<std::string> words;
  std::istringstream lines{text};
  for (std::string line; std::getline(lines, line);) {
    // What a shell hands over has no zero bytes; and nothing outside the folder is touched.
    if (line.find('\0') != std::string::npos || line.find('/') != std::string::npos) return {};
    if (line.find("..") != std::string::npos) return {};
    words.push_back(line);
  }
  return words;
}

void try_words(const std::string& text) {
  static const Folder folder;
  folder.tidy();
  std::ostringstream out;
  std::ostringstream err;
  const ExitCode code = run(words_of(text), out, err);
  require(code == done || code == no_safe_answer || code == wrong_input || code == no_access,
          "the exit code is one of those promised");
  if (code == wrong_input || code == no_access) {
    require(!err.str().empty() || !out.str().empty(), "a failure says something");
  }
}

}  // namespace
}  // namespace slowdawn

int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  slowdawn::try_words(slowdawn::text_of(data, size));
  return 0;
}
