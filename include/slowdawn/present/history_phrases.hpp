// The words for the light that groups had before: histories, and guesses.
#pragma once

#include <slowdawn/tank/ramp_setup.hpp>
#include <slowdawn/tank/tank.hpp>
#include <string>

namespace slowdawn {

/// "measured", "told", ..., as a key of our JSON.
std::string history_basis_key(History::Basis basis);

/// What a group's history says and what of it counts on the first day, one
/// sentence. group: one with a history. planned: the same in the setup.
std::string history_words(const Tank& tank, const Group& group, const RampGroup& planned);

/// That the light of some groups before is a guess, one sentence; empty where none is.
std::string guess_words(const Tank& tank);

}  // namespace slowdawn
