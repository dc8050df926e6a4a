#include "tank/json_document.hpp"

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>
#include <slowdawn/tank/text_file.hpp>
#include <unordered_set>

namespace slowdawn {
namespace {

constexpr std::size_t most_levels = 64;

/// Hands bytes to the parser and counts them, so that each event of the parser
/// can be given its place.
class CountingIterator {
 public:
  using iterator_category = std::input_iterator_tag;
  using value_type = char;
  using difference_type = std::ptrdiff_t;
  using pointer = const char*;
  using reference = const char&;

  CountingIterator(const char* at, std::size_t* count) : at_(at), count_(count) {}
  reference operator*() const { return *at_; }
  CountingIterator& operator++() {
    ++at_;
    ++*count_;
    return *this;
  }
  bool operator==(const CountingIterator& other) const { return at_ == other.at_; }
  bool operator!=(const CountingIterator& other) const { return at_ != other.at_; }

 private:
  const char* at_;
  std::size_t* count_;
};

/// Builds the tree from the parser's events.
class TreeBuilder : public nlohmann::json::json_sax_t {
 public:
  TreeBuilder(std::string_view text, const std::size_t* consumed)
      : text_(text), consumed_(consumed) {}

  bool null() override { return add({}); }
  bool boolean(bool value) override {
    JsonValue made;
    made.kind = JsonValue::Kind::boolean;
    made.boolean = value;
    return add(std::move(made));
  }
  bool number_integer(number_integer_t value) override {
    return add_number(static_cast<double>(value));
  }
  bool number_unsigned(number_unsigned_t value) override {
    return add_number(static_cast<double>(value));
  }
  bool number_float(number_float_t value, const string_t&) override { return add_number(value); }
  bool string(string_t& value) override {
    JsonValue made;
    made.kind = JsonValue::Kind::text;
    made.text = std::move(value);
    return add(std::move(made));
  }
  bool binary(binary_t&) override { return false; }
  bool start_object(std::size_t) override { return open(JsonValue::Kind::object); }
  bool start_array(std::size_t) override { return open(JsonValue::Kind::array); }
  bool end_object() override { return close(); }
  bool end_array() override { return close(); }

  bool key(string_t& key) override {
    const std::size_t offset = token_start();
    if (is_known(key)) {
      problem_at_ = offset;
      what_ = "the key \"" + key + "\" stands twice in one object";
      hint_ = "keep one of the two";
      pointer_ = pointer() + "/" + escape_pointer(key);
      return false;
    }
    open_.back()->members.push_back({std::move(key), offset, {}});
    end_token();
    return true;
  }

  bool parse_error(std::size_t position, const std::string&,
                   const nlohmann::detail::exception& error) override {
    problem_at_ = position > 0 ? position - 1 : 0;
    const std::string message = error.what();
    pointer_ = pointer();
    if (error.id == 406) {
      what_ = "a number is too large";
      hint_ = "numbers here lie far under 1e308; look for a slip in the exponent";
      problem_at_ = token_start();
    } else if (message.find("UTF-8") != std::string::npos) {
      what_ = "the text is not valid UTF-8";
      hint_ = "save the file as UTF-8";
    } else {
      // "...parse error at line 1, column 2: syntax error while parsing X - Y; expected Z"
      const auto dash = message.find(" - ");
      std::string detail = dash == std::string::npos ? message : message.substr(dash + 3);
      const auto last_read = detail.find("; last read: ");
      if (last_read != std::string::npos) {
        const auto end = detail.find("; expected", last_read);
        detail.erase(last_read, end == std::string::npos ? end : end - last_read);
      }
      const bool is_short = detail.find("unexpected end of input") != std::string::npos;
      what_ = is_short ? "the file ends too early" : "this is not valid JSON: " + detail;
      hint_ = is_short
                  ? "a bracket or quote is not closed; was the file saved whole?"
                  : "look for a missing or superfluous comma, quote or bracket here or just before";
    }
    return false;
  }

  JsonValue take_root() { return std::move(root_); }
  std::size_t problem_at() const { return problem_at_; }
  const std::string& what() const { return what_; }
  const std::string& hint() const { return hint_; }
  const std::string& problem_pointer() const { return pointer_; }

 private:
  /// Whether the open object has the key; of a short one looked for in its members.
  bool is_known(const std::string& key) {
    constexpr std::size_t few = 16;
    const auto& members = open_.back()->members;
    if (members.size() < few) {
      return std::any_of(members.begin(), members.end(),
                         [&](const JsonMember& member) { return member.key == key; });
    }
    auto& keys = keys_.back();
    if (keys.empty()) {
      for (const JsonMember& member : members) keys.insert(member.key);
    }
    return !keys.insert(key).second;
  }

  bool add_number(double value) {
    JsonValue made;
    made.kind = JsonValue::Kind::number;
    made.number = value;
    return add(std::move(made));
  }

  JsonValue* place(JsonValue value) {
    value.offset = token_start();
    if (open_.empty()) {
      root_ = std::move(value);
      return &root_;
    }
    JsonValue& parent = *open_.back();
    if (parent.kind == JsonValue::Kind::object) {
      parent.members.back().value = std::move(value);
      return &parent.members.back().value;
    }
    parent.items.push_back(std::move(value));
    return &parent.items.back();
  }

  bool add(JsonValue value) {
    JsonValue& placed = *place(std::move(value));
    end_token();
    placed.end = last_end_;
    if (placed.kind == JsonValue::Kind::number) {
      placed.end = std::min(text_.find_first_not_of("+-.0123456789eE", placed.offset), last_end_);
    }
    return true;
  }

  bool open(JsonValue::Kind kind) {
    if (open_.size() >= most_levels) {
      problem_at_ = token_start();
      what_ = "the values are nested over 64 levels deep";
      hint_ = "a tank or profile file needs five levels; is this another kind of file?";
      return false;
    }
    JsonValue value;
    value.kind = kind;
    // The parent's list does not grow while this child is open, so the
    // pointer stays good.
    open_.push_back(place(std::move(value)));
    keys_.emplace_back();
    end_token();
    return true;
  }

  bool close() {
    end_token();
    open_.back()->end = last_end_;
    open_.pop_back();
    keys_.pop_back();
    return true;
  }

  /// Where the token begins that the parser has just read: after the last one,
  /// past what separates values.
  std::size_t token_start() const {
    const auto start = text_.find_first_not_of(" \t\r\n,:", last_end_);
    return std::min(start == std::string_view::npos ? text_.size() : start, *consumed_);
  }

  /// A number is known to end one byte late; that byte is a separator, or a
  /// bracket whose own event follows.
  void end_token() { last_end_ = *consumed_; }

  std::string pointer() const {
    std::string path;
    for (std::size_t i = 0; i < open_.size(); ++i) {
      const JsonValue& value = *open_[i];
      if (value.kind == JsonValue::Kind::object) {
        if (!value.members.empty() && i + 1 < open_.size()) {
          path += "/" + escape_pointer(value.members.back().key);
        }
      } else if (i + 1 < open_.size()) {
        path += "/" + std::to_string(value.items.size() - 1);
      }
    }
    return path;
  }

  std::string_view text_;
  const std::size_t* consumed_;
  std::size_t last_end_ = 0;
  JsonValue root_;
  std::vector<JsonValue*> open_;
  /// The keys so far of each of them, where they are many.
  std::vector<std::unordered_set<std::string>> keys_;
  std::size_t problem_at_ = 0;
  std::string what_;
  std::string hint_;
  std::string pointer_;
};

tl::unexpected<ReadFailure> failure(ReadFailure::Kind kind, Place place, std::string what,
                                    std::string hint) {
  return tl::make_unexpected(
      ReadFailure{kind, {{std::move(place), std::move(what), std::move(hint)}}});
}

}  // namespace

std::string escape_pointer(std::string_view key) {
  std::string escaped;
  for (const char c : key) {
    if (c == '~') {
      escaped += "~0";
    } else if (c == '/') {
      escaped += "~1";
    } else {
      escaped += c;
    }
  }
  return escaped;
}

LineColumn line_column(std::string_view text, std::size_t offset) {
  const std::string_view before = text.substr(0, std::min(offset, text.size()));
  const auto line = static_cast<std::size_t>(std::count(before.begin(), before.end(), '\n')) + 1;
  const auto line_start = before.rfind('\n');
  const std::size_t start = line_start == std::string_view::npos ? 0 : line_start + 1;
  return {line, before.size() - start + 1};
}

Place JsonDocument::place(std::size_t offset, std::string pointer) const {
  const auto [line, column] = line_column(text_, offset);
  return {file_, line, column, std::move(pointer)};
}

ReadResult<JsonDocument> JsonDocument::parse(std::string file, std::string text) {
  using Kind = ReadFailure::Kind;
  JsonDocument document;
  document.file_ = std::move(file);
  document.text_ = std::move(text);
  if (document.text_.find_first_not_of(" \t\r\n") == std::string::npos) {
    return failure(Kind::content, {document.file_, 1, 1, ""}, "the file is empty",
                   "a file of this kind is one JSON object; see README.md and examples/");
  }
  // The parser takes a zero byte for the end of the input.
  if (const auto zero = document.text_.find('\0'); zero != std::string::npos) {
    return failure(
        Kind::content, document.place(zero, ""),
        "the file holds zero bytes, so it is damaged, or no UTF-8",
        "take a copy that is whole, or save it as UTF-8; a power cut can leave such bytes");
  }
  std::size_t consumed = 0;
  TreeBuilder builder{document.text_, &consumed};
  const char* begin = document.text_.data();
  const bool is_good = nlohmann::json::sax_parse(
      CountingIterator{begin, &consumed},
      CountingIterator{begin + document.text_.size(), &consumed}, &builder);
  if (!is_good) {
    return failure(Kind::content, document.place(builder.problem_at(), builder.problem_pointer()),
                   builder.what(), builder.hint());
  }
  document.root_ = builder.take_root();
  return document;
}

ReadResult<JsonDocument> JsonDocument::read(const std::string& file) {
  auto text = read_text_file(file);
  if (!text) return tl::make_unexpected(std::move(text.error()));
  return parse(file, std::move(*text));
}

}  // namespace slowdawn
