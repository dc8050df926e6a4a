#include "cli/bash_words.hpp"

#include <algorithm>

namespace slowdawn {
namespace {

/// Reads a line from left to right.
class BashReader {
 public:
  explicit BashReader(std::string_view line) : line_(line) {}

  std::optional<BashWords> read() {
    while (at_ < line_.size()) {
      const char c = line_[at_++];
      if (found_.open_quote == '\'') {
        read_in_single(c);
      } else if (found_.open_quote == '"') {
        read_in_double(c);
      } else if (c == '$' && at_ < line_.size() && line_[at_] == '\'') {
        return std::nullopt;
      } else {
        read_plain(c);
      }
    }
    if (!in_word_) begin_word();
    found_.is_redirected = word_is_redirected_;
    found_.words.push_back(word_);
    return found_;
  }

 private:
  void read_in_single(char c) {
    if (c == '\'') {
      found_.open_quote = 0;
    } else {
      word_ += c;
    }
  }

  void read_in_double(char c) {
    if (c == '"') {
      found_.open_quote = 0;
    } else if (c == '\\' && at_ < line_.size() &&
               std::string_view{"$`\"\\\n"}.find(line_[at_]) != std::string_view::npos) {
      word_ += line_[at_++];
    } else {
      word_ += c;
    }
  }

  void read_plain(char c) {
    if (c == ' ' || c == '\t' || c == '\n') {
      end_word();
    } else if (c == '<' || c == '>') {
      // The number of a stream before it is no word of the command.
      const bool is_stream = std::all_of(word_.begin(), word_.end(),
                                         [](char digit) { return digit >= '0' && digit <= '9'; });
      if (is_stream) in_word_ = false;
      end_word();
      next_is_redirected_ = true;
    } else if (c == '\'' || c == '"') {
      begin_word();
      found_.open_quote = c;
    } else if (c == '\\') {
      begin_word();
      if (at_ < line_.size()) word_ += line_[at_++];
    } else {
      begin_word();
      word_ += c;
    }
  }

  void begin_word() {
    if (in_word_) return;
    in_word_ = true;
    word_.clear();
    word_is_redirected_ = next_is_redirected_;
    next_is_redirected_ = false;
  }

  void end_word() {
    if (in_word_ && !word_is_redirected_) found_.words.push_back(word_);
    in_word_ = false;
    word_.clear();
  }

  std::string_view line_;
  std::size_t at_ = 0;
  std::string word_;
  bool in_word_ = false;
  bool word_is_redirected_ = false;
  bool next_is_redirected_ = false;
  BashWords found_;
};

bool is_plain(char c) {
  const bool is_letter = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
  const bool is_digit = c >= '0' && c <= '9';
  const bool is_beyond_ascii = (static_cast<unsigned char>(c) & 0x80U) != 0;
  return is_letter || is_digit || is_beyond_ascii ||
         std::string_view{"_./,+-%@:="}.find(c) != std::string_view::npos;
}

}  // namespace

std::optional<BashWords> parse_bash_line(std::string_view line) { return BashReader{line}.read(); }

std::string quote_for_bash(std::string_view text, char open_quote) {
  std::string quoted;
  for (const char c : text) {
    if (open_quote == '\'') {
      quoted += c == '\'' ? std::string{R"('\'')"} : std::string(1, c);
    } else if (open_quote == '"') {
      // A "!" asks for the history even where a backslash is before it.
      if (c == '!') {
        quoted += R"("'!'")";
        continue;
      }
      if (std::string_view{"$`\"\\"}.find(c) != std::string_view::npos) quoted += '\\';
      quoted += c;
    } else {
      if (!is_plain(c)) quoted += '\\';
      quoted += c;
    }
  }
  return quoted;
}

}  // namespace slowdawn
