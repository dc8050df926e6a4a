#include <memory>
#include <ostream>
#include <slowdawn/present/present.hpp>

#include "cli/commands.hpp"
#include "cli/value_words.hpp"

namespace slowdawn {
namespace {

struct DoseArguments {
  CommonArguments common;
  std::string file;
  bool allow_gaps = false;
  double immersion_factor = 1.0;
};

}  // namespace

RunCommand add_dose_command(CLI::App& command) {
  auto arguments = std::make_shared<DoseArguments>();
  command.add_option("LOG", arguments->file, "CSV with a time column and a PPFD column")
      ->type_name(" ")
      ->required();
  command.add_flag("--allow-gaps", arguments->allow_gaps,
                   "Cross gaps of over an hour by a straight line");
  command
      .add_option("--immersion-factor", arguments->immersion_factor,
                  "What every reading is multiplied by; 1 for a\nsensor that corrects itself")
      ->check(number_within(0.5, 3.0))
      ->type_name("FACTOR");
  command.add_flag("--json", arguments->common.json, "Answer, and report errors, as JSON");
  command.add_flag("--plain", arguments->common.plain, "No colour");
  command.footer(
      "Example: slowdawn dose sensor.csv\n"
      "  ...\n"
      "  2026-12-01  0.07   120  0.33 h  09:00 to 09:20\n"
      "  ...\n"
      "  As a group's history in a tank file: \"history\": {\"dose\": 0.07, \"peak\": 120}");
  return [arguments](const Console& console) {
    const bool json = arguments->common.json;
    auto log = read_ppfd_log(arguments->file);
    if (!log) return report_failure(console, json, log.error());
    for (LightSample& sample : log->samples) {
      sample.ppfd = arguments->immersion_factor * sample.ppfd;
    }
    const auto days = integrate_logged_light(log->samples, {.allow_gaps = arguments->allow_gaps});
    if (!days) {
      const LogFault& fault = days.error();
      report(console, json, {{log->place(fault.sample), fault.what, fault.hint}});
      return wrong_input;
    }
    console.out << (json ? dose_json(log->first_date, *days)
                         : dose_text(log->file, log->first_date, *days,
                                     style_of(console, arguments->common)));
    return done;
  };
}

}  // namespace slowdawn
