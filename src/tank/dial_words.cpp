#include "tank/dial_words.hpp"

#include <cmath>
#include <slowdawn/tank/answers.hpp>
#include <utility>

#include "tank/json_reader.hpp"

namespace slowdawn {

std::string_view without_blanks(std::string_view text) {
  const auto first = text.find_first_not_of(" \t\r\n");
  if (first == std::string_view::npos) return {};
  return text.substr(first, text.find_last_not_of(" \t\r\n") - first + 1);
}

std::string_view take_number(std::string_view& text) {
  const std::string_view number = text.substr(0, text.find_first_of(" \t\r\n,;"));
  const std::string_view rest = without_blanks(text.substr(number.size()));
  text = rest.starts_with('%') ? without_blanks(rest.substr(1)) : rest;
  return number;
}

std::optional<std::size_t> find_leading_name(std::string_view text,
                                             const std::vector<std::string>& names) {
  std::optional<std::size_t> found;
  std::pair<bool, std::size_t> best;
  for (std::size_t j = 0; j < names.size(); ++j) {
    const std::string& name = names[j];
    if (!text.starts_with(name) || !text.substr(name.size()).starts_with(' ')) continue;
    std::string_view rest = without_blanks(text.substr(name.size()));
    const std::pair fit{parse_percent(take_number(rest)).has_value(), name.size()};
    if (found && fit <= best) continue;
    found = j;
    best = fit;
  }
  return found;
}

std::string words_before_number(std::string_view text) {
  return std::string{text.substr(0, text.find_last_not_of("0123456789.% ") + 1)};
}

Result<void> check_dial(const TankLight& light, Percent dial) {
  const DialRange& range = light.dial;
  if (range.allows(dial)) return {};
  const std::string percent = number_text(dial.percent()) + " %";
  if (!range.listed.empty()) {
    return fault(light.name + " has no shade cloth of " + percent, cloths_hint(range));
  }
  return fault(light.name + " cannot be dialled to " + percent,
               "its dial goes from " + number_text(range.lowest.percent()) + " to " +
                   number_text(range.highest.percent()) + " %, or 0");
}

namespace {

bool has_whole_steps(const TankLight& light) { return light.dial.step >= Percent::of_full(1.0); }

}  // namespace

Result<void> check_share(const TankLight& light, Percent dial) {
  const double percent = dial.percent();
  if (percent <= 0.0 || percent >= 1.0 || !has_whole_steps(light)) return {};
  // Twelve digits, so that 0.57 does not become 56.99999999999999.
  const double meant = std::round(percent * 1e12) / 1e10;
  const std::string number = number_text(percent);
  return fault("a dial is a percentage, not a share: " + number + " would be " + number + " %",
               (meant >= 1.0 ? "write " + number_text(meant) : "write 0 for off") + "; if \"" +
                   light.name + "\" can really be set so finely, give its \"dial\" that \"step\"");
}

std::optional<Fault> ask_about_share(const TankLight& light, Percent dial) {
  if (dial.percent() != 1.0 || !has_whole_steps(light)) return std::nullopt;
  return Fault{"\"" + light.name + "\" stands at 1 %: is that meant, or 100 %?",
               "write 100 if it was at full output, and leave 1 if it was all but off"};
}

}  // namespace slowdawn
