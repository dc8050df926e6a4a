// JSON text laid out as people write it: what fits on a line stands on one, and
// what does not is filled up line by line, below the first of its kind.
#pragma once

#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace slowdawn {

/// A value that is to be written.
class JsonText {
 public:
  static JsonText number(double value);
  static JsonText flag(bool value);
  /// Characters that could steer a terminal, and what no JSON text may hold, are
  /// written as \uXXXX.
  /// value: valid UTF-8.
  static JsonText text(std::string_view value);
  static JsonText list(std::vector<JsonText> items);
  static JsonText object(const std::vector<std::pair<std::string, JsonText>>& members);

  /// On one line.
  std::string on_one_line() const;
  /// Over as many lines as it takes.
  /// column: where its first character stands. width: the columns of a line.
  /// tail: the columns that whatever closes behind it needs.
  std::string filled(std::size_t column, std::size_t width, std::size_t tail) const;
  /// Each item or member on lines of its own, two columns further in.
  /// column: where the line begins that it stands on.
  std::string one_a_line(std::size_t column, std::size_t width) const;

 private:
  bool is_scalar() const { return brackets_.empty(); }
  bool is_list_of_objects() const;
  /// What stands before part number `i`: the key of a member.
  std::string head(std::size_t i) const;

  std::string scalar_;
  /// "[]", "{}", or empty.
  std::string_view brackets_;
  std::vector<std::string> keys_;
  std::vector<JsonText> parts_;
};

}  // namespace slowdawn
