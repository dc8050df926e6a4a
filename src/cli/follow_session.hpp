// Following a plan, for good and for a look at what would come.
#pragma once

#include "cli/log_session.hpp"

namespace slowdawn {

/// Everything that a plan is made from, as it is kept.
FollowEntry make_follow_entry(const Tank& tank, const ProfileShelf& shelf, const Date& start,
                              const RampSetup* even_setup);

/// What would come if a tank were followed again with options: a life with one more
/// entry, which is not written.
OrExit<LoadedRamp> propose_again(const Console& console, const CommonArguments& arguments,
                                 const Tank& tank, const LoadedRamp& followed,
                                 const RampOptions& options);

/// The entry that goes on from a life: from today or --start on, with the options.
/// tank: as its file is, or is to be.
OrExit<FollowEntry> make_next_entry(const Console& console, const CommonArguments& arguments,
                                    const Tank& tank, const RampOptions& options, const Log& log,
                                    const Date& today);

/// A light of the plan, or one that is lit, that was not read where a group lives.
std::optional<Finding> find_unread_light(const Replay& ramp);

}  // namespace slowdawn
