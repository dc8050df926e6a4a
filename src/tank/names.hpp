// A list of names that is searched at once, however long it is.
#pragma once

#include <initializer_list>
#include <optional>
#include <string>
#include <unordered_map>
#include <vector>

namespace slowdawn {

class Names {
 public:
  Names() = default;
  Names(std::initializer_list<std::string> names) : Names(std::vector<std::string>{names}) {}
  // Implicit: any list of names is one.
  Names(const std::vector<std::string>& names) {
    for (const std::string& name : names) push_back(name);
  }

  void push_back(std::string name) {
    places_.try_emplace(name, list_.size());
    list_.push_back(std::move(name));
  }

  /// The number of the first of that name.
  std::optional<std::size_t> find(const std::string& name) const {
    const auto found = places_.find(name);
    if (found == places_.end()) return std::nullopt;
    return found->second;
  }

  const std::string& operator[](std::size_t number) const { return list_[number]; }
  const std::string* data() const { return list_.data(); }
  const std::string* begin() const { return list_.data(); }
  const std::string* end() const { return list_.data() + list_.size(); }
  std::size_t size() const { return list_.size(); }
  bool empty() const { return list_.empty(); }

 private:
  std::vector<std::string> list_;
  std::unordered_map<std::string, std::size_t> places_;
};

/// "a, b and c"; of many the first few, "and 3 more".
std::string join_names(const std::vector<std::string>& names);

}  // namespace slowdawn
