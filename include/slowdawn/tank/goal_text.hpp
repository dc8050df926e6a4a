// A new goal: from a keeper's words into the tank file, which otherwise stays as it is.
#pragma once

#include <map>
#include <slowdawn/tank/tank.hpp>
#include <string>

namespace slowdawn {

/// Dials by light of the tank.
using Goal = std::map<std::size_t, Percent>;

/// Reads "colours 100 white 40": lights of the tank and percentages in turn, with a comma
/// between two or without one; one percentage alone where the goal so far has one light.
/// A name may stand in quotes. What is read is the whole new goal: a light that is not
/// named is not in it.
/// Errors: a light that is not there or stands twice; a percentage that it cannot be
///   dialled to; a goal that is dark. The place is `tank.file` as a whole.
tl::expected<Goal, Finding> parse_goal(const Tank& tank, const std::string& text);

/// The text of a tank file with another goal in its ramp. Every byte outside "to" stays.
/// Inside it the lights that are in both goals keep their order and blanks, and their
/// digits where the percentage is the same; new ones come after them.
/// file: for messages. tank: whose lights `to` goes by.
/// Errors: content, where the text is not JSON, or has no goal that could be replaced.
ReadResult<std::string> with_goal(const std::string& file, const std::string& text,
                                  const Tank& tank, const Goal& to);

/// Writes another goal into a tank file, whole or not at all.
/// text: what was read from the file.
/// Errors: content, as with_goal, or the file has another text by now; access, if it
///   cannot be read or written. In each case it stays as it is.
tl::expected<void, ReadFailure> write_goal(const std::string& file, const std::string& text,
                                           const Tank& tank, const Goal& to);

}  // namespace slowdawn
