// A text that one entry after the other has, kept once.
#pragma once

#include <memory>
#include <string>
#include <utility>

namespace slowdawn {

class SharedText {
 public:
  SharedText() = default;
  // Implicit, as it is a text.
  SharedText(const char* text) : SharedText(std::string{text}) {}
  SharedText(std::string text)
      : text_(text.empty() ? nullptr : std::make_shared<const std::string>(std::move(text))) {}

  bool empty() const { return !text_; }
  const std::string& str() const {
    static const std::string none;
    return text_ ? *text_ : none;
  }
  operator const std::string&() const { return str(); }
  bool operator==(const SharedText& other) const {
    return text_ == other.text_ || str() == other.str();
  }

 private:
  /// Never an empty one.
  std::shared_ptr<const std::string> text_ = {};
};

}  // namespace slowdawn
