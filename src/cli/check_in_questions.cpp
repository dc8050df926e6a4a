#include "cli/check_in_questions.hpp"

#include <charconv>
#include <istream>
#include <ostream>
#include <slowdawn/present/text.hpp>
#include <slowdawn/tank/utf8.hpp>

namespace slowdawn {
namespace {

/// Asks until the answer is one that `take` accepts; false at the end of input.
template <class Take>
bool ask(std::istream& in, std::ostream& out, const std::string& question, const Take& take) {
  for (std::string line; out << question << std::flush, std::getline(in, line);) {
    const auto begin = line.find_first_not_of(" \t\r");
    const auto end = line.find_last_not_of(" \t\r");
    if (take(begin == std::string::npos ? "" : line.substr(begin, end - begin + 1))) return true;
    out << "  That is none of the answers.\n";
  }
  return false;
}

template <class Number>
std::optional<Number> parse(const std::string& text) {
  const char* first = text.data() + (text.starts_with("+") ? 1 : 0);
  const char* last = text.data() + text.size();
  Number number{};
  const auto [end, problem] = std::from_chars(first, last, number);
  if (problem != std::errc{} || end != last) return std::nullopt;
  return number;
}

std::optional<bool> parse_yes(const std::string& text) {
  if (text.empty() || text == "n" || text == "no") return false;
  if (text == "y" || text == "yes") return true;
  return std::nullopt;
}

bool ask_about(std::istream& in, std::ostream& out, CheckInEntry& entry) {
  CheckIn& seen = entry.seen;
  out << to_safe_text(entry.group) << "\n";
  return ask(in, out, "  colour in steps against its usual, paler is negative [0]: ",
             [&](const std::string& text) {
               seen.colour = text.empty() ? 0 : parse<int>(text);
               return seen.colour && *seen.colour >= -5 && *seen.colour <= 5;
             }) &&
         ask(in, out, "  polyps: less, usual or more out than is its habit [usual]: ",
             [&](const std::string& text) {
               if (text == "less") seen.extension = Extension::less;
               if (text == "more") seen.extension = Extension::more;
               return text.empty() || text == "less" || text == "usual" || text == "more";
             }) &&
         ask(in, out, "  more mucus than is its habit? y or n [n]: ",
             [&](const std::string& text) {
               const auto yes = parse_yes(text);
               seen.mucus = yes.value_or(false);
               return yes.has_value();
             }) &&
         ask(in, out, "  tissue: whole, white-patches or lost [whole]: ",
             [&](const std::string& text) {
               if (text == "white-patches") seen.tissue = Tissue::white_patches;
               if (text == "lost") seen.tissue = Tissue::lost;
               return text.empty() || text == "whole" || text == "white-patches" || text == "lost";
             }) &&
         ask(in, out, "  Fv/Fm, if you measured it []: ",
             [&](const std::string& text) {
               seen.fv_fm = parse<double>(text);
               return text.empty() || (seen.fv_fm && *seen.fv_fm >= 0.0 && *seen.fv_fm <= 0.9);
             }) &&
         ask(in, out, "  a note []: ", [&](const std::string& text) {
           entry.note = text;
           return is_utf8(text);
         });
}

}  // namespace

std::optional<std::vector<CheckInEntry>> ask_for_check_ins(std::istream& in, std::ostream& out,
                                                           const std::vector<std::string>& groups,
                                                           bool all) {
  std::vector<std::string> chosen = groups;
  if (groups.size() > 1 && !all) {
    out << "How do they look? Enter takes what stands in brackets.\n";
    for (std::size_t i = 0; i < groups.size(); ++i) {
      out << "  " << i + 1 << "  " << to_safe_text(groups[i]) << "\n";
    }
    const bool is_answered =
        ask(in, out, "Which group, by number [all]: ", [&](const std::string& text) {
          const auto number = parse<std::size_t>(text);
          if (text.empty() || text == "all") return true;
          if (!number || *number < 1 || *number > groups.size()) return false;
          chosen = {groups[*number - 1]};
          return true;
        });
    if (!is_answered) return std::nullopt;
  }
  std::vector<CheckInEntry> entries;
  for (const std::string& group : chosen) {
    CheckInEntry entry;
    entry.group = group;
    if (!ask_about(in, out, entry)) return std::nullopt;
    entries.push_back(std::move(entry));
  }
  return entries;
}

}  // namespace slowdawn
