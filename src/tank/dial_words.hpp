// Lights and percentages in turn, as a keeper types them: "front bar 40 rear bar 35".
#pragma once

#include <optional>
#include <slowdawn/light/result.hpp>
#include <slowdawn/tank/tank.hpp>
#include <string>
#include <string_view>
#include <vector>

namespace slowdawn {

std::string_view without_blanks(std::string_view text);

/// The part before the next blank or comma, and a percent sign after it; the rest stays
/// in `text`.
std::string_view take_number(std::string_view& text);

/// The number of the name that a text begins with, before a blank: of those that fit one
/// with a percentage after it before the others, then the longest. "bar 2 rear bar 5" are
/// two lights, also where there is a "bar 2".
std::optional<std::size_t> find_leading_name(std::string_view text,
                                             const std::vector<std::string>& names);

/// The words before the numbers at the end of a text: where a name was meant, that name.
std::string words_before_number(std::string_view text);

/// Whether a light can be dialled so.
Result<void> check_dial(const TankLight& light, Percent dial);

/// That a dial is no share of 1: under 1 % there is nothing to set where the steps are
/// of 1 % or more, so 0.4 was meant for 40 %.
Result<void> check_share(const TankLight& light, Percent dial);

/// What to ask of a dial that may be meant as it stands: 1 % by such steps.
std::optional<Fault> ask_about_share(const TankLight& light, Percent dial);

}  // namespace slowdawn
