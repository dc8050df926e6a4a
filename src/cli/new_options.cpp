#include "cli/new_options.hpp"

#include <array>
#include <slowdawn/tank/answers.hpp>
#include <slowdawn/tank/readings_table.hpp>

namespace slowdawn {
namespace {

struct NewOption {
  const char* name;
  std::string NewOptions::*text;
  const char* type;
  const char* help;
};

constexpr std::array new_option_table{
    NewOption{"--readings", &NewOptions::readings, "FILE",
              "CSV file, one line a spot: spot, before, after,\nand x_cm, y_cm, depth_cm, group, "
              "profile,\nhistory_dose, history_peak if you like"},
    NewOption{"--name", &NewOptions::name, "TEXT", "Name of the tank"},
    NewOption{"--before-light", &NewOptions::before_light, "NAME", "Name of the light until now"},
    NewOption{"--before-dial", &NewOptions::before_dial, "PERCENT",
              "What it ran at, and was read at"},
    NewOption{"--before-photoperiod", &NewOptions::before_photoperiod, "TIMES",
              "Its day, 09:30-19:30, or\n\"09:00 to 20:00, 90 min rise and fall\""},
    NewOption{"--after-light", &NewOptions::after_light, "NAME",
              "Name of the light from now on; the same name\nif the light stays"},
    NewOption{"--after-dial", &NewOptions::after_dial, "PERCENT",
              "What it was read at for the column after"},
    NewOption{"--photoperiod", &NewOptions::photoperiod, "TIMES", "Its day"},
    NewOption{"--rise", &NewOptions::rise, "MINUTES", "Minutes of rise in its day"},
    NewOption{"--fall", &NewOptions::fall, "MINUTES", "Minutes of fall in its day"},
    NewOption{"--dial", &NewOptions::dial, "PERCENTS",
              "Its lowest, highest and step; else \"0 100 1\""},
    NewOption{"--dimming", &NewOptions::dimming, "PAIRS",
              "Its output as measured, \"25:21 50:47\";\nelse half is half"},
    NewOption{
        "--channels", &NewOptions::channels, "PERCENTS",
        "Its channels where it has any, each as it\nstands at 100 %: \"royal 100, violet 80\""},
    NewOption{"--goal", &NewOptions::goal, "PERCENT", "Where the ramp is to end"},
    NewOption{"--start", &NewOptions::start, "DATE", "First day; else today"},
    NewOption{"--pace", &NewOptions::pace, "PACE", "gentle, standard or brisk"},
    NewOption{"--every", &NewOptions::every_days, "DAYS",
              "Turn the dial every so many days, 1 to 28"},
    NewOption{"--profile", &NewOptions::profile, "KIND",
              "Kind of all groups for which the table\nnames none"},
    NewOption{"--immersion-factor", &NewOptions::immersion_factor, "FACTOR",
              "What your meter's maker gives for water; else 1"},
    NewOption{"--length-cm", &NewOptions::length_cm, "CM", "Length of the water"},
    NewOption{"--width-cm", &NewOptions::width_cm, "CM", "Width of the water"},
    NewOption{"--depth-cm", &NewOptions::depth_cm, "CM", "Depth of the water"},
};

const std::string new_example =
    "on a terminal slowdawn new alone asks; else for example: slowdawn new --readings readings.csv "
    "--name \"My reef\" --before-light tubes "
    "--before-dial 100 --before-photoperiod 09:30-19:30 --after-light bars --after-dial 40 "
    "--photoperiod 09:00-20:00 --rise 90 --fall 90 --goal 85";

/// Turns options into a draft and collects what is wrong with them.
class DraftMaker {
 public:
  explicit DraftMaker(const NewOptions& options, const Date& today) : options_(options) {
    draft_.start = today;
  }

  Findings& findings() { return findings_; }

  TankDraft make(ReadingsTable table) {
    draft_.spots = std::move(table.spots);
    draft_.groups = std::move(table.groups);
    take("--name", options_.name, parse_name, draft_.name);
    make_lights(table.has_after);
    take_goal();
    take("--start", options_.start, parse_date, draft_.start);
    take("--pace", options_.pace, parse_pace, draft_.pace);
    double every_days = draft_.every_days;
    take(
        "--every", options_.every_days,
        [](std::string_view text) { return parse_amount(text, 1, 28, "number of days"); },
        every_days);
    draft_.every_days = static_cast<int>(every_days);
    if (every_days != draft_.every_days) refuse("--every", {"days are whole", "give 1 to 28"});
    take(
        "--immersion-factor", options_.immersion_factor,
        [](std::string_view text) { return parse_amount(text, 0.5, 3, "factor"); },
        draft_.immersion_factor);
    take_water();
    return std::move(draft_);
  }

 private:
  void refuse(const std::string& option, const Fault& fault) {
    // Put together piece by piece: g++ 12 takes a braced one for uninitialised.
    Finding& finding = findings_.emplace_back();
    finding.place.file = "slowdawn";
    finding.what = option + ": " + fault.what;
    finding.hint = fault.hint;
  }

  /// Takes an option that was given into its place.
  template <class Parse, class Target>
  void take(const std::string& option, const std::string& text, const Parse& parse,
            Target& target) {
    if (text.empty()) return;
    const auto value = parse(text);
    if (value) {
      target = *value;
    } else {
      refuse(option, value.error());
    }
  }

  void make_lights(bool has_after) {
    DraftLight& light = draft_.new_light;
    take("--after-light", options_.after_light, parse_name, light.name);
    take("--photoperiod", options_.photoperiod, parse_day, light.day);
    const auto parse_minutes = [](std::string_view text) {
      return parse_amount(text, 0, whole_day.min(), "number of minutes").map([](double minutes) {
        return Minutes::min(minutes);
      });
    };
    take("--rise", options_.rise, parse_minutes, light.day.rise);
    take("--fall", options_.fall, parse_minutes, light.day.fall);
    if (findings_.empty()) {
      const auto day = check_day(light.day);
      if (!day) refuse("--photoperiod, --rise and --fall", day.error());
    }
    take("--dial", options_.dial, parse_dial, light.dial);
    take("--dimming", options_.dimming, parse_dimming, light.dimming);
    take("--channels", options_.channels, parse_channels, light.channels);
    if (has_after) take("--after-dial", options_.after_dial, parse_lit_percent, draft_.new_dial);
    if (options_.before_light.empty()) return;
    draft_.old_light = DraftLight{{}, light.day};
    take("--before-light", options_.before_light, parse_name, draft_.old_light->name);
    take("--before-dial", options_.before_dial, parse_lit_percent, draft_.old_dial);
    take("--before-photoperiod", options_.before_photoperiod, parse_day, draft_.old_light->day);
    if (draft_.keeps_light() && findings_.empty() && draft_.old_light->day != light.day) {
      refuse("--before-photoperiod",
             {"the light stays, so its day stays as well",
              "leave the option out, or give the lights two names if they are two"});
    }
  }

  void take_goal() {
    const DialRange dial = draft_.new_light.dial.value_or(DialRange{});
    if (options_.goal == "highest") {
      draft_.goal = dial.highest;
      return;
    }
    take("--goal", options_.goal, parse_lit_percent, draft_.goal);
  }

  void take_water() {
    const auto parse_length = [](std::string_view text) {
      return parse_amount(text, 1, 10000, "length").map([](double cm) { return Length::cm(cm); });
    };
    Water water{};
    take("--length-cm", options_.length_cm, parse_length, water.length);
    take("--width-cm", options_.width_cm, parse_length, water.width);
    take("--depth-cm", options_.depth_cm, parse_length, water.depth);
    const int given = (options_.length_cm.empty() ? 0 : 1) + (options_.width_cm.empty() ? 0 : 1) +
                      (options_.depth_cm.empty() ? 0 : 1);
    if (given == 3) draft_.water = water;
    if (given == 1 || given == 2) {
      refuse("--length-cm, --width-cm and --depth-cm",
             {"the water's measures go together", "give all three, or none of them"});
    }
  }

  const NewOptions& options_;
  TankDraft draft_;
  Findings findings_;
};

/// The options without which nothing can be planned.
std::vector<std::string> list_missing(const NewOptions& options, const ReadingsTable& table) {
  std::vector<std::string> missing;
  const auto need = [&](const char* name, const std::string& text) {
    if (text.empty()) missing.emplace_back(name);
  };
  const bool keeps_light =
      !options.before_light.empty() && options.before_light == options.after_light;
  need("--readings", options.readings);
  need("--name", options.name);
  if (table.has_before) need("--before-light", options.before_light);
  if (table.has_before || !options.before_light.empty()) {
    need("--before-dial", options.before_dial);
    if (!keeps_light) need("--before-photoperiod", options.before_photoperiod);
  }
  need("--after-light", options.after_light);
  if (table.has_after) need("--after-dial", options.after_dial);
  need("--photoperiod", options.photoperiod);
  need("--goal", options.goal);
  return missing;
}

}  // namespace

void add_new_options(CLI::App& command, NewOptions& options) {
  for (const NewOption& option : new_option_table) {
    command.add_option(option.name, options.*option.text, option.help)->type_name(option.type);
  }
}

std::string first_option_given(const CLI::App& command) {
  for (const NewOption& option : new_option_table) {
    if (command.count(option.name) > 0) return option.name;
  }
  return {};
}

OrExit<TankDraft> make_draft(const Console& console, bool json, const NewOptions& options,
                             const ProfileShelf& shelf) {
  // Without a table everything that one usually needs is missing.
  ReadingsTable readings{{}, {}, true, true};
  if (!options.readings.empty()) {
    const auto table = read_csv(options.readings);
    if (!table) return tl::make_unexpected(report_failure(console, json, table.error()));
    auto read = read_readings(*table, shelf, options.profile);
    if (!read) return tl::make_unexpected(report_failure(console, json, read.error()));
    readings = std::move(*read);
  }
  const std::vector<std::string> missing = list_missing(options, readings);
  if (!missing.empty()) {
    std::string list;
    for (std::size_t i = 0; i < missing.size(); ++i) {
      list += (i == 0 ? "" : i + 1 == missing.size() ? " and " : ", ") + missing[i];
    }
    return tl::make_unexpected(
        report_usage(console, json, "to make a tank file, new still needs " + list, new_example));
  }
  DraftMaker maker{options, console.today};
  TankDraft draft = maker.make(std::move(readings));
  if (maker.findings().empty()) return draft;
  report(console, json, maker.findings());
  return tl::make_unexpected(wrong_input);
}

}  // namespace slowdawn
