// Markup for pages: a type of its own, so that a name from a file can only get
// into a page as text.
#pragma once

#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace slowdawn {

class Html {
 public:
  Html() = default;
  /// Text of any origin. What would be markup is escaped; control characters and
  /// marks that turn the writing direction are written as <U+XXXX>, as on a
  /// terminal; what is no UTF-8, or no character at all, becomes U+FFFD.
  static Html text(std::string_view text);
  /// Markup of our own, as it stands.
  static Html markup(std::string_view markup);

  Html& operator+=(const Html& more) {
    text_ += more.text_;
    return *this;
  }
  friend Html operator+(Html first, const Html& more) { return first += more; }

  bool empty() const { return text_.empty(); }
  const std::string& str() const { return text_; }

 private:
  std::string text_;
};

/// Values are text of any origin.
using Attributes = std::vector<std::pair<std::string_view, std::string>>;

/// <tag ...>content</tag>, in HTML and in SVG.
Html element(std::string_view tag, const Attributes& attributes, const Html& content = {});
Html element(std::string_view tag, const Html& content = {});
/// The same around text.
Html text_element(std::string_view tag, const Attributes& attributes, std::string_view text);
Html text_element(std::string_view tag, std::string_view text);

/// A name from a file, kept from turning the text around it.
Html name_html(std::string_view name);

/// A sentence of ours, with units as they are printed: mol m⁻² d⁻¹.
Html prose(std::string_view text);

/// The same, with no line end inside a date or between a number and its %.
Html unbroken_prose(std::string_view text);

/// <ul> of sentences; empty where there are none.
Html list_html(const std::vector<std::string>& sentences);

/// A heading and what stands under it, as a section that is named by its heading.
Html section_html(const std::string& id, const Html& heading, const Html& content);

/// A whole page: one file that loads nothing.
/// kind: "report" or "sheet", by which the program knows its own pages again.
/// title: cut where it is long. style: CSS. body: after <body>.
std::string page_html(std::string_view kind, std::string_view title, std::string_view style,
                      const Html& body);

}  // namespace slowdawn
