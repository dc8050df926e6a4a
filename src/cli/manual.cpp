#include "cli/manual.hpp"

#include <fmt/format.h>

#include "cli/command_table.hpp"
#include "cli/help_formatter.hpp"
#include "cli/value_words.hpp"

namespace slowdawn {
namespace {

/// Text that troff takes for nothing but text.
std::string to_troff(std::string_view text) {
  std::string out;
  bool is_line_start = true;
  for (const char c : text) {
    if (is_line_start && (c == '.' || c == '\'')) out += "\\&";
    if (c == '\\') {
      out += "\\e";
    } else if (c == '-') {
      out += "\\-";
    } else if (c == '"') {
      out += "\\(dq";
    } else {
      out += c;
    }
    is_line_start = c == '\n';
  }
  return out;
}

/// Prose: hyphens stay hyphens, lines are filled.
std::string prose(std::string_view text) {
  std::string out;
  for (const char c : text) {
    if (c == '\\') {
      out += "\\e";
    } else {
      out += c == '\n' ? ' ' : c;
    }
  }
  const bool is_macro = out.starts_with(".") || out.starts_with("'");
  return (is_macro ? "\\&" : "") + out + "\n";
}

struct Described {
  const char* name;
  const char* about;
};

std::string described(const std::vector<Described>& list) {
  std::string out;
  for (const Described& one : list) {
    out += ".TP\n.B " + to_troff(one.name) + "\n" + prose(one.about);
  }
  return out;
}

std::string option_entry(const CLI::Option& option) {
  std::string names;
  for (const std::string& name : option.get_snames()) {
    names += (names.empty() ? "" : ", ") + fmt::format("\\fB\\-{}\\fR", to_troff(name));
  }
  for (const std::string& name : option.get_lnames()) {
    names += (names.empty() ? "" : ", ") + fmt::format("\\fB\\-\\-{}\\fR", to_troff(name));
  }
  const std::string word = value_word(option);
  if (!word.empty()) names += fmt::format(" \\fI{}\\fR", to_troff(word));
  std::string about = option.get_description();
  const std::string excluded = excluded_options(option);
  if (!excluded.empty()) about += ". Not together with " + excluded;
  return ".TP\n" + names + "\n" + prose(about + ".");
}

std::string command_section(const CLI::App& command) {
  std::string words;
  std::string about;
  std::string options;
  for (const CLI::Option* option : command.get_options()) {
    if (option->get_positional()) {
      const std::string pattern = positional_pattern(*option);
      words += " " + pattern;
      about += fmt::format(".TP\n\\fI{}\\fR\n", to_troff(pattern)) +
               prose(option->get_description() + ".");
    } else {
      options += option_entry(*option);
    }
  }
  std::string out = fmt::format(".SS \\fBslowdawn {}\\fR", to_troff(command.get_name()));
  out += fmt::format("\n.B slowdawn {}\n[\\fIOPTIONS\\fR]", to_troff(command.get_name()));
  if (!words.empty()) out += fmt::format("\\fI{}\\fR", to_troff(words));
  out += "\n.PP\n" + prose(command.get_description() + ".");
  const WorkedExample example = parse_example(command.get_footer());
  for (const std::string& remark : example.remarks) out += prose(remark);
  return out + about + options;
}

std::string example_entry(const CLI::App& command) {
  const WorkedExample example = parse_example(command.get_footer());
  if (example.line.empty()) return {};
  std::string out = ".PP\n" + prose(command.get_description() + ":");
  out += ".PP\n.RS 4\n.nf\n\\fB" + to_troff(example.line) + "\\fR\n";
  for (const std::string& line : example.answer) {
    out += (line.starts_with(".") || line.starts_with("'") ? "\\&" : "") + to_troff(line) + "\n";
  }
  return out + ".fi\n.RE\n";
}

const std::vector<Described>& environment() {
  static const std::vector<Described> list{
      {"SLOWDAWN_TANK", "The tank file, where none is given as an argument."},
      {"SLOWDAWN_TODAY",
       "A date, YYYY-MM-DD, that is taken for today in every command, in place of the "
       "computer's. For demonstrations and tests."},
      {"NO_COLOR", "Set to anything: no colour, as with --plain."},
      {"TERM", "dumb: no colour, and no line that says what takes so long."},
  };
  return list;
}

const std::vector<Described>& files() {
  static const std::vector<Described> list{
      {"NAME.tank.json",
       "A tank: water, lights, spots, readings, groups and the ramp that is wanted. Its JSON "
       "Schema comes from slowdawn schema. Without an argument and SLOWDAWN_TANK, the one in this "
       "folder is taken."},
      {"NAME.logbook",
       "Beside the tank file, from slowdawn follow on: what was dialled, moved and seen. Entries "
       "are only ever added."},
      {"FOLDER/NAME.json", "A profile of a kind of coral, for --profiles."},
  };
  return list;
}

const std::vector<Described>& exit_codes() {
  static const std::vector<Described> list{
      {"0", "Done."},
      {"1", "The input is understood, but there is no safe answer."},
      {"2", "The command line or the content of a file is wrong."},
      {"3", "A file could not be read or written."},
      {"70", "A fault of the program itself; please report it."},
  };
  return list;
}

const std::vector<Described>& cautions() {
  static const std::vector<Described> list{
      {"Caps", "They are cautious choices, not proven safe limits. Watch the animals."},
      {"Mains and water",
       "Switch off and unplug before you reach into the water. Lights and pumps belong on an "
       "outlet "
       "protected by a GFCI/RCD that you test, and every cord on a drip loop."},
      {"Hanging loads",
       "A light over water hangs from a rigid anchor within the load allowed, with a second "
       "tether."},
      {"Bright blue light",
       "Do not look into a lit fixture; it can harm the retina before it dazzles."},
      {"Palytoxin",
       "Some zoanthids and their kin carry it. Wear gloves and eye protection, never boil, scrub "
       "or "
       "dry them. Get medical help at once for a bitter or metallic taste, fever, cough, weakness "
       "or muscle pain."},
      {"When animals fail",
       "Think of other causes first: temperature, salinity, alkalinity, flow, pests, shipping."},
  };
  return list;
}

}  // namespace

std::string manual_text(const CLI::App& app) {
  const auto commands = app.get_subcommands({});
  std::string out = ".\\\" Made by slowdawn manual.\n";
  // No date: the same source is to give the same page.
  out += ".TH SLOWDAWN 1 \"\" \"slowdawn " SLOWDAWN_VERSION "\" \"User Commands\"\n";
  out += ".SH NAME\nslowdawn \\- plan how corals are taken to a different light\n";
  out += ".SH SYNOPSIS\n.B slowdawn\n\\fICOMMAND\\fR [\\fIOPTIONS\\fR] [\\fITANK\\fR]\n";
  out += ".br\n.B slowdawn\n\\fICOMMAND\\fR \\fB\\-\\-help\\fR\n";
  out += ".br\n.B slowdawn \\-\\-version\n";
  out += ".SH DESCRIPTION\n" + prose(app.get_description());
  out += prose(
      "From readings of light under the water it plans the dial setting of every day, so "
      "that no group of corals gets more light than its caps allow, and says which group "
      "holds the plan up and why.");
  out += ".SH COMMANDS\n";
  for (const CLI::App* command : commands) out += command_section(*command);
  out += ".SH ENVIRONMENT\n" + described(environment());
  out += ".SH FILES\n" + described(files());
  out += ".SH EXIT STATUS\n" + described(exit_codes());
  out += ".SH EXAMPLES\n";
  for (const CLI::App* command : commands) out += example_entry(*command);
  out += ".SH CAUTIONS\n" + described(cautions());
  return out;
}

}  // namespace slowdawn
