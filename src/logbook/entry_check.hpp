// What the commands that write would refuse, for entries that come from a file.
#pragma once

#include <map>
#include <optional>
#include <set>
#include <slowdawn/logbook/entry.hpp>
#include <string>
#include <vector>

namespace slowdawn {

/// What is wrong with an entry, and what to do.
struct EntryProblem {
  std::string what;
  std::string hint;
};

/// Takes all entries in the order in which they were written, and checks each against
/// the tank that was followed then.
class EntryCheck {
 public:
  /// file: for the messages of tanks.
  explicit EntryCheck(std::string file) : file_(std::move(file)) {}

  /// Adds the next entry, of the next number; what is wrong with it, if anything is.
  std::optional<EntryProblem> add(const Entry& entry);

  /// Whether a tank was followed so far, without which nothing can be checked.
  bool has_tank() const { return !tanks_.empty(); }

  /// A light that no tank followed so far has.
  std::optional<EntryProblem> find_unknown_light(const std::string& name) const;

  /// By entry, whether a later one takes it back.
  const std::vector<bool>& undone() const { return undone_; }

 private:
  std::optional<EntryProblem> add_follow(const Entry& entry);
  std::optional<EntryProblem> check_undo(const Entry& entry) const;
  std::optional<EntryProblem> check_of_tank(const Entry& entry) const;
  void take_back();

  std::string file_;
  std::vector<Entry> entries_;
  std::vector<bool> undone_;
  /// By number of its follow entry.
  std::map<std::int64_t, Tank> tanks_;
  std::set<std::string> lights_;
};

}  // namespace slowdawn
