#include <unistd.h>

#include <csignal>
#include <filesystem>
#include <iostream>
#include <memory>
#include <slowdawn/present/present.hpp>
#include <slowdawn/tank/examples.hpp>
#include <slowdawn/tank/nearest_name.hpp>
#include <slowdawn/tank/text_file.hpp>

#include "cli/commands.hpp"
#include "cli/file_kind.hpp"
#include "cli/new_options.hpp"
#include "cli/new_questions.hpp"

namespace slowdawn {
namespace {

struct NewArguments {
  CommonArguments common;
  NewOptions options;
  std::string example;
  std::string file;
  bool force = false;
};

/// While it lives, an interrupt says that nothing was written, and then ends the
/// program as it would without.
class InterruptNotice {
 public:
  InterruptNotice() { old_ = std::signal(SIGINT, say_and_end); }
  ~InterruptNotice() { std::signal(SIGINT, old_); }
  InterruptNotice(const InterruptNotice&) = delete;
  InterruptNotice& operator=(const InterruptNotice&) = delete;

 private:
  static void say_and_end(int number) {
    constexpr std::string_view text = "\nNothing was written.\n";
    [[maybe_unused]] const auto written = ::write(STDERR_FILENO, text.data(), text.size());
    std::signal(number, SIG_DFL);
    std::raise(number);
  }

  void (*old_)(int) = SIG_DFL;
};

ExitCode refuse_taken(const Console& console, bool json, const std::string& file) {
  report(console, json,
         {{{file, 0, 0, ""},
           "there is such a file already, and nothing was written",
           "name another one with -o, or replace it with --force"}});
  return wrong_input;
}

/// Refuses a file that is there: any without --force, and with it whatever is no tank file.
std::optional<ExitCode> refuse_to_replace(const Console& console, const NewArguments& arguments,
                                          const std::string& file) {
  const bool json = arguments.common.json;
  if (is_taken(file) && !arguments.force) return refuse_taken(console, json, file);
  const auto allowed = check_may_replace(file, FileKind::tank);
  if (allowed) return std::nullopt;
  return report_failure(console, json, allowed.error());
}

/// A table or a spectrum that goes with an example may be there as it is, and is no
/// other's to be replaced.
std::optional<ExitCode> refuse_to_replace(const Console& console, const NewArguments& arguments,
                                          const std::string& file, std::string_view text) {
  const bool json = arguments.common.json;
  if (!is_taken(file)) return std::nullopt;
  if (!arguments.force) return refuse_taken(console, json, file);
  const auto there = read_text_file(file);
  if (there && *there == text) return std::nullopt;
  report(
      console, json,
      {{{file, 0, 0, ""},
        "this is not the file that belongs to the example, and is not written over",
        "move it away, or write the example into another folder with -o FOLDER/NAME.tank.json"}});
  return wrong_input;
}

ExitCode write_example(const Console& console, const NewArguments& arguments) {
  const bool json = arguments.common.json;
  const std::vector<ExampleFile> files = find_example(arguments.example);
  if (files.empty()) {
    return report_usage(console, json, "there is no example \"" + arguments.example + "\"",
                        hint_for_name(arguments.example, example_names()));
  }
  const std::string tank_file =
      arguments.file.empty() ? std::string{files.front().name} : arguments.file;
  if (tank_file == "-") {
    console.out << files.front().text;
    return done;
  }
  if (const auto refused = refuse_to_replace(console, arguments, tank_file)) return *refused;
  std::vector<std::string> names{tank_file};
  const auto slash = tank_file.rfind('/');
  const std::string folder = slash == std::string::npos ? "" : tank_file.substr(0, slash + 1);
  for (std::size_t i = 1; i < files.size(); ++i)
    names.push_back(folder + std::string{files[i].name});
  for (std::size_t i = 1; i < files.size(); ++i) {
    const auto refused = refuse_to_replace(console, arguments, names[i], files[i].text);
    if (refused) return *refused;
  }
  // The tank file last, so that no tank is there without the files that it names.
  for (std::size_t i = files.size() - 1; i > 0; --i) {
    const auto written = write_text_file(names[i], files[i].text);
    if (!written) return report_failure(console, json, written.error());
    note_written(console);
  }
  return write_output(console, arguments.common, tank_file, files.front().text,
                      "Next: slowdawn plan " + to_safe_text(tank_file));
}

ExitCode write_draft(const Console& console, const NewArguments& arguments, const TankDraft& draft,
                     const ProfileShelf& shelf) {
  const bool json = arguments.common.json;
  const std::string file = arguments.file.empty() ? tank_file_name(draft.name) : arguments.file;
  const auto tank = make_new_tank(draft, file, shelf);
  if (!tank) return report_failure(console, json, tank.error());
  if (file != "-") {
    if (const auto refused = refuse_to_replace(console, arguments, file)) return *refused;
  }
  if (!json) console.err << findings_text(tank->warnings, "warning");
  return write_output(console, arguments.common, file, tank_draft_json(draft),
                      "Next: slowdawn plan " + to_safe_text(file));
}

ExitCode ask_and_write(const Console& console, const NewArguments& arguments,
                       const ProfileShelf& shelf) {
  const bool json = arguments.common.json;
  if (!arguments.file.empty()) {
    if (const auto refused = refuse_to_replace(console, arguments, arguments.file)) return *refused;
  }
  // Before an answer is given in vain.
  const std::filesystem::path folder = std::filesystem::path{arguments.file}.parent_path();
  if (::access(folder.empty() ? "." : folder.c_str(), W_OK) != 0) {
    report(console, json,
           {{{folder.empty() ? "." : folder.string(), 0, 0, ""},
             "no file can be written into this folder",
             "check that it is there, and who may write into it; or name another with -o"}});
    return no_access;
  }
  const NewTankSetting setting{shelf, style_of(console, arguments.common), arguments.file,
                               arguments.force};
  std::optional<NewTank> answers;
  {
    const InterruptNotice notice;
    answers = ask_for_tank(std::cin, console.out, setting, console.today);
  }
  if (!answers) {
    console.out << "\n" << std::flush;
    return report_usage(console, json, "the questions were not answered to the end",
                        "nothing was written; slowdawn new begins anew");
  }
  return write_draft(console, arguments, answers->draft, shelf);
}

}  // namespace

RunCommand add_new_command(CLI::App& command) {
  auto arguments = std::make_shared<NewArguments>();
  NewArguments& a = *arguments;
  std::string examples;
  for (const std::string& name : example_names())
    examples += (examples.empty() ? "" : ",\n") + name;
  command.add_option("--example", a.example, "Write a built-in example instead:\n" + examples)
      ->type_name("NAME");
  command.add_option("-o,--output", a.file, "The file to write; else the tank's name makes it")
      ->type_name("FILE");
  command.add_flag("--force", a.force, "Replace a tank file that is there");
  add_new_options(command, a.options);
  add_output_arguments(command, a.common);
  command.footer(
      "Example: slowdawn new --example frag-rack\n"
      "  Written: frag-rack.tank.json. Next: slowdawn plan frag-rack.tank.json\n"
      "\n"
      "Alone, on a terminal, it asks. With --readings it takes what it needs from the\n"
      "table and the options:\n"
      "  slowdawn new --readings readings.csv --name \"My reef\" \\\n"
      "    --before-light tubes --before-dial 100 --before-photoperiod 09:30-19:30 \\\n"
      "    --after-light bars --after-dial 40 --photoperiod 09:00-20:00 \\\n"
      "    --rise 90 --fall 90 --goal 85");
  return [arguments, &command](const Console& console) {
    const bool json = arguments->common.json;
    const std::string given = first_option_given(command);
    if (command.count("--example") > 0) {
      if (given.empty()) return write_example(console, *arguments);
      return report_usage(console, json, "--example and " + given + " do not go together",
                          "an example is written as it is; leave one of them out");
    }
    const auto shelf = load_profiles(console, arguments->common);
    if (!shelf) return shelf.error();
    const bool is_terminal = isatty(STDIN_FILENO) == 1 && isatty(STDOUT_FILENO) == 1;
    if (given.empty() && is_terminal && !json) return ask_and_write(console, *arguments, *shelf);
    const auto draft = make_draft(console, json, arguments->options, *shelf);
    if (!draft) return draft.error();
    return write_draft(console, *arguments, *draft, *shelf);
  };
}

}  // namespace slowdawn
