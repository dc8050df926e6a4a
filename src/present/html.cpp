#include "present/html.hpp"

#include <regex>
#include <slowdawn/present/text.hpp>
#include <slowdawn/tank/utf8.hpp>

namespace slowdawn {
namespace {

constexpr std::string_view replacement = "\xEF\xBF\xBD";

/// U+FFFE, U+FFFF and the like on every plane, and U+FDD0 to U+FDEF, which XML
/// and HTML do not take as characters.
bool is_noncharacter(char32_t point) {
  return (point & 0xFFFEU) == 0xFFFE || (point >= 0xFDD0 && point <= 0xFDEF);
}

/// Text without what is no UTF-8 or no character.
std::string to_characters(std::string_view text) {
  std::string characters;
  for (std::size_t at = 0; at < text.size();) {
    const auto [point, length] = first_character(text.substr(at));
    const bool is_character = point && !is_noncharacter(*point);
    characters += is_character ? text.substr(at, length) : replacement;
    at += length;
  }
  return characters;
}

std::string escape(std::string_view text) {
  std::string escaped;
  for (const char c : to_safe_text(to_characters(text))) {
    switch (c) {
      case '&': escaped += "&amp;"; break;
      case '<': escaped += "&lt;"; break;
      case '>': escaped += "&gt;"; break;
      case '"': escaped += "&quot;"; break;
      case '\'': escaped += "&#39;"; break;
      default: escaped += c;
    }
  }
  return escaped;
}

std::string with_units(std::string text) {
  static const std::pair<std::string_view, std::string_view> units[] = {
      {"umol m-2 s-1", "µmol m⁻² s⁻¹"}, {"mol m-2 d-1", "mol m⁻² d⁻¹"}};
  for (const auto& [plain, printed] : units) {
    for (std::size_t at = text.find(plain); at != std::string::npos; at = text.find(plain, at)) {
      text.replace(at, plain.size(), printed);
      at += printed.size();
    }
  }
  return text;
}

}  // namespace

Html Html::text(std::string_view text) { return markup(escape(text)); }

Html Html::markup(std::string_view markup) {
  Html html;
  html.text_ = markup;
  return html;
}

Html element(std::string_view tag, const Attributes& attributes, const Html& content) {
  std::string made = "<" + std::string{tag};
  for (const auto& [name, value] : attributes) {
    made += " " + std::string{name} + "=\"" + escape(value) + "\"";
  }
  return Html::markup(made + ">" + content.str() + "</" + std::string{tag} + ">");
}

Html element(std::string_view tag, const Html& content) { return element(tag, {}, content); }

Html text_element(std::string_view tag, const Attributes& attributes, std::string_view text) {
  return element(tag, attributes, prose(text));
}

Html text_element(std::string_view tag, std::string_view text) {
  return text_element(tag, {}, text);
}

Html name_html(std::string_view name) { return element("bdi", Html::text(name)); }

Html prose(std::string_view text) { return Html::markup(with_units(escape(text))); }

Html unbroken_prose(std::string_view text) {
  static const std::regex kept_whole{"[0-9]{4}-[0-9]{2}-[0-9]{2}|[0-9.]+ %"};
  return Html::markup(
      std::regex_replace(prose(text).str(), kept_whole, "<span class=\"whole\">$&</span>"));
}

Html list_html(const std::vector<std::string>& sentences) {
  if (sentences.empty()) return {};
  Html items;
  for (const std::string& sentence : sentences) items += text_element("li", sentence);
  return element("ul", items);
}

Html section_html(const std::string& id, const Html& heading, const Html& content) {
  const std::string heading_id = id + "-heading";
  return element("section", {{"id", id}, {"aria-labelledby", heading_id}},
                 element("h2", {{"id", heading_id}}, heading) + content) +
         Html::markup("\n");
}

namespace {

/// A title as it stands in the page: escaped, and cut to what validators take.
std::string title_text(std::string_view title) {
  constexpr std::size_t longest_title = 70;
  const std::string characters = to_safe_text(to_characters(title));
  std::string shown = escape(characters);
  for (std::size_t width = longest_title; display_width(shown) > longest_title; --width) {
    shown = escape(fit_left(characters, width));
  }
  return shown;
}

}  // namespace

std::string page_html(std::string_view kind, std::string_view title, std::string_view style,
                      const Html& body) {
  return "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
         "<meta name=\"generator\" content=\"slowdawn " +
         std::string{kind} +
         "\">\n"
         "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src "
         "'unsafe-inline'; script-src 'unsafe-inline'; base-uri 'none'; form-action 'none'\">\n"
         "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n"
         "<meta name=\"color-scheme\" content=\"light dark\">\n"
         "<title>" +
         title_text(title) + "</title>\n<style>\n" + std::string{style} +
         "</style>\n</head>\n<body>\n" + body.str() + "</body>\n</html>\n";
}

}  // namespace slowdawn
