// The options from which a tank file is made without a question.
#pragma once

#include <slowdawn/tank/tank_draft.hpp>
#include <string>

#include "cli/session.hpp"

namespace slowdawn {

/// As given; all that were not are empty.
struct NewOptions {
  std::string readings;
  std::string name;
  std::string before_light;
  std::string before_dial;
  std::string before_photoperiod;
  std::string after_light;
  std::string after_dial;
  std::string photoperiod;
  std::string rise;
  std::string fall;
  std::string dial;
  std::string dimming;
  std::string channels;
  std::string goal;
  std::string start;
  std::string pace;
  std::string every_days;
  std::string profile;
  std::string immersion_factor;
  std::string length_cm;
  std::string width_cm;
  std::string depth_cm;
};

void add_new_options(CLI::App& command, NewOptions& options);

/// The first option that was given, "--name"; empty if none was.
std::string first_option_given(const CLI::App& command);

/// What the options and the table of readings make.
/// Errors, which are reported: all options that are missing, in one; options that
///   cannot be; and whatever is wrong with the table.
OrExit<TankDraft> make_draft(const Console& console, bool json, const NewOptions& options,
                             const ProfileShelf& shelf);

}  // namespace slowdawn
