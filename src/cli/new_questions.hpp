// The questions from which a tank file is made.
//
// They stand in a table of steps; the next question is the first step of it that is
// open. Every answer makes a new state from the old one and the old one is kept, so
// that taking an answer back is one rule for all of them.
#pragma once

#include <iosfwd>
#include <optional>
#include <set>
#include <slowdawn/present/text.hpp>
#include <slowdawn/tank/profile_shelf.hpp>
#include <slowdawn/tank/tank_draft.hpp>
#include <string>
#include <string_view>
#include <vector>

namespace slowdawn {

/// What does not change while questions are asked; must outlive them.
struct NewTankSetting {
  const ProfileShelf& shelf;
  TextStyle style;
  /// The file to write; empty for the tank's own name.
  std::string file;
  /// Whether a file that is there may be replaced.
  bool may_replace = false;
};

/// What the answers so far have come to.
struct NewTank {
  const NewTankSetting* setting;
  TankDraft draft;
  /// The keys of the steps that are not asked again.
  std::set<std::string_view> answered = {};

  std::string old_day_text = {};
  bool is_plain_dial = true;
  bool has_places = false;
  /// The spot whose readings are being asked, and whether those of before were.
  std::optional<DraftSpot> spot = {};
  bool has_asked_before = false;
  bool has_asked_after = false;
  /// The spot that is to be placed next.
  std::size_t place = 0;
  bool has_all_spots = false;
  /// The group whose kind and spot are being asked.
  std::optional<DraftGroup> group = {};
  bool has_all_groups = false;
  /// Groups from elsewhere whose light is still to be asked.
  std::vector<std::size_t> newcomers = {};
  /// The answer to the last question.
  bool is_wanted = false;

  const TextStyle& style() const { return setting->style; }
  std::string file() const {
    return setting->file.empty() ? tank_file_name(draft.name) : setting->file;
  }
};

struct Question {
  /// By which its answer is remembered: not only the step, but also whose.
  std::string id;
  /// Why it is asked, and how it may be answered; said once.
  std::string why;
  std::string prompt;
  /// What Enter takes; empty if there is nothing to take.
  std::string usual = {};
  /// Lines shown above it as they are.
  std::string shown = {};
};

struct NewTankStep {
  std::string_view key;
  /// What is said above the first question of a part.
  std::string_view heading;
  /// Asked for as long as it applies; else once.
  bool repeats;
  bool (*applies)(const NewTank&);
  Question (*ask)(const NewTank&);
  /// Takes an answer into the state; what is to be said about it, or what is wrong
  /// with it.
  Result<std::string> (*take)(NewTank&, const std::string& answer);
};

/// The tank that the answers make.
/// Errors (content): as parse_tank, without places, since there is no file yet.
ReadResult<Tank> make_new_tank(const TankDraft& draft, const std::string& file,
                               const ProfileShelf& shelf);

/// Whether writing would replace a file that holds something.
bool is_taken(const std::string& file);

/// Asks until the tank file may be written.
/// Result: the answers; empty where the input ended, or the keeper left.
std::optional<NewTank> ask_for_tank(std::istream& in, std::ostream& out,
                                    const NewTankSetting& setting, const Date& today);

}  // namespace slowdawn
