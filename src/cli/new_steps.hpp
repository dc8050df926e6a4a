// The parts of the table of questions, in the order of asking, and what their steps
// share.
#pragma once

#include <slowdawn/tank/answers.hpp>
#include <string>
#include <vector>

#include "cli/new_questions.hpp"

namespace slowdawn {

std::vector<NewTankStep> light_steps();
std::vector<NewTankStep> reading_steps();
std::vector<NewTankStep> coral_steps();
std::vector<NewTankStep> ramp_steps();

/// What is said about an answer, or what is wrong with it.
using Said = Result<std::string>;

inline bool always(const NewTank&) { return true; }
inline bool has_old_light(const NewTank& state) { return state.draft.old_light.has_value(); }
inline bool is_same_light(const NewTank& state) { return state.draft.keeps_light(); }

Result<bool> parse_yes_or_no(const std::string& text);

inline std::string safe_name(const DraftLight& light) { return to_safe_text(light.name); }

/// Takes a value that was parsed into its place; nothing is said about it.
template <class Value, class Target>
Said keep(const Result<Value>& value, Target& target) {
  if (!value) return tl::make_unexpected(value.error());
  target = *value;
  return "";
}

}  // namespace slowdawn
