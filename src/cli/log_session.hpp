// What the commands share that know the logbook.
#pragma once

#include <functional>
#include <slowdawn/logbook/plan_change.hpp>
#include <vector>

#include "cli/ramp_options.hpp"
#include "cli/session.hpp"

namespace slowdawn {

/// The ramp that is followed, lived through up to today; with options, what would come
/// if it were followed again today with them; where none is followed, the one that the
/// tank file asks for.
/// Days after today are planned as if every look were made in time and nothing were seen.
OrExit<LoadedRamp> load_ramp(const Console& console, const CommonArguments& arguments,
                             const RampOptions& options);

/// The ramp that is followed, lived through up to today; empty where none is.
OrExit<std::optional<LoadedRamp>> load_followed(const Console& console, bool json,
                                                const Tank& tank);

/// What a write is made from: the ramp as it is followed, and the day.
struct WriteContext {
  /// Empty where nothing is followed yet.
  const LoadedRamp* loaded;
  const Log& log;
  /// The day that is written as `made`.
  Date today;
  /// The day that the entries speak of.
  Date date;
};

/// Which entries to write.
using MakeBodies = std::function<OrExit<std::vector<EntryBody>>(const WriteContext&)>;

struct WriteOptions {
  /// The day that the entries speak of, as given; empty for today.
  std::string date = {};
  /// Questions are answered with yes.
  bool yes = false;
  /// Whether a plan must be followed already.
  bool needs_plan = true;
};

/// What a write has come to.
struct Written {
  /// Empty where no plan is followed now.
  std::optional<LoadedRamp> loaded;
  Date today;
  Date date;
  std::vector<EntryBody> bodies;
  bool plan_changed = false;
  /// The number of the first entry.
  std::int64_t first_seq = 0;
};

/// Writes entries in one transaction, with the days since the last write before them,
/// and each with the plan from there on; nothing where that has no answer.
OrExit<Written> write_to_log(const Console& console, bool json, const Tank& tank,
                             const WriteOptions& options, const MakeBodies& make);

/// The same, and answers what they did and what to dial in.
ExitCode write_entries(const Console& console, const CommonArguments& arguments,
                       const WriteOptions& options, const MakeBodies& make);

/// Adds --date and --yes.
void add_date_option(CLI::App& command, WriteOptions& options, const std::string& what);
void add_yes_option(CLI::App& command, WriteOptions& options);

/// Asks which holds where an entry that was made already speaks of the same from a day
/// on or after the new one's; empty where there is none, or the answer is yes.
/// is_same: whether an entry's body is about the same light or group.
std::optional<ExitCode> ask_which_holds(const Console& console, bool json,
                                        const WriteContext& context, bool yes,
                                        const std::function<bool(const EntryBody&)>& is_same);

/// The number of a named thing; reports an unknown name with the nearest.
OrExit<std::size_t> find_name(const Console& console, bool json, std::string_view kind,
                              const std::string& name, const std::vector<std::string>& names);

/// The number of a group that is there on a day; reports one that is not.
OrExit<std::size_t> find_group_on(const Console& console, bool json, const WriteContext& context,
                                  const std::string& name);

std::vector<std::string> group_names(const Tank& tank);
std::vector<std::string> spot_names(const Tank& tank);
std::vector<std::string> light_names(const Tank& tank);

/// Parts words into the tank file, which ends in .json, and the others.
/// Errors: more than `most` others, or two files.
OrExit<std::vector<std::string>> part_words(const Console& console, CommonArguments& arguments,
                                            const std::vector<std::string>& words,
                                            std::size_t most);

}  // namespace slowdawn
