// JSON as a tree in which every value knows where it stands.
#pragma once

#include <memory>
#include <slowdawn/tank/finding.hpp>
#include <string>
#include <string_view>
#include <vector>

namespace slowdawn {

struct JsonMember;

struct JsonValue {
  enum class Kind { null, boolean, number, text, array, object };
  Kind kind = Kind::null;
  bool boolean = false;
  double number = 0.0;
  std::string text;
  std::vector<JsonValue> items;
  std::vector<JsonMember> members;
  /// Byte at which the value begins.
  std::size_t offset = 0;
  /// The byte after its last.
  std::size_t end = 0;
};

struct JsonMember {
  std::string key;
  std::size_t key_offset = 0;
  JsonValue value;
};

struct LineColumn {
  std::size_t line;
  std::size_t column;
};

/// Line and column of a byte, both from 1; columns in bytes.
LineColumn line_column(std::string_view text, std::size_t offset);

/// A key as it stands in a JSON pointer (RFC 6901, section 3).
std::string escape_pointer(std::string_view key);

class JsonDocument {
 public:
  /// Parses one JSON value (RFC 8259).
  /// Errors (content): what RFC 8259 forbids, with line and column; numbers out
  ///   of the range of a double; a key twice in one object; over 64 levels.
  static ReadResult<JsonDocument> parse(std::string file, std::string text);

  /// Reads a file of at most 16 MB and parses it.
  /// Errors: as parse; access, if it cannot be read, is a folder, or is larger.
  static ReadResult<JsonDocument> read(const std::string& file);

  const JsonValue& root() const { return root_; }
  const std::string& file() const { return file_; }
  const std::string& text() const { return text_; }
  Place place(std::size_t offset, std::string pointer) const;

 private:
  JsonDocument() = default;
  std::string file_;
  std::string text_;
  JsonValue root_;
};

}  // namespace slowdawn
