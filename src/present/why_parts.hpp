// What the answer to `why` is made of.
#pragma once

#include <slowdawn/present/present.hpp>
#include <slowdawn/ramp/breaks.hpp>
#include <string>
#include <vector>

namespace slowdawn {

/// "with chalice at niche for the first 12 days".
std::string advice_change(const Tank& tank, const RampAdvice& found);

/// A line for each cap of the group that the next setting breaks: by how much, and
/// what lifts it.
std::vector<std::string> break_lines(const PlannedRamp& ramp, const WhyView& view,
                                     const std::vector<BrokenCap>& own);

/// Which other groups the next setting breaks a cap of, each with the cap that it
/// breaks most; groups of one cap stand together. Empty where there are none.
/// is_of_others_alone: it breaks none of the group itself.
std::string others_text(const PlannedRamp& ramp, const WhyView& view, bool is_of_others_alone);

/// What would allow the next setting; only what the dial, the spots and the pace leave
/// to do.
/// own: what the next setting breaks for the group. Empty where that is nothing.
std::string remedy_text(const PlannedRamp& ramp, const WhyView& view,
                        const std::vector<BrokenCap>& own,
                        const std::optional<std::size_t>& days_to_next);

}  // namespace slowdawn
