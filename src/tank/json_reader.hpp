// Reads values out of a JSON tree and collects what is wrong with them.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "tank/json_document.hpp"
#include "tank/names.hpp"

namespace slowdawn {

/// An inclusive range of numbers, with the unit for the message.
struct NumberRange {
  double low;
  double high;
  std::string unit;
  /// What a value outside usually means.
  std::string hint = {};
};

/// A value together with where it stands. Copies are cheap; the document must
/// outlive them.
class JsonNode {
 public:
  JsonNode(const JsonValue& value, std::string pointer)
      : value_(&value), pointer_(std::move(pointer)) {}

  const JsonValue& value() const { return *value_; }
  const std::string& pointer() const { return pointer_; }
  bool is(JsonValue::Kind kind) const { return value_->kind == kind; }

  std::optional<JsonNode> find(std::string_view key) const;
  std::vector<JsonNode> items() const;
  struct Member;
  std::vector<Member> members() const;

 private:
  const JsonValue* value_;
  std::string pointer_;
};

struct JsonNode::Member {
  std::string key;
  JsonNode node;
};

/// Collects findings of one document; each read_* adds one and returns empty
/// where the value is not as it should be.
class JsonReader {
 public:
  explicit JsonReader(const JsonDocument& document) : document_(document) {}

  JsonNode root() const { return {document_.root(), ""}; }

  void error(const JsonNode& node, std::string what, std::string hint);
  void warn(const JsonNode& node, std::string what, std::string hint);
  /// An error of whoever plans with the document; the document itself is good.
  void error_of_plans(const JsonNode& node, std::string what, std::string hint);
  /// An error at the key of an object's member.
  void error_at_key(const JsonNode& object, std::string_view key, std::string what,
                    std::string hint);

  /// Errors of another file that this node names.
  void error_elsewhere(const JsonNode& node, Findings findings);
  /// That another file, which this node names, could not be read at all.
  void error_of_access(const JsonNode& node, std::string what, std::string hint);

  /// True if the node is an object with no key but these.
  bool expect_object(const JsonNode& node, std::string_view what,
                     std::span<const std::string> keys);
  std::optional<JsonNode> require(const JsonNode& object, std::string_view key,
                                  std::string_view example);

  std::optional<double> read_number(const JsonNode& node, const NumberRange& range);
  std::optional<int> read_integer(const JsonNode& node, const NumberRange& range);
  std::optional<bool> read_flag(const JsonNode& node);
  /// Text that is not empty.
  std::optional<std::string> read_text(const JsonNode& node, std::string_view what);
  std::optional<std::vector<std::string>> read_texts(const JsonNode& node, std::string_view what);
  /// The number of the text among `names`; `kind` says what they are.
  std::optional<std::size_t> read_name(const JsonNode& node, std::string_view kind,
                                       const Names& names);
  std::optional<std::vector<JsonNode>> read_array(const JsonNode& node, std::string_view what);

  /// What a wrong name was meant to be, for the hint of its error. Each look at it is
  /// one at all names, so after many errors, of which few are told, there is none.
  std::string hint_for(std::string_view wrong, const Names& names) const;

  bool has_errors() const { return !errors_.empty(); }
  bool has_plan_errors() const { return !plan_errors_.empty(); }
  ReadFailure take_failure();
  Findings take_warnings();
  Findings take_plan_errors();

 private:
  struct Found {
    std::size_t offset;
    Finding finding;
    /// Whether it lies in this document, so that line and column are still to be
    /// counted: only those that are told of get them.
    bool is_here = true;
  };
  void add(std::vector<Found>& list, std::size_t offset, std::string pointer, std::string what,
           std::string hint);
  Findings in_file_order(std::vector<Found> found) const;

  const JsonDocument& document_;
  std::vector<Found> errors_;
  std::vector<Found> warnings_;
  std::vector<Found> plan_errors_;
  ReadFailure::Kind kind_ = ReadFailure::Kind::content;
};

/// The shortest text of a number, for messages.
std::string number_text(double value);

/// "text", "a number", ...: what stands there, for messages.
std::string describe(const JsonValue& value);

}  // namespace slowdawn
